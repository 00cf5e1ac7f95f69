"""Sweeps from file to file: the results of a table in memory, bad rows told, hostile files met."""

import csv
import io
import json
import os
import pickle
import random
import re
import sys
import time

import numpy as np
import pyarrow as pa
import pytest
from commanding import in_a_terminal, ran
from hypothesis import given
from hypothesis import strategies as st
from pyarrow import csv as pa_csv
from pyarrow import parquet

import overcoat
from overcoat import _core
from overcoat.files import cells, reading

BUILDS = [
    "steel_4_6 / hot_alkaline / displacing_oil",
    "steel_4_6 / hot_alkaline / hard_wax",
    "steel_4_6 / hot_alkaline / polyester_powder",
]
HEADER = "site,temperature_c,relative_humidity_pct,so2_mg_m2_day,chloride_mg_m2_day,required_years,shelter"
RESULTS = tuple(_core.result_columns())


def written(folder, *lines, name="sites.csv", header=HEADER):
    path = folder / name
    path.write_text("\n".join([header, *lines]) + "\n", encoding="utf-8")
    return path


def rows_of(path):
    """Rows of a CSV file by the reader of the standard library."""
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def plain(table):
    """Columns as Python values."""
    return table.to_pydict()


def places(rows, seed=1):
    random_numbers = np.random.default_rng(seed)
    return pa.table(
        {
            "site": pa.array(range(rows), pa.int64()),
            "temperature_c": random_numbers.uniform(-17, 28, rows),
            "relative_humidity_pct": random_numbers.uniform(34, 93, rows),
            "so2_mg_m2_day": random_numbers.uniform(0.7, 150, rows),
            "chloride_mg_m2_day": random_numbers.uniform(0.4, 760, rows),
            "required_years": random_numbers.uniform(1, 15, rows),
            "shelter": pa.array(["open", "sheltered"] * (rows // 2) + ["indoor"] * (rows % 2)),
        }
    )


@pytest.fixture
def as_parquet(tmp_path):
    path = tmp_path / "sites.parquet"
    parquet.write_table(places(1001), path, row_group_size=300)
    return path


# What comes out


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_a_file_has_the_results_of_the_table_in_memory(demo, tmp_path, ending):
    sites = demo / "sites.csv"
    out = tmp_path / f"out.{ending}"
    done = overcoat.sweep_file(sites, out, builds=BUILDS)
    wanted = overcoat.sweep(pa_csv.read_csv(sites), builds=BUILDS)
    found = parquet.read_table(out) if ending == "parquet" else pa_csv.read_csv(out)
    assert (done.out, done.rows, done.results, done.bad_rows) == (out, 320, 960, 0)
    assert done.bad_rows_file is None
    assert [path.name for path in tmp_path.iterdir()] == [out.name]
    read = rows_of(sites)
    assert found.column_names == [*read[0], *RESULTS]
    for name in RESULTS:
        assert plain(found)[name] == plain(wanted)[name], name
    assert plain(found)["site"] == [row["site"] for row in read for _ in BUILDS]


@pytest.mark.filterwarnings("ignore:not in the results. the dose-response:UserWarning")
@pytest.mark.parametrize("batch_rows", [1, 7, 300, 5000])
@pytest.mark.parametrize("threads", [1, 2])
def test_no_result_depends_on_the_cutting_or_on_threads(as_parquet, tmp_path, batch_rows, threads):
    whole = overcoat.sweep(parquet.read_table(as_parquet), builds=BUILDS)
    if batch_rows == 1:
        parquet.write_table(parquet.read_table(as_parquet).slice(0, 90), as_parquet)
        whole = whole.slice(0, 90 * len(BUILDS))
    out = tmp_path / "out.parquet"
    overcoat.sweep_file(as_parquet, out, builds=BUILDS, threads=threads, batch_rows=batch_rows)
    found = parquet.read_table(out)
    for name in RESULTS:
        assert plain(found)[name] == plain(whole)[name], name


def test_small_batches_make_no_small_row_groups(as_parquet, tmp_path):
    out = tmp_path / "out.parquet"
    overcoat.sweep_file(as_parquet, out, builds=BUILDS, batch_rows=10)
    assert parquet.ParquetFile(out).num_row_groups == 1


def test_other_columns_of_parquet_keep_their_types(tmp_path):
    extras = {
        "when": pa.array([0, 86_400_000], pa.timestamp("ms", "UTC")),
        "tags": pa.array([["a"], []], pa.list_(pa.string())),
        "kind": pa.array(["x", "y"]).dictionary_encode(),
        "raw": pa.array([b"\xff", None]),
    }
    table = places(2)
    for name, column in extras.items():
        table = table.append_column(name, column)
    parquet.write_table(table, tmp_path / "in.parquet")
    overcoat.sweep_file(tmp_path / "in.parquet", tmp_path / "out.parquet", builds=BUILDS[:1])
    found = parquet.read_table(tmp_path / "out.parquet")
    for name, column in extras.items():
        assert found.schema.field(name).type == column.type
        assert found[name].combine_chunks().equals(column)
    with pytest.raises(overcoat.TableError, match="CSV has no cells of type list"):
        overcoat.sweep_file(tmp_path / "in.parquet", tmp_path / "out.csv", builds=BUILDS[:1])
    assert not (tmp_path / "out.csv").exists()


def test_the_best_of_each_row_is_the_best_of_a_ranking(demo, tmp_path):
    sites = written(
        tmp_path, *(demo / "sites.csv").read_text("utf-8").splitlines()[1:13], header=HEADER_OF_DEMO
    )
    overcoat.sweep_file(sites, tmp_path / "out.csv", best_only=True)
    found = rows_of(tmp_path / "out.csv")
    assert len(found) == 12
    for place, row in zip(rows_of(sites), found, strict=True):
        duty = {name: place[name] for name in ("shelter",)}
        duty |= {name: float(place[name]) for name in place if name not in ("site", "region", "shelter")}
        brief = {
            "schema": "overcoat.brief.v1",
            "name": "x",
            "part": {"base_metal": "steel_4_6"},
            "duty": duty,
        }
        best = overcoat.rank(overcoat.Brief.from_json(json.dumps(brief))).best
        assert row["build"] == str(best.build)
        assert float(row["score"]) == pytest.approx(best.score, rel=1e-12)


HEADER_OF_DEMO = HEADER.replace("site,", "site,region,")


def test_a_brief_and_a_catalog_are_heeded(demo, tmp_path):
    brief = overcoat.Brief.from_json(demo / "briefs" / "gate-hinge.json")
    prices = overcoat.Catalog.from_json(demo / "workshop_catalog.json")
    sites = demo / "sites.csv"
    overcoat.sweep_file(sites, tmp_path / "out.parquet", catalog=prices, brief=brief)
    wanted = overcoat.sweep(pa_csv.read_csv(sites), catalog=prices, brief=brief)
    found = parquet.read_table(tmp_path / "out.parquet")
    assert plain(found)["score"] == plain(wanted)["score"]


def test_a_file_of_no_rows_gives_a_file_of_no_rows(tmp_path):
    sites = written(tmp_path)
    for ending in ("csv", "parquet"):
        done = overcoat.sweep_file(sites, tmp_path / f"out.{ending}", builds=BUILDS)
        assert (done.rows, done.results, done.bad_rows) == (0, 0, 0)
    assert rows_of(tmp_path / "out.csv") == []
    empty = parquet.read_table(tmp_path / "out.parquet")
    assert empty.num_rows == 0 and empty.column_names[-1] == "row_status"
    again = tmp_path / "again.parquet"
    parquet.write_table(places(4).slice(0, 0), tmp_path / "none.parquet")
    assert overcoat.sweep_file(tmp_path / "none.parquet", again, builds=BUILDS).rows == 0


# Bad rows


def test_bad_rows_are_told_with_their_number_and_none_is_lost(tmp_path):
    sites = written(
        tmp_path,
        "good,9.0,78,3,2,5,open",
        "warm,about 9,78,3,2,5,open",
        "short,9.0,78",
        "gap,9.0,,3,2,5,open",
        "wet,9.0,140,3,2,5,open",
        "shed,9.0,78,3,2,5,shed",
        "comma,9.0,78,3,2,5,open,extra",
        "two,9 C,78,3 mg,2,5,open",
        "good too, 9.0 ,78,3,2,5, open ",
        "last,1",
    )
    for batch_rows in (1, 3, 100):
        out = tmp_path / "out.csv"
        done = overcoat.sweep_file(sites, out, builds=BUILDS[:2], batch_rows=batch_rows)
        assert (done.rows, done.results, done.bad_rows) == (10, 14, 8)
        assert done.bad_rows_file == tmp_path / "out.csv.bad-rows.csv"
        told = {int(row["row"]) - 1: row for row in rows_of(done.bad_rows_file)}
        reasons = {number: row["reason"] for number, row in told.items()}
        assert reasons == {
            1: "temperature_c is not a number",
            2: "3 fields where the header has 7: short,9.0,78",
            3: "humidity_missing",
            4: "humidity_out_of_range",
            5: "shelter_unknown",
            6: "8 fields where the header has 7: comma,9.0,78,3,2,5,open,extra",
            7: "temperature_c is not a number; so2_mg_m2_day is not a number",
            9: "2 fields where the header has 7: last,1",
        }
        # the cells as they stand in the file
        assert told[1]["temperature_c"] == "about 9" and told[5]["shelter"] == "shed"
        found = rows_of(out)
        assert list(dict.fromkeys(row["site"] for row in found)) == [
            "good",
            "warm",
            "gap",
            "wet",
            "shed",
            "two",
            "good too",
        ]
        for row in found:
            assert bool(row["score"]) == row["site"].startswith("good"), row
        results = [{name: row[name] for name in RESULTS} for row in found]
        assert results[-2:] == results[:2]


def test_a_side_file_of_yesterday_goes_when_all_rows_are_good(tmp_path):
    out = tmp_path / "out.csv"
    bad = overcoat.sweep_file(written(tmp_path, "a,warm,78,3,2,5,open"), out, builds=BUILDS).bad_rows_file
    assert bad.exists()
    mended = bad.read_text("utf-8").replace("warm", "9.0")
    (tmp_path / "mended.csv").write_text(
        mended.replace('"row","reason",', "").replace('1,"temperature_c is not a number",', ""), "utf-8"
    )
    done = overcoat.sweep_file(tmp_path / "mended.csv", out, builds=BUILDS)
    assert (done.rows, done.bad_rows, bad.exists()) == (1, 0, False)


def test_a_side_file_swept_again_has_two_numbers(tmp_path):
    sites = written(tmp_path, "a,9,78,3,2,5,open", "b,warm,78,3,2,5,open", "c,9,low,3,2,5,open")
    bad = overcoat.sweep_file(sites, tmp_path / "out.csv", builds=BUILDS).bad_rows_file
    (tmp_path / "mended.csv").write_text(bad.read_text("utf-8").replace("warm", "9.0"), "utf-8")
    done = overcoat.sweep_file(tmp_path / "mended.csv", tmp_path / "again.csv", builds=BUILDS)
    ((row, reason, first, *_),) = [list(row.values()) for row in rows_of(done.bad_rows_file)]
    assert list(rows_of(done.bad_rows_file)[0])[:4] == ["row_2", "reason_2", "row", "reason"]
    assert (row, first) == ("2", "3") and reason.startswith("relative_humidity_pct")


def test_what_a_table_leaves_out_is_told(tmp_path):
    brief = {
        "name": "x",
        "remarks": "on a food conveyor",
        "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_12_9"},
        "duty": {"required_years": 2},
    }
    sites = written(tmp_path, "a,,78,3,2,5,open", "b,9,78,3,2,5,open")
    done = overcoat.sweep_file(sites, tmp_path / "out.csv", brief)
    assert any("contact with food" in remark for remark in done.remarks)
    assert any(remark.startswith("findings, which the table does not list") for remark in done.remarks)


def test_a_missing_value_in_parquet_is_a_bad_row(tmp_path):
    table = places(4).set_column(1, "temperature_c", pa.array([9.0, None, float("nan"), float("inf")]))
    parquet.write_table(table, tmp_path / "in.parquet")
    done = overcoat.sweep_file(tmp_path / "in.parquet", tmp_path / "out.parquet", builds=BUILDS)
    assert (done.rows, done.results, done.bad_rows) == (4, 12, 3)
    told = [(row["row"], row["reason"], row["site"]) for row in rows_of(done.bad_rows_file)]
    assert told == [
        ("2", "temperature_missing", "1"),
        ("3", "temperature_missing", "2"),
        ("4", "temperature_out_of_range", "3"),
    ]


def test_the_best_of_a_bad_row_is_a_line_with_its_reason(tmp_path):
    sites = written(tmp_path, "a,9,78,3,2,5,open", "b,9,,3,2,5,open")
    done = overcoat.sweep_file(sites, tmp_path / "out.csv", builds=BUILDS, best_only=True)
    found = rows_of(tmp_path / "out.csv")
    assert [(row["site"], row["row_status"], bool(row["score"]), bool(row["build"])) for row in found] == [
        ("a", "ok", True, True),
        ("b", "humidity_missing", False, False),
    ]
    assert done.bad_rows == 1


@pytest.mark.parametrize("seed", range(20))
def test_row_numbers_hold_across_blocks(tmp_path, monkeypatch, seed):
    monkeypatch.setattr("overcoat.files.reading.BLOCK_BYTES", 400)
    dice = random.Random(seed)
    kinds = {}
    text = io.StringIO()
    text.write(HEADER + "\n")
    for row in range(300):
        kind = kinds[row] = dice.choice(["good", "good", "good", "malformed", "no number", "quoted"])
        if kind == "malformed":
            text.write("," * dice.choice([2, 9]) + "\n")
        else:
            site = f'"s{row}, ""x"""' if kind == "quoted" else f"s{row}"
            temperature = "cold" if kind == "no number" else 9 + row / 100
            text.write(f"{site},{temperature},78,3,2,5,open\n" + "\n" * dice.choice([0, 0, 1]))
    path = tmp_path / "sites.csv"
    path.write_text(text.getvalue(), encoding="utf-8")
    done = overcoat.sweep_file(
        path, tmp_path / "out.csv", builds=BUILDS[:1], batch_rows=dice.choice([1, 5, 1000])
    )
    told = {int(row["row"]) - 1: row["reason"] for row in rows_of(done.bad_rows_file)}
    assert set(told) == {row for row, kind in kinds.items() if kind in ("malformed", "no number")}
    assert all(("fields" in told[row]) == (kinds[row] == "malformed") for row in told)
    for row in rows_of(tmp_path / "out.csv"):
        number = int(re.match(r"s(\d+)", row["site"])[1])
        if kinds[number] != "no number":
            assert float(row["temperature_c"]) == 9 + number / 100
    assert done.rows == 300 and done.results == 300 - sum(kind == "malformed" for kind in kinds.values())


# Cells


def test_formulas_are_neutralised_and_numbers_are_not(tmp_path):
    texts = {
        "=cmd|'/C calc'!A0": "'=cmd|'/C calc'!A0",
        "+1-555": "'+1-555",
        "-2+3": "'-2+3",
        "@SUM(A1)": "'@SUM(A1)",
        "\tx": "'\tx",
        " =1+1": "' =1+1",
        "-7.5": "-7.5",
        "+3e2": "+3e2",
        "'=kept": "'=kept",
        "Quay, north": "Quay, north",
        'a "b"': 'a "b"',
        "007": "007",
    }
    sites = tmp_path / "sites.csv"
    with open(sites, "w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow([*HEADER.split(","), "=1+1"])
        for text in texts:
            writer.writerow([text, "9", "x", "3", "2", "5", "open", ""])
    out = tmp_path / "out.csv"
    done = overcoat.sweep_file(sites, out, builds=BUILDS[:1])
    for path in (out, done.bad_rows_file):
        found = rows_of(path)
        assert [row["site"] for row in found] == list(texts.values())
        assert "'=1+1" in found[0]
    # negative numbers of our own columns stay numbers
    cold = written(tmp_path, "a,-5.5,78,3,2,5,open", name="cold.csv")
    overcoat.sweep_file(cold, out, builds=BUILDS[:1])
    assert ",-5.5," in out.read_text("utf-8")
    # a second pass adds nothing
    again = written(tmp_path, *(f'"{t}",9,78,3,2,5,open' for t in ("'=kept", "'-2+3")), name="again.csv")
    overcoat.sweep_file(again, out, builds=BUILDS[:1])
    assert [row["site"] for row in rows_of(out)] == ["'=kept", "'-2+3"]
    # Parquet is no spreadsheet: text stays as it is
    overcoat.sweep_file(sites, tmp_path / "out.parquet", builds=BUILDS[:1])
    assert plain(parquet.read_table(tmp_path / "out.parquet"))["site"] == list(texts)


@given(st.text("0123456789+-.eEinfatyINFATY()_xX ,", max_size=9) | st.floats().map(repr))
def test_the_pattern_of_numbers_is_what_arrow_reads(text):
    try:
        pa.array([text]).cast(pa.float64())
        reads = True
    except pa.ArrowInvalid:
        reads = False
    matches = pa.compute.match_substring_regex(pa.array([text]), cells.NUMBER)[0].as_py()
    assert matches == reads


@pytest.mark.parametrize("word", [*cells.GAPS, "NaN", "NA", " NULL ", "none", "-", "n/a"])
def test_gaps_are_those_of_a_climate_record(tmp_path, word):
    """The core's own reader of CSV files and this one agree."""
    record = tmp_path / "record.csv"
    record.write_text(f"temperature_c,relative_humidity_pct\n5,90\n{word},90\n", encoding="utf-8")
    try:
        overcoat.ClimateRecord.from_csv(record)
        gap = True
    except overcoat.TableError:
        gap = False
    done = overcoat.sweep_file(
        written(tmp_path, f"a,{word},78,3,2,5,open"), tmp_path / "out.csv", builds=BUILDS
    )
    (told,) = rows_of(done.bad_rows_file)
    assert (told["reason"] == "temperature_missing") == gap


def test_names_and_byte_order_marks_are_read(tmp_path):
    sites = tmp_path / "sites.csv"
    text = HEADER.replace(",", " , ") + "\r\nÖstersjö 港,9,78,3,2,5,open\r\n"
    sites.write_bytes(b"\xef\xbb\xbf" + text.encode())
    done = overcoat.sweep_file(sites, tmp_path / "out.csv", builds=BUILDS)
    assert done.bad_rows == 0
    assert rows_of(tmp_path / "out.csv")[0]["site"] == "Östersjö 港"


# What is refused

UNCLOSED = f'{HEADER}\na,9,78,3,2,5,open\n"b,9,78,3,2,5,open\nc,9,78,3,2,5,open\n'.encode()


@pytest.mark.parametrize(
    ("content", "kind", "words"),
    [
        (b"", overcoat.InvalidValueError, "header"),
        (b"\n\n", overcoat.InvalidValueError, "header"),
        (b"\x00" * 5000, overcoat.TableError, "temperature_c"),
        ("Ö,b\n1,2\n".encode("latin-1"), overcoat.InvalidValueError, "UTF-8"),
        (f"{HEADER}\nÖ,9,78,3,2,5,open\n".encode("latin-1"), overcoat.InvalidValueError, "UTF-8"),
        (f"{HEADER}\na,9,78,3,2,5,open\n".encode("utf-16"), overcoat.InvalidValueError, "UTF-8"),
        (b"site,temperature_c\na,9\n", overcoat.TableError, "relative_humidity_pct"),
        (HEADER.replace(",", ";").encode() + b"\na;9;78;3;2;5;open\n", overcoat.TableError, "commas"),
        (f"{HEADER},site\na,9,78,3,2,5,open,b\n".encode(), overcoat.TableError, "two columns"),
        (f"{HEADER},temperature_c \na,9,78,3,2,5,open,b\n".encode(), overcoat.TableError, "two columns"),
        (f"{HEADER},score\na,9,78,3,2,5,open,1\n".encode(), overcoat.TableError, "`score`: the results"),
        (UNCLOSED, overcoat.OvercoatError, "quot"),
        (UNCLOSED + b"c,9,78,3,2,5,open\n" * 150_000, overcoat.InvalidValueError, "quotation mark"),
        (HEADER.encode() + b"\n" + b"x" * 3_000_000, overcoat.InvalidValueError, "lines of less than 1 MB"),
    ],
)
def test_csv_that_cannot_be_swept_is_refused_and_nothing_is_written(tmp_path, content, kind, words):
    sites = tmp_path / "sites.csv"
    sites.write_bytes(content)
    with pytest.raises(kind, match=words):
        overcoat.sweep_file(sites, tmp_path / "out.csv", builds=BUILDS)
    assert [path.name for path in tmp_path.iterdir()] == ["sites.csv"]


@pytest.mark.parametrize("damage", ["text", "cut", "bits", "type", "utf8", "one"])
def test_parquet_that_cannot_be_swept_is_refused(as_parquet, tmp_path, damage):
    content = bytearray(as_parquet.read_bytes())
    if damage == "text":
        content = b"site,temperature_c\n" * 50
    elif damage == "cut":
        content = content[:-100]
    elif damage == "bits":
        content[200:5000] = bytes(4800)
    as_parquet.write_bytes(content)
    words = "Parquet"
    if damage == "type":
        table = places(3).set_column(1, "temperature_c", pa.array(["9", "10", "11"]))
        parquet.write_table(table, as_parquet)
        words = "temperature_c"
    if damage == "utf8":
        bad = pa.Array.from_buffers(
            pa.string(), 1, [None, pa.py_buffer(b"\0\0\0\0\1\0\0\0"), pa.py_buffer(b"\xff")]
        )
        parquet.write_table(places(1).set_column(0, "site", bad), as_parquet)
        words = "UTF-8"
    if damage == "one":
        parquet.write_table(pa.table({"a": [1]}), as_parquet)
        words = "temperature_c"
    with pytest.raises(overcoat.OvercoatError, match=words):
        overcoat.sweep_file(as_parquet, tmp_path / "out.parquet", builds=BUILDS)
    assert [path.name for path in tmp_path.iterdir()] == ["sites.parquet"]


def test_places_that_cannot_be_are_refused(tmp_path):
    sites = written(tmp_path, "a,9,78,3,2,5,open")
    refusals = [
        (sites, sites, "a separate file"),
        (sites, tmp_path / "." / "sites.csv", "a separate file"),
        (sites, tmp_path / "out.xlsx", "ends in .csv or .parquet"),
        (sites, tmp_path / "out", "ends in .csv or .parquet"),
        (tmp_path / "sites.txt", tmp_path / "out.csv", "ends in .csv or .parquet"),
    ]
    for given_sites, out, words in refusals:
        with pytest.raises(overcoat.InvalidValueError, match=words):
            overcoat.sweep_file(given_sites, out, builds=BUILDS)
    # the side file would take the place of the input
    bad = written(tmp_path, "a,9,78,3,2,5,open", name="out.csv.bad-rows.csv")
    with pytest.raises(overcoat.InvalidValueError, match="a separate file"):
        overcoat.sweep_file(bad, tmp_path / "out.csv", builds=BUILDS)
    with pytest.raises(FileNotFoundError, match="absent"):
        overcoat.sweep_file(tmp_path / "absent.csv", tmp_path / "out.csv", builds=BUILDS)
    with pytest.raises(FileNotFoundError, match="no/out.csv"):
        overcoat.sweep_file(sites, tmp_path / "no" / "out.csv", builds=BUILDS)
    (tmp_path / "folder.csv").mkdir()
    with pytest.raises(IsADirectoryError, match=r"folder\.csv"):
        overcoat.sweep_file(sites, tmp_path / "folder.csv", builds=BUILDS)
    with pytest.raises(IsADirectoryError, match=r"folder\.csv"):
        overcoat.sweep_file(tmp_path / "folder.csv", tmp_path / "out.csv", builds=BUILDS)
    with pytest.raises(overcoat.InvalidValueError, match="batch_rows"):
        overcoat.sweep_file(sites, tmp_path / "out.csv", builds=BUILDS, batch_rows=0)
    with pytest.raises(overcoat.UnknownNameError, match="hot_alkaline"):
        overcoat.sweep_file(sites, tmp_path / "out.csv", builds=["steel_4_6 / hot_alkalin / hard_wax"])
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "folder.csv",
        "out.csv.bad-rows.csv",
        "sites.csv",
    ]


def test_without_pyarrow_it_says_what_to_install(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(ImportError, match=r"overcoat\[frames\]"):
        overcoat.sweep_file(written(tmp_path, "a,9,78,3,2,5,open"), tmp_path / "out.csv", builds=BUILDS)
    with pytest.raises(ImportError, match=r"overcoat\[frames\]"):
        overcoat.sweep_batches([], builds=BUILDS)


# Record batches, and what takes a brief to other machines


@pytest.mark.filterwarnings("ignore:not in the results. the dose-response:UserWarning")
def test_batches_have_the_results_of_the_table(as_parquet):
    table = parquet.read_table(as_parquet)
    wanted = overcoat.sweep(table, builds=BUILDS)
    found = pa.Table.from_batches(overcoat.sweep_batches(table.to_batches(max_chunksize=77), builds=BUILDS))
    assert found.column_names == [*table.column_names, *RESULTS]
    for name in RESULTS:
        assert plain(found)[name] == plain(wanted)[name], name
    assert found["build"].type == found["category"].type == found["row_status"].type == pa.string()
    best = pa.Table.from_batches(overcoat.sweep_batches(table.to_batches(), builds=BUILDS, best_only=True))
    assert plain(best)["site"] == plain(table)["site"]


def test_a_stream_is_not_read_ahead():
    def endless():
        while True:
            yield places(4).to_batches()[0]

    stream = overcoat.sweep_batches(endless(), builds=BUILDS)
    assert next(stream).num_rows == next(stream).num_rows == 12


def test_briefs_and_catalogs_are_pickled_whole(demo):
    for path in (demo / "briefs").glob("*.json"):
        brief = overcoat.Brief.from_json(path)
        assert pickle.loads(pickle.dumps(brief)) == brief
    trial = {
        "schema": "overcoat.catalog.v1",
        "name": "trial",
        "sources": {"own": {"firmness": "own_records", "citation": "c"}},
        "films": {"hard_wax": {"capacity_h": {"median": 96, "log_sd": 0.3, "source": "own"}}},
    }
    prices = overcoat.Catalog.from_json(demo / "workshop_catalog.json")
    for catalog in (overcoat.Catalog.default(), prices, prices.extended(json.dumps(trial))):
        again = pickle.loads(pickle.dumps(catalog))
        assert again == catalog
        assert (again.name, again.overrides) == (catalog.name, catalog.overrides)
    with pytest.raises(overcoat.DocumentError):
        overcoat.Catalog._from_state("[{}, [], []]")


# The command


def run(*words):
    return ran("sweep", *words)


def test_the_command_writes_the_file_and_says_so(demo, tmp_path):
    out, same = tmp_path / "out.csv", tmp_path / "same.csv"
    done = run(demo / "sites.csv", "--out", out, "--build", BUILDS[0], "--build", BUILDS[2], "--threads", 1)
    assert (done.returncode, done.stdout) == (0, "")
    assert "320 rows, 640 results" in done.stderr and f"written: {out}" in done.stderr
    # the native sweep from CSV to CSV and that of Python agree in every cell
    overcoat.sweep_file(demo / "sites.csv", same, builds=[BUILDS[0], BUILDS[2]])
    assert_same_cells(rows_of(out), rows_of(same))


def assert_same_cells(found, wanted):
    assert len(found) == len(wanted)
    for one, other in zip(found, wanted, strict=True):
        assert one.keys() == other.keys()
        for name, cell in one.items():
            try:
                assert float(cell) == float(other[name]), name
            except ValueError:
                assert cell == other[name], name


def test_parquet_is_left_to_python_and_said_so(tmp_path, demo):
    done = run(demo / "sites.csv", "--out", tmp_path / "out.parquet")
    assert done.returncode == 2 and "overcoat.sweep_file" in done.stderr


def test_the_command_for_machines(tmp_path):
    sites = written(tmp_path, "a,9,78,3,2,5,open", "b,warm,78,3,2,5,open")
    out = tmp_path / "out.csv"
    words = (sites, "--out", out, "--build", BUILDS[0], "--json")
    done = run(*words)
    assert done.returncode == 0
    answer = json.loads(done.stdout)
    assert answer.pop("seconds") >= 0
    assert isinstance(answer.pop("remarks"), list)
    assert answer == {
        "out": str(out),
        "rows": 2,
        "results": 2,
        "bad_rows": 1,
        "bad_rows_file": f"{out}.bad-rows.csv",
        "extrapolated_rows": 0,
    }
    assert "1 bad rows" in done.stderr
    # told to be strict it says so by its exit code, and has written even so
    out.unlink()
    assert run(*words, "--strict").returncode == 3
    assert out.exists()
    assert run(written(tmp_path, "a,9,78,3,2,5,open"), *words[1:], "--strict").returncode == 0


def test_the_command_takes_brief_catalog_and_best(demo, tmp_path):
    out = tmp_path / "out.csv"
    brief, catalog = demo / "briefs" / "gate-hinge.json", demo / "workshop_catalog.json"
    options = ("--out", out, "--brief", brief, "--catalog", catalog, "--best-only", "--batch-rows", 50)
    assert run(demo / "sites.csv", *options).returncode == 0
    assert len(rows_of(out)) == 320


@pytest.mark.parametrize("words", [[], ["--build", "steel_4_6"], ["--batch-rows", "0"], ["--threads", "0"]])
def test_the_command_refuses_with_returncode_2(tmp_path, words):
    sites = written(tmp_path, "a,9,78,3,2,5,open")
    out = ["--out", str(tmp_path / "out.csv")] if words else []
    done = run(sites, *out, *words)
    assert (done.returncode, done.stdout) == (2, "")
    assert "Traceback" not in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["sites.csv"]


@pytest.mark.skipif(os.name == "nt", reason="no such terminal")
def test_a_terminal_gets_a_bar_and_a_pipe_does_not(demo, tmp_path):
    words = ["sweep", demo / "sites.csv", "--build", BUILDS[0], "--batch-rows", 20]
    words += ["--out", tmp_path / "out.csv"]
    piped = ran(*words)
    assert piped.returncode == 0 and "\x1b" not in piped.stderr and "%" not in piped.stderr
    seen = in_a_terminal(words, TERM="xterm-256color", COLUMNS="100")
    assert "%, " in seen and " rows" in seen and "320 results" in seen


def test_names_of_very_wide_files_are_compared_at_once():
    """Each name against all others would take minutes of processor time."""
    names = [f"reading {place}" for place in range(50_000)]
    started = time.process_time()
    reading._check(pa.schema([(name, pa.float64()) for name in names]))
    assert time.process_time() - started < 8
    with pytest.raises(
        overcoat.TableError, match="column `reading 7`: the file has two columns of this name"
    ):
        reading._check(pa.schema([(name, pa.float64()) for name in [*names, "reading 7"]]))
