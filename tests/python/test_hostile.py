"""Anything at all as an argument of what is public: an answer, or an error that says what is wrong.

Grids, what-ifs and files of tables meet any number and any word in the places of numbers and words.

What the system says of a file that cannot be read (OSError) counts as such an error. A panic of the core, a
SystemError, a MemoryError, a TypeError and a plain ValueError do not.
`OVERCOAT_HOSTILE_EXAMPLES` sets how many values each function meets (100 unless set).
"""

import contextlib
import decimal
import fractions
import io
import json
import math
import os
import subprocess
import sys
import threading
import time
import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import overcoat
from overcoat.atmosphere import corrosivity_by_mass

EXAMPLES = int(os.environ.get("OVERCOAT_HOSTILE_EXAMPLES", "100"))
MANY = settings(
    deadline=None,
    max_examples=EXAMPLES,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    derandomize=True,
)

AIR = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
BUILD = "steel_4_6 / hot_alkaline / hard_wax"


class Shy:
    """Has a length and no items."""

    def __len__(self):
        return 3


ODD = [
    None,
    ...,
    10**400,
    -(10**400),
    2**63,
    1 + 2j,
    math.nan,
    math.inf,
    -0.0,
    5e-324,
    decimal.Decimal("NaN"),
    decimal.Decimal("1e999"),
    fractions.Fraction(1, 3),
    b"\xff\xfe",
    "\ud800",
    "\x00",
    "nan",
    "../../etc/passwd",
    "/dev/null",
    "{" * 2000,
    object(),
    Shy(),
    type,
    len,
    range(3),
    range(10**18),
    {1, 2},
    frozenset(),
    iter([1.0]),
    memoryview(b"12345678"),
    bytearray(8),
    io.StringIO("x\n"),
    Path(),
    np.float32(1),
    np.array(1.0),
    np.array([], dtype="f8"),
    np.ones((2, 2)),
    np.ones(3, dtype="f2"),
    np.ones(3, dtype="c16"),
    np.array([1, "a", None], dtype=object),
    np.array(["a", "b"]),
    np.array(["2020-01-01"], dtype="M8[D]"),
    np.array([(1, 2.0)], dtype=[("a", "i4"), ("b", "f8")]),
    np.ma.masked_array([1.0, 2.0], mask=[False, True]),
    np.ma.masked_array(["a", "b"], mask=[False, True]),
    np.broadcast_to(1.0, (3,)),
    np.arange(6.0)[::-2],
    pd.Series([1.0, None]),
    pd.Series(["a"]),
    pd.Series([1, None], dtype="Int64"),
    pd.DataFrame({"a": [1]}),
    pd.Categorical(["open", None]),
    pl.Series("a", [1.0, None]),
    pl.DataFrame({"a": []}),
    pa.array([1.0, None]),
    pa.array(["open", None]).dictionary_encode(),
    pa.chunked_array([[1.0], [], [2.0]]),
    pa.table({"a": [1]}),
    pa.scalar(1.0),
]
NUMBERS = st.floats() | st.integers()
WORDS = st.sampled_from(["steel", "zinc", "open", "indoor", BUILD, "hard_wax", "metric", ""]) | st.text(
    max_size=8
)
ANYTHING = st.recursive(
    st.sampled_from(ODD) | NUMBERS | st.booleans() | WORDS,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.tuples(inner, inner)
        | st.dictionaries(st.text(max_size=4) | st.integers(), inner, max_size=3)
    ),
    max_leaves=6,
)
COLUMNS = st.lists(NUMBERS, max_size=5) | ANYTHING


@pytest.fixture(autouse=True)
def extrapolation_is_fine():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", overcoat.ExtrapolationWarning)
        yield


def attempt(function, *arguments, **named):
    """What the function gives, or None where it refuses; an error has one line, with the usual attributes."""
    try:
        return function(*arguments, **named)
    except overcoat.OvercoatError as error:
        text = str(error)
        assert text and "\n" not in text and len(text) < 20_000
        assert error.kind in ("value", "name", "document", "build", "table") and error.field
        assert isinstance(error.remedy, str)
    except OSError:
        pass
    return None


def brief(**duty) -> overcoat.Brief:
    document = {
        "schema": "overcoat.brief.v1",
        "name": "hostile",
        "part": {"form": "bracket", "base_metal": "steel_4_6"},
        "duty": {"place": "rural", "required_years": 5} | duty,
        "wants": {"builds": [{"treatment": "hot_alkaline", "films": ["hard_wax"]}]},
    }
    return overcoat.Brief.from_json(json.dumps(document))


RANKING = overcoat.rank(brief())
FITTED = overcoat.fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")


