#!/usr/bin/env python3
"""Installs overcoat into .venv and ranks the finishes for each brief of the demo scenario.

    python3 demo-data/run.py [--brief FILE]

Needs Rust and Python 3.10 or later, nothing else; run it from anywhere. The first run compiles, later runs
only what has changed. Tables go to the screen; pages (.html) and answers for programs (.json) go to
demo-data/answers/.

`tests/run.py` prepares its environment with the functions of this file.
"""

import argparse
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Callable, Iterator
from pathlib import Path

if sys.version_info < (3, 10):  # noqa: UP036  (an older Python must get to say so)
    sys.exit("error: overcoat needs Python 3.10 or later, and this is Python " + sys.version.split()[0] + ".")

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "overcoat-installed.json"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")

DEMO = ROOT / "demo-data"
CATALOG = DEMO / "workshop_catalog.json"
ANSWERS = DEMO / "answers"
DEMO_EXTRAS: list[str] = []


class Trouble(Exception):
    """What went wrong and how to mend it, in one sentence."""


def say(text: str) -> None:
    print(text, flush=True)  # before whatever the next command prints


def child_environment() -> dict[str, str]:
    """Environment of every command: our virtual environment, cargo in reach, no foreign Python settings."""
    environment = os.environ.copy()
    for name in ("CONDA_PREFIX", "PYTHONHOME", "PYTHONPATH"):
        environment.pop(name, None)
    cargo_home = Path(environment.get("CARGO_HOME") or Path.home() / ".cargo")
    places = [str(PYTHON.parent), environment.get("PATH", ""), str(cargo_home / "bin")]
    return environment | {
        "PATH": os.pathsep.join(places),
        "VIRTUAL_ENV": str(VENV),
        "PYTHONUTF8": "1",
        "PIP_DISABLE_PIP_VERSION_CHECK": "1",
    }


def run(command: list[str | Path], environment: dict[str, str], doing: str) -> None:
    """Run `command` at the repository root, its output on the screen; `doing` begins the error."""
    code = subprocess.run([str(word) for word in command], cwd=ROOT, env=environment).returncode
    if code != 0:
        raise Trouble(f"{doing} failed (exit code {code}); the lines above say why.")


def output_of(command: list[str | Path], environment: dict[str, str]) -> str | None:
    """What `command` prints, or None if it cannot be started or fails."""
    try:
        done = subprocess.run(
            [str(word) for word in command], cwd=ROOT, env=environment, capture_output=True, text=True
        )
    except OSError:
        return None
    return done.stdout.strip() if done.returncode == 0 else None


def version(text: str) -> tuple[int, ...]:
    return tuple(int(part) for part in text.split("."))


def check_rust(environment: dict[str, str]) -> None:
    """Refuse to start without cargo, or with a compiler older than Cargo.toml asks for."""
    manifest = (ROOT / "Cargo.toml").read_text("utf-8")
    least = re.search(r'^rust-version = "([\d.]+)"', manifest, re.MULTILINE)[1]
    cargo, rustc = (shutil.which(name, path=environment["PATH"]) for name in ("cargo", "rustc"))
    if cargo is None or rustc is None:
        raise Trouble(
            f"cargo was not found: install Rust {least} or later (https://rustup.rs), then try again."
        )
    answer = output_of([rustc, "--version"], environment) or ""
    found = re.search(r"\d+\.\d+", answer)
    if found is None:
        raise Trouble(
            "`rustc --version` gives no version: mend Rust (`rustup default stable`), then try again."
        )
    if version(found[0]) < version(least):
        raise Trouble(f"Rust {least} or later is needed and this is {answer}: run `rustup update`.")


def check_python() -> None:
    """Refuse an interpreter that cannot load the compiled module (it uses CPython's stable interface)."""
    if sys.implementation.name != "cpython" or sysconfig.get_config_var("Py_GIL_DISABLED"):
        raise Trouble("overcoat runs on the usual build of CPython, not on PyPy or a free-threaded build.")


def prepare_virtual_environment(environment: dict[str, str]) -> None:
    """Make .venv at the repository root, or make it anew if its Python does not run or is too old."""
    probe = "import sys; print(sys.version_info >= (3, 10))"
    if output_of([PYTHON, "-c", probe], environment) != "True":
        if VENV.exists() and not (VENV / "pyvenv.cfg").exists():
            raise Trouble(f"{VENV} is no virtual environment: move it away, then try again.")
        again = " anew, its Python does not run or is too old" if VENV.exists() else ""
        say(f"Making .venv{again} (Python {sys.version.split()[0]}).")
        if subprocess.run([sys.executable, "-m", "venv", "--clear", str(VENV)]).returncode != 0:
            raise Trouble(
                "Python could not make .venv: on Debian and Ubuntu, run `apt install python3-venv` first."
            )
    elif output_of([PYTHON, "-c", "import pip"], environment) is None:
        run([PYTHON, "-m", "ensurepip", "--upgrade"], environment, "Adding pip to .venv")


