"""Tables that used to run and mislead: each is obeyed, refused with the remedy, or remarked on."""

import json
import os
import re
import stat
import threading
import warnings

import numpy as np
import pandas as pd
import pint
import polars as pl
import pyarrow as pa
import pytest

import overcoat as oc

BLACK = "steel_4_6 / hot_alkaline"
WAX, POWDER = f"{BLACK} / hard_wax", f"{BLACK} / polyester_powder"
AIR = {
    "temperature_c": [9.0, 12.0, 15.0],
    "relative_humidity_pct": [78.0, 80.0, 75.0],
    "so2_mg_m2_day": [3.0, 4.0, 20.0],
    "chloride_mg_m2_day": [2.0, 80.0, 5.0],
}
BRIEF = oc.Brief(part={"base_metal": "steel_4_6"}, duty={"required_years": 5})
KINDS = {"dict": dict, "pandas": pd.DataFrame, "polars": pl.DataFrame, "arrow": pa.table}


def row_brief(row, **duty):
    return BRIEF.replace(shelter="open", **{name: column[row] for name, column in AIR.items()}, **duty)


ORDERED = ["build", "score", "probability_ok", "cost_per_thousand", "blocked", "burden"]


def values(table, name):
    return table[name].to_pylist() if isinstance(table, pa.Table) else list(table[name])


# 1: duty columns


@pytest.mark.parametrize("kind", KINDS)
def test_every_column_that_is_a_field_of_the_duty_is_obeyed(kind):
    moved = {
        "heat_continuous_c": [20.0, 250.0, 60.0],
        "handling": ["none", "frequent", "occasional"],
        "rain_washed": [True, False, True],
        "sunlight": ["none", "full", "partial"],
        "failure": ["first_rust", '{"loss_um": 30}', "first_rust"],
    }
    found = oc.sweep(KINDS[kind]({**AIR, **moved}), BRIEF, builds=[WAX, POWDER])
    for place, score in enumerate(values(found, "score")):
        row = place // 2
        duty = {name: column[row] for name, column in moved.items()}
        duty["failure"] = {"loss_um": 30} if row == 1 else "first_rust"
        option = oc.rank(row_brief(row, **duty))[values(found, "build")[place]]
        assert score == pytest.approx(option.score, rel=1e-12)
        assert values(found, "probability_ok")[place] == pytest.approx(
            option.outlook.probability_ok, rel=1e-9
        )
        assert bool(values(found, "blocked")[place]) == option.blocked


def test_polyester_powder_at_250_degrees_does_not_last():
    hot = oc.sweep({**AIR, "heat_continuous_c": [250.0] * 3}, BRIEF, builds=[POWDER])
    assert (hot["probability_ok"] < 1e-3).all()


@pytest.mark.parametrize("name", ["place", "first_year_steel_loss_um"])
def test_other_ways_to_the_air_are_obeyed_row_by_row(name):
    column = {"place": ["rural", "coastal", "urban"], "first_year_steel_loss_um": [8.0, 40.0, 80.0]}[name]
    found = oc.sweep({"site": ["a", "b", "c"], name: column}, BRIEF, builds=[WAX])
    for row, value in enumerate(column):
        option = oc.rank(BRIEF.replace(**{name: value}))[WAX]
        assert found["score"][row] == option.score
    assert list(found["site"]) == ["a", "b", "c"]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("column", "field"),
    [("required_year", "required_years"), ("Shelter", "shelter"), ("heat_peak_f", "heat_peak_c")],
)
def test_a_near_miss_is_refused_with_the_nearest_name(kind, column, field):
    with pytest.raises(oc.UnknownNameError, match=field) as caught:
        oc.sweep(KINDS[kind]({**AIR, column: [1.0, 2.0, 3.0]}), BRIEF)
    assert (caught.value.value, caught.value.nearest) == (column, field)


def test_a_field_that_a_row_cannot_have_leaves_the_row_without_a_result():
    found = oc.sweep({**AIR, "handling": ["none", "dayly", None]}, BRIEF, builds=[WAX])
    assert list(found["row_status"]) == ["ok", "handling_refused", "ok"]
    assert np.isnan(found["score"]).tolist() == [False, True, False]


def test_in_a_file_words_and_numbers_of_any_field_are_read(tmp_path):
    frame = pd.DataFrame({**AIR, "handling": ["none", "frequent", ""], "heat_continuous_c": ["", 120, 60]})
    frame.to_csv(tmp_path / "in.csv", index=False)
    oc.sweep_file(tmp_path / "in.csv", tmp_path / "out.parquet", BRIEF, builds=[WAX])
    found = pd.read_parquet(tmp_path / "out.parquet")
    for row, duty in enumerate(
        [{}, {"handling": "frequent", "heat_continuous_c": 120}, {"heat_continuous_c": 60}]
    ):
        assert found["score"][row] == pytest.approx(oc.rank(row_brief(row, **duty))[WAX].score, rel=1e-12)


# 2: batches


@pytest.mark.parametrize("kind", ["pandas", "polars", "arrow"])
def test_a_table_counts_as_its_batches(kind):
    (found,) = oc.sweep_batches(KINDS[kind](AIR), BRIEF, builds=[WAX])
    assert found.num_rows == 3


# 3: clashes of names


@pytest.mark.parametrize("name", ["category", "score", "build", "row_status"])
@pytest.mark.parametrize("ask", ["sweep", "grid"])
def test_a_column_named_like_a_result_is_refused(name, ask):
    table = {**AIR, name: ["x", "y", "z"]}
    with pytest.raises(oc.TableError, match=f"`{name}`"):
        oc.sweep(table, BRIEF) if ask == "sweep" else oc.grid(BRIEF, sites=table).run()


def test_a_column_row_is_carried_and_ten_sites_stay_ten():
    sites = {"row": [7, 7, 8], **AIR}
    found = oc.grid(BRIEF, builds=[WAX, POWDER], sites=sites).run(kind="dict")
    assert list(found["row"]) == [7, 7, 7, 7, 8, 8] and len(found["score"]) == 6


