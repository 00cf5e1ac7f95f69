"""The validation report is written by one command and has every section; without the tables it skips."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = ROOT / "tests" / "validation" / "report.py"
SECTIONS = [
    "## Where the model is off",
    "## Films against published lives",
    "## Stainless exposures",
    "## Sheltered and hot parts",
    "## First-year losses against measured sites",
    "### By climate, steel, all programmes together",
    "### What an outlook takes, steel",
    "### Why one spread for all climates",
    "### Where the function is off",
    "## Loss over the years against measured series",
    "## Published tables reproduced",
    "## Time of wetness against independent counts",
    "## Bounds of fitted records",
]


def run(out: Path, reference: Path | None, *more: str) -> subprocess.CompletedProcess[str]:
    environment = {k: v for k, v in os.environ.items() if k != "OVERCOAT_REFERENCE"}
    if reference is not None:
        environment["OVERCOAT_REFERENCE"] = str(reference)
    command = [sys.executable, str(SCRIPT), "--out", str(out), *more]
    return subprocess.run(command, env=environment, cwd=out.parent, capture_output=True, text=True)


def test_the_report_has_every_section(reference, tmp_path):
    pytest.importorskip("matplotlib")
    done = run(tmp_path / "report", reference)
    assert done.returncode == 0, done.stderr
    text = (tmp_path / "report" / "REPORT.md").read_text(encoding="utf-8")
    for section in SECTIONS:
        assert section in text
    if (reference / "measured").is_dir():
        assert "| ICP Materials | steel |" in text
        figures = sorted(path.name for path in (tmp_path / "report").glob("*.png"))
        assert figures and all(f"]({name})" in text for name in figures)
    if shutil.which("cargo"):
        assert "thread deviations e, f, g" in text
        assert "larger than the test allows" not in text
    assert "nan" not in text.lower().split() and " inf " not in text


def test_the_committed_copy_has_the_same_build(reference, tmp_path):
    """Figures may move with the data; headings and heads of tables only with the code."""
    if not (reference / "measured").is_dir() or not shutil.which("cargo"):
        pytest.skip("not all of the data or no cargo")
    pytest.importorskip("pvlib")
    done = run(tmp_path / "report", reference, "--without-figures")
    assert done.returncode == 0, done.stderr
    new = (tmp_path / "report" / "REPORT.md").read_text(encoding="utf-8")
    committed = (SCRIPT.parent / "REPORT.md").read_text(encoding="utf-8")

    def headings(text: str) -> list[str]:
        return [line for line in text.splitlines() if line.startswith("#")]

    again = f"write it anew: {SCRIPT} --out {SCRIPT.parent} --without-figures"
    assert headings(new) == headings(committed), again


def test_sections_without_data_say_so(tmp_path):
    empty = tmp_path / "empty"
    empty.mkdir()
    done = run(tmp_path / "report", empty, "--without-figures")
    assert done.returncode == 0, done.stderr
    text = (tmp_path / "report" / "REPORT.md").read_text(encoding="utf-8")
    assert text.count("Not compared") >= 2


def test_without_a_reference_folder_it_says_what_is_missing(tmp_path):
    done = run(tmp_path / "report", None)
    assert done.returncode == 2
    assert "OVERCOAT_REFERENCE" in done.stderr and not (tmp_path / "report").exists()
