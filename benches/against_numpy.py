"""overcoat against the same formulas in NumPy, numba and polars: ratios from one run on one machine.

    python benches/against_numpy.py [--rows 1000000] [--repeats 5]

What NumPy computes is written as its users would write it well: columns, shared logarithms, powers as one
exponential, blocks of rows that fit the cache. Its constants come from the second implementation in
`tests/python/independent`. Before anything is timed, results are compared: 1e-9 relative.

Times are processor time, of the system on behalf of the process too, and the least of the repeats, which take
turns: on a machine with others wall time measures them. Two threads are compared by wall time.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

# one thread for every library that is compared
os.environ.setdefault("POLARS_MAX_THREADS", "1")

import numpy as np
import polars as pl
import pyarrow as pa
from scipy.special import ndtr

import overcoat
from overcoat import _core

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "python"))

from independent.desirability import WEIGHTS, option_of  # noqa: E402

# ISO 9223:2012, 8.2, equations 1 to 4, from memory: A, a, b, cold, warm, B, c, d, e
DOSE = {
    "steel": (1.77, 0.52, 0.020, 0.150, -0.054, 0.102, 0.62, 0.033, 0.040),
    "zinc": (0.0129, 0.44, 0.046, 0.038, -0.071, 0.0175, 0.57, 0.008, 0.085),
    "copper": (0.0053, 0.26, 0.059, 0.126, -0.080, 0.01025, 0.27, 0.036, 0.049),
    "aluminium": (0.0042, 0.73, 0.025, 0.009, -0.043, 0.0018, 0.60, 0.020, 0.094),
}

INPUTS = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
FILMS: list[list[str]] = [
    [],
    ["displacing_oil"],
    ["heavy_oil"],
    ["soft_wax"],
    ["hard_wax"],
    ["acrylic_lacquer"],
    ["air_dry_paint"],
    ["stoved_epoxy"],
    ["polyester_powder"],
    ["epoxy_electrocoat"],
    ["zinc_phosphate_primer", "air_dry_paint"],
    ["epoxy_electrocoat", "polyester_powder"],
]
PART = {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5}
SHELTERS = ["open", "sheltered"]
NUMPY_BLOCKS = (2_048, 16_384, None)
# what the memory asks for by itself: as many bytes read and written, nothing computed
NO_FORMULA = "as much new memory filled, no formula"
# all columns of one result
RESULT_BYTES = 57


def least_seconds(
    runs: dict[str, Callable[[], object]], repeats: int, clock: Callable[[], float] = time.process_time
) -> dict[str, float]:
    """Least time of each, taken in turns."""
    best = dict.fromkeys(runs, math.inf)
    for _ in range(repeats):
        for name, run in runs.items():
            start = clock()
            kept = run()
            best[name] = min(best[name], clock() - start)
            del kept
    return best


def seconds_of_children() -> float:
    """Processor time of the processes that were started and have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def table_of(rows: int) -> dict[str, np.ndarray]:
    """Places that fill the ranges of validity evenly."""
    row = np.arange(rows)

    def column(step: float, low: float, high: float) -> np.ndarray:
        return low + (high - low) * ((0.5 + row * step) % 1.0)

    def doses(step: float, low: float, high: float) -> np.ndarray:
        return np.exp(column(step, math.log(low), math.log(high)))

    return {
        "temperature_c": column(0.8566748838545029, -17.0, 28.0),
        "relative_humidity_pct": column(0.7338918566271264, 34.0, 93.0),
        "so2_mg_m2_day": doses(0.6287067208902976, 0.7, 150.0),
        "chloride_mg_m2_day": doses(0.5385972572172953, 0.4, 760.0),
        "required_years": column(0.4614027427827047, 1.0, 15.0),
    }


# First-year loss of four metals.


