"""A streaming sweep against the same work in memory: rates and peak memory from one run on one machine.

    python benches/streaming.py FOLDER [--rows 100000000] [--in-memory-rows 4000000]

FOLDER needs 130 bytes of room per row; what is written there is removed. A Parquet file of random places is
swept with one build on one thread, from file to file. In memory means: the whole file read, swept, and
written with the same columns and options of Parquet; memory sets a limit to its rows, so its file is
shorter. The sweep alone reads and writes nothing. Each measurement has a process of its own; the short ones
are repeated before and after the long one, and the best of each is taken. On a machine with others
processor time measures the work and wall time the others.

What was measured is in `benches/NOTES.md`.
"""

from __future__ import annotations

import argparse
import json
import re
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pyarrow as pa
from pyarrow import parquet

import overcoat

BUILD = "steel_4_6 / hot_alkaline / hard_wax"
RANGES = {
    "temperature_c": (-17.0, 28.0),
    "relative_humidity_pct": (34.0, 93.0),
    "so2_mg_m2_day": (0.7, 150.0),
    "chloride_mg_m2_day": (0.4, 760.0),
}
CHUNK = 1_000_000


def write_places(path: Path, rows: int) -> None:
    schema = pa.schema([(name, pa.float64()) for name in RANGES])
    with parquet.ParquetWriter(path, schema, use_dictionary=False, write_statistics=False) as writer:
        for start in range(0, rows, CHUNK):
            dice = np.random.default_rng(start)
            count = min(CHUNK, rows - start)
            columns = {name: dice.uniform(low, high, count) for name, (low, high) in RANGES.items()}
            writer.write_table(pa.table(columns, schema=schema))


def clocks() -> tuple[float, float]:
    return time.perf_counter(), time.process_time()


def since(start: tuple[float, float]) -> tuple[float, float]:
    """Wall and processor time, seconds."""
    return time.perf_counter() - start[0], time.process_time() - start[1]


def streamed(sites: Path, out: Path) -> tuple[float, float]:
    start = clocks()
    overcoat.sweep_file(sites, out, builds=[BUILD], threads=1)
    return since(start)


def in_memory(sites: Path, out: Path) -> tuple[float, float]:
    start = clocks()
    places = parquet.read_table(sites)
    found = overcoat.sweep(places, builds=[BUILD], threads=1)
    coded = [name for name in found.column_names if pa.types.is_dictionary(found.schema.field(name).type)]
    parquet.write_table(
        found, out, use_dictionary=coded, write_statistics=False, row_group_size=overcoat.files.GROUP_ROWS
    )
    return since(start)


def swept(sites: Path, out: Path) -> tuple[float, float]:
    places = parquet.read_table(sites)
    start = clocks()
    overcoat.sweep(places, builds=[BUILD], threads=1)
    return since(start)


WORK = {"streamed": streamed, "in_memory": in_memory, "swept": swept}


def measure(work: str, sites: Path, out: Path) -> None:
    """Runs one piece of work in this process and prints what it took."""
    wall, cpu = WORK[work](sites, out)
    # peak of this process alone, where the system tells it
    status = Path("/proc/self/status")
    found = re.search(r"VmHWM:\s+(\d+) kB", status.read_text()) if status.is_file() else None
    peak = int(found[1]) if found else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(json.dumps({"wall_s": wall, "cpu_s": cpu, "peak_mb": peak / 1024}))


def of_own_process(work: str, sites: Path, rows: int, folder: Path) -> dict[str, float]:
    out = folder / "streaming-out.parquet"
    words = [sys.executable, __file__, str(folder), "--work", work, "--sites", str(sites)]
    taken = json.loads(subprocess.run(words, check=True, capture_output=True, text=True).stdout)
    size = out.stat().st_size / 1e9 if out.exists() else 0.0
    out.unlink(missing_ok=True)
    wall, cpu = taken["wall_s"], taken["cpu_s"]
    print(
        f"{work:<10}{rows:>12,} rows  wall {wall:8.2f} s, {rows / wall / 1e6:6.2f} M/s"
        f"  cpu {cpu:8.2f} s, {rows / cpu / 1e6:6.2f} M/s  peak {taken['peak_mb']:.0f} MB, {size:.2f} GB out",
        flush=True,
    )
    return taken


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--rows", type=int, default=100_000_000)
    parser.add_argument("--in-memory-rows", type=int, default=4_000_000)
    parser.add_argument("--work", choices=WORK, help=argparse.SUPPRESS)
    parser.add_argument("--sites", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.work:
        measure(options.work, options.sites, options.folder / "streaming-out.parquet")
        return

    long, short = options.folder / "streaming-long.parquet", options.folder / "streaming-short.parquet"
    best: dict[str, dict[str, float]] = {}

    def turn() -> None:
        for work in WORK:
            taken = of_own_process(work, short, options.in_memory_rows, options.folder)
            best[work] = {key: min(value, best.get(work, taken)[key]) for key, value in taken.items()}

    try:
        write_places(short, options.in_memory_rows)
        write_places(long, options.rows)
        for _ in range(3):
            turn()
        taken = of_own_process("streamed", long, options.rows, options.folder)
        for _ in range(3):
            turn()
        for key in ("wall_s", "cpu_s"):
            rate, in_memory_rate = options.rows / taken[key], options.in_memory_rows / best["in_memory"][key]
            print(f"rate of {options.rows:,} rows over that in memory, {key}: {rate / in_memory_rate:.2f}")
        print(f"peak of {options.rows:,} rows over that of {options.in_memory_rows:,}: ", end="")
        print(f"{taken['peak_mb'] / best['streamed']['peak_mb']:.2f}")
    finally:
        for path in (long, short):
            path.unlink(missing_ok=True)


if __name__ == "__main__":
    main()
