"""What-if grids: each row is a ranking of its brief, however it is cut, and Ctrl-C leaves at once."""

import csv
import itertools
import json
import os
import pty
import signal
import subprocess
import sys
import time

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import overcoat

BLACK = "steel_4_6 / hot_alkaline"
BUILDS = [f"{BLACK} / displacing_oil", f"{BLACK} / hard_wax", f"{BLACK} / air_dry_paint"]
PART = {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5}
AIR = {
    "temperature_c": 11.0,
    "relative_humidity_pct": 79.0,
    "so2_mg_m2_day": 4.0,
    "chloride_mg_m2_day": 20.0,
}
NUMBERS = ("median_years", "p10_years", "p90_years", "probability_ok", "score")


NUMBERED = ("mass_g", "surface_dm2", "length_mm", "hardness_hv", "lot_pieces")


def brief(duty: dict, part: dict | None = None) -> overcoat.Brief:
    document = {
        "schema": "overcoat.brief.v1",
        "name": "g",
        "part": part or PART,
        "duty": {"required_years": 5},
    }
    document["duty"] |= duty
    return overcoat.Brief.from_json(json.dumps(document))


def options(asked: overcoat.Brief, builds, catalog=None) -> dict[str, overcoat.Option]:
    document = json.loads(asked.to_json())
    wishes = [build.split(" / ") for build in builds]
    document.setdefault("wants", {})["builds"] = [
        {"base_metal": metal, "treatment": treatment, "films": films.split(" + ")}
        for metal, treatment, films in wishes
    ]
    found = overcoat.rank(overcoat.Brief.from_json(json.dumps(document)), catalog)
    return {str(option.build): option for option in found}


def is_that_of(table, place, option):
    for name in NUMBERS[:4]:
        assert table[name][place] == pytest.approx(getattr(option.outlook, name), rel=1e-12)
    assert table["score"][place] == pytest.approx(option.score, rel=1e-12)
    assert table["cost_per_thousand"][place] == pytest.approx(option.cost.per_thousand, rel=1e-12)
    assert table["blocked"][place] == option.blocked


@pytest.mark.parametrize(
    "duty",
    [AIR, {"place": "coastal"}, {"place": "urban"}, {"first_year_steel_loss_um": 40.0}],
    ids=["air", "place", "place with rain", "measured loss"],
)
def test_a_row_has_the_answer_of_a_ranking_of_its_brief(duty):
    years, chloride, threads = [2.0, 10.0], [5.0, 120.0], ["M6", "M12"]
    table = overcoat.grid(
        brief(duty), builds=BUILDS, thread=threads, chloride_mg_m2_day=chloride, required_years=years
    ).run(kind="dict")
    assert len(table["score"]) == 8 * len(BUILDS)
    for row, (thread, salt, wanted) in enumerate(itertools.product(threads, chloride, years)):
        part = PART | {"thread": thread}
        asked = brief(duty | {"chloride_mg_m2_day": salt, "required_years": wanted}, part)
        ranked = options(asked, BUILDS)
        for place in range(row * len(BUILDS), (row + 1) * len(BUILDS)):
            assert (table["thread"][place], table["chloride_mg_m2_day"][place]) == (thread, salt)
            is_that_of(table, place, ranked[table["build"][place]])


def test_any_field_moves_even_one_inside_another_or_one_that_is_an_object():
    table = overcoat.grid(
        brief(AIR),
        builds=BUILDS[:2],
        fields={"road_salt.months_per_year": [0.0, 5.0], "part.lot_pieces": [100, 10_000]},
        failure=[{"loss_um": 30}, "first_rust"],
        sunlight=["none", "full"],
    ).run(kind="dict")
    assert len(table["score"]) == 2**4 * 2
    for place in range(0, len(table["score"]), 5):
        failure = table["failure"][place]
        duty = AIR | {
            "road_salt": {"months_per_year": float(table["road_salt.months_per_year"][place])},
            "failure": json.loads(failure) if failure.startswith("{") else failure,
            "sunlight": table["sunlight"][place],
        }
        asked = brief(duty, PART | {"lot_pieces": int(table["lot_pieces"][place])})
        is_that_of(table, place, options(asked, BUILDS[:2])[table["build"][place]])


def test_paired_fields_move_together():
    made = overcoat.grid(
        brief(AIR),
        builds=BUILDS,
        paired=True,
        chloride_mg_m2_day=[1.0, 50.0, 200.0],
        thread=["M6", "M8", "M10"],
    )
    assert len(made) == 3
    table = made.run(kind="dict")
    assert list(zip(table["thread"][::3], table["chloride_mg_m2_day"][::3], strict=True)) == [
        ("M6", 1.0),
        ("M8", 50.0),
        ("M10", 200.0),
    ]