def numpy_losses_as_printed(
    t: np.ndarray, rh: np.ndarray, so2: np.ndarray, cl: np.ndarray
) -> dict[str, np.ndarray]:
    losses = {}
    for metal, (a, b, c, cold, hot, d, e, f, g) in DOSE.items():
        per_c = np.where(t <= 10.0, cold, hot)
        losses[metal] = a * so2**b * np.exp(c * rh + per_c * (t - 10.0)) + d * cl**e * np.exp(f * rh + g * t)
    return losses


def numpy_losses(t: np.ndarray, rh: np.ndarray, so2: np.ndarray, cl: np.ndarray) -> dict[str, np.ndarray]:
    log_so2, log_cl = np.log(so2), np.log(cl)
    above = t - 10.0
    warm = above > 0.0
    losses = {}
    for metal, (a, b, c, cold, hot, d, e, f, g) in DOSE.items():
        losses[metal] = a * np.exp(b * log_so2 + c * rh + np.where(warm, hot, cold) * above)
        losses[metal] += d * np.exp(e * log_cl + f * rh + g * t)
    return losses


def numba_losses() -> Callable[..., object]:
    import numba

    constants = tuple(tuple(map(float, row)) for row in DOSE.values())

    @numba.njit(fastmath=True)
    def losses(t, rh, so2, cl):  # type: ignore[no-untyped-def]
        found = np.empty((4, len(t)))
        for i in range(len(t)):
            log_so2, log_cl, above = math.log(so2[i]), math.log(cl[i]), t[i] - 10.0
            for m in range(4):
                a, b, c, cold, hot, d, e, f, g = constants[m]
                per_c = hot if above > 0.0 else cold
                found[m, i] = a * math.exp(b * log_so2 + c * rh[i] + per_c * above) + d * math.exp(
                    e * log_cl + f * rh[i] + g * t[i]
                )
        return found

    return losses  # type: ignore[no-any-return]


def polars_losses(frame: pl.DataFrame) -> pl.DataFrame:
    t, rh = pl.col("temperature_c"), pl.col("relative_humidity_pct")
    log_so2, log_cl = pl.col("so2_mg_m2_day").log(), pl.col("chloride_mg_m2_day").log()
    above = t - 10.0
    return frame.select(
        (
            a * (b * log_so2 + c * rh + pl.when(above > 0.0).then(hot).otherwise(cold) * above).exp()
            + d * (e * log_cl + f * rh + g * t).exp()
        ).alias(metal)
        for metal, (a, b, c, cold, hot, d, e, f, g) in DOSE.items()
    )


# The sweep.