@MANY
@given(WORDS | ANYTHING, COLUMNS, COLUMNS, COLUMNS, COLUMNS)
def test_air(metal, a, b, c, d):
    for chosen in (metal, "steel"):
        loss = attempt(overcoat.first_year_loss, chosen, a, b, c, d)
        if loss is not None:
            assert (np.asarray(loss) >= 0).all()
        attempt(overcoat.corrosivity, chosen, a)
        attempt(corrosivity_by_mass, chosen, a)
        attempt(overcoat.long_term_loss, chosen, a, b, c, d)
        attempt(overcoat.long_term_loss, chosen, a, b, composition=c)


@MANY
@given(COLUMNS, COLUMNS)
def test_wetness(a, b):
    wet = attempt(overcoat.time_of_wetness, a, b)
    if wet is not None:
        assert 0 <= wet.coverage <= 1 and 0 <= wet.hours_per_year <= 8784


@MANY
@given(COLUMNS, COLUMNS, COLUMNS, COLUMNS, WORDS | ANYTHING, WORDS | ANYTHING, ANYTHING, NUMBERS | ANYTHING)
def test_records(hours, failed, until, lot, distribution, film, catalog, confidence):
    fit = overcoat.fit_records
    attempt(fit, hours, failed, until, lot)
    attempt(fit, [48.0, 72.0, 96.0], [True, True, False], until, lot)
    attempt(fit, [48.0, 72.0, 96.0], failed)
    attempt(fit, [48.0, 72.0, 96.0], [True, True, False], distribution=distribution, film=film)
    attempt(fit, [48.0, 72.0, 96.0], [True, True, False], catalog=catalog, confidence=confidence)
    for chance in (confidence, hours):
        attempt(FITTED.quantile_hours, chance)
        attempt(FITTED.quantile_bounds_hours, chance)
    attempt(FITTED.catalog_entry, distribution, film, catalog)
    attempt(FITTED.catalog_entry, distribution, "2025-01-01", film)


@MANY
@given(st.data())
def test_swept_tables(data):
    table = {name: data.draw(COLUMNS, name) for name in AIR}
    attempt(overcoat.sweep, table)
    sound = dict.fromkeys(AIR, [10.0, 70.0, 5.0])
    name = data.draw(st.sampled_from([*AIR, "required_years", "shelter", "handling", "more"]))
    attempt(overcoat.sweep, sound | {name: data.draw(COLUMNS)}, builds=[BUILD])
    attempt(overcoat.sweep, data.draw(ANYTHING))
    attempt(overcoat.sweep, sound, data.draw(ANYTHING))
    attempt(overcoat.sweep, sound, builds=data.draw(ANYTHING))
    attempt(overcoat.sweep, sound, builds=[BUILD], columns=data.draw(ANYTHING))
    attempt(overcoat.sweep, sound, builds=[BUILD], catalog=data.draw(ANYTHING))
    attempt(overcoat.sweep, sound, builds=[BUILD], threads=data.draw(st.integers() | ANYTHING))
    attempt(overcoat.sweep, sound, builds=[BUILD], brief=data.draw(ANYTHING))


@MANY
@given(ANYTHING, WORDS | ANYTHING, NUMBERS | COLUMNS)
def test_documents_and_answers(a, b, c):
    for read in (
        overcoat.Brief.from_json,
        overcoat.Catalog.from_json,
        overcoat.Catalog.default().extended,
        overcoat.read_brief,
        overcoat.ClimateRecord.from_csv,
        overcoat.ClimateRecord.from_epw,
        overcoat.schema,
    ):
        attempt(read, a)
        attempt(read, b)
    attempt(overcoat.rank, a, b)
    attempt(overcoat.rank, brief(), a)
    attempt(RANKING.best.papers, a)
    attempt(RANKING.best.papers, b)
    attempt(RANKING.best.outlook.survival, c)
    for index in (a, c):
        # as a list says it, or of a build as a dictionary does
        with contextlib.suppress(IndexError, TypeError, OverflowError, KeyError):
            attempt(RANKING.__getitem__, index)
    # arrays and frames compare entry by entry, or not at all
    if not hasattr(a, "__array__"):
        assert a != RANKING and RANKING.best.build != a


@MANY
@given(st.data())
def test_grids_and_what_ifs(data):
    attempt(overcoat.first_year_losses, *(data.draw(COLUMNS) for _ in AIR))
    attempt(overcoat.span, data.draw(NUMBERS), data.draw(NUMBERS), data.draw(st.integers() | ANYTHING))
    attempt(overcoat.span, data.draw(ANYTHING), 10.0, data.draw(st.integers(-5, 5)))
    asked, field = brief(), data.draw(st.sampled_from([*AIR, "required_years", "shelter", "place", "more"]))
    for values in (data.draw(st.lists(NUMBERS, max_size=4)), data.draw(st.lists(WORDS, max_size=4))):
        made = attempt(overcoat.grid, asked, builds=[BUILD], fields={field: values})
        if made is not None:
            attempt(made.run)
    ends = data.draw(st.tuples(NUMBERS, NUMBERS))
    attempt(overcoat.break_even, asked, [BUILD, "steel_4_6 / none / "], **{field: ends})
    attempt(overcoat.break_even, asked, [data.draw(WORDS), BUILD], measure=data.draw(WORDS))
    attempt(overcoat.sensitivity, asked, BUILD, points=8, **{field: ends})
    attempt(overcoat.sensitivity, asked, data.draw(WORDS), points=data.draw(st.integers(-2, 9)))


