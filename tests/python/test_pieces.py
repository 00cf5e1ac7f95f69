"""Pieces of sweeps from file to file and of grids: what a whole run seldom comes to."""

import math
import os
import re

import numpy as np
import pandas as pd
import pyarrow as pa
import pytest
from pyarrow import parquet

import overcoat
from overcoat import grids
from overcoat.files import reading, whole, writing

BUILD = "steel_4_6 / hot_alkaline / hard_wax"
HEADER = "site,temperature_c,relative_humidity_pct,so2_mg_m2_day,chloride_mg_m2_day\n"
BRIEF = overcoat.Brief(
    name="gate",
    part={"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    duty={
        "temperature_c": 10,
        "relative_humidity_pct": 78,
        "so2_mg_m2_day": 4,
        "chloride_mg_m2_day": 20,
        "required_years": 5,
    },
)


def said(call, *given, **named):
    """The message of a refusal."""
    with pytest.raises(overcoat.OvercoatError) as caught:
        call(*given, **named)
    return str(caught.value)


def test_what_a_brief_does_not_say_is_not_in_its_repr():
    shown = repr(overcoat.Brief(name="gate", part={"mass_g": 300}, duty={"required_years": 5}))
    assert shown.startswith("Brief(name='gate', part={'mass_g': 300") and "duty={'required_years': 5" in shown
    assert not re.search("wants|remarks|None", shown)


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_the_share_done_grows_to_one_and_counts_all_rows(tmp_path, ending):
    sites, rows = tmp_path / f"sites.{ending}", 100_000
    if ending == "csv":
        # with two lines that are no rows
        lines = [f"{i},9.{i % 90},78,3,{i % 7}\n" for i in range(rows - 2)]
        sites.write_text(
            HEADER + "".join([*lines[:50], "too,few\n", *lines[50:], "too,few\n"]), encoding="utf-8"
        )
    else:
        column = np.full(rows, 9.0)
        names = HEADER.strip().split(",")[1:]
        parquet.write_table(
            pa.table({name: column + (60 if "humid" in name else 0) for name in names}), sites
        )
    seen = []
    swept = overcoat.sweep_file(
        sites,
        tmp_path / "out.parquet",
        builds=[BUILD],
        batch_rows=20_000,
        progress=lambda *at: seen.append(at),
    )
    shares, counts = zip(*seen, strict=True)
    assert shares[0] > 0 and shares[-1] == 1.0 and list(shares) == sorted(shares)
    # of CSV some blocks are read ahead
    assert ending == "csv" or shares[0] == 0.2
    assert counts[-1] == swept.rows == rows and list(counts) == sorted(counts)
    assert swept.results == rows - (2 if ending == "csv" else 0)
    assert swept.bad_rows == (2 if ending == "csv" else 0)
    assert 0 <= swept.seconds < 600


@pytest.mark.parametrize("cell", ['"quay\neast",9', '"quay\neast",9,78,3,2', '"quay\n\neast",9,78,3,2'])
def test_a_quotation_over_two_lines_is_refused_with_its_row(tmp_path, cell):
    sites = tmp_path / "sites.csv"
    sites.write_text(HEADER + f"a,9,78,3,2\n{cell}\nb,9,78,3,2\n", encoding="utf-8")
    with pytest.raises(overcoat.TableError, match="row 2: the quotation mark .* never closed in its line"):
        overcoat.sweep_file(sites, tmp_path / "out.csv", builds=[BUILD])
    assert [path.name for path in tmp_path.iterdir()] == ["sites.csv"]