@pytest.mark.parametrize("kind", KINDS)
def test_a_column_row_never_joins_what_other_columns_tell_apart(kind):
    sites = KINDS[kind]({"row": [1, 1, 1], **AIR})
    found = oc.grid(BRIEF, builds=[WAX, POWDER], sites=sites).run()
    assert len(values(oc.best(found), "build")) == 3
    assert values(oc.best(oc.sweep(sites, BRIEF, builds=[WAX])), "row") == [1, 1, 1]


@pytest.mark.parametrize("kind", KINDS)
def test_a_grid_in_which_nothing_moves_has_a_row_for_each_catalog_and_build(kind):
    brief = row_brief(0)
    catalogs = {"here": oc.Catalog.default(), "again": oc.Catalog.default()}
    found = oc.grid(brief, builds=[WAX, POWDER], catalog=catalogs).run(kind=kind)
    assert values(found, "catalog") == ["here", "here", "again", "again"]
    assert values(found, "build") == [WAX, POWDER] * 2
    for place, score in enumerate(values(found, "score")):
        assert score == pytest.approx(oc.rank(brief)[values(found, "build")[place]].score, rel=1e-9)
    assert len(values(oc.grid(brief, builds=[WAX]).run(kind=kind), "score")) == 1


# near misses and fields that a sweep does not vary


@pytest.mark.parametrize(
    ("column", "field"),
    [
        ("rain_wash", "rain_washed"),
        ("heat_c", "heat_continuous_c"),
        ("years", "required_years"),
        ("years_required", "required_years"),
        ("first_year_loss", "first_year_steel_loss_um"),
        ("hardness", "hardness_hv"),
        ("property_clas", "property_class"),
    ],
)
def test_near_misses_and_everyday_words_are_refused_with_the_field_meant(column, field, tmp_path):
    table = {**AIR, column: [1.0, 2.0, 3.0]}
    pd.DataFrame(table).to_csv(tmp_path / "in.csv", index=False)
    for ask in (
        lambda: oc.sweep(table, BRIEF),
        lambda: oc.grid(BRIEF, sites=table),
        lambda: oc.sweep_file(tmp_path / "in.csv", tmp_path / "out.csv", BRIEF),
    ):
        with pytest.raises(oc.UnknownNameError) as caught:
            ask()
        assert (caught.value.value, caught.value.nearest) == (column, field)


@pytest.mark.parametrize(
    "column", ["hardness_hv", "property_class", "thread", "part.mass_g", "lot_pieces", "target_probability"]
)
def test_a_field_of_the_part_or_the_wants_is_not_varied_by_a_sweep_and_says_so(column):
    with pytest.raises(oc.TableError, match=r"overcoat\.grid") as caught:
        oc.sweep({**AIR, column: [1, 2, 3]}, BRIEF)
    assert column in str(caught.value)


def test_a_grid_varies_them():
    asked = oc.grid(row_brief(0), builds=[WAX], sites={"hardness_hv": [200, 400]})
    with pytest.warns(UserWarning, match=r"findings that other rows do not have.*embrittlement.*\(row 2\)"):
        found = asked.run(kind="dict")
    assert list(found["hardness_hv"]) == [200, 400]


@pytest.mark.parametrize(
    "column",
    [
        "site",
        "name",
        "customer",
        "remark",
        "latitude",
        "longitude",
        "year",
        "id",
        "country",
        "part_number",
        "notes",
    ],
)
def test_labels_are_carried(column):
    found = oc.sweep({**AIR, column: ["x", "y", "z"]}, BRIEF, builds=[WAX])
    assert list(found[column]) == ["x", "y", "z"]


def test_an_everyday_word_beside_its_field_is_a_label():
    found = oc.sweep({**AIR, "required_years": [1, 2, 3], "years": ["a", "b", "c"]}, BRIEF, builds=[WAX])
    assert list(found["years"]) == ["a", "b", "c"]


@pytest.mark.parametrize(("given", "field"), [("years", "required_years"), ("rain", "rain_washed")])
def test_a_field_asked_for_in_an_everyday_word_is_named(given, field):
    for ask in (lambda: oc.grid(BRIEF, **{given: [1]}), lambda: BRIEF.replace(**{given: 1})):
        with pytest.raises(oc.UnknownNameError) as caught:
            ask()
        assert caught.value.nearest == field


def test_two_columns_of_one_name_are_refused():
    frame = pd.concat([pd.DataFrame(AIR), pd.DataFrame({"temperature_c": [1, 2, 3]})], axis=1)
    with pytest.raises(oc.TableError, match="two columns"):
        oc.sweep(frame, BRIEF)


# 3: years beyond all that was observed


@pytest.mark.parametrize("place", [{"place": "rural"}, {name: column[0] for name, column in AIR.items()}])
def test_a_table_meets_no_brief_beyond_the_evidence(place, tmp_path):
    part = {"form": "hexagon_head_screw", "thread": "M12", "length_mm": 30, "base_metal": "stainless_2205"}
    brief = oc.Brief(part=part, duty={**place, "required_years": 60})
    if "place" not in place:
        brief = brief.replace(shelter="open")
    ranking = oc.rank(brief)
    assert not ranking.met and any(option.outlook.probability_ok > 0.99 for option in ranking)
    path = tmp_path / "places.csv"
    pd.DataFrame({name: [value] for name, value in place.items()}).to_csv(path, index=False)
    oc.sweep_file(path, tmp_path / "found.parquet", brief=brief)
    tables = [
        oc.sweep({name: [value] for name, value in place.items()}, brief),
        oc.grid(brief, required_years=[60.0]).run(kind="dict"),
        pd.read_parquet(tmp_path / "found.parquet"),
    ]
    for table in tables:
        for build, met, status in zip(table["build"], table["met"], table["row_status"], strict=True):
            option = ranking[str(build)]
            assert (bool(met), status) == (option.met, option.row_status), build
    assert set(tables[0]["row_status"]) == {"ok_beyond_evidence"}
    best = oc.sweep({name: [value] for name, value in place.items()}, brief, best_only=True)
    assert not best["met"][0] and best["row_status"][0] == "ok_beyond_evidence"


