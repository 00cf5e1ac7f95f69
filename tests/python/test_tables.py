"""Tables across the boundary: kinds, types, nulls, chunks, copies."""

import subprocess
import sys
import time

import duckdb
import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest

import overcoat
from overcoat import _core
from overcoat._table import Given

# the last row is indoors, with the inputs of outdoor air
pytestmark = pytest.mark.filterwarnings("ignore:not in the results. the dose-response:UserWarning")

BUILDS = ["steel_4_6 / hot_alkaline / displacing_oil", "steel_4_6 / hot_alkaline / polyester_powder"]
AIR = {
    "temperature_c": [9.0, 12.0, 15.0, -3.0],
    "relative_humidity_pct": [78.0, 80.0, 75.0, 70.0],
    "so2_mg_m2_day": [3.0, 4.0, 20.0, 1.0],
    "chloride_mg_m2_day": [2.0, 80.0, 5.0, 1.0],
}
TABLE = {**AIR, "required_years": [5.0, 2.0, 10.0, 1.0], "shelter": ["open", "sheltered", "open", "indoor"]}


def relation(table):
    arrow = pa.table(table)
    return duckdb.connect().from_arrow(arrow)


KINDS = {
    "dict": dict,
    "dict of NumPy": lambda t: {name: np.array(column) for name, column in t.items()},
    "dict of polars": lambda t: {name: pl.Series(column) for name, column in t.items()},
    "dict of pyarrow": lambda t: {name: pa.array(column) for name, column in t.items()},
    "dict of pandas": lambda t: {name: pd.Series(column) for name, column in t.items()},
    "pandas": pd.DataFrame,
    "polars": pl.DataFrame,
    "pyarrow": pa.table,
    "batch": pa.RecordBatch.from_pydict,
    "reader": lambda t: pa.table(t).to_reader(),
    "DuckDB": relation,
}


# the results alone
RESULTS = _core.result_columns()
# what a row has whether it has results or not
ALWAYS = {"build", "base_metal", "treatment", "films", "currency", "row_status", "blocked_by"}


def pydict(answer):
    """Columns of results as lists, None for what is missing."""
    if isinstance(answer, dict):
        columns = {name: answer[name].tolist() for name in RESULTS}
        no_result = [not status.startswith(("ok", "extrapolated")) for status in columns["row_status"]]
        for name in set(columns) - ALWAYS:
            columns[name] = [None if no else x for x, no in zip(columns[name], no_result, strict=True)]
        return columns
    if isinstance(answer, pd.DataFrame):
        return {name: [None if pd.isna(x) else x for x in answer[name].tolist()] for name in RESULTS}
    if isinstance(answer, pl.DataFrame):
        return answer.select(RESULTS).to_dict(as_series=False)
    return {name: answer[name].to_pylist() for name in RESULTS}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_the_same_answer(kind):
    plain = pydict(overcoat.sweep(TABLE, builds=BUILDS))
    assert set(plain["row_status"]) == {"ok", "ok_beyond_evidence", "extrapolated"}
    found = overcoat.sweep(KINDS[kind](TABLE), builds=BUILDS)
    wanted = {"batch": pa.RecordBatch, "reader": pa.Table, "DuckDB": pa.Table}
    assert type(found) is wanted.get(kind, type(KINDS[kind](TABLE)))
    assert pydict(found) == plain


