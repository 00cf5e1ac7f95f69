#!/usr/bin/env python3
"""Makes the wheels, the source distribution and the crate, and tries what came out as a user gets it.

    python3 tests/check_packages.py [--out FOLDER]

Needs the environment of `tests/run.py --all`. On Linux, ziglang builds two wheels, for manylinux 2014 (glibc
2.17) and for musllinux 1.2; the second needs `rustup target add x86_64-unknown-linux-musl`. Auditwheel checks
the tag of the first; of the second, the libraries that it needs are read. No path of this machine may be
inside. The wheel for this machine and the source distribution go one after the other into an empty
environment without extras, thrown away at the end. No Python for musl is to be had here, so that wheel is
not tried.
"""

import argparse
import io
import json
import os
import platform
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
# the crate is not optimised a second time: whether it builds, and what for, is the question
QUICK = "profile.dist.package.overcoat.opt-level=0"
ZIG: list[str] = []
if sys.platform == "linux":
    GNU, MUSL = (f"{platform.machine()}-unknown-linux-{library}" for library in ("gnu", "musl"))
    ZIG = ["--zig", "--target", GNU, "--compatibility", "manylinux2014"]
    ENVIRONMENT |= {
        # panics name the file of a dependency: without the folder in which this machine keeps it
        "RUSTFLAGS": f"--remap-path-prefix={CARGO_HOME}=cargo --remap-path-prefix={ROOT}=.",
        "CARGO_ZIGBUILD_PYTHON_PATH": sys.executable,
    }

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

said = {
    "plots": refusal(plots),
    "frames": refusal(ranking.to_pandas),
    "notebook": refusal(lambda: overcoat.panels.panel(overcoat.Brief.from_json(sys.argv[1]))),
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


def build_wheel(out: Path, *options: str) -> Path:
    """The wheel, alone in its folder."""
    command = ["build", "--profile", "dist", "--locked", "--quiet", "--out", out]
    run(sys.executable, "-m", "maturin", *command, *options)
    return only(out, "*.whl")


def check_portable(wheel: Path) -> None:
    """For the systems that its tag says, and silent about the machine that built it."""
    with zipfile.ZipFile(wheel) as opened:
        members = {name: opened.read(name) for name in opened.namelist()}
    (module,) = (
        content
        for name, content in members.items()
        if name.startswith("overcoat/_core.") and name.endswith(".so")
    )
    for folder in {ROOT, CARGO_HOME, Path.home(), Path(tempfile.gettempdir())}:
        named = [name for name, content in members.items() if f"{folder}{os.sep}".encode() in content]
        assert not named, f"{folder} is named in {', '.join(named)}"
    if "musllinux" in wheel.name:
        # auditwheel would take this machine's library for that of musl; a wheel for musl may need that alone
        from elftools.elf.elffile import ELFFile

        dynamic = ELFFile(io.BytesIO(module)).get_section_by_name(".dynamic")
        needed = {tag.needed for tag in dynamic.iter_tags("DT_NEEDED")}
        assert needed == {"libc.so"}, f"{wheel.name} needs {needed}"
        print(f"musl: {wheel.name} needs its libc.so alone")
        return
    said = run(sys.executable, "-m", "auditwheel", "show", wheel)
    tags = re.findall(r'"(manylinux_\d+_\d+_\w+)"', " ".join(said.split()))
    assert tags and tags[0] in wheel.name, f"{wheel.name}, but auditwheel says {said}"
    print(f"auditwheel: {tags[0]}")


def check_musl(out: Path, quick: bool) -> Path | None:
    """A wheel for musl, where Rust has its library; quick unless somebody is to have it."""
    library = Path(run("rustc", "--print", "sysroot").strip()) / "lib" / "rustlib" / MUSL
    if not library.is_dir():
        print(f"skipped: no wheel for musl without `rustup target add {MUSL}`")
        return None
    config = ["opt-level=0", "lto='off'", "codegen-units=16"] if quick else []
    config = [word for setting in config for word in ("--config", f"profile.dist.{setting}")]
    wheel = build_wheel(out, "--zig", "--target", MUSL, "--compatibility", "musllinux_1_2", *config)
    check_wheel(wheel)
    check_portable(wheel)
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
    parser.add_argument("--out", type=Path, help="folder to keep wheels and source distribution in")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        made = Path(name)
        wheel = build_wheel(made, *ZIG)
        check_wheel(wheel)
        if ZIG:
            check_portable(wheel)
        run(sys.executable, "-m", "maturin", "sdist", "--out", made)
        archive = only(made, "*.tar.gz")
        check_source(archive)
        musl = check_musl(made / "musl", quick=options.out is None) if ZIG else None
        if options.out:
            options.out.mkdir(parents=True, exist_ok=True)
            for path in filter(None, (wheel, musl, archive)):
                shutil.copy(path, options.out)

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
        # by the same tools, so that the dependencies that are compiled serve again
        quick = " ".join([*ZIG, "--config", QUICK])
        run(*build, "--config-settings", f"build-args={quick}", "--wheel-dir", again, archive)
        check_wheel(only(again, "*.whl"))
        run(*pip, "--force-reinstall", "--no-deps", only(again, "*.whl"))
        assert try_installed(python, empty) == version
        print(f"source distribution: {archive.name}, built, installed and tried")

    # builds what the crate holds, so that a file left out is found; uncommitted work is packed as it lies
    for name in ("CARGO_TARGET_DIR", "RUSTFLAGS"):
        ENVIRONMENT.pop(name, None)
    run("cargo", "package", "--locked", "--allow-dirty", "--quiet")
    print(f"crate: {only(ROOT / 'target' / 'package', f'overcoat-{version}.crate').name}, built")
    return 0


if __name__ == "__main__":
    sys.exit(main())