def sites(demo) -> dict[str, list]:
    with open(demo / "sites.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))[:40]
    words = ("site", "region", "shelter")
    return {name: [row[name] if name in words else float(row[name]) for row in rows] for name in rows[0]}


def test_sites_keep_their_labels_and_are_those_of_a_sweep(demo):
    places = sites(demo)
    table = overcoat.grid(brief(AIR), builds=BUILDS, sites=places).run()
    swept = overcoat.sweep(places, brief(AIR), builds=BUILDS)
    assert isinstance(table, dict)
    assert table["site"].tolist() == [site for site in places["site"] for _ in BUILDS]
    for name, column in swept.items():
        assert table[name].tolist() == column.tolist(), name


def test_all_sites_a_category_up_with_three_builds_at_three_lives(demo):
    places = sites(demo)
    del places["required_years"]
    table = overcoat.grid(
        brief({}),
        builds=BUILDS,
        sites=places,
        changes={
            "today": None,
            "a category up": overcoat.whatif.category_up,
            "less salt": {"chloride_mg_m2_day": 0.5},
        },
        required_years=[5, 10, 15],
    ).run(kind="pandas")
    assert len(table) == 3 * 40 * 3 * 3
    category = table.pivot_table(index="site", columns="change", values="category", aggfunc="first")
    order = ["C1", "C2", "C3", "C4", "C5", "CX"]
    ups = [
        order.index(up) - order.index(now)
        for up, now in zip(category["a category up"], category["today"], strict=True)
    ]
    assert set(ups) == {1}
    salt = table.pivot_table(index="site", columns="change", values="chloride_mg_m2_day")
    assert np.allclose(salt["less salt"] * 2, salt["today"])
    assert np.allclose(salt.loc[places["site"], "today"], places["chloride_mg_m2_day"])
    scores = table.pivot_table(index=["change", "required_years"], columns="build", values="probability_ok")
    assert (scores.loc["a category up"] <= scores.loc["today"]).all(axis=None)


TWICE_AS_GOOD = {
    "schema": "overcoat.catalog.v1",
    "name": "better wax",
    "sources": {"what_if": {"firmness": "assumption", "citation": "what if the wax held twice as long"}},
    "films": {"hard_wax": {"capacity_h": {"median": 120, "log_sd": 0.5, "source": "what_if"}}},
}


def test_a_catalog_per_scenario():
    better = overcoat.Catalog.from_json(json.dumps(TWICE_AS_GOOD))
    catalogs = {"today": overcoat.Catalog.default(), "better wax": better}
    table = overcoat.grid(brief(AIR), builds=BUILDS, catalog=catalogs, required_years=[1, 5]).run()
    years = table.pivot_table(index="build", columns="catalog", values="median_years")
    assert years.loc[BUILDS[0], "better wax"] == years.loc[BUILDS[0], "today"]
    assert years.loc[BUILDS[1], "better wax"] > 1.5 * years.loc[BUILDS[1], "today"]
    one = overcoat.grid(brief(AIR), builds=BUILDS, catalog=better, required_years=[1, 5]).run()
    assert "catalog" not in one.columns
    same = table[table["catalog"] == "better wax"].reset_index(drop=True)
    assert one["score"].tolist() == same["score"].tolist()


def whole(**moved):
    return overcoat.grid(brief(AIR), builds=BUILDS, **moved)


@settings(max_examples=20, deadline=None)
@given(
    rows=st.integers(1, 40),
    order=st.permutations(["chloride_mg_m2_day", "thread", "required_years"]),
    threads=st.integers(1, 3),
)
def test_any_cut_gives_the_same_bits(rows, order, threads):
    values = {"chloride_mg_m2_day": [1.0, 20.0, 90.0], "thread": ["M6", "M8"], "required_years": [2, 5, 9]}
    made = whole(**{name: values[name] for name in order})
    table = made.run(kind="dict", threads=1)
    parts = list(made.batches(rows, kind="dict", threads=threads))
    assert len(parts) == -(-len(made) // rows)
    for name, column in table.items():
        assert np.concatenate([part[name] for part in parts]).tolist() == column.tolist(), name


@pytest.mark.parametrize(
    ("kind", "made"),
    [("pandas", pd.DataFrame), ("polars", pl.DataFrame), ("arrow", pa.Table), ("dict", dict)],
)
def test_the_table_is_of_the_kind_asked_for_and_so_are_its_best_and_its_front(kind, made):
    grid = whole(chloride_mg_m2_day=[1.0, 90.0], failure=[{"loss_um": 30}, "first_rust"])
    table, plain = grid.run(kind=kind), grid.run(kind="dict")
    assert isinstance(table, made)

    def listed(table):
        if kind == "arrow":
            return table.to_pydict()
        names = table if kind == "dict" else table.columns
        return {name: list(table[name]) for name in names}

    assert listed(table) == {name: list(column) for name, column in plain.items()}
    for choose in (overcoat.best, overcoat.pareto):
        chosen, wanted = listed(choose(table)), choose(plain)
        assert {name: list(column) for name, column in wanted.items()} == chosen
    assert len(overcoat.best(plain)["score"]) == 4


@pytest.mark.parametrize("kind", ["pandas", "polars", "arrow", "dict"])
def test_labels_and_rows_without_a_result_come_in_every_kind(kind):
    places = {"site": ["Threlvane Head", "Voskomoth Pass"], "chloride_mg_m2_day": [4.0, None], "code": [7, 8]}
    table = overcoat.grid(brief(AIR), builds=BUILDS[:1], sites=places, required_years=[1, 2]).run(kind=kind)
    listed = {
        name: table[name].to_pylist() if kind == "arrow" else list(table[name])
        for name in ("site", "code", "category", "row_status", "score")
    }
    assert listed["site"] == [name for name in places["site"] for _ in (1, 2)]
    assert listed["code"] == [7, 7, 8, 8]
    assert listed["category"][0] == "C2"
    assert all(pd.isna(category) for category in listed["category"][2:])
    assert all(pd.isna(score) for score in listed["score"][2:])
    assert listed["row_status"][2:] == ["chloride_missing"] * 2


def test_the_best_and_the_front_are_those_of_a_ranking():
    salt = [0.0, 30.0, 200.0]
    columns = ["build", "score", "probability_ok", "cost_per_thousand", "blocked", "burden"]
    table = overcoat.grid(brief(AIR), chloride_mg_m2_day=salt).run(columns=columns)
    mixed = table.sample(frac=1.0, random_state=4)
    best = overcoat.best(mixed).sort_values("chloride_mg_m2_day")
    front = overcoat.pareto(mixed)
    for row, value in enumerate(salt):
        ranking = overcoat.rank(brief(AIR | {"chloride_mg_m2_day": value}))
        assert best["build"].iloc[row] == str(ranking.best.build)
        on_front = {str(option.build) for option in ranking if option.on_pareto_front}
        assert set(front.loc[front["chloride_mg_m2_day"] == value, "build"]) == on_front


def test_a_bad_row_has_a_reason_and_no_result_by_either_way():
    for duty in (AIR, {"place": "coastal"}):
        table = overcoat.grid(brief(duty), builds=BUILDS, chloride_mg_m2_day=[5.0, None, -4.0]).run(
            kind="dict"
        )
        assert np.isnan(table["score"][::3]).tolist() == [False, True, True]
        assert np.isnan(table["cost_per_thousand"][::3]).tolist() == [False, True, True]
        assert table["row_status"][::3].tolist()[1:] == ["chloride_missing", "chloride_out_of_range"]
        assert table["category"][3] is None
        with pytest.warns(UserWarning, match="2 of 3 rows have no usable build"):
            only = overcoat.best(table)
        assert only["chloride_mg_m2_day"].tolist() == [5.0]


@pytest.mark.parametrize(
    ("moved", "error", "words"),
    [
        ({"chloride_mg_m2": [1.0]}, overcoat.UnknownNameError, 'mean "chloride_mg_m2_day"'),
        ({"fields": {"duty.thread": ["M6"]}}, overcoat.UnknownNameError, "thread"),
        ({"thread": "M6"}, overcoat.InvalidValueError, "list or span"),
        ({"required_years": 5}, overcoat.InvalidValueError, "list or span"),
        ({"required_years": []}, overcoat.InvalidValueError, "empty"),
        ({"required_years": ["five"]}, overcoat.InvalidValueError, "one number and one unit"),
        ({"sunlight": ["ful"]}, overcoat.OvercoatError, "sunlight"),
        ({"thread": ["M6x"]}, overcoat.OvercoatError, "thread"),
        (
            {"required_years": [1, 2], "thread": ["M6"], "paired": True},
            overcoat.InvalidValueError,
            "one length",
        ),
        ({"required_years": [1], "fields": {"required_years": [2]}}, overcoat.InvalidValueError, "twice"),
        ({"sites": {"chloride_mg_m2_dy": [1.0]}}, overcoat.UnknownNameError, "chloride_mg_m2_day"),
        ({"sites": {"site": ["Threlvane Head"]}}, overcoat.TableError, "no field"),
        ({"sites": {"temperature_c": [1.0, 2.0], "site": ["a"]}}, overcoat.TableError, "equal length"),
        ({"catalog": {}}, overcoat.InvalidValueError, "catalog"),
        ({name: range(1, 9_999) for name in NUMBERED}, overcoat.InvalidValueError, "2.62"),
        ({"changes": {"x": {"thread": 2.0}}}, overcoat.OvercoatError, "thread"),
        ({"changes": {"x": {"chloride_mg_m2_day": lambda salt: salt[:0]}}}, overcoat.TableError, "0 rows"),
    ],
)
def test_what_cannot_be_a_grid_is_refused(moved, error, words):
    with pytest.raises(error, match=words) as caught:
        whole(**moved).run()
    assert {"kind", "field", "remedy"} <= set(vars(caught.value))


def test_what_cannot_be_asked_of_a_grid_is_refused():
    grid = whole(required_years=[1, 2])
    with pytest.raises(overcoat.UnknownNameError, match="pandas"):
        grid.run(kind="panda")
    with pytest.raises(overcoat.InvalidValueError, match="rows"):
        grid.batches(0)
    big = whole(required_years=overcoat.span(1, 50, 20_000), chloride_mg_m2_day=overcoat.span(0, 300, 20_000))
    with pytest.raises(overcoat.InvalidValueError, match="batches"):
        big.run()
    first = next(big.batches(7, kind="dict"))
    assert len(first["score"]) == 21
    for words in (
        {"low": 0, "high": 5, "count": 3, "ratio": True},
        {"low": 0, "high": float("nan"), "count": 3},
    ):
        with pytest.raises(overcoat.InvalidValueError, match="span"):
            overcoat.span(**words)
    with pytest.raises(overcoat.InvalidValueError, match="span.count"):
        overcoat.span(0, 5, 1)
    for choose in (overcoat.best, overcoat.pareto):
        with pytest.raises(overcoat.TableError, match="probability_ok"):
            choose({"score": [1.0]})
    with pytest.raises(overcoat.TableError, match="cost_per_thousand"):
        overcoat.pareto({"row": [0], "score": [1.0], "probability_ok": [1.0], "blocked": [False]})


def test_a_place_without_a_next_category_is_named_by_its_row():
    table = {name: [value, value] for name, value in AIR.items()}
    table["so2_mg_m2_day"][1] = table["chloride_mg_m2_day"][1] = 0.0
    with pytest.raises(overcoat.TableError, match="row 2"):
        overcoat.whatif.category_up(table)
    worse = overcoat.whatif.category_up(pa.table({name: [value] for name, value in AIR.items()}))
    assert isinstance(worse, pa.Table)
    assert worse["temperature_c"].to_pylist() == [11.0]


ENDLESS = """
import json, sys
import overcoat
brief = overcoat.Brief.from_json(json.dumps({brief}))
span = overcoat.span
grid = overcoat.grid(brief, chloride_mg_m2_day=span(0, 300, 100_000), required_years=span(1, 40, 900))
done = 0
try:
    for table in grid.batches({rows}, kind="dict", progress={progress}):
        done += len(table["score"])
        print(done, flush=True)
except KeyboardInterrupt:
    print("left with", done, flush=True)
    sys.exit(7)
"""


def endless(duty: dict, rows, progress=False) -> str:
    return ENDLESS.format(brief=json.loads(brief(duty).to_json()), rows=rows, progress=progress)


@pytest.mark.parametrize(
    ("duty", "rows"), [(AIR, None), ({"place": "coastal"}, 2000)], ids=["kernel", "ranking"]
)
def test_ctrl_c_leaves_with_the_parts_that_are_done(duty, rows):
    child = subprocess.Popen(
        [sys.executable, "-c", endless(duty, rows)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )
    try:
        first = int(child.stdout.readline())
        assert first > 0
        child.send_signal(signal.SIGINT)
        start = time.perf_counter()
        out, err = child.communicate(timeout=60)
        assert time.perf_counter() - start < 30
    finally:
        child.kill()
    assert (child.returncode, err) == (7, "")
    last = out.splitlines()[-1]
    assert last.startswith("left with")
    assert int(last.split()[-1]) >= first


def test_a_bar_shows_on_a_terminal_and_nothing_elsewhere():
    screen, line = pty.openpty()
    child = subprocess.Popen(
        [sys.executable, "-c", endless(AIR, 20_000, None)],
        stdout=subprocess.PIPE,
        stderr=line,
        encoding="utf-8",
        env=os.environ | {"TERM": "xterm", "COLUMNS": "90"},
    )
    os.close(line)
    shown = b""
    try:
        while b"rows" not in shown and child.poll() is None:
            shown += os.read(screen, 4096)
        child.send_signal(signal.SIGINT)
        child.communicate(timeout=60)
    finally:
        child.kill()
        os.close(screen)
    assert b"rows" in shown
    assert child.returncode == 7
    # without a terminal the same work is silent: the test above finds nothing on standard error
    quiet = subprocess.run(
        [sys.executable, "-c", endless(AIR, 20_000, None).replace("100_000", "200")],
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=True,
    )
    assert quiet.stderr == ""