class Model:
    """The model of a sweep in NumPy: constants by build and shelter, then columns."""

    def __init__(self) -> None:
        catalog = json.loads(overcoat.Catalog.default().to_json())
        prices = {name: entry["value"] for name, entry in catalog["prices"].items() if name != "currency"}
        whole = sum(WEIGHTS.values())
        self.durability, self.cost = WEIGHTS["durability"] / whole, WEIGHTS["cost"] / whole
        self.log_growth = math.log1p(prices["discount_rate_pct"] / 100)
        self.labour = 1000 * prices["replacement_labour_per_piece"]
        columns: dict[str, list[list[float]]] = {
            name: [] for name in ("median", "log_sd", "fixed", "purchase")
        }
        for shelter in SHELTERS:
            for column in columns.values():
                column.append([])
            for films in FILMS:
                build = {"base_metal": "steel_4_6", "treatment": "hot_alkaline", "films": films}
                air = {"temperature_c": 10, "relative_humidity_pct": 75, "so2_mg_m2_day": 5}
                duty = {**air, "chloride_mg_m2_day": 3, "required_years": 5, "shelter": shelter}
                found = option_of({"part": PART, "duty": duty}, build, catalog)
                fixed = math.prod(
                    found["desirabilities"][name] ** (WEIGHTS[name] / whole)
                    for name in ("appearance", "heat", "assembly", "confidence")
                )
                columns["median"][-1].append(found["median_years"] * found["loss_um"])
                columns["log_sd"][-1].append(found["log_sd"])
                columns["fixed"][-1].append(fixed)
                columns["purchase"][-1].append(found["purchase_per_thousand"])
        # as option_of takes its reference: a thousand pieces with displacing oil
        self.median, self.log_sd = np.array(columns["median"]), np.array(columns["log_sd"])
        self.fixed, self.purchase = np.array(columns["fixed"]), np.array(columns["purchase"])
        self.reference = self.purchase[0, 1]
        self.inverse_sd = 1 / self.log_sd
        self.p10, self.p90 = (np.exp(z * self.log_sd) for z in (-1.2815515655446004, 1.2815515655446004))
        self.inverse_span = 1 / math.log(20.0)

    def block(
        self, columns: dict[str, np.ndarray], shelter: np.ndarray, first: int, out: dict[str, np.ndarray]
    ) -> None:
        t, rh = columns["temperature_c"], columns["relative_humidity_pct"]
        so2, cl, years = columns["so2_mg_m2_day"], columns["chloride_mg_m2_day"], columns["required_years"]
        above = t - 10.0
        a, b, c, cold, hot, d, e, f, g = DOSE["steel"]
        loss = a * np.exp(b * np.log(so2) + c * rh + np.where(above > 0.0, hot, cold) * above)
        loss += d * np.exp(e * np.log(cl) + f * rh + g * t)
        inside = (t >= -17.1) & (t <= 28.7) & (rh >= 34) & (rh <= 93) & (years >= 0.01) & (years <= 100)
        inside &= (so2 >= 0.7) & (so2 <= 150.4) & (cl >= 0.4) & (cl <= 760.5)
        out["row"][:] = np.arange(first, first + len(t))[:, None]
        out["build"][:] = np.arange(len(FILMS))
        out["first_year_loss_um"][:] = loss[:, None]
        out["category"][:] = np.searchsorted([1.3, 25.0, 50.0, 80.0, 200.0], loss)[:, None]
        out["row_status"][:] = ~inside[:, None]
        median = np.divide(self.median[shelter], np.maximum(loss, 0.0009)[:, None], out=out["median_years"])
        np.multiply(median, self.p10[shelter], out=out["p10_years"])
        np.multiply(median, self.p90[shelter], out=out["p90_years"])
        lives = years[:, None] / median
        ok = ndtr(-np.log(lives) * self.inverse_sd[shelter], out=out["probability_ok"])
        count = np.ceil(lives * (1 - 1e-12)) - 1
        np.clip(count, 0.0, 1e6, out=count)
        life = median * self.log_growth
        worth = np.expm1(-count * life)
        worth /= -np.expm1(life)
        purchase = self.purchase[shelter]
        total = purchase + worth * (purchase + self.labour)
        cost = np.log(20.0 * self.reference / total) * self.inverse_span
        np.clip(cost, 0.05, 1.0, out=cost)
        score = self.fixed[shelter] * np.minimum(ok * (1 / 0.9), 1.0) ** self.durability
        np.multiply(score, cost**self.cost, out=out["score"])
        out["blocked"][:] = False

    def sweep(
        self, columns: dict[str, np.ndarray], shelter: np.ndarray, block: int | None
    ) -> dict[str, np.ndarray]:
        rows = len(shelter)
        kinds = {
            "row": np.uint32,
            "build": np.uint16,
            "category": np.uint8,
            "blocked": bool,
            "reason": np.uint8,
        }
        numbers = ("first_year_loss_um", "median_years", "p10_years", "p90_years", "probability_ok", "score")
        out = {name: np.empty((rows, len(FILMS)), kind) for name, kind in kinds.items()}
        out |= {name: np.empty((rows, len(FILMS))) for name in numbers}
        step = block or rows
        for first in range(0, rows, step):
            part = slice(first, first + step)
            self.block(
                {name: column[part] for name, column in columns.items()},
                shelter[part],
                first,
                {name: column[part] for name, column in out.items()},
            )
        return out


