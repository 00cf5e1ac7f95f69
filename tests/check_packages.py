#!/usr/bin/env python3
"""Makes the wheel, the source distribution and the crate, and tries what came out as a user gets it.

    python3 tests/check_packages.py [--portable] [--out FOLDER]

Needs the environment of `tests/run.py --all`. With --portable the wheel is built for manylinux 2014 (glibc
2.17) by ziglang, its tag is checked by auditwheel, and no path of this machine may be inside. Wheel and
source distribution go one after the other into an empty environment without extras, thrown away at the end.
"""

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BRIEF = ROOT / "demo-data" / "briefs" / "deck-fitting.json"
ENVIRONMENT = os.environ | {
    "CARGO_TARGET_DIR": str(
        ROOT / "target"
    ),  # the source distribution is built elsewhere, with the same dependencies
    "PIP_DISABLE_PIP_VERSION_CHECK": "1",
}
CARGO_HOME = Path(os.environ.get("CARGO_HOME") or Path.home() / ".cargo")
# panics name the file of a dependency: without the folder in which this machine keeps it
REMAP = f"--remap-path-prefix={CARGO_HOME}=cargo --remap-path-prefix={ROOT}=."
# the crate is not optimised a second time for the source distribution: whether it builds is the question
QUICK = "--config profile.dist.package.overcoat.opt-level=0"

# run by the Python of the empty environment, in an empty folder
TRIAL = """
import importlib.metadata, json, sys
from pathlib import Path
import overcoat

home = Path(overcoat.__file__).parent
assert home.is_relative_to(sys.prefix), home
assert overcoat.__version__ == importlib.metadata.version("overcoat")
assert (home / "py.typed").is_file() and (home / "_core.pyi").is_file()
ranking = overcoat.rank(overcoat.Brief.from_json(sys.argv[1]))
assert ranking.best.papers().steps and "<table" in ranking._repr_html_()

def refusal(call):
    try:
        call()
    except ImportError as error:
        return str(error)
    raise AssertionError("an extra that should be absent is there")

def plots():
    import overcoat.plots

units = json.loads(Path(sys.argv[1]).read_text("utf-8"))
units["part"]["mass_g"] = "6 oz"
said = {
    "plots": refusal(plots),
    "frames": refusal(ranking.to_pandas),
    "notebook": refusal(lambda: overcoat.panels.panel(overcoat.Brief.from_json(sys.argv[1]))),
    "units": refusal(lambda: overcoat.read_brief(json.dumps(units))),
}
for extra, text in said.items():
    assert f'pip install "overcoat[{extra}]"' in text, text
print(overcoat.__version__)
"""


def run(*command: object, cwd: Path = ROOT, **variables: str) -> str:
    """What a command prints; its errors go to the screen, and a failure ends everything."""
    words = [str(word) for word in command]
    return subprocess.run(
        words, cwd=cwd, env=ENVIRONMENT | variables, check=True, stdout=subprocess.PIPE, encoding="utf-8"
    ).stdout


def only(folder: Path, pattern: str) -> Path:
    """The one file of the folder that fits."""
    (found,) = folder.glob(pattern)
    return found


def build_wheel(out: Path, portable: bool) -> Path:
    """The wheel, for this machine or for every Linux."""
    command = [
        sys.executable,
        "-m",
        "maturin",
        "build",
        "--profile",
        "dist",
        "--locked",
        "--quiet",
        "--out",
        out,
    ]
    if not portable:
        run(*command)
        return only(out, "*.whl")
    run(*command, "--zig", "--compatibility", "manylinux2014", RUSTFLAGS=REMAP)
    wheel = only(out, "*.whl")
    module = next(name for name in zipfile.ZipFile(wheel).namelist() if name.startswith("overcoat/_core."))
    content = zipfile.ZipFile(wheel).read(module)
    for folder in (ROOT, CARGO_HOME, Path.home() / ".rustup"):
        assert f"{folder}{os.sep}".encode() not in content, f"the module names {folder}"
    said = run(sys.executable, "-m", "auditwheel", "show", wheel)
    tags = re.findall(r'"(manylinux_\d+_\d+_\w+)"', " ".join(said.split()))
    assert tags and tags[0] in wheel.name, f"{wheel.name}, but auditwheel says {said}"
    print(f"auditwheel: {tags[0]}")
    return wheel


