#!/usr/bin/env python3
"""Runs every check of the project, in the order in which failures are cheapest to find.

    python3 tests/run.py [--keep-going]

Needs Rust (with clippy and rustfmt) and Python 3.10 or later, nothing else; .venv and everything in it are
made here. Stops at the first failure unless told to keep going. Where the environment variable
OVERCOAT_REFERENCE names a folder of reference tables, tests compare with whole tables too; without it those
tests skip.
"""

import argparse
import importlib.util
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

# the demo prepares the same environment: one piece of code serves both
_spec = importlib.util.spec_from_file_location("overcoat_demo", ROOT / "demo-data" / "run.py")
demo = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(demo)

PYTHON_FOLDERS = ["python", "tests", "benches", "demo-data"]


def steps() -> list[tuple[str, list[str], dict[str, str]]]:
    """Name, command and additional environment of each check."""
    clippy = ["cargo", "clippy", "--all-targets"]
    strict = ["--", "-D", "warnings"]
    python = str(demo.PYTHON)
    return [
        ("cargo fmt", ["cargo", "fmt", "--check"], {}),
        ("clippy", [*clippy, *strict], {}),
        ("clippy, features", [*clippy, "--features", "schema,arrow,threads", *strict], {}),
        # clippy only: tests of an extension module do not link without the interpreter
        ("clippy, python", ["cargo", "clippy", "-p", "overcoat-python", *strict], {}),
        ("cargo test", ["cargo", "test"], {}),
        ("cargo test, features", ["cargo", "test", "--features", "schema,arrow,threads"], {}),
        (
            "cargo doc",
            ["cargo", "doc", "--no-deps", "--features", "schema,arrow,threads"],
            {"RUSTDOCFLAGS": "-D warnings"},
        ),
        *[
            (f"feature {name} alone", ["cargo", "check", "--no-default-features", "--features", name], {})
            for name in ("schema", "threads", "arrow")
        ],
        ("public API", [python, "tests/public_api.py"], {}),
        ("instruction counts", [python, "tests/count_instructions.py"], {}),
        ("licences", [python, "tests/check_licences.py"], {}),
        ("bill of materials", [python, "tests/sbom.py", "--out", "target/sbom.json"], {}),
        ("ruff check", [python, "-m", "ruff", "check", *PYTHON_FOLDERS], {}),
        ("ruff format", [python, "-m", "ruff", "format", "--check", *PYTHON_FOLDERS], {}),
        ("mypy", [python, "-m", "mypy"], {}),
        ("pytest, notebooks too", [python, "-m", "pytest"], {}),
        ("wheel, source, crate", [python, "tests/check_packages.py"], {}),
    ]


def find_reference(environment: dict[str, str]) -> None:
    """Name the folder of reference tables that may lie beside the clone."""
    beside = ROOT.parent / "shared" / "reference"
    if "OVERCOAT_REFERENCE" not in environment and beside.is_dir():
        environment["OVERCOAT_REFERENCE"] = str(beside)


def install_for_tests(environment: dict[str, str]) -> bool:
    """Install the package in place with everything the tests need; says so where that fails."""
    try:
        demo.install(["dev"], environment)
    except demo.Trouble as trouble:
        demo.say(f"error: {trouble}")
        return False
    return True


def main() -> int:
    parser = argparse.ArgumentParser(description="Run every check of the project.")
    parser.add_argument("--keep-going", action="store_true", help="run the remaining checks after a failure")
    options = parser.parse_args()

    start = time.perf_counter()
    environment = demo.prepare()
    find_reference(environment)
    passed = install_for_tests(environment)
    times = [("environment", time.perf_counter() - start, passed)]

    for name, command, additions in steps():
        if not (passed or options.keep_going):
            break
        demo.say(f"\n== {name}: {' '.join(command).replace(str(ROOT) + os.sep, '')}")
        program = shutil.which(command[0], path=environment["PATH"]) or command[0]
        start = time.perf_counter()
        done = subprocess.run([program, *command[1:]], cwd=ROOT, env=environment | additions)
        passed = done.returncode == 0
        times.append((name, time.perf_counter() - start, passed))

    demo.say("")
    for name, seconds, passed in times:
        demo.say(f"{name:<24}{seconds:>8.1f} s  {'passed' if passed else 'FAILED'}")
    failed = sum(not passed for _, _, passed in times)
    skipped = 1 + len(steps()) - len(times)
    demo.say(f"steps: {len(times) - failed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(demo.stop_on_trouble(main))