def agree(found: dict[str, np.ndarray], wanted: dict[str, np.ndarray]) -> float:
    """Largest relative difference of the numbers; codes must be equal."""
    worst = 0.0
    for name, column in wanted.items():
        other = found[name]
        if column.dtype.kind == "f":
            worst = max(worst, float(np.max(np.abs(other / column.ravel() - 1.0))))
        else:
            assert np.array_equal(other, column.ravel()), name
    return worst


def show(title: str, seconds: float, base: float | None = None, note: str = "") -> None:
    ratio = "" if base is None else f"{base / seconds:7.2f}x"
    print(f"  {title:<46}{1000 * seconds:10.2f} ms {ratio:>9}  {note}", flush=True)


def bench_losses(columns: dict[str, np.ndarray], repeats: int) -> None:
    air = [columns[name] for name in INPUTS]
    frame = pl.DataFrame({name: columns[name] for name in INPUTS})
    wanted = numpy_losses(*air)
    found = overcoat.first_year_losses(*air)
    worst = max(float(np.max(np.abs(found[metal] / wanted[metal] - 1.0))) for metal in wanted)
    assert worst < 1e-9, worst
    runs: dict[str, Callable[[], object]] = {
        "NumPy, as the standard prints it": lambda: numpy_losses_as_printed(*air),
        "NumPy, logarithms shared": lambda: numpy_losses(*air),
        "overcoat, NumPy columns": lambda: overcoat.first_year_losses(*air),
        "overcoat, polars columns": lambda: overcoat.first_year_losses(*(frame[n] for n in INPUTS)),
        "polars expressions, one thread": lambda: polars_losses(frame),
        "overcoat, steel alone": lambda: overcoat.first_year_loss("steel", *air),
        NO_FORMULA: lambda: [column.copy() for column in air],
    }
    try:
        by_numba = numba_losses()
    except ImportError:
        print("  numba is not installed")
    else:
        by_numba(*(column[:2] for column in air))
        runs["numba, fastmath"] = lambda: by_numba(*air)
    best = least_seconds(runs, repeats)
    print(f"first-year loss of four metals, {len(air[0])} rows; largest difference {worst:.0e}")
    for name, seconds in best.items():
        show(name, seconds, best["NumPy, logarithms shared"])
    for name in ("NumPy, as the standard prints it", "NumPy, logarithms shared", "numba, fastmath"):
        if name in best:
            print(f"  over {name}: {best[name] / best['overcoat, NumPy columns']:.2f}x")
    bound = best["NumPy, logarithms shared"] / best[NO_FORMULA]
    print(f"  reading and writing alone allow {bound:.1f}x over NumPy, logarithms shared")


