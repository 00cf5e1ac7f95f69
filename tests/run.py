#!/usr/bin/env python3
"""Runs the checks of the project, in the order in which failures are cheapest to find.

    python3 tests/run.py                   # the quick ones
    python3 tests/run.py --all             # the long ones too
    python3 tests/run.py --all --no-skips  # as CI runs them: a test that was skipped fails the run

Needs Rust (with clippy and rustfmt) and Python 3.10 or later, nothing else; .venv and everything in it are
made here. Stops at the first failure unless told to keep going. Where the environment variable
OVERCOAT_REFERENCE names a folder of reference tables, tests compare with whole tables too; without it those
tests count as skipped. What was skipped and why is printed at the end.
"""

from __future__ import annotations

import argparse
import importlib.util
import os
import re
import shutil
import subprocess
import sys
import time
import xml.etree.ElementTree as xml
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent

# the demo prepares the same environment: one piece of code serves both
_spec = importlib.util.spec_from_file_location("overcoat_demo", ROOT / "demo-data" / "run.py")
demo = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(demo)

PYTHON_FOLDERS = ["python", "tests", "benches", "demo-data"]
PYTHON = str(demo.PYTHON)
FEATURES = "schema,arrow,threads,command"
RUST_TESTS = ["test", "--features", FEATURES, "--lib", "--test", "it"]
REFERENCE = "OVERCOAT_REFERENCE"
LONG = "long: python3 tests/run.py --all"
# the cases of property tests: the same in every run here, new ones wherever `cargo test` is called by hand
SEED = {"PROPTEST_RNG_SEED": "17"}


class Step(NamedTuple):
    """One command; `counts` says whose words its results are read from."""

    name: str
    command: list[str]
    counts: str = "check"
    environment: dict[str, str] = {}


class Tally:
    """What passed, failed and was skipped, and why."""

    def __init__(self) -> None:
        self.passed = 0
        self.failed: list[str] = []
        self.skipped: dict[str, str] = {}

    def ignored_elsewhere(self, name: str) -> None:
        """A test that one command ignores and another one runs is not skipped."""
        self.skipped.pop(name, None)

    def read_cargo(self, output: str) -> None:
        """Count the tests of `cargo test`; what it ignores gives its reason."""
        for name, word, reason in re.findall(
            r"^test (.+?) \.\.\. (ok|FAILED|ignored)(?:, (.*))?$", output, re.MULTILINE
        ):
            if word == "ignored":
                self.skipped[name] = reason or "no reason given"
                continue
            self.ignored_elsewhere(name)
            if word == "ok":
                self.passed += 1
            else:
                self.failed.append(name)

    def read_pytest(self, report: Path) -> None:
        """Count the tests of pytest from its report."""
        for case in xml.parse(report).getroot().iter("testcase"):
            name = f"{case.get('classname')}::{case.get('name')}"
            if case.find("failure") is not None or case.find("error") is not None:
                self.failed.append(name)
            elif (skip := case.find("skipped")) is not None:
                self.skipped[name] = skip.get("message") or "no reason given"
            else:
                self.passed += 1

    def reasons(self) -> Counter[str]:
        return Counter(self.skipped.values())


def quick_steps(with_reference: bool) -> Iterator[Step]:
    """What every change is checked by."""
    features = ["--features", FEATURES]
    yield Step("cargo fmt", ["cargo", "fmt", "--all", "--check"])
    yield Step("cargo test", ["cargo", *RUST_TESTS], "cargo test", SEED)
    yield Step("cargo test, documentation", ["cargo", "test", *features, "--doc"], "cargo test")
    if with_reference:
        yield Step(
            "reference tables",
            ["cargo", "test", *features, "--test", "it", "reference::", "--", "--ignored"],
            "cargo test",
        )
    yield Step("licenses", [PYTHON, "tests/check_licenses.py"])
    yield Step("licenses handed on", [PYTHON, "tests/third_party.py"])
    yield Step("ruff check", [PYTHON, "-m", "ruff", "check", *PYTHON_FOLDERS])
    yield Step("ruff format", [PYTHON, "-m", "ruff", "format", "--check", *PYTHON_FOLDERS])
    yield Step("mypy", [PYTHON, "-m", "mypy"])