# 4: units


@pytest.mark.parametrize("ask", ["loss", "sweep"])
def test_arrays_with_units_are_converted(ask):
    units = pint.UnitRegistry()
    table = {
        **AIR,
        "temperature_c": units.Quantity(np.array(AIR["temperature_c"]) * 1.8 + 32, "degF"),
        "chloride_mg_m2_day": units.Quantity(np.array(AIR["chloride_mg_m2_day"]) / 1000, "g/m**2/day"),
    }
    if ask == "loss":
        assert oc.first_year_loss("steel", **table) == pytest.approx(
            oc.first_year_loss("steel", **AIR), rel=1e-9
        )
    else:
        found, wanted = (oc.sweep(t, BRIEF, builds=[WAX])["score"] for t in (table, AIR))
        assert found == pytest.approx(wanted, rel=1e-9)
    with pytest.raises(oc.InvalidValueError, match="°C"):
        oc.first_year_loss("steel", units.Quantity(3.0, "kg"), 80.0, 5.0, 10.0)


UNITS = pint.UnitRegistry()
COLD = {**AIR, "temperature_c": UNITS.Quantity(np.array(AIR["temperature_c"]) * 1.8 + 32, "degF")}
SALTY = {
    **COLD,
    "chloride_mg_m2_day": UNITS.Quantity(np.array(AIR["chloride_mg_m2_day"]) / 1000, "g/m**2/day"),
}


def listed(table):
    """A table of lists, of quantities where it has them."""
    return {name: list(column) for name, column in table.items()}


def scores_of_grid(**moved):
    return oc.grid(BRIEF, builds=[WAX], **moved).run(kind="dict")["score"]


def years_both(low, high):
    return oc.sensitivity(row_brief(1), WAX, points=2, temperature_c=(low, high)).tornado[0].at_high


# wherever a column, a list or the ends of a range are taken: the same with and without units
@pytest.mark.parametrize(
    "ask",
    [
        lambda air: oc.first_year_loss("steel", **air),
        lambda air: oc.first_year_loss("steel", **listed(air)),
        lambda air: oc.first_year_losses(**listed(air))["zinc"],
        lambda air: oc.sweep(air, BRIEF, builds=[WAX])["score"],
        lambda air: scores_of_grid(sites=air),
        lambda air: scores_of_grid(sites=listed(air)),
        lambda air: scores_of_grid(**air, paired=True),
        lambda air: scores_of_grid(**listed(air), paired=True),
        lambda air: oc.whatif.category_up(air)["chloride_mg_m2_day"],
        lambda air: oc.whatif.category_up(listed(air))["so2_mg_m2_day"],
    ],
)
def test_units_are_converted_wherever_a_column_is_taken(ask):
    wanted = ask(AIR)
    assert ask(SALTY) == pytest.approx(wanted, rel=1e-9)
    assert len(wanted) > 1


def test_units_are_converted_in_fields_and_ends_of_ranges():
    months = UNITS.Quantity(np.array([12, 30]), "month")
    for years in (months, list(months), ["12 months", "30 months"], ["1 year", 2.5]):
        assert scores_of_grid(sites=AIR, required_years=years).tolist() == pytest.approx(
            scores_of_grid(sites=AIR, required_years=[1.0, 2.5]).tolist()
        )
    warmer = {
        "plain": lambda now: {"temperature_c": now["temperature_c"] + 5.0},
        "in kelvin": lambda now: {"temperature_c": UNITS.Quantity(now["temperature_c"] + 278.15, "kelvin")},
    }
    plain, kelvin = scores_of_grid(sites=AIR, changes=warmer).reshape(2, -1)
    assert kelvin == pytest.approx(plain, rel=1e-9)
    hot = UNITS.Quantity(np.array([104.0]), "degF")
    for heat in (hot, list(hot), ["104 °F"]):
        assert scores_of_grid(sites=AIR, heat_continuous_c=heat).tolist() == pytest.approx(
            scores_of_grid(sites=AIR, heat_continuous_c=[40.0]).tolist()
        )
    ends = [UNITS.Quantity(12, "month"), UNITS.Quantity(120, "month")]
    other = "steel_4_6 / hot_alkaline / polyester_powder"
    assert oc.break_even(row_brief(1), (WAX, other), required_years=ends) == oc.break_even(
        row_brief(1), (WAX, other), required_years=(1.0, 10.0)
    )
    cold, warm = UNITS.Quantity(41.0, "degF"), UNITS.Quantity(68.0, "degF")
    assert years_both(cold, warm) == pytest.approx(years_both(5.0, 20.0), rel=1e-9)
    for wrong in (UNITS.Quantity(3.0, "kg"), "3 kg", "3"):
        with pytest.raises(oc.InvalidValueError):
            scores_of_grid(sites=AIR, required_years=[wrong])


# 5: money


def test_each_result_says_its_currency():
    found = oc.sweep(AIR, BRIEF, builds=[WAX])
    (currency,) = set(found["currency"])
    assert currency == oc.rank(row_brief(0)).best.cost.currency
    cents = {"schema": "overcoat.catalog.v1", "name": "elsewhere", "prices": {"currency": "XTS"}}
    two = {"here": oc.Catalog.default(), "there": oc.Catalog.from_dict(cents)}
    table = oc.grid(row_brief(0), builds=[WAX], catalog=two, required_years=[1, 5]).run(kind="dict")
    assert list(zip(table["catalog"], table["currency"], strict=True)) == [
        ("here", currency),
        ("here", currency),
        ("there", "part XTS, part relative"),
        ("there", "part XTS, part relative"),
    ]
    # one word at every door
    ranked = oc.rank(row_brief(0), catalog=two["there"])
    assert {option.cost.currency for option in ranked} == {"part XTS, part relative"}
    assert set(ranked.to_pandas()["currency"]) == {"part XTS, part relative"}
    swept = oc.sweep(AIR, BRIEF, builds=[WAX], catalog=two["there"])
    assert set(swept["currency"]) == {"part XTS, part relative"}


