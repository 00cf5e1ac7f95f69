"""Tables of places: the same answers as a ranking, whatever kind of table comes in."""

import csv
import json

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest

import overcoat

BUILDS = ["steel_4_6 / hot_alkaline / displacing_oil", "steel_4_6 / hot_alkaline / polyester_powder"]
AIR = {
    "temperature_c": [9.0, 12.0, 15.0],
    "relative_humidity_pct": [78.0, 80.0, 75.0],
    "so2_mg_m2_day": [3.0, 4.0, 20.0],
    "chloride_mg_m2_day": [2.0, 80.0, 5.0],
}
SHELTER = ["open", "sheltered", "open"]
YEARS = [5.0, 2.0, 10.0]
TABLE = {**AIR, "required_years": YEARS, "shelter": SHELTER}


def ranked(i):
    duty = {name: column[i] for name, column in TABLE.items()}
    brief = {
        "schema": "overcoat.brief.v1",
        "name": "row",
        "part": {"base_metal": "steel_4_6"},
        "duty": duty,
        "wants": {"builds": [{"treatment": "hot_alkaline", "films": [b.split(" / ")[2]]} for b in BUILDS]},
    }
    return {str(o.build): o for o in overcoat.rank(overcoat.Brief.from_json(json.dumps(brief)))}


def test_a_row_has_the_answer_of_a_ranking():
    found = overcoat.sweep(TABLE, builds=BUILDS)
    assert len(found["build"]) == 6
    for k, build in enumerate(found["build"]):
        option = ranked(k // 2)[build]
        assert found["median_years"][k] == pytest.approx(option.outlook.median_years, rel=1e-12)
        assert found["p10_years"][k] == pytest.approx(option.outlook.p10_years, rel=1e-12)
        assert found["probability_ok"][k] == pytest.approx(option.outlook.probability_ok, rel=1e-12)
        assert found["score"][k] == pytest.approx(option.score, rel=1e-12)
        assert found["blocked"][k] == option.blocked


@pytest.mark.parametrize("kind", [pd.DataFrame, pl.DataFrame, pa.table])
def test_the_answer_is_of_the_kind_that_came_in(kind):
    found = overcoat.sweep(kind(TABLE), builds=BUILDS)
    assert type(found) is type(kind(TABLE))
    columns = found.to_pydict() if kind is pa.table else {name: list(found[name]) for name in found.columns}
    plain = overcoat.sweep(TABLE, builds=BUILDS)
    assert list(columns) == list(plain)
    for name, column in plain.items():
        assert [None if x is None or x != x else x for x in columns[name]] == list(column), name


def test_any_number_of_threads_gives_the_same_bits(demo):
    with open(demo / "sites.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    table = {name: np.array([float(row[name]) for row in rows]) for name in [*AIR, "required_years"]}
    table["shelter"] = [row["shelter"] for row in rows]
    one, two = overcoat.sweep(table, threads=1), overcoat.sweep(table, threads=2)
    assert len(one["score"]) % len(rows) == 0
    for name, column in one.items():
        assert np.array_equal(column, two[name], equal_nan=column.dtype.kind == "f"), name


def test_a_bad_row_has_a_reason_and_no_result():
    table = {**AIR, "relative_humidity_pct": [78.0, None, 140.0]}
    found = overcoat.sweep(table, builds=BUILDS)
    assert list(found["category"][2:]) == [None] * 4
    assert np.isnan(found["median_years"]).tolist() == [False, False, True, True, True, True]
    assert len({found["row_status"][0], found["row_status"][2], found["row_status"][4]}) == 3


@pytest.mark.parametrize(
    ("table", "builds", "words"),
    [
        ({k: v for k, v in AIR.items() if k != "so2_mg_m2_day"}, None, "so2_mg_m2_day"),
        ({**AIR, "temperature_c": ["warm", "cold", "mild"]}, None, "wanted: numbers"),
        ({**AIR, "temperature_c": [9.0]}, None, "rows"),
        ({**AIR, "shelter": ["open", 3, "open"]}, None, "row 2: its type is int; wanted: text"),
        (AIR, ["steel_4_6 / hot_alkalin / displacing_oil"], "hot_alkaline"),
        (AIR, ["steel_4_6 / hot_alkaline"], "BASE_METAL"),
        (AIR, ["steel_4_6 / hot_alkaline / displacing_oil + air_dry_paint"], "does not hold"),
    ],
)
def test_a_bad_table_is_refused(table, builds, words):
    with pytest.raises(overcoat.OvercoatError, match=words):
        overcoat.sweep(table, builds=builds)
