"""Benchmarks are run by hand; that they start is tested here."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

BENCHES = sorted((Path(__file__).parents[2] / "benches").glob("*.py"))


@pytest.mark.parametrize("path", BENCHES, ids=lambda path: path.stem)
def test_a_benchmark_starts(path):
    done = subprocess.run([sys.executable, path, "--help"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "--rows" in done.stdout