# 7 and 8: rows stay where they belong


def test_a_filtered_frame_keeps_its_columns_and_its_index():
    frame = pd.DataFrame(
        {"site": list("abc"), "shelter": ["open", "indoor", "open"], **AIR}, index=[10, 20, 30]
    )
    found = oc.sweep(frame[frame["shelter"] == "open"], BRIEF, builds=[WAX, POWDER])
    assert found.index.tolist() == [10, 10, 30, 30]
    assert found["site"].tolist() == ["a", "a", "c", "c"]
    assert "row" not in found.columns
    with pytest.warns(UserWarning, match=r"indoors it overstates the loss.*\(row 2\)"):
        whole = oc.sweep(frame, BRIEF, builds=[WAX, POWDER])
    assert found["score"].tolist() == whole.loc[[10, 30], "score"].tolist()


# 9: quotes


@pytest.mark.parametrize("place", ["first", "last"])
def test_a_quote_that_is_not_closed_is_refused(tmp_path, place):
    lines = [f"s{i},9,78,3,2" for i in range(100)]
    names = ["site", *AIR]
    if place == "last":
        lines = [f"9,78,3,2,s{i}" for i in range(100)]
        names = [*AIR, "site"]
    lines[3] = f'"{lines[3]}' if place == "first" else lines[3].replace("s3", '"s3')
    path = tmp_path / "in.csv"
    path.write_text("\n".join([",".join(names), *lines]) + "\n", encoding="utf-8")
    with pytest.raises(oc.OvercoatError, match="quot"):
        oc.sweep_file(path, tmp_path / "out.csv", BRIEF, builds=[WAX])
    # closed again many rows below
    lines[60] += '"'
    path.write_text("\n".join([",".join(names), *lines]) + "\n", encoding="utf-8")
    with pytest.raises(oc.OvercoatError, match="quot"):
        oc.sweep_file(path, tmp_path / "out.csv", BRIEF, builds=[WAX])
    assert [file.name for file in tmp_path.iterdir()] == ["in.csv"]


@pytest.mark.parametrize(("first", "last"), [(10, 40), (10, 11), (0, 59)])
def test_two_quotes_swallow_no_rows(tmp_path, first, last):
    lines = [f"9,78,3,2,s{i}" for i in range(60)]
    lines[first] = lines[first].replace("s", '"s')
    lines[last] += 'x"'
    path = tmp_path / "in.csv"
    path.write_text("\n".join([",".join([*AIR, "site"]), *lines]) + "\n", encoding="utf-8")
    with pytest.raises(oc.TableError, match=f"row {first + 1}: the quotation mark .* never closed"):
        oc.sweep_file(path, tmp_path / "out.csv", BRIEF, builds=[WAX])
    assert [file.name for file in tmp_path.iterdir()] == ["in.csv"]


# 2: what is given and not used


ODD = {"mating_area_ratio": [None, 50.0, None], "sea_distance_m": [None, None, 15.0]}


@pytest.mark.parametrize("door", ["sweep", "grid", "batches", "file"])
def test_remarks_of_rows_reach_the_user(tmp_path, door):
    table = {**AIR, "chloride_mg_m2_day": [12.0] * 3, **ODD}
    said = ["mating_area_ratio", "15 m from the sea"]
    if door == "file":
        pd.DataFrame(table).to_csv(tmp_path / "in.csv", index=False)
        remarks = oc.sweep_file(tmp_path / "in.csv", tmp_path / "out.csv", BRIEF, builds=[WAX]).remarks
        told = "; ".join(remarks)
    else:
        with pytest.warns(UserWarning, match="not in the results") as caught:
            if door == "sweep":
                oc.sweep(table, BRIEF, builds=[WAX])
            elif door == "grid":
                oc.grid(BRIEF, builds=[WAX], sites=pd.DataFrame(table)).run()
            else:
                list(oc.sweep_batches(pa.table(table), BRIEF, builds=[WAX]))
        assert len(caught) == 1
        told = str(caught[0].message)
    assert "(row 2)" in told and "(row 3)" in told
    assert all(word in told.replace("mating area ratio", "mating_area_ratio") for word in said), told


def test_a_table_without_odd_rows_warns_of_nothing(recwarn):
    oc.sweep(AIR, BRIEF, builds=[WAX])
    assert not recwarn.list


# 10: reasons


def test_a_blocked_row_says_what_blocks_it_and_the_status_is_of_the_row():
    builds = [WAX, "steel_4_6 / fused_salt / hard_wax"]
    found = oc.sweep(AIR, BRIEF, builds=builds)
    rules = [option.blocked_by for option in (oc.rank(row_brief(0, wants={"builds": None}))[WAX],)]
    assert found["blocked_by"][0] is None and rules == [None]
    assert found["blocked_by"][1] == "substrate.class"
    assert set(found["row_status"]) == {"ok"}
    dear = BRIEF.replace(cost_limit_per_thousand=1.0)
    assert set(oc.sweep(AIR, dear, builds=[WAX])["blocked_by"]) == {"cost.limit"}


def test_humidity_in_fractions_is_counted(tmp_path):
    frame = pd.DataFrame({**AIR, "relative_humidity_pct": [0.78, 0.8, 0.75]})
    frame.to_csv(tmp_path / "in.csv", index=False)
    done = oc.sweep_file(tmp_path / "in.csv", tmp_path / "out.csv", BRIEF, builds=[WAX])
    assert (done.bad_rows, done.extrapolated_rows) == (3, 0)