@MANY
@given(WORDS, st.integers(-3, 10**9))
def test_files_of_tables(tmp_path_factory, a, b):
    folder = tmp_path_factory.mktemp("hostile")
    sites = folder / "sites.csv"
    sites.write_text(",".join(AIR) + "\n9,70,3,2\n")
    attempt(overcoat.sweep_file, sites, folder / "out.csv", builds=[a])
    attempt(overcoat.sweep_file, sites, folder / "out.csv", builds=[BUILD], batch_rows=b)


def test_rows_that_memory_does_not_hold():
    """A column may repeat one number without room of its own; the results may not."""
    rows = 2_000_000
    column = np.broadcast_to(10.0, (rows,))
    builds = [
        f"{metal} / {treatment} / {film}"
        for metal in overcoat.Catalog.default().base_metals
        for treatment in overcoat.Catalog.default().treatments
        for film in overcoat.Catalog.default().films
    ]
    place = dict.fromkeys(AIR, [9.0])
    makeable = [build for build in builds if attempt(overcoat.sweep, place, builds=[build])]
    assert len(makeable) > 1000
    start = time.perf_counter()
    with pytest.raises(overcoat.TableError, match="memory"):
        overcoat.sweep(dict.fromkeys(AIR, column), builds=makeable)
    assert time.perf_counter() - start < 60


def test_more_threads_than_any_machine_has():
    columns = dict.fromkeys(AIR, np.full(40_000, 10.0))
    few = overcoat.sweep(columns, builds=[BUILD], threads=1)
    many = overcoat.sweep(columns, builds=[BUILD], threads=10**9)
    assert (few["score"] == many["score"]).all()


def grown_by(read, path) -> tuple[int, float]:
    """Bytes by which memory grows at most, and seconds, in a process of its own that refuses a file."""
    code = f"""
import resource, time
import overcoat
read = {read}
before, start = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, time.perf_counter()
try:
    read({str(path)!r})
except overcoat.DocumentError as error:
    assert "more than" in str(error), error
else:
    raise SystemExit("taken")
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before, time.perf_counter() - start)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    kilobytes, seconds = done.stdout.split()
    return int(kilobytes) << 10, float(seconds)


@pytest.mark.skipif(os.name != "posix", reason="no devices, and memory is told another way")
@pytest.mark.parametrize(
    ("read", "most"),
    [
        ("overcoat.Brief.from_json", 16 << 20),
        ("overcoat.read_brief", 16 << 20),
        ("overcoat.Catalog.from_json", 16 << 20),
        ("overcoat.Catalog.default().extended", 16 << 20),
        ("overcoat.ClimateRecord.from_csv", 512 << 20),
        ("overcoat.ClimateRecord.from_epw", 512 << 20),
        ("overcoat.fit_records", 512 << 20),
        ("overcoat.backtest", 512 << 20),
    ],
)
def test_no_more_of_a_file_is_read_than_tells_that_it_is_too_long(read, most, tmp_path):
    sparse = tmp_path / "sparse.json"
    with sparse.open("wb") as file:
        file.truncate(1 << 30)
    grown, seconds = grown_by(read, sparse)
    # its length tells: nothing is read
    assert grown < 8 << 20 and seconds < 1, (grown, seconds)
    # a device has no length; a buffer that grows may be held twice for a moment
    grown, seconds = grown_by(read, "/dev/zero")
    assert grown < 2.5 * most + (8 << 20) and seconds < 20, (grown, seconds)


@pytest.mark.skipif(os.name != "posix", reason="no pipes with a name")
def test_a_pipe_is_read_like_a_file(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for read in (overcoat.Brief.from_json, overcoat.read_brief):
        writer = threading.Thread(target=pipe.write_text, args=(brief().to_json(),))
        writer.start()
        assert read(pipe) == brief()
        writer.join()


def test_paths_that_lead_elsewhere(tmp_path):
    """Documents name no files, so a path in one is a name like any other."""
    for entry in (
        {"include": "../../etc/passwd"},
        {"$ref": "file:///etc/passwd"},
        {"films": {"../../etc/passwd": {}}},
        {"sources": {"s": {"firmness": "paper", "citation": "c", "path": "/etc/passwd"}}},
    ):
        with pytest.raises(overcoat.DocumentError):
            overcoat.Catalog.from_json(json.dumps({"schema": "overcoat.catalog.v1", "name": "x"} | entry))
    with pytest.raises(overcoat.UnknownNameError):
        overcoat.rank(brief(place="../../etc/passwd"))
    loop = tmp_path / "loop.json"
    loop.symlink_to(loop)
    with pytest.raises(OSError):
        overcoat.Brief.from_json(loop)