def bench_sweep(columns: dict[str, np.ndarray], repeats: int) -> None:
    rows = len(columns["temperature_c"])
    codes = np.arange(rows) % 2
    words = pa.DictionaryArray.from_arrays(codes.astype(np.int8), SHELTERS)
    table = pa.table({**columns, "shelter": words})
    brief = overcoat.Brief.from_json(
        json.dumps(
            {"schema": "overcoat.brief.v1", "name": "sites", "part": PART, "duty": {"required_years": 5}}
        )
    )
    builds = [f"steel_4_6 / hot_alkaline / {' + '.join(films) or 'no film'}" for films in FILMS]
    model = Model()

    def swept(threads: int) -> _core.SweptTable:
        return _core.sweep_table(brief, table, builds, None, threads)

    worst = agree(swept(1).columns(), model.sweep(columns, codes, 16_384))
    assert worst < 1e-9, worst
    runs: dict[str, Callable[[], object]] = {
        f"NumPy, blocks of {block or 'all'} rows": lambda block=block: model.sweep(columns, codes, block)  # type: ignore[misc]
        for block in NUMPY_BLOCKS
    }
    runs["overcoat, one thread"] = lambda: swept(1)
    numbers = RESULT_BYTES * len(FILMS) * rows // 8
    runs[NO_FORMULA] = lambda: np.full(numbers, 1.0)
    best = least_seconds(runs, repeats)
    base = best["NumPy, blocks of all rows"]
    print(f"sweep of {rows} rows x {len(FILMS)} builds, all columns; largest difference {worst:.0e}")
    for name, seconds in best.items():
        show(name, seconds, base)
    print(f"  writing alone allows {base / best[NO_FORMULA]:.1f}x over NumPy by whole columns")
    walls = least_seconds({"1": lambda: swept(1), "2": lambda: swept(2)}, 2 * repeats, time.perf_counter)
    print(f"  two threads over one, wall time: {walls['1'] / walls['2']:.2f}x")

    plain = {**columns, "shelter": np.array(SHELTERS)[codes].tolist()}
    kinds: dict[str, object] = {
        "pyarrow": table,
        "polars": pl.DataFrame(table),
        "pandas": table.to_pandas(),
        "dict of NumPy, shelter a list": plain,
    }
    best = least_seconds(
        {
            name: lambda kind=kind: overcoat.sweep(kind, builds=builds, threads=1, brief=brief)  # type: ignore[misc]
            for name, kind in kinds.items()
        }
        | {"core alone": lambda: swept(1)},
        repeats,
    )
    print("the same by kind of table, one thread")
    for name, seconds in best.items():
        show(name, seconds, note=f"{1000 * (seconds - best['core alone']):+.1f} ms")


def bench_memory(rows: int, repeats: int) -> None:
    """What the memory allows: the results written once and nothing computed."""
    size = RESULT_BYTES * len(FILMS) * rows
    kept = np.empty(size // 8)
    other = np.ones(size // 8)

    def fresh() -> object:
        array = np.empty(size // 8)
        array.fill(1.0)
        return array

    best = least_seconds(
        {
            "fresh memory of NumPy filled": fresh,
            "the same memory filled again": lambda: kept.fill(1.0),
            "copied": lambda: np.copyto(kept, other),
        },
        repeats,
    )
    print(f"memory: {size / 1e6:.0f} MB, the size of all results")
    for name, seconds in best.items():
        show(name, seconds, note=f"{size / seconds / 1e9:.1f} GB/s")


def bench_rank(repeats: int) -> None:
    print("rank of the demo briefs, from Python, built-in catalog")
    for path in sorted((ROOT / "demo-data" / "briefs").glob("*.json")):
        brief = overcoat.Brief.from_json(str(path))
        best = least_seconds({"": lambda brief=brief: overcoat.rank(brief)}, 20 * repeats)  # type: ignore[misc]
        show(path.stem, best[""])


def bench_import(repeats: int) -> None:
    runs = {
        name: lambda name=name: subprocess.run([sys.executable, "-c", f"import {name}"], check=True)  # type: ignore[misc]
        for name in ("numpy", "overcoat", "sys")
    }
    best = least_seconds(runs, 2 * repeats, seconds_of_children)
    print("import in a new interpreter")
    for name in ("numpy", "overcoat"):
        show(name, best[name] - best["sys"], note="without the start of the interpreter")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--repeats", type=int, default=5)
    options = parser.parse_args()
    columns = table_of(options.rows)
    print(f"NumPy {np.__version__}, polars {pl.__version__}, pyarrow {pa.__version__}, {os.cpu_count()} CPUs")
    bench_losses({name: columns[name] for name in INPUTS}, options.repeats)
    bench_sweep(columns, options.repeats)
    bench_memory(options.rows, options.repeats)
    bench_rank(options.repeats)
    bench_import(options.repeats)


if __name__ == "__main__":
    main()