# 11: one order


def test_the_best_is_the_same_by_every_way(tmp_path):
    best = oc.sweep(AIR, BRIEF, best_only=True)
    frame = pd.DataFrame(AIR)
    frame.to_csv(tmp_path / "in.csv", index=False)
    oc.sweep_file(tmp_path / "in.csv", tmp_path / "out.csv", BRIEF, best_only=True)
    in_file = pd.read_csv(tmp_path / "out.csv")
    by_grid = oc.grid(BRIEF, sites=AIR).run(kind="dict", best_only=True)
    chosen = oc.best(oc.sweep(AIR, BRIEF, columns=ORDERED))
    for row in range(3):
        wanted = str(oc.rank(row_brief(row)).best.build)
        found = {best["build"][row], in_file["build"][row], by_grid["build"][row], chosen["build"][row]}
        assert found == {wanted}


def settled(scores, burdens, **columns):
    """What `best` chooses of builds of one row."""
    table = {
        "build": [str(place) for place in range(len(scores))],
        "score": scores,
        "probability_ok": [0.5] * len(scores),
        "blocked": [False] * len(scores),
        **({"burden": burdens} if burdens else {}),
        **columns,
    }
    return oc.best(table)["build"].tolist()


def test_a_tie_goes_to_fewer_and_milder_findings_and_a_hexavalent_bath_comes_last():
    assert settled([0.504, 0.5, 0.5], [1_000_000.0, 201.0, 200.0]) == ["2"]
    assert settled([0.506, 0.5], [100_000.0, 0.0]) == ["0"]
    assert settled([0.51, 0.5], None) == ["0"]


def test_without_the_burden_a_hexavalent_bath_still_comes_last():
    treatments = json.loads(oc.Catalog.default().to_json())["treatments"]
    bath = next(name for name, t in treatments.items() if t["hexavalent_chromium"] == "bath")
    clean = next(name for name, t in treatments.items() if t["hexavalent_chromium"] != "bath")
    with pytest.warns(UserWarning, match="burden"):
        assert settled([0.504, 0.5], None, treatment=[bath, clean]) == ["1"]
    with pytest.warns(UserWarning, match="burden"):
        assert settled([0.504, 0.5], None, treatment=[clean, bath]) == ["0"]
    assert settled([0.51, 0.5], None, treatment=[bath, clean]) == ["0"]


def test_a_tie_settled_without_the_burden_warns_where_it_was_called():
    with pytest.warns(UserWarning, match=r'columns=\[\.\.\., "burden"\].*best_only=True') as caught:
        settled([0.504, 0.5], None)
    assert caught[0].filename == __file__
    # no tie, or a tie with the burden: warnings are errors here
    settled([0.51, 0.5], None)
    settled([0.504, 0.5], [1.0, 0.0])


@pytest.mark.parametrize("kind", KINDS)
def test_tables_carry_what_settles_ties(kind):
    found = oc.sweep(KINDS[kind](AIR), BRIEF, columns=["build", "treatment", "burden"])
    for row in range(3):
        ranking = oc.rank(row_brief(row))
        builds = [str(option.build) for option in ranking]
        here = [i for i in range(len(builds) * row, len(builds) * (row + 1))]
        assert {values(found, "build")[i]: values(found, "burden")[i] for i in here} == {
            str(option.build): option.burden for option in ranking
        }
        for option in ranking:
            counted = [f.kind for f in option.findings if not f.rule.startswith("outlook.")]
            hundreds, needs = divmod(option.burden % 100_000, 100)
            assert (hundreds, needs) == (
                counted.count("needs") + counted.count("warns"),
                counted.count("needs"),
            )
    treatments = json.loads(oc.Catalog.default().to_json())["treatments"]
    for treatment, burden in zip(values(found, "treatment"), values(found, "burden"), strict=True):
        assert (burden >= 100_000) == (treatments[treatment]["hexavalent_chromium"] == "bath")


@pytest.mark.parametrize("kind", KINDS)
def test_tables_count_the_dangers_of_each_row(kind):
    part = {"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_12_9"}
    screws = oc.Brief(part=part, duty={"required_years": 5})
    found = oc.sweep(KINDS[kind](AIR), screws, columns=["build", "dangers"])
    each = len(values(found, "build")) // 3
    for row in range(3):
        own = screws.replace(shelter="open", **{name: column[row] for name, column in AIR.items()})
        counted = {str(option.build): option.dangers for option in oc.rank(own)}
        here = range(each * row, each * (row + 1))
        assert {values(found, "build")[i]: values(found, "dangers")[i] for i in here} == counted
        assert any(counted.values())


def test_the_best_of_any_part_of_a_table_is_that_of_a_ranking_of_its_builds():
    found = oc.sweep(pd.DataFrame(AIR), BRIEF, columns=ORDERED)
    builds = list(found["build"].cat.categories)
    for start in range(0, len(builds), 7):
        some = builds[start : start + 25]
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", message=".* rows have no usable build")
            best = oc.best(found[found["build"].isin(some)])
        for row, build in enumerate(best["build"]):
            asked = row_brief(row).replace(wants={"builds": None})
            ranked = [str(option.build) for option in oc.rank(asked) if not option.blocked]
            # an order of scores with their ties, looked up in the ranking of these builds alone
            alone = oc.grid(asked, builds=some).run(kind="dict", best_only=True)
            assert build in ranked and build == alone["build"][0]


def test_a_table_of_a_ranking_is_one_row():
    ranking = oc.rank(row_brief(1))
    frame = ranking.to_pandas()
    assert oc.best(frame)["build"].tolist() == [str(ranking.best.build)]
    on_front = {str(option.build) for option in ranking if option.on_pareto_front}
    assert set(oc.pareto(frame)["build"]) == on_front


# 12: rows that belong together