@pytest.mark.parametrize("kind", KINDS)
def test_nulls_become_nulls_with_a_reason_in_every_kind(kind):
    table = {
        **TABLE,
        "so2_mg_m2_day": [3.0, None, 20.0, 1.0],
        "shelter": ["open", "open", None, "indoor"],
        "relative_humidity_pct": [78.0, 80.0, 75.0, 140.0],
    }
    if kind == "dict of NumPy":
        table["so2_mg_m2_day"] = [3.0, np.nan, 20.0, 1.0]
    found = pydict(overcoat.sweep(KINDS[kind](table), builds=BUILDS))
    assert found["row_status"] == [
        word
        for reason in ("ok", "so2_missing", "shelter_unknown", "humidity_out_of_range")
        for word in [reason] * 2
    ]
    for name in set(found) - ALWAYS:
        assert [x is None for x in found[name]] == [False] * 2 + [True] * 6, name


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("column", "values", "words"),
    [
        ("so2_mg_m2_day", ["3", "4", "20", "1"], "wanted: (numbers|a floating-point, integer)"),
        ("so2_mg_m2_day", [True, False, True, True], "wanted: (numbers|a floating-point, integer)"),
        ("shelter", [1.0, 2.0, 3.0, 4.0], "wanted: text"),
        ("shelter", [True, False, True, True], "wanted: text"),
    ],
)
def test_a_wrong_type_is_named_with_its_column_in_every_kind(kind, column, values, words):
    with pytest.raises(overcoat.TableError, match=rf"column `{column}`.*type is .*{words}") as caught:
        overcoat.sweep(KINDS[kind]({**TABLE, column: values}), builds=BUILDS)
    assert caught.value.column == column


@pytest.mark.parametrize("kind", KINDS)
def test_a_missing_column_is_named_with_what_it_may_be_called_in_every_kind(kind):
    table = {name.replace("so2_mg_m2_day", "so2_mg_m2_d"): column for name, column in TABLE.items()}
    with pytest.raises(overcoat.UnknownNameError, match="Rename the column to `so2_mg_m2_day`") as caught:
        overcoat.sweep(KINDS[kind](table), builds=BUILDS)
    assert (caught.value.value, caught.value.nearest) == ("so2_mg_m2_d", "so2_mg_m2_day")
    far = {name.replace("so2_mg_m2_day", "sulfur"): column for name, column in TABLE.items()}
    with pytest.raises(overcoat.TableError, match="no such column") as caught:
        overcoat.sweep(KINDS[kind](far), builds=BUILDS)
    assert caught.value.column == "so2_mg_m2_day"


@pytest.mark.parametrize("kind", KINDS)
def test_an_empty_table_gives_an_empty_answer_in_every_kind(kind):
    if kind in ("dict", "dict of pandas"):
        empty = KINDS[kind]({name: np.array([], float) for name in AIR})
    else:
        whole = pa.table(AIR).slice(0, 0)
        empty = {
            "pandas": whole.to_pandas,
            "polars": lambda: pl.DataFrame(whole),
            "batch": lambda: pa.RecordBatch.from_pydict(whole.to_pydict(), schema=whole.schema),
            "reader": whole.to_reader,
            "DuckDB": lambda: duckdb.connect().from_arrow(whole),
            "pyarrow": lambda: whole,
            "dict of NumPy": lambda: {name: np.array([], float) for name in AIR},
            "dict of polars": lambda: {name: pl.Series([], dtype=pl.Float64) for name in AIR},
            "dict of pyarrow": lambda: {name: whole[name] for name in AIR},
        }[kind]()
    found = pydict(overcoat.sweep(empty, builds=BUILDS))
    assert all(len(column) == 0 for column in found.values()) and "score" in found


def test_chunks_need_not_begin_together():
    cut = {name: pa.array(column) for name, column in TABLE.items()}
    for step, name in enumerate(cut):
        ends = [0, *([1] if step % 2 else []), *([3] if step % 3 else []), 4]
        pieces = [cut[name].slice(a, b - a) for a, b in zip(ends, ends[1:], strict=False)]
        cut[name] = pa.chunked_array([*pieces, cut[name].slice(0, 0)])
    plain = pydict(overcoat.sweep(TABLE, builds=BUILDS))
    assert pydict(overcoat.sweep(cut, builds=BUILDS)) == plain
    assert pydict(overcoat.sweep(pa.table(cut), builds=BUILDS)) == plain
    chunked = pl.concat([pl.DataFrame(TABLE)[:1], pl.DataFrame(TABLE)[1:]], rechunk=False)
    assert chunked.n_chunks() == 2
    assert pydict(overcoat.sweep(chunked, builds=BUILDS)) == plain


