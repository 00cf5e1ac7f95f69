"""The speeds that are promised, each as a ratio within one run on one machine.

    python benches/targets.py [--rows 1000000] [--repeats 5] [--binary target/dist/overcoat]

Prints one line for each piece of work: what it took, what it is compared with, the ratio and the ratio
wanted. Times are wall times, the least of the repeats, which take turns; run it on an idle machine. The
program is measured where `--binary` names one built with `cargo build --profile dist --features command`.
"""

from __future__ import annotations

import argparse
import math
import os
import resource
import subprocess
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyarrow as pa
from against_numpy import FILMS, INPUTS, PART, SHELTERS, table_of
from pyarrow import parquet

import overcoat

ROOT = Path(__file__).resolve().parents[1]
BUILDS = [f"steel_4_6 / hot_alkaline / {' + '.join(films) or 'no film'}" for films in FILMS]
# arithmetic of one result of the model of version 1, measured once (0.1)
FIRST_MODEL_NS = 8.0
KEPT = 200


def least(runs: dict[str, Callable[[], object]], repeats: int) -> dict[str, float]:
    """Least wall time of each, taken in turns."""
    best = dict.fromkeys(runs, math.inf)
    for _ in range(repeats):
        for name, run in runs.items():
            start = time.perf_counter()
            kept = run()
            best[name] = min(best[name], time.perf_counter() - start)
            del kept
    return best


def line(work: str, took: str, value: float, wanted: str) -> None:
    print(f"{work:<58}{took:>14}{value:>9.2f}   wanted {wanted}", flush=True)


def losses(columns: dict[str, np.ndarray], repeats: int) -> None:
    air = {name: columns[name] for name in INPUTS}
    best = least(
        {
            "four": lambda: overcoat.first_year_losses(**air),
            "copy": lambda: [column.copy() for column in air.values()],
        },
        2 * repeats,
    )
    line(
        "first-year loss of four metals / copying four columns",
        f"{1e3 * best['four']:.1f} ms",
        best["four"] / best["copy"],
        "1.5 or less",
    )