def named_sweep(kind, **labels):
    """Three places and three builds, and columns that a user adds to the results, by build."""
    builds = [WAX, POWDER, f"{BLACK} / acrylic_lacquer"]
    sites = {"site": ["quay", "yard", "mill"], **AIR}
    found = oc.sweep(sites, BRIEF, builds=builds, columns=ORDERED)
    columns = {name: np.array(column) for name, column in found.items()}
    for name, words in labels.items():
        of = dict(zip(builds, words, strict=True))
        columns[name] = np.array([of[str(build)] for build in columns["build"]])
    return KINDS[kind](columns)


@pytest.mark.parametrize("kind", KINDS)
def test_a_short_name_of_the_build_parts_no_row(kind):
    plain, named = named_sweep(kind), named_sweep(kind, finish=["wax", "powder", "lacquer"])
    for choose in (oc.best, oc.pareto):
        assert values(choose(named), "build") == values(choose(plain), "build")
    assert sorted(values(oc.best(named), "site")) == ["mill", "quay", "yard"]


def test_the_counts_of_a_pivot_of_the_best_add_up_to_the_sites():
    sites = {"site": ["quay", "yard", "mill"], **AIR}
    grid = oc.grid(
        BRIEF.replace(shelter="open"), builds=[WAX, POWDER], sites=sites, required_years=[0.1, 1, 9]
    )
    found = grid.run(kind="pandas", columns=ORDERED)
    found["finish"] = found["build"].map({WAX: "wax", POWDER: "powder"})
    found["thick"] = found["finish"] == "powder"
    counts = oc.best(found).pivot_table(
        index="required_years", columns="finish", values="site", aggfunc="count", fill_value=0
    )
    assert counts.sum(axis=1).tolist() == [3, 3, 3]


def test_a_family_of_builds_parts_no_row_and_a_warning_says_so():
    named = named_sweep("pandas", family=["soft", "hard", "hard"])
    with pytest.warns(UserWarning, match=r"`family`.*group the table by it") as caught:
        best = oc.best(named)
    assert caught[0].filename == __file__
    assert best["build"].tolist() == oc.best(named.drop(columns="family"))["build"].tolist()
    apart = [oc.best(part.drop(columns="family"))["site"].tolist() for _, part in named.groupby("family")]
    assert apart == [["quay", "yard", "mill"]] * 2


@pytest.mark.parametrize("choose", [oc.best, oc.pareto])
def test_a_text_made_from_a_result_parts_rows_and_a_warning_names_it(choose):
    found = named_sweep("pandas")
    with warnings.catch_warnings():
        warnings.simplefilter("error", UserWarning)
        choose(found)
    found["in words"] = [f"about {score:.3f}" for score in found["score"]]
    with pytest.warns(UserWarning, match=r"several values of `in words`") as caught:
        choose(found)
    assert caught[0].filename == __file__


def test_one_build_for_each_of_several_places_warns_without_what_tells_the_places_apart():
    chosen = {
        "site": ["quay", "yard"],
        "build": [WAX, POWDER],
        "score": [0.5, 0.9],
        "probability_ok": [0.5, 0.9],
        "blocked": [False, False],
    }
    with pytest.warns(UserWarning, match="`site`.*`row`"):
        assert oc.best(chosen)["site"].tolist() == ["yard"]
    assert oc.best({"row": [0, 1], **chosen})["site"].tolist() == ["quay", "yard"]


@pytest.mark.parametrize("ask", ["loss", "sweep"])
def test_series_of_different_rows_are_not_paired_by_place(ask):
    series = {name: pd.Series(column, index=[1, 2, 3]) for name, column in AIR.items()}
    series["chloride_mg_m2_day"].index = [3, 2, 1]
    with pytest.raises(oc.TableError, match="index"):
        oc.first_year_loss("steel", **series) if ask == "loss" else oc.sweep(series, BRIEF)


# 15 and 20: files that are written


@pytest.fixture
def sites(tmp_path):
    path = tmp_path / "in.csv"
    pd.DataFrame(AIR).to_csv(path, index=False)
    return path


def test_the_mode_of_the_file_that_is_replaced_stays(tmp_path, sites):
    out = tmp_path / "out.csv"
    out.write_text("old", encoding="utf-8")
    out.chmod(0o640)
    oc.sweep_file(sites, out, BRIEF, builds=[WAX])
    assert stat.S_IMODE(out.stat().st_mode) == 0o640


def test_no_input_is_overwritten(tmp_path, sites):
    brief = tmp_path / "brief.csv"
    brief.write_text(BRIEF.to_json(), encoding="utf-8")
    for out in (sites, brief):
        before = out.read_bytes()
        with pytest.raises(oc.InvalidValueError, match="out"):
            oc.sweep_file(sites, out, brief, builds=[WAX])
        assert out.read_bytes() == before


def test_a_pipe_is_written_into(tmp_path, sites):
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    read = []
    reader = threading.Thread(target=lambda: read.append(pipe.read_text("utf-8")))
    reader.start()
    oc.sweep_file(sites, pipe, BRIEF, builds=[WAX])
    reader.join(timeout=30)
    assert len(read[0].splitlines()) == 4
    assert stat.S_ISFIFO(pipe.stat().st_mode)


# 12: rows are not paired by place


def test_series_of_other_rows_are_refused_at_every_door():
    turned = pd.Series([9.0, 12.0], index=[1, 0])
    other = pd.Series([78.0, 80.0], index=[0, 1])
    rust = pd.Series([True, True], index=[0, 1])
    air = {"temperature_c": turned, "relative_humidity_pct": other}
    for ask in (
        lambda: oc.fit_records(turned, rust),
        lambda: oc.fit_records({"hours": turned, "failed": rust}),
        lambda: oc.time_of_wetness(turned, other),
        lambda: oc.grid(BRIEF, paired=True, builds=[WAX], **air),
        lambda: oc.grid(BRIEF, builds=[WAX], sites=air),
    ):
        with pytest.raises(oc.TableError, match="paired by place"):
            ask()