def long_steps() -> Iterator[Step]:
    """What is checked before a change is accepted."""
    features = ["--features", FEATURES]
    # examples and benchmarks are compiled by clippy alone
    yield Step(
        "clippy", ["cargo", "clippy", "--workspace", "--all-targets", *features, "--", "-D", "warnings"]
    )
    long_rust = ["--test", "it", "--", "--ignored", "--skip", "reference::"]
    yield Step("cargo test, long", ["cargo", "test", *features, *long_rust], "cargo test", SEED)
    fuzz = ["cargo", "test", *features, "--test", "it", "fuzz_entry_points::"]
    yield Step("long fuzzing", fuzz, "check", {"OVERCOAT_FUZZ_SECONDS": "10", "OVERCOAT_FUZZ_SEED": "17"})
    yield Step(
        "cargo doc", ["cargo", "doc", "--no-deps", *features], "check", {"RUSTDOCFLAGS": "-D warnings"}
    )
    for chosen in ("", "schema", "arrow", "threads", "report", "command"):
        named = f"feature {chosen} alone" if chosen else "without features"
        lints = ["cargo", "clippy", "--no-default-features", "--features", chosen, "--", "-D", "warnings"]
        yield Step(named, lints)
    yield Step("public API", [PYTHON, "tests/public_api.py"])
    yield Step("instruction counts", [PYTHON, "tests/count_instructions.py"])
    yield Step("bill of materials", [PYTHON, "tests/sbom.py", "--out", "target/sbom.json"])
    yield Step("Spark", pytest("tests/spark", "spark"), "pytest")
    yield Step("wheel, source, crate", [PYTHON, "tests/check_packages.py"])
    yield Step("lowest and newest versions", [PYTHON, "tests/check_versions.py"])
    zizmor = ["zizmor", "--offline", "--no-progress", "--config", ".github/zizmor.yml"]
    yield Step("workflows", [*zizmor, ".github/workflows"])


def pytest(folder: str, report: str, *more: str) -> list[str]:
    return [PYTHON, "-m", "pytest", folder, f"--junitxml={report_of(report)}", *more]


def report_of(name: str) -> Path:
    return ROOT / "target" / f"pytest-{name}.xml"


def steps(everything: bool, with_reference: bool) -> list[Step]:
    """The checks in their order."""
    # files are dealt out to the processors; a browser or a cluster is started once for each file
    spread = ["-n", "auto", "--dist", "loadfile"]
    found = list(quick_steps(with_reference))
    found.append(
        Step("pytest", pytest("tests/python", "python", *spread, *["--long"] * everything), "pytest")
    )
    return [*found, *(long_steps() if everything else ())]


def find_reference(environment: dict[str, str]) -> None:
    """Name the folder of reference tables that may lie beside the clone."""
    beside = ROOT.parent / "shared" / "reference"
    if REFERENCE not in environment and beside.is_dir():
        environment[REFERENCE] = str(beside)


def install_for_tests(extras: list[str], environment: dict[str, str]) -> bool:
    """Install the package in place with everything the tests need; says so where that fails."""
    try:
        demo.install(extras, environment)
    except demo.Trouble as trouble:
        demo.say(f"error: {trouble}")
        return False
    return True


def start_compiling_tests(
    only: list[str] | None, environment: dict[str, str]
) -> subprocess.Popen[bytes] | None:
    """Start to compile the tests in Rust, where they are among the checks."""
    if only and "cargo test" not in only:
        return None
    cargo = shutil.which("cargo", path=environment["PATH"])
    command = [cargo, *RUST_TESTS, "--no-run", "--quiet"]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    return subprocess.Popen(command, cwd=ROOT, env=environment | SEED, **quiet)


