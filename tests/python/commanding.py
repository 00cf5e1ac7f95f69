"""The command as a person calls it: in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys


def ran(*words: object, **environment: str) -> subprocess.CompletedProcess[str]:
    """`python -m overcoat` with both streams piped."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-m", "overcoat", *map(str, words)],
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONUTF8": "1", **environment},
        timeout=300,
    )


def succeeds(*words: object) -> str:
    """Standard output of a command that succeeds."""
    done = ran(*words)
    assert done.returncode == 0, done.stderr
    return done.stdout


def refuses(*words: object) -> str:
    """Standard error of a refusal: exit code 2, one line, nothing on standard output."""
    done = ran(*words)
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert done.stderr.startswith("Error: ") and done.stderr.count("\n") == 1, done.stderr
    return done.stderr