def test_a_named_index_is_obeyed_or_refused():
    frame = pd.DataFrame({**AIR, "required_years": [1.0, 30.0, 5.0]}).set_index("required_years")
    for ask in (lambda: oc.sweep(frame, BRIEF, builds=[WAX]), lambda: oc.grid(BRIEF, sites=frame)):
        with pytest.raises(oc.TableError, match=r"reset_index"):
            ask()
    with pytest.raises(oc.TableError, match="`build`"):
        oc.sweep(pd.DataFrame(AIR, index=pd.Index([1, 2, 3], name="build")), BRIEF)
    named = oc.sweep(pd.DataFrame(AIR, index=pd.Index(["a", "b", "c"], name="site")), BRIEF, builds=[WAX])
    assert named.index.tolist() == ["a", "b", "c"] and named.index.name == "site"


# 4: units of a log, and of a brief in a file


def test_hours_with_a_unit_are_hours():
    units = pint.UnitRegistry()
    days = oc.fit_records(units.Quantity(np.array([2.0, 3.0, 4.0]), "day"), [True] * 3)
    assert days.median_hours == pytest.approx(oc.fit_records([48.0, 72.0, 96.0], [True] * 3).median_hours)
    with pytest.raises(oc.InvalidValueError, match="hours"):
        oc.fit_records(units.Quantity(np.array([2.0, 3.0]), "kg"), [True] * 2)


def test_a_unit_in_text_is_read_at_every_door(tmp_path):
    document = {
        "schema": "overcoat.brief.v1",
        "name": "x",
        "part": {"base_metal": "steel_4_6", "mass_g": "12 oz"},
        "duty": {"place": "rural", "required_years": "18 months"},
    }
    text = json.dumps(document)
    path = tmp_path / "brief.json"
    path.write_text(text, encoding="utf-8")
    for brief in (oc.Brief.from_json(text), oc.Brief.from_json(path), oc.Brief.from_dict(document)):
        assert brief.duty.required_years == pytest.approx(1.5)
        assert brief.part.mass_g == pytest.approx(12 * 28.349523125)
    for asked in (text, path, document):
        assert oc.rank(asked).brief.duty.required_years == pytest.approx(1.5)
    refused = text.replace("18 months", "18 parsecs")
    with pytest.raises(oc.OvercoatError, match="required_years"):
        oc.Brief.from_json(refused)


# 18: a few failures among many survivors


def test_failures_among_survivors_credit_no_more_than_was_tested():
    few = oc.fit_records([72.0, 90.0] + [96.0] * 58, [True, True] + [False] * 58, film="hard_wax")
    none = oc.fit_records([96.0] * 60, [False] * 60, film="hard_wax")
    assert few.estimate.median == none.estimate.median == 96.0
    entry = json.loads(few.catalog_entry("ours", "2026-01", "2026-02"))
    (source,) = entry["sources"].values()
    assert "2 failed" in source["citation"] and "lower bound" in source["citation"]
    assert any("beyond what was watched" in remark for remark in few.remarks)


def test_one_long_panel_among_short_ones_credits_no_hours():
    short = oc.fit_records([72.0, 90.0] + [96.0] * 58, [True, True] + [False] * 58, film="hard_wax")
    hours = [72.0, 90.0] + [96.0] * 57 + [1000.0]
    long = oc.fit_records(hours, [True, True] + [False] * 58, film="hard_wax")
    assert long.estimate.median == short.estimate.median
    entry = json.loads(long.catalog_entry("ours", "2026-01", "2026-02"))
    assert "lower bound" in next(iter(entry["sources"].values()))["citation"]


# a named index, at every door


def test_batches_of_a_frame_refuse_an_index_that_is_a_field():
    frame = pd.DataFrame({**AIR, "required_years": [1.0, 30.0, 5.0]}).set_index("required_years")
    with pytest.raises(oc.TableError, match="reset_index"):
        list(oc.sweep_batches(frame, BRIEF, builds=[WAX]))


def test_a_grid_carries_a_named_index_of_its_sites():
    frame = pd.DataFrame(AIR, index=pd.Index(["a", "b", "c"], name="station"))
    found = oc.grid(BRIEF, builds=[WAX], sites=frame).run(kind="pandas")
    assert found["station"].tolist() == ["a", "b", "c"]
    batches = [batch.to_pandas() for batch in oc.sweep_batches(frame, BRIEF, builds=[WAX])]
    assert pd.concat(batches)["station"].tolist() == ["a", "b", "c"]
    with pytest.raises(oc.TableError, match="index"):
        oc.grid(BRIEF, builds=[WAX], sites=frame.assign(station=1))


def test_quantities_in_a_list_of_a_grid_are_converted():
    unit = pint.UnitRegistry()
    rural = BRIEF.replace(place="rural")
    found = oc.grid(rural, builds=[WAX], required_years=[unit.Quantity(12, "month"), 2.0]).run(kind="pandas")
    assert found["required_years"].tolist() == pytest.approx([1.0, 2.0])
    with pytest.raises(oc.OvercoatError, match="required_years"):
        oc.grid(rural, builds=[WAX], required_years=[unit.Quantity(12, "kg")])


# a second column of a quantity of the air


@pytest.mark.parametrize(
    ("name", "field"),
    [
        ("rh", "relative_humidity_pct"),
        ("rh_pct", "relative_humidity_pct"),
        ("hum", "relative_humidity_pct"),
        ("humidity", "relative_humidity_pct"),
        ("temp", "temperature_c"),
        ("chloride_deposition", "chloride_mg_m2_day"),
        ("cl", "chloride_mg_m2_day"),
        ("salt", "road_salt.months_per_year"),
        ("loss_um", "first_year_steel_loss_um"),
    ],
)
def test_a_second_column_of_the_air_is_refused_with_its_field(name, field):
    with pytest.raises(oc.UnknownNameError, match=re.escape(field)):
        oc.sweep({**AIR, name: [1.0, 2.0, 3.0]}, BRIEF, builds=[WAX])