@pytest.mark.parametrize(
    "convert",
    [
        lambda x: x.astype(np.float32),
        lambda x: x.astype(np.float16),
        lambda x: x.astype(np.int64),
        lambda x: x.astype(np.int8),
        lambda x: x.astype(">f8"),
        lambda x: np.repeat(x, 2)[::2],
        lambda x: np.ma.masked_invalid(x),
        lambda x: pl.Series(x).cast(pl.UInt16),
        lambda x: pa.array(x).cast(pa.decimal128(12, 3)),
        lambda x: pd.Series(x).astype("Int32"),
        lambda x: [int(number) for number in x],
    ],
)
def test_numbers_of_any_type_and_layout_are_read(convert):
    years = np.array([5.0, 2.0, 10.0, 1.0])
    wanted = pydict(overcoat.sweep(TABLE, builds=BUILDS))
    assert pydict(overcoat.sweep({**TABLE, "required_years": convert(years)}, builds=BUILDS)) == wanted


@pytest.mark.parametrize(
    "convert",
    [
        lambda x: pa.array(x).dictionary_encode(),
        lambda x: pa.array(x, pa.large_string()),
        lambda x: pa.array(x, pa.string_view()),
        lambda x: pl.Series(x, dtype=pl.Categorical),
        lambda x: pl.Series(x, dtype=pl.Enum(["indoor", "open", "sheltered", "roof"])),
        lambda x: pd.Series(x, dtype="category"),
        lambda x: pd.Series(x, dtype=object),
        lambda x: np.array(x),
        lambda x: np.array(x, object),
        tuple,
    ],
)
def test_shelters_of_any_layout_are_read(convert):
    wanted = pydict(overcoat.sweep(TABLE, builds=BUILDS))
    assert pydict(overcoat.sweep({**TABLE, "shelter": convert(TABLE["shelter"])}, builds=BUILDS)) == wanted


def test_other_columns_are_carried():
    table = pl.DataFrame(TABLE).with_columns(where=pl.lit([1, 2]), when=pl.lit("x"))
    found = overcoat.sweep(table, builds=BUILDS)
    assert found.columns == [*table.columns, *RESULTS]
    assert found["where"].to_list() == [[1, 2]] * 8
    assert pydict(found) == pydict(overcoat.sweep(TABLE, builds=BUILDS))


class Foreign:
    """A table of a library that nobody knows."""

    def __init__(self, table):
        self.table = table

    def __arrow_c_stream__(self, requested_schema=None):
        return self.table.__arrow_c_stream__(requested_schema)


def test_a_table_of_an_unknown_library_gives_one_of_pyarrow():
    found = overcoat.sweep(Foreign(pa.table(TABLE)), builds=BUILDS)
    assert isinstance(found, pa.Table)
    assert pydict(found) == pydict(overcoat.sweep(TABLE, builds=BUILDS))


def test_a_lazy_frame_of_polars_gives_a_lazy_frame():
    found = overcoat.sweep(pl.LazyFrame(TABLE), builds=BUILDS)
    assert isinstance(found, pl.LazyFrame)
    assert pydict(found.collect()) == pydict(overcoat.sweep(TABLE, builds=BUILDS))


def test_columns_of_results_are_handed_over_where_they_lie():
    brief = overcoat.Brief(part={}, duty={"required_years": 5})
    found = _core.sweep_table(brief, pa.table(TABLE), BUILDS, None, 1)
    columns = found.columns()
    arrow = pa.table(found)
    frame = pl.DataFrame(found)
    for name in ("first_year_loss_um", "median_years", "probability_ok", "cost_per_thousand", "score"):
        assert arrow[name].chunk(0).buffers()[1].address == columns[name].ctypes.data, name
    assert frame["score"].to_numpy().ctypes.data == columns["score"].ctypes.data


def test_results_outlive_what_they_came_from():
    arrow = overcoat.sweep(Foreign(pa.table(TABLE)), builds=BUILDS)
    wanted = pydict(overcoat.sweep(TABLE, builds=BUILDS))
    for _ in range(3):
        overcoat.sweep(TABLE, builds=BUILDS)
    assert pydict(arrow) == wanted