def check_wheel(wheel: Path) -> None:
    """Stable interface, types, command, licenses inside, nothing that belongs to the repository alone."""
    assert "-cp310-abi3-" in wheel.name, wheel.name
    names = zipfile.ZipFile(wheel).namelist()
    for needed in ("py.typed", "_core.pyi", "__main__.py"):
        assert f"overcoat/{needed}" in names, needed
    assert any(name.startswith("overcoat/_core.") and name.endswith((".so", ".pyd")) for name in names)
    assert sum("/licenses/LICENSE" in name for name in names) == 2
    assert any(name.endswith("/licenses/THIRD_PARTY_LICENSES.txt") for name in names)
    strays = [name for name in names if not name.startswith(("overcoat/", "overcoat-"))]
    assert strays == [], strays


def check_source(archive: Path) -> None:
    """Whole enough to build from, its versions pinned."""
    with tarfile.open(archive) as opened:
        names = {name.partition("/")[2] for name in opened.getnames()}
    for needed in ("Cargo.toml", "Cargo.lock", "pyproject.toml", "src/lib.rs", "python/overcoat/py.typed"):
        assert needed in names, needed


def try_installed(python: Path, folder: Path) -> str:
    """The package and its command in an environment without extras; gives the version."""
    version = run(python, "-W", "error", "-c", TRIAL, BRIEF, cwd=folder).strip()
    command = only(python.parent, "overcoat*")
    assert version in run(command, "--version", cwd=folder)
    assert "Deck fitting" in run(command, "rank", BRIEF, cwd=folder)
    assert json.loads(run(python, "-m", "overcoat", "rank", BRIEF, "--json", cwd=folder))["options"]
    page = run(command, "rank", BRIEF, "--format", "html", cwd=folder)
    first = folder / f"first-{len(list(folder.iterdir()))}.json"
    assert "Assumed" in run(command, "start", first, "--place", "coastal", "--years", "5", cwd=folder)
    assert page.startswith("<!doctype html>") and page.count("<svg") == 2
    return version


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--portable", action="store_true", help="a wheel for every Linux, by zig")
    parser.add_argument("--out", type=Path, help="folder to keep wheel and source distribution in")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        made = Path(name)
        wheel = build_wheel(made, options.portable)
        run(sys.executable, "-m", "maturin", "sdist", "--out", made)
        archive = only(made, "*.tar.gz")
        if options.out:
            options.out.mkdir(parents=True, exist_ok=True)
            for path in (wheel, archive):
                shutil.copy(path, options.out)
        check_wheel(wheel)
        check_source(archive)

        empty = made / "empty"
        empty.mkdir()
        run(sys.executable, "-m", "venv", made / "venv")
        python = made / "venv" / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
        pip = [python, "-m", "pip", "install", "--quiet"]
        run(*pip, wheel)
        version = try_installed(python, empty)
        print(f"wheel: {wheel.name}, {wheel.stat().st_size / 1e6:.1f} MB, installed and tried")

        again = made / "from-source"
        build = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
        run(*build, "--config-settings", f"build-args={QUICK}", "--wheel-dir", again, archive)
        check_wheel(only(again, "*.whl"))
        run(*pip, "--force-reinstall", "--no-deps", only(again, "*.whl"))
        assert try_installed(python, empty) == version
        print(f"source distribution: {archive.name}, built, installed and tried")

    # builds what the crate holds, so that a file left out is found; uncommitted work is packed as it lies
    del ENVIRONMENT["CARGO_TARGET_DIR"]
    run("cargo", "package", "--locked", "--allow-dirty", "--quiet")
    print(f"crate: {only(ROOT / 'target' / 'package', f'overcoat-{version}.crate').name}, built")
    return 0


if __name__ == "__main__":
    sys.exit(main())
