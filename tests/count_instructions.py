"""Instructions of a sweep and of a ranking against stored counts, so that no change slows them unseen.

    python tests/count_instructions.py [--store]

Instructions are the same on a busy machine and an idle one. Valgrind hides AVX-512 from programs, so every
machine with AVX2 runs the same code. The count of a sweep is the difference between two runs that do it more
and less often; that of a ranking includes the start and the reading of the catalog. Skips, and says so, where
it cannot count.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
STORED = Path(__file__).with_name("instruction_counts.json")
# a new compiler may move counts without anybody's fault
TOLERANCE, TOLERANCE_OF_ANOTHER_COMPILER = 0.05, 0.30
# what is run, with which arguments more often and less often
CASES = {
    "sweep of 2000 rows x 12 builds": ("sweep_places", ["2000", "6"], ["2000", "1"], 5),
    "rank of boat-cap-screws": ("rank_brief", ["demo-data/briefs/boat-cap-screws.json"], None, 1),
}


def reason_to_skip() -> str | None:
    for program in ("valgrind", "cargo", "rustc"):
        if shutil.which(program) is None:
            return f"{program} is not installed"
    try:
        flags = Path("/proc/cpuinfo").read_text("utf-8")
    except OSError:
        return "the processor does not say what it can"
    missing = [flag for flag in ("avx2", "fma", "bmi2") if not re.search(rf"^flags.* {flag} ", flags, re.M)]
    return f"the processor has no {', '.join(missing)}" if missing else None


def count(program: Path, arguments: list[str]) -> int:
    """Instructions that the program executes under valgrind."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder, "counts")
        command = ["valgrind", "--tool=callgrind", f"--callgrind-out-file={out}", str(program), *arguments]
        subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
        found = re.search(r"^(?:summary|totals): (\d+)", out.read_text("utf-8"), re.M)
    assert found, "callgrind wrote no total"
    return int(found[1])


def counts() -> dict[str, int]:
    folder = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    examples = sorted({case[0] for case in CASES.values()})
    build = [
        "cargo",
        "build",
        "--profile",
        "dist",
        *(word for name in examples for word in ("--example", name)),
    ]
    subprocess.run(build, cwd=ROOT, check=True, env=os.environ | {"CARGO_TARGET_DIR": str(folder)})
    found = {}
    for name, (example, more, less, times) in CASES.items():
        program = folder / "dist" / "examples" / example
        often = count(program, more)
        found[name] = (often - (count(program, less) if less else 0)) // times
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--store", action="store_true", help="store what is counted now")
    options = parser.parse_args()
    skip = reason_to_skip()
    if skip:
        print(f"skipped: {skip}")
        return 0
    compiler = subprocess.check_output(["rustc", "--version"], text=True).strip()
    found = counts()
    if options.store:
        STORED.write_text(json.dumps({"compiler": compiler, "instructions": found}, indent=2) + "\n", "utf-8")
    stored = json.loads(STORED.read_text("utf-8"))
    same = stored["compiler"] == compiler
    tolerance = TOLERANCE if same else TOLERANCE_OF_ANOTHER_COMPILER
    if not same:
        print(f"stored with {stored['compiler']}, counted with {compiler}: {tolerance:.0%} are allowed")
    slower = False
    for name, instructions in found.items():
        change = instructions / stored["instructions"][name] - 1
        verdict = "ok"
        if change > tolerance:
            verdict, slower = f"MORE than {tolerance:.0%} above the stored count", True
        elif change < -TOLERANCE and same:
            verdict = "fewer: store it with --store"
        print(f"{name:<34}{instructions:>14,} instructions {change:+8.2%}  {verdict}")
    return 1 if slower else 0


if __name__ == "__main__":
    sys.exit(main())