MEMORY = """
import resource, sys
import numpy as np, polars as pl, pyarrow as pa, pandas as pd
from overcoat import _core, _table
given = {"temperature_c": 9.0, "relative_humidity_pct": 78.0, "so2_mg_m2_day": 3.0, "chloride_mg_m2_day": 2.0}
kind = sys.argv[1]
def table(rows):
    columns = {name: np.full(rows, value) for name, value in given.items()}
    if kind == "nulls":
        columns = {name: pa.array(column, mask=np.arange(rows) % 7 == 0) for name, column in columns.items()}
    if kind == "singles":
        columns = {name: column.astype(np.float32) for name, column in columns.items()}
    return {"polars": pl.DataFrame, "pandas": pd.DataFrame, "nulls": pa.table, "pyarrow": pa.table}.get(
        kind, dict)(columns)
def sweep(table):
    brief = _core.Brief(part={}, duty={"required_years": 5})
    builds = ["steel_4_6 / hot_alkaline / displacing_oil"]
    return _core.sweep_table(brief, _table.Given.of(table).source(list(given)), builds, None, 1)
sweep(table(1))
rows = 2_000_000
large = table(rows)
peak = lambda: resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
before = peak()
found = sweep(large)
print((peak() - before) / rows)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="peak memory is counted in kB on Linux alone")
@pytest.mark.parametrize("kind", ["polars", "pandas", "pyarrow", "nulls", "singles", "dict"])
def test_no_column_is_held_twice(kind):
    """Results are 66 bytes a row; a second copy of the four columns would be 32 more, 16 of single floats."""
    run = [sys.executable, "-c", MEMORY, kind]
    bytes_per_row = float(subprocess.run(run, check=True, capture_output=True, text=True).stdout)
    assert bytes_per_row < 66 + 10


@pytest.mark.parametrize("kind", ["plain", "dictionary"])
def test_text_that_is_no_utf8_is_refused(kind):
    text = pa.Array.from_buffers(
        pa.string(), 1, [None, pa.py_buffer(b"\0\0\0\0\1\0\0\0"), pa.py_buffer(b"\xff")]
    )
    if kind == "dictionary":
        text = pa.DictionaryArray.from_arrays(pa.array([0], pa.int8()), text)
    columns = {name: [9.0] for name in ("temperature_c", "so2_mg_m2_day", "chloride_mg_m2_day")}
    table = pa.table(columns | {"relative_humidity_pct": [70.0], "shelter": text})
    with pytest.raises(overcoat.TableError, match=r"(?i)utf-?8"):
        overcoat.sweep(table)


def test_codes_beyond_their_dictionary_are_refused():
    codes = pa.array([7], pa.int8())
    text = pa.DictionaryArray.from_arrays(codes, pa.array(["open"]), safe=False)
    columns = {name: [9.0] for name in ("temperature_c", "so2_mg_m2_day", "chloride_mg_m2_day")}
    with pytest.raises(overcoat.TableError):
        overcoat.sweep(pa.table(columns | {"relative_humidity_pct": [70.0], "shelter": text}))


def test_names_of_very_wide_tables_are_compared_at_once():
    """Each name against all before it would take half a minute of processor time."""
    wide = pa.table({f"reading {place}": [1.0] for place in range(50_000)})
    started = time.process_time()
    assert len(Given.of(wide).names) == 50_000
    assert time.process_time() - started < 8


TWICE = pa.RecordBatch.from_arrays([pa.array([9.0]), pa.array([1.0]), pa.array([2.0])], ["t", "x", "x"])


@pytest.mark.parametrize(
    "table",
    [
        TWICE,
        pa.Table.from_batches([TWICE]),
        pa.Table.from_batches([TWICE]).to_reader(),
        pd.DataFrame([[9.0, 1.0, 2.0]], columns=["t", "x", "x"]),
        duckdb.connect().sql("select 9.0 as t, 1.0 as x, 2.0 as x"),
    ],
    ids=lambda table: type(table).__name__,
)
def test_a_table_with_two_columns_of_one_name_is_refused_by_name(table):
    with pytest.raises(overcoat.TableError, match="column `x`: the table has two columns of this name"):
        overcoat.sweep(table)