def source_files() -> Iterator[Path]:
    """Everything that the installed package is made from."""
    for name in ("Cargo.toml", "Cargo.lock", "build.rs", "pyproject.toml"):
        yield ROOT / name
    for folder in ("src", "python"):
        for path in sorted((ROOT / folder).rglob("*")):
            if path.is_file() and path.suffix not in (".pyc", ".so", ".pyd", ".pdb"):
                yield path


def source_hash() -> str:
    total = hashlib.sha256()
    for path in source_files():
        content = path.read_bytes() if path.exists() else b""
        total.update(f"{path.relative_to(ROOT).as_posix()} {len(content)}\n".encode())
        total.update(content)
    return total.hexdigest()


def install(extras: list[str], environment: dict[str, str]) -> None:
    """Install the package with `extras` in place (editable) into .venv, unless the same sources already are.

    In place it compiles by a leaner profile, and whatever is installed next reuses what is compiled. An
    environment keeps the extras that it has.
    """
    try:
        stamp = json.loads(STAMP.read_text("utf-8"))
    except (OSError, ValueError):
        stamp = {}
    had = stamp.get("extras", [])
    extras = sorted({*had, *extras})
    for whole, parts in (("dev", DEMO_EXTRAS), ("release", ["dev", *DEMO_EXTRAS])):
        if whole in extras:  # which includes the parts
            extras = [extra for extra in extras if extra not in parts]
    # the folder counts too: an environment that was copied or moved along points to the old one
    now = {"folder": str(ROOT), "sources": source_hash()}
    same = {key: stamp.get(key) for key in now} == now
    if extras == had and same and output_of([PYTHON, "-c", "import overcoat._core"], environment) is not None:
        say("overcoat is installed and up to date.")
        return

    STAMP.write_text(json.dumps({"extras": had}), "utf-8")  # until it is done
    named = f"[{','.join(extras)}]" if extras else ""
    say(f"Building and installing overcoat{named} (a few minutes the first time).")
    command = [PYTHON, "-m", "pip", "install", "--quiet", "--editable", f".{named}"]
    run(command, environment, "Installing overcoat")
    STAMP.write_text(json.dumps(now | {"extras": extras}), "utf-8")


def prepare() -> dict[str, str]:
    """Check the tools and make .venv; gives the environment of the commands that follow."""
    check_python()
    environment = child_environment()
    check_rust(environment)
    prepare_virtual_environment(environment)
    return environment


def stop_on_trouble(main: Callable[[], int]) -> int:
    """Run `main`; trouble becomes one line and exit code 1."""
    try:
        return main()
    except Trouble as trouble:
        print(f"error: {trouble}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130


def rank(brief: Path, environment: dict[str, str]) -> None:
    """Print the ranking of `brief` and write it as a page and as JSON."""
    say(f"\n== {brief.stem}")
    command = [PYTHON, "-m", "overcoat", "rank", brief, "--catalog", CATALOG]
    run(command, environment, f"Ranking {brief.name}")
    for form in ("html", "json"):
        answer = ANSWERS / f"{brief.stem}.{form}"
        with answer.open("wb") as file:
            words = [str(word) for word in [*command, "--format", form]]
            if subprocess.run(words, cwd=ROOT, env=environment, stdout=file).returncode != 0:
                raise Trouble(f"Writing {answer.name} failed; the lines above say why.")


def main() -> int:
    parser = argparse.ArgumentParser(description="Install overcoat into .venv and rank the demo briefs.")
    parser.add_argument("--brief", type=Path, metavar="FILE", help="rank this brief only")
    options = parser.parse_args()

    briefs = [options.brief.resolve()] if options.brief else sorted((DEMO / "briefs").glob("*.json"))
    if not briefs:
        raise Trouble("demo-data/briefs holds no brief (*.json): the clone is incomplete.")
    for brief in briefs:
        if not brief.is_file():
            raise Trouble(f"there is no brief {brief}: give the path of a JSON file.")

    environment = prepare()
    install(DEMO_EXTRAS, environment)
    ANSWERS.mkdir(exist_ok=True)
    for brief in briefs:
        rank(brief, environment)

    say(f"\n{len(briefs)} answered, with reasons and sources:")
    for brief in briefs:
        say(f"  {(ANSWERS / brief.stem).relative_to(ROOT).as_posix()}.html  (.json beside it)")
    program = PYTHON.with_name("overcoat").relative_to(ROOT)
    say(f"\nAn inquiry of your own:\n  {program} start mine.json")
    return 0


if __name__ == "__main__":
    sys.exit(stop_on_trouble(main))
