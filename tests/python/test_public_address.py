"""The address that a release writes into its packages."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FILES = ("Cargo.toml", "pyproject.toml", "README.md")
ADDRESS = "https://forge.example/owner/overcoat"


def written(root: Path, address: str = ADDRESS) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, ROOT / "tests" / "public_address.py", address, "v9.9.9", "--root", root]
    return subprocess.run(command, capture_output=True, text=True)


def test_packages_say_where_they_come_from(tmp_path: Path) -> None:
    tomllib = pytest.importorskip("tomllib", reason="part of Python since 3.11")
    for name in FILES:
        shutil.copy(ROOT / name, tmp_path)
    assert written(tmp_path).returncode == 0
    crate = tomllib.loads((tmp_path / "Cargo.toml").read_text("utf-8"))
    assert crate["package"]["repository"] == ADDRESS
    urls = tomllib.loads((tmp_path / "pyproject.toml").read_text("utf-8"))["project"]["urls"]
    assert urls["Repository"] == ADDRESS
    # an index shows the README away from the files beside it
    targets = re.findall(r"\]\(([^)\s]+)\)", (tmp_path / "README.md").read_text("utf-8"))
    assert targets and all(target.startswith(("https://", "#")) for target in targets)
    own = [target.split("/v9.9.9/", 1)[1] for target in targets if target.startswith(ADDRESS)]
    assert own and all((ROOT / path).is_file() for path in own), own
    before = [(tmp_path / name).read_bytes() for name in FILES]
    assert written(tmp_path).returncode == 0
    assert [(tmp_path / name).read_bytes() for name in FILES] == before


def test_what_is_no_address_is_rejected(tmp_path: Path) -> None:
    said = written(tmp_path, "forge.example/owner")
    assert said.returncode == 1
    assert "https://" in said.stderr