# a limit in a currency


def test_a_limit_is_not_held_against_a_total_in_part_at_relative_prices():
    catalog = {
        "schema": "overcoat.catalog.v1",
        "name": "ours",
        "sources": {"list": {"firmness": "common_practice", "citation": "price list"}},
        "prices": {"currency": "SEK", "blank_per_kg": {"value": 30, "source": "list"}},
    }
    brief = BRIEF.replace(cost_limit_per_thousand=5000)
    rural = brief.replace(place="rural")
    for ask in (
        lambda: oc.rank(rural, catalog=catalog),
        lambda: oc.sweep(AIR, brief, builds=[WAX], catalog=catalog),
        lambda: oc.sweep({"place": ["rural"]}, brief, builds=[WAX], catalog=catalog),
        lambda: oc.grid(rural, builds=[WAX], catalog=catalog, required_years=[1.0]).run(),
    ):
        with pytest.raises(oc.OvercoatError, match="cost_limit_per_thousand"):
            ask()
    # all in relative units, limit and totals
    assert oc.rank(rural)


def test_road_salt_beside_a_stated_loss_is_remarked():
    for air in ({"first_year_steel_loss_um": 30}, {"corrosivity": "C3"}):
        salted = BRIEF.replace(**air).replace(**{"road_salt.months_per_year": 5})
        remarks = oc.rank(salted).remarks
        assert any("road_salt not" in remark for remark in remarks), remarks


@pytest.mark.filterwarnings("default")
def test_findings_of_a_later_row_are_warned_of():
    welded = {**AIR, "welded_after_finishing": [False, True, False]}
    with pytest.warns(UserWarning, match=r"welding\.films.*row 2"):
        oc.sweep(welded, BRIEF, builds=[POWDER])
    with pytest.warns(UserWarning, match="indoors") as told:
        oc.sweep({**AIR, "shelter": ["open", "indoor", "open"]}, BRIEF, builds=[POWDER])
    assert any("(row 2)" in str(warning.message) for warning in told)


# dangers of later rows, remarks that hang on numbers, rows without a usable build


SCREWS = oc.Brief(
    part={"form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_5_8"},
    duty={"place": "urban", "required_years": 2},
)
BLACK_WAX = "steel_5_8 / hot_alkaline / hard_wax"


def test_dangers_of_a_row_are_those_of_its_ranking():
    table = {"site": ["a", "b"], "welded_after_finishing": [False, True]}
    with pytest.warns(UserWarning, match="welding.cold_work"):
        found = oc.sweep(table, SCREWS, builds=[BLACK_WAX], columns=["build", "dangers"])
    for row, welded in enumerate(table["welded_after_finishing"]):
        option = oc.rank(SCREWS.replace(welded_after_finishing=welded))[BLACK_WAX]
        assert found["dangers"][row] == option.dangers
    assert found["dangers"][1] > found["dangers"][0]
    rules = [f.rule for f in oc.rank(SCREWS.replace(welded_after_finishing=True))[BLACK_WAX].findings]
    assert "welding.films" in rules and "welding.cold_work" in rules


def test_a_remark_is_of_the_rows_that_have_it():
    def said(**columns):
        table = {name: [column[0]] * 4 for name, column in AIR.items()} | columns
        with pytest.warns(UserWarning) as warned:
            oc.sweep(table, BRIEF, builds=[WAX])
        return [str(warning.message) for warning in warned]

    clean = said(so2_mg_m2_day=[3.0, 3.0, 0.0, 3.0], chloride_mg_m2_day=[2.0, 2.0, 0.0, 2.0])
    assert [text[-7:] for text in clean if "both 0" in text] == ["(row 3)"]
    indoor = said(shelter=["open", "indoor", "open", "open"])
    assert [text[-7:] for text in indoor if "dose-response function is for outdoor" in text] == ["(row 2)"]


def test_a_place_of_the_row_brings_its_own_shelter():
    row = {
        "place": "indoor_heated",
        **{name: column[0] for name, column in AIR.items()},
        "first_year_steel_loss_um": 20.0,
    }
    town = BRIEF.replace(place="urban")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = oc.sweep({name: [value] for name, value in row.items()}, town, builds=[WAX])
    option = oc.rank(BRIEF.replace(**row))[WAX]
    assert found["probability_ok"][0] == pytest.approx(option.outlook.probability_ok, rel=1e-12)


def test_best_never_drops_a_row_without_a_word():
    table = {"build": ["a", "a"], "row": [0, 1], "score": [0.4, 0.2], "probability_ok": [0.5, 0.1]}
    with pytest.warns(UserWarning, match="1 of 2 rows have no usable build"):
        found = oc.best({**table, "blocked": [False, True]})
    assert list(found["row"]) == [0]


def test_a_probability_beyond_the_evidence_is_marked_beside_it():
    brief = BRIEF.replace(place="indoor_heated", required_years=60)
    ranking = oc.rank(brief)
    option = ranking[POWDER]
    frame = ranking.to_pandas()
    assert option.beyond_evidence
    # what fails long before is known to fail
    beyond = frame.row_status.str.endswith("_beyond_evidence") & (frame.probability_ok >= 0.01)
    assert (frame.beyond_evidence == beyond).all()
    assert json.loads(ranking.to_json())["options"][0]["beyond_evidence"] == ranking[0].beyond_evidence
    cells = oc.chart(brief, builds=[POWDER], places=["indoor_heated", "coastal"])
    assert cells["beyond_evidence"] == [True, False]
    assert not oc.rank(brief.replace(place="coastal"))[POWDER].beyond_evidence
    assert not any(oc.chart(BRIEF, required_years=2, builds=[POWDER], places=["rural"])["beyond_evidence"])