def run(step: Step, environment: dict[str, str], tally: Tally) -> bool:
    """Run one step, its output on the screen, and count what it says."""
    demo.say(f"\n== {step.name}: {' '.join(step.command).replace(str(ROOT) + os.sep, '')}")
    program = shutil.which(step.command[0], path=environment["PATH"]) or step.command[0]
    report = next((Path(word[11:]) for word in step.command if word.startswith("--junitxml=")), None)
    if report:
        report.unlink(missing_ok=True)
    lines = []
    with subprocess.Popen(
        [program, *step.command[1:]],
        cwd=ROOT,
        env=environment | step.environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
    ) as process:
        for line in process.stdout:
            print(line, end="", flush=True)
            lines.append(line)
    output, passed, failures = "".join(lines), process.returncode == 0, len(tally.failed)
    if step.counts == "cargo test":
        tally.read_cargo(output)
    elif report and report.is_file():
        tally.read_pytest(report)
    elif passed and (skip := re.search(r"^skipped: (.*)$", output, re.MULTILINE)):
        tally.skipped[step.name] = skip[1]
    elif passed:
        tally.passed += 1
    if not passed and len(tally.failed) == failures:  # it ended without naming a test
        tally.failed.append(step.name)
    return passed


def unexcused(tally: Tally, with_reference: bool) -> dict[str, str]:
    """Tests that were skipped though everything they need can be had."""
    return {
        name: reason for name, reason in tally.skipped.items() if with_reference or REFERENCE not in reason
    }


def conclude(tally: Tally, times: list[tuple[str, float, bool]]) -> None:
    """Print times, failures, what was skipped and why, and the counts."""
    demo.say("")
    for name, seconds, passed in times:
        demo.say(f"{name:<24}{seconds:>8.1f} s  {'passed' if passed else 'FAILED'}")
    for reason, number in tally.reasons().most_common():
        names = [name for name, why in tally.skipped.items() if why == reason]
        more = f" and {number - 3} more" if number > 3 else ""
        demo.say(f"skipped, {reason}: {', '.join(names[:3])}{more}")
    for name in tally.failed:
        demo.say(f"failed: {name}")
    demo.say(f"{tally.passed} passed, {len(tally.failed)} failed, {len(tally.skipped)} skipped")


def main() -> int:
    parser = argparse.ArgumentParser(description="Run the checks of the project.")
    parser.add_argument("--all", action="store_true", help="run the long checks too")
    parser.add_argument("--no-skips", action="store_true", help="fail where a test was skipped")
    parser.add_argument(
        "--only",
        action="append",
        metavar="NAME",
        help="run this check alone (repeatable); the others count as skipped",
    )
    parser.add_argument("--keep-going", action="store_true", help="run the remaining checks after a failure")
    options = parser.parse_args()

    start = time.perf_counter()
    environment = demo.prepare()
    find_reference(environment)
    with_reference = REFERENCE in environment
    tally = Tally()
    # packages are fetched and unpacked by one processor: the other compiles the tests meanwhile
    tests = start_compiling_tests(options.only, environment)
    passed = install_for_tests(["release"] if options.all else ["dev"], environment)
    if tests:
        tests.wait()  # what it found is said by the check itself
    times = [("environment, compiled", time.perf_counter() - start, passed)]
    if not passed:
        tally.failed.append("environment")

    waiting = steps(options.all, with_reference)
    for step in waiting:
        if options.only and step.name not in options.only:
            tally.skipped[step.name] = "not among the checks of --only"
            continue
        if not (passed or options.keep_going):
            tally.skipped[step.name] = "a check before it failed"
            continue
        start = time.perf_counter()
        done = run(step, environment, tally)
        passed = passed and done
        times.append((step.name, time.perf_counter() - start, done))

    if not options.all:
        tally.skipped |= {step.name: LONG for step in long_steps() if step.counts == "check"}
    elsewhere = unexcused(tally, with_reference)
    if options.no_skips and elsewhere:
        tally.failed += [f"{name} was skipped: {reason}" for name, reason in elsewhere.items()]
    conclude(tally, times)
    return 1 if tally.failed else 0


if __name__ == "__main__":
    sys.exit(demo.stop_on_trouble(main))