def sweeps(columns: dict[str, np.ndarray], repeats: int) -> None:
    rows = len(columns["temperature_c"])
    words = pa.DictionaryArray.from_arrays((np.arange(rows) % 2).astype(np.int8), SHELTERS)
    table = pa.table({**columns, "shelter": words})
    small = table.slice(0, 1000).combine_chunks()
    brief = overcoat.Brief.from_dict(
        {"schema": "overcoat.brief.v1", "name": "sites", "part": PART, "duty": {"required_years": 5}}
    )

    def run(sites: pa.Table, threads: int = 1, *, best_only: bool) -> object:
        return overcoat.sweep(sites, brief, builds=BUILDS, threads=threads, best_only=best_only)

    times = rows // 1000
    best = least(
        {
            "best": lambda: run(table, best_only=True),
            "all": lambda: run(table, best_only=False),
            "cached best": lambda: [run(small, best_only=True) for _ in range(times)],
            "two": lambda: run(table, 2, best_only=True),
        },
        repeats,
    )
    whole = run(table, best_only=False)
    size = whole.nbytes
    numbers = np.empty(size // 8)
    del whole
    filled = least({"write": lambda: np.full(numbers.shape, 1.0)}, repeats)["write"]
    results = rows * len(BUILDS)
    line(
        "sweep with best_only / 1000 rows in cache, repeated",
        f"{1e3 * best['best']:.0f} ms",
        best["best"] / best["cached best"],
        "1.3 or less (the small calls have a start of their own)",
    )
    line(
        "one result, in ns / that of the first model (8 ns)",
        f"{1e9 * best['best'] / results:.1f} ns",
        1e9 * best["best"] / results / FIRST_MODEL_NS,
        "3 or less",
    )
    line(
        "sweep with all columns / writing as many bytes once",
        f"{1e3 * best['all']:.0f} ms",
        best["all"] / filled,
        "2 or less",
    )
    line(
        "one thread / two threads, best_only",
        f"{1e3 * best['two']:.0f} ms",
        best["best"] / best["two"],
        "1.85 or more",
    )


def grids(repeats: int) -> None:
    years = [1.0 + 0.01 * step for step in range(1000)]
    temperature = [float(step) for step in range(5, 15)]
    air = {"relative_humidity_pct": 80.0, "so2_mg_m2_day": 5.0, "chloride_mg_m2_day": 10.0}
    full = overcoat.Brief.from_dict(
        {
            "schema": "overcoat.brief.v1",
            "name": "grid",
            "part": PART,
            "duty": {"temperature_c": 10.0, **air, "required_years": 5},
        }
    )
    table = pa.table(
        {
            "temperature_c": np.repeat(temperature, len(years)),
            "required_years": np.tile(years, len(temperature)),
            **{name: np.full(len(years) * len(temperature), value) for name, value in air.items()},
        }
    )
    best = least(
        {
            "grid": lambda: overcoat.grid(
                full, builds=BUILDS, temperature_c=temperature, required_years=years
            ).run(),
            "sweep": lambda: overcoat.sweep(table, full, builds=BUILDS),
        },
        repeats,
    )
    line(
        "grid / sweep of as many results (120 000)",
        f"{1e3 * best['grid']:.0f} ms",
        best["grid"] / best["sweep"],
        "2 or less",
    )


def rankings(repeats: int) -> None:
    paths = sorted((ROOT / "demo-data" / "briefs").glob("*.json"))
    briefs = {path.stem: overcoat.Brief.from_json(str(path)) for path in paths}
    best = least(
        {name: lambda brief=brief: overcoat.rank(brief) for name, brief in briefs.items()},  # type: ignore[misc]
        20 * repeats,
    )
    name = max(best, key=best.__getitem__)
    line(
        f"rank of the largest demo brief ({name}), ms",
        f"{1e3 * best[name]:.2f} ms",
        1e3 * best[name],
        "0.5 or less",
    )

    def resident() -> int:
        return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize()

    if Path("/proc/self/statm").is_file():
        before = resident()
        kept = [overcoat.rank(briefs[name]) for _ in range(KEPT)]
        each = (resident() - before) / KEPT / 1000
        line(f"a kept ranking of {len(kept[0])} options, kB", f"{each:.0f} kB", each, "150 or less")

    def ranked(times: int) -> None:
        for _ in range(times):
            overcoat.rank(briefs[name])

    def side_by_side() -> None:
        threads = [threading.Thread(target=ranked, args=(100,)) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    both = least({"one": lambda: ranked(200), "two": side_by_side}, repeats)
    line(
        "200 rankings in turn / on two threads",
        f"{1e3 * both['two']:.0f} ms",
        both["one"] / both["two"],
        "1.8 or more",
    )


def streaming(columns: dict[str, np.ndarray], repeats: int) -> None:
    names = ["temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day"]
    with tempfile.TemporaryDirectory() as folder:
        sites, out, copy = (Path(folder) / name for name in ("sites.parquet", "out.parquet", "copy.parquet"))
        parquet.write_table(pa.table({name: columns[name] for name in names}), sites)
        overcoat.sweep_file(sites, out, builds=[BUILDS[4]], threads=1)
        shape = parquet.ParquetFile(out).metadata.row_group(0).num_rows

        def by_arrow() -> None:
            parquet.read_table(sites)
            parquet.write_table(parquet.read_table(out), copy, row_group_size=shape)

        def reading() -> None:
            parquet.read_table(out)

        best = least(
            {
                "sweep": lambda: overcoat.sweep_file(
                    sites, Path(folder) / "again.parquet", builds=[BUILDS[4]], threads=1
                ),
                "arrow": by_arrow,
                "reading": reading,
            },
            repeats,
        )
        line(
            "Parquet to Parquet / reading and writing the same columns",
            f"{1e3 * best['sweep']:.0f} ms",
            best["sweep"] / (best["arrow"] - best["reading"]),
            "1.4 or less",
        )


def program(binary: Path, repeats: int) -> None:
    brief = str(ROOT / "demo-data" / "briefs" / "deck-fitting.json")
    with tempfile.TemporaryDirectory() as folder:
        page = str(Path(folder) / "page.html")
        quiet = {"check": True, "stdout": subprocess.DEVNULL}
        best = least(
            {
                "rank": lambda: subprocess.run([binary, "rank", brief], **quiet),  # type: ignore[call-overload]
                "page": lambda: subprocess.run(  # type: ignore[call-overload]
                    [binary, "rank", brief, "--format", "html", "--out", page], **quiet
                ),
            },
            2 * repeats,
        )
    line("the program: a ranking, s", f"{1e3 * best['rank']:.0f} ms", best["rank"], "0.05 or less")
    line("the program: a page, s", f"{1e3 * best['page']:.0f} ms", best["page"], "0.1 or less")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--binary", type=Path)
    options = parser.parse_args()
    columns = table_of(options.rows)
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else math.nan
    print(f"overcoat {overcoat.__version__}, {os.cpu_count()} CPUs, load {load:.1f} at the start")
    losses(columns, options.repeats)
    sweeps(columns, options.repeats)
    grids(options.repeats)
    rankings(options.repeats)
    streaming(columns, options.repeats)
    if options.binary:
        program(options.binary, options.repeats)


if __name__ == "__main__":
    main()