def test_a_letter_that_the_end_of_a_block_cuts_is_read_on(tmp_path):
    """And one that the end of the file cuts is broken."""
    sites = tmp_path / "sites.csv"
    names = ",".join(f"{i:07}" for i in range(reading.BLOCK_BYTES // 8))
    assert len(names) == reading.BLOCK_BYTES - 1
    sites.write_bytes(names.encode() + "é\n".encode())
    with open(sites, "rb") as file:
        assert reading._header(sites, file)[-1] == f"{reading.BLOCK_BYTES // 8 - 1:07}"
    sites.write_bytes("a,é".encode()[:-1])
    with open(sites, "rb") as file, pytest.raises(UnicodeDecodeError):
        reading._header(sites, file)


@pytest.mark.parametrize(
    ("kind", "text", "binary"),
    [
        (pa.string(), True, False),
        (pa.large_string(), True, False),
        (pa.string_view(), True, False),
        (pa.dictionary(pa.int8(), pa.string()), True, False),
        (pa.binary(), False, True),
        (pa.large_binary(), False, True),
        (pa.binary(3), False, True),
        (pa.binary_view(), False, True),
        (pa.dictionary(pa.int8(), pa.binary()), False, True),
        (pa.float64(), False, False),
        (pa.dictionary(pa.int8(), pa.int8()), False, False),
    ],
)
def test_text_and_bytes_of_every_kind(tmp_path, kind, text, binary):
    assert (writing._is_text(kind), writing._is_binary(kind)) == (text, binary)
    with open(tmp_path / "out.csv", "wb") as file:
        if binary:
            assert f"CSV has no cells of type {kind}" in said(writing.CsvSink, file, pa.schema([("x", kind)]))
        else:
            writing.CsvSink(file, pa.schema([("x", kind)])).close()


def test_csv_has_no_nested_cells(tmp_path):
    with open(tmp_path / "out.csv", "wb") as file:
        message = said(writing.CsvSink, file, pa.schema([("x", pa.list_(pa.int8()))]))
    assert message.endswith("Write to a .parquet file.")


def test_words_by_number_become_plain_text():
    batch = pa.RecordBatch.from_arrays(
        [pa.array(["b", "a", "b"]).dictionary_encode(), pa.array([1, 2, 3])], ["w", "n"]
    )
    plain = writing.in_plain_text(batch)
    assert plain.schema.types == [pa.string(), pa.int64()] and plain.to_pydict() == batch.to_pydict()


def test_groups_of_a_parquet_file_are_full(tmp_path, monkeypatch):
    monkeypatch.setattr(writing, "GROUP_ROWS", 4)
    batch = pa.RecordBatch.from_arrays([pa.array([1, 2])], ["n"])
    with open(tmp_path / "out.parquet", "wb") as file:
        sink = writing.ParquetSink(file, batch.schema)
        for _ in range(3):
            sink.write(batch)
        sink.write(batch.slice(0, 0))
        sink.close()
    written = parquet.ParquetFile(tmp_path / "out.parquet").metadata
    assert [written.row_group(i).num_rows for i in range(written.num_row_groups)] == [4, 2]


def test_cells_of_bad_rows_become_text():
    assert writing._as_text(pa.array([1, None])).to_pylist() == ["1", None]
    assert writing._as_text(pa.array([[1, 2], None])).to_pylist() == ["[1, 2]", None]


def test_a_file_takes_a_place_in_one_step(tmp_path):
    wanted = tmp_path / "a[1]*.csv"
    wanted.write_text("old")
    os.chmod(wanted, 0o640)
    others = tmp_path / ".a1x.csv.part-1"
    others.write_text("of another name")
    left = tmp_path / ".a[1]*.csv.part-1"
    left.write_text("of a run that was killed")
    made = whole.WholeFile(wanted)
    assert others.exists() and not left.exists()
    # another run sees that this one is under way
    second = whole.WholeFile(tmp_path / "b.csv")
    with open(made.beside, "rb") as file:
        assert not whole._lock(file)
    made.file.write(b"new")
    assert wanted.read_text() == "old"
    made.keep()
    made.drop()
    second.drop()
    assert wanted.read_text() == "new" and wanted.stat().st_mode & 0o777 == 0o640
    assert sorted(path.name for path in tmp_path.iterdir()) == [others.name, wanted.name]
    with pytest.raises(IsADirectoryError):
        whole.WholeFile(tmp_path)


def test_a_fault_names_the_wanted_file(tmp_path):
    made = whole.WholeFile(tmp_path / "a.csv")
    for fault in (OSError(28, "No space", str(made.beside)), OSError(28, "No space")):
        with pytest.raises(OSError, match=r"No space left on device: '.*/a\.csv'$"), made.faults_named():
            raise fault
    for fault in (OSError("of no number"), OSError(2, "No such file", "elsewhere.csv")):
        with pytest.raises(OSError) as caught, made.faults_named():
            raise fault
        assert caught.value is fault
    made.drop()


def test_spans():
    assert grids.span(1, 100, 3, ratio=True).round(9).tolist() == [1, 10, 100]
    assert grids.span(1, 100, 3).tolist() == [1, 50.5, 100]
    assert grids.span(-1, 0, 2).tolist() == [-1, 0]
    for ends, name in (((0, 5), "low"), ((5, 0), "high")):
        message = said(grids.span, *ends, 3, ratio=True)
        assert (
            message
            == f"`span.{name}` is 0.0; allowed: a finite number, above 0 with ratio=True. Pass the ends."
        )
    for count in (1, 10_000_001):
        assert "a whole number from 2 to 10000000" in said(grids.span, 0, 1, count)


def test_values_of_a_field_of_a_grid():
    assert "`required_years` is empty; allowed: one value or more" in said(
        overcoat.grid, BRIEF, required_years=[]
    )
    assert "a list or span of values" in said(overcoat.grid, BRIEF, required_years=5)
    assert "that a brief takes. Correct the values" in said(overcoat.grid, BRIEF, place=[{1, 2}])
    assert grids._column("mass_g", [1, 2.5]).dtype == np.float64
    assert grids._column("mass_g", [1, 2]).dtype == np.int64
    assert grids._column("shelter", ["open", None]).tolist() == ["open", None]
    assert np.isnan(grids._column("required_years", [1, None])[1])


def test_sites_of_a_grid():
    air = {"temperature_c": [9.0, 12.0]}
    for name in ("catalog", "change"):
        assert f"column `{name}`: a grid names its own columns so" in said(
            overcoat.grid, BRIEF, sites={**air, name: ["a", "b"]}
        )
    assert "column `sites`: no field of a brief. Give columns such as temperature_c" in said(
        overcoat.grid, BRIEF, sites={"site": ["a", "b"]}
    )
    assert "columns of [1, 2] rows" in said(overcoat.grid, BRIEF, sites={**air, "site": ["a"]})
    made = overcoat.grid(BRIEF, builds=[BUILD], sites={**air, "site": ["a", "b"]}, required_years=[1, 2, 3])
    assert repr(made) == "Grid(6 rows; sites: 2, required_years: 3)" and made.shape == (2, 3)
    found = made.run()
    assert isinstance(found, dict) and found["site"].tolist() == ["a"] * 3 + ["b"] * 3
    assert isinstance(overcoat.grid(BRIEF, builds=[BUILD], required_years=[1]).run(), pd.DataFrame)
    assert isinstance(made.run(kind="arrow"), pa.Table)
    assert [len(part["site"]) for part in made.batches(4)] == [4, 2]
    for rows in (0, True):
        assert "`rows`" in said(made.batches, rows)


def test_what_a_grid_refuses():
    assert "`required_years` is given twice" in said(
        overcoat.grid, BRIEF, fields={"duty.required_years": [1]}, required_years=[2]
    )
    assert "`temperature_c` is given twice" in said(
        overcoat.grid, BRIEF, sites={"temperature_c": [9.0]}, temperature_c=[1.0]
    )
    assert "`paired` is required_years: 1, temperature_c: 2; allowed: lists of one length" in said(
        overcoat.grid, BRIEF, required_years=[1], temperature_c=[1.0, 2.0], paired=True
    )
    for name in ("catalog", "changes"):
        assert f"`{name}` is empty; allowed: one or more by name" in said(overcoat.grid, BRIEF, **{name: {}})
    assert "a Catalog" in said(overcoat.grid, BRIEF, catalog={"own": 3})
    assert "a function" in said(overcoat.grid, BRIEF, changes={"warmer": 3})
    long = np.arange(1.0, 70_000.0)
    axes = dict.fromkeys(("temperature_c", "so2_mg_m2_day", "chloride_mg_m2_day", "required_years"), long)
    assert "fewer than 2^62 rows" in said(overcoat.grid, BRIEF, **axes)
    assert len(overcoat.grid(BRIEF, **{name: axes[name] for name in list(axes)[:3]})) == 69_999**3


def test_changes_of_a_grid():
    def changed(change):
        made = overcoat.grid(BRIEF, builds=[BUILD], temperature_c=[9.0, 12.0], changes={"it": change})
        return made.run(kind="dict")

    assert changed({"temperature_c": 2.0})["temperature_c"].tolist() == [18.0, 24.0]
    assert changed({"temperature_c": lambda now: now + 1})["temperature_c"].tolist() == [10.0, 13.0]
    # one that the table does not move is that of the brief in every row
    assert changed({"chloride_mg_m2_day": 2.0})["chloride_mg_m2_day"].tolist() == [40.0, 40.0]
    assert (
        changed(lambda now: {"required_years": now["required_years"] * 2})["required_years"].tolist()
        == [10.0] * 2
    )
    assert changed(None)["change"].tolist() == ["it", "it"]
    assert '`changes.it` names "mass_g"' in said(changed, {"mass_g": 2.0})
    assert "`changes.it.temperature_c`" in said(changed, {"temperature_c": "twice"})
    assert '1 rows after "it", 2 before' in said(changed, {"temperature_c": lambda now: now[:1]})


class Bar:
    def __init__(self):
        self.seen = []

    def add_task(self, name, total):
        self.seen.append(total)
        return 7

    def update(self, task, completed):
        self.seen.append((task, completed))

    def stop(self):
        self.seen.append("stopped")


@pytest.mark.parametrize(
    ("progress", "after", "steps", "seen"),
    [
        (True, 1000, [1, 2], [3, (7, 1), (7, 3), "stopped"]),
        # nothing is shown before it has taken a moment, nor for what is done by then
        (None, 1000, [1, 2], []),
        (None, -1, [1, 2], [3, (7, 1), (7, 3), "stopped"]),
        (None, -1, [3], []),
        (False, -1, [1, 2], []),
    ],
)
def test_a_bar_shows_what_is_done(monkeypatch, progress, after, steps, seen):
    bar = Bar()
    monkeypatch.setattr(grids, "_new_bar", lambda asked: bar)
    monkeypatch.setattr(grids, "_BAR_AFTER_S", after)
    with grids._bar(3, progress) as advance:
        for rows in steps:
            advance(rows)
    assert bar.seen == seen


def test_a_bar_is_drawn_where_someone_looks_on_or_asks(monkeypatch):
    assert grids._new_bar(None) is None
    bar = grids._new_bar(True)
    bar.stop()
    assert bar.console.stderr
    monkeypatch.setattr(grids.importlib.util, "find_spec", lambda name: None)
    assert grids._new_bar(None) is None
    assert not grids._has_widgets()


def test_a_grid_that_is_too_long_for_one_table_names_the_other_way():
    made = overcoat.grid(
        BRIEF, builds=[BUILD], temperature_c=grids.span(0, 20, 10_001), required_years=[*range(1, 10_001)]
    )
    assert len(made) == 100_010_000
    assert said(made.run) == (
        "`grid` is 100010000 rows; allowed: at most 100000000 results in one table. Use `batches`."
    )
    assert math.isclose(next(iter(made.batches(2, kind="dict")))["required_years"][1], 2)
