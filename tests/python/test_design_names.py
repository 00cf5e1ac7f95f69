"""The public names of the design, each called as an outsider guesses it."""

import copy
import inspect
import json
import pickle
from collections.abc import Sequence

import numpy as np
import pandas as pd
import pint
import polars as pl
import pyarrow as pa
import pytest
import xarray

import overcoat as oc

COLUMNS = [
    "build", "base_metal", "treatment", "films", "category", "first_year_loss_um", "median_years",
    "p10_years", "p90_years", "probability_ok", "cost_per_thousand", "currency", "score", "met",
    "blocked", "blocked_by", "row_status",
]  # fmt: skip
PART = {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5}
DUTY = {"place": "urban", "required_years": 3}
BLACK = "steel_4_6 / hot_alkaline"
WAX, POWDER = f"{BLACK} / hard_wax", f"{BLACK} / epoxy_electrocoat + polyester_powder"
AIR = {
    "temperature_c": [9.0, 12.0],
    "relative_humidity_pct": [78.0, 80.0],
    "so2_mg_m2_day": [3.0, 4.0],
    "chloride_mg_m2_day": [2.0, 80.0],
}
UNITS = pint.UnitRegistry()


@pytest.fixture(scope="module")
def brief():
    return oc.Brief(name="gate", part=PART, duty=DUTY, wants={"target_probability": 0.8})


@pytest.fixture(scope="module")
def ranking(brief):
    return oc.rank(brief)


def test_about_thirty_five_names_are_public_and_each_is_documented():
    assert 30 <= len(oc.__all__) <= 40
    for name in oc.__all__:
        value = getattr(oc, name)
        if callable(value):
            assert inspect.getdoc(value), name


# Briefs


def test_a_brief_is_made_of_its_sections(brief):
    assert brief.name == "gate"
    assert brief == oc.Brief.from_dict(
        {"name": "gate", "part": PART, "duty": DUTY, "wants": {"target_probability": 0.8}}
    )
    assert oc.Brief.from_dict(brief.to_dict()) == brief
    assert oc.Brief.from_json(brief.to_json()) == brief
    with pytest.raises(oc.OvercoatError, match="required_years"):
        oc.Brief(part=PART, duty={"place": "urban", "requierd_years": 3})


def test_sections_have_an_attribute_for_each_field(brief):
    assert brief.duty.required_years == 3
    assert brief.duty.place == "urban"
    assert brief.duty.shelter is None
    assert brief.part.base_metal == "steel_4_6"
    assert brief.wants.target_probability == 0.8
    assert {"required_years", "shelter", "heat_peak_c", "road_salt"} <= set(dir(brief.duty))
    assert {"thread", "hardness_hv"} <= set(dir(brief.part))
    assert oc.Brief(part=brief.part, duty=brief.duty, wants=brief.wants, name="gate") == brief
    with pytest.raises(AttributeError, match="required_years"):
        brief.duty.required_year  # noqa: B018
    with pytest.raises(AttributeError, match="replace"):
        brief.duty.required_years = 4
    assert pickle.loads(pickle.dumps(brief.duty)) == brief.duty


def test_replace_moves_fields_by_their_own_names(brief):
    moved = brief.replace(required_years=5, place="rural")
    assert (moved.duty.required_years, moved.duty.place) == (5, "rural")
    assert brief.duty.required_years == 3
    salted = brief.replace(**{"road_salt.months_per_year": 4})
    assert salted.duty.road_salt.months_per_year == 4
    assert brief.replace(target_probability=None).wants.target_probability is None
    assert brief.replace(duty={"place": "rural", "required_years": 1}).duty.required_years == 1
    with pytest.raises(oc.UnknownNameError, match="required_years"):
        brief.replace(required_year=5)


def test_quantities_are_converted_in_a_brief():
    made = oc.Brief(part=PART, duty={"place": "rural", "required_years": UNITS.Quantity(18, "month")})
    assert made.duty.required_years == pytest.approx(1.5)
    hot = made.replace(heat_peak_c=UNITS.Quantity(285, "degF"))
    assert hot.duty.heat_peak_c == pytest.approx(140.555, abs=0.01)
    assert made.replace(heat_peak_c="285 °F").duty.heat_peak_c == pytest.approx(140.555, abs=0.01)


# Catalogs and builds

ENTRY = {
    "schema": "overcoat.catalog.v1",
    "name": "trial",
    "sources": {"own": {"firmness": "own_records", "citation": "our cabinet"}},
    "films": {"hard_wax": {"capacity_h": {"median": 120, "log_sd": 0.4, "source": "own"}}},
}


def test_catalogs_come_and_extend_each_other(tmp_path):
    default = oc.Catalog.default()
    trial = oc.Catalog.from_dict(ENTRY)
    path = tmp_path / "trial.json"
    path.write_text(json.dumps(ENTRY), encoding="utf-8")
    assert trial == oc.Catalog.from_json(path) == default.extended(ENTRY) == default.extended(path)
    again = default.extended(trial)
    assert (
        json.loads(again.to_json())["films"]["hard_wax"] == json.loads(trial.to_json())["films"]["hard_wax"]
    )
    fitted = oc.fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    learned = default.extended(fitted)
    assert (
        json.loads(learned.to_json())["films"]["hard_wax"]
        != json.loads(default.to_json())["films"]["hard_wax"]
    )


def test_a_build_equals_its_text():
    build = oc.Build("steel_4_6", "hot_alkaline", ["hard_wax"])
    assert build == WAX and str(build) == WAX and build == WAX
    assert build == oc.Build(WAX)
    assert build in {WAX} and {build: 1}[WAX] == 1
    assert oc.Build("steel_4_6", "hot_alkaline", []) == f"{BLACK} / no film"
    assert build != oc.Build(POWDER) and build != "x"
    assert pickle.loads(pickle.dumps(build)) == build


# Rankings


def test_rank_takes_a_brief_a_dictionary_json_and_a_path(brief, ranking, tmp_path):
    path = tmp_path / "brief.json"
    path.write_text(brief.to_json(), encoding="utf-8")
    for given in (brief.to_dict(), brief.to_json(), path, str(path)):
        assert oc.rank(given) == ranking
    assert oc.rank(brief, oc.Catalog.default()) == ranking
    assert oc.rank(brief, catalog=ENTRY) != ranking


def test_a_ranking_is_a_sequence(brief, ranking):
    assert len(ranking) == len(list(ranking)) > 3
    assert [str(option.build) for option in ranking[:3]] == [str(ranking[i].build) for i in range(3)]
    assert ranking[-1] == ranking[len(ranking) - 1]
    assert [option.build for option in ranking[::-1]][0] == ranking[-1].build
    assert WAX in ranking and oc.Build(WAX) in ranking and ranking[1] in ranking
    assert "steel_4_6 / hot_alkaline / nothing" not in ranking
    assert ranking[WAX].build == WAX and ranking[oc.Build(WAX)] == ranking[WAX]
    with pytest.raises(IndexError):
        ranking[len(ranking)]
    with pytest.raises(KeyError, match="hard_wax"):
        ranking[f"{BLACK} / hard_wacks"]
    assert ranking.best == ranking[0]
    assert isinstance(ranking.met, bool) and isinstance(ranking.verdict, str)
    assert isinstance(ranking.assumed, list)
    assert ranking.brief.duty.place == "urban"
    assert ranking.atmosphere.category == ranking.category
    assert ranking.atmosphere.first_year_steel_loss_um > 0


def test_a_ranking_is_a_table_and_comes_back_from_json(ranking):
    frame = ranking.to_pandas()
    assert list(frame.columns[: len(COLUMNS)]) == COLUMNS
    assert frame["build"].tolist() == [str(option.build) for option in ranking]
    assert ranking.to_polars()["score"].to_list() == frame["score"].tolist()
    assert ranking.to_arrow()["build"].to_pylist() == frame["build"].tolist()
    assert oc.Ranking.from_json(ranking.to_json()) == ranking
    assert "<" in ranking._repr_html_()


def test_an_option_has_its_parts(ranking):
    option = ranking.best
    assert 0 <= option.score <= 1 and isinstance(option.met, bool) and option.blocked is False
    assert option.blocked_by is None
    blocked = next(option for option in ranking if option.blocked)
    assert blocked.blocked_by.split(", ")[0] in [finding.rule for finding in blocked.findings]
    finding = blocked.findings[0]
    assert finding.kind == "blocks" and finding.rule and finding.message and finding.source
    assert finding.remedy is None or isinstance(finding.remedy, str)
    outlook = option.outlook
    assert outlook.survival(outlook.median_years) == pytest.approx(0.5, abs=0.05)
    assert list(outlook.survival([0.0, 1.0]))[0] == 1.0
    assert 0 <= outlook.probability_ok <= 1
    assert sum(outlook.variance_shares.values()) == pytest.approx(1.0)
    assert float(option.cost) == option.cost.per_thousand
    assert option.papers().to_text()


def test_what_comes_back_pickles_copies_and_compares(ranking):
    option = ranking.best
    for value in (
        ranking,
        option,
        option.outlook,
        option.cost,
        option.build,
        option.papers(),
        next(o for o in ranking if o.findings).findings[0],
        ranking.brief,
        ranking.atmosphere,
    ):
        assert pickle.loads(pickle.dumps(value)) == value, type(value)
        assert copy.copy(value) == value and copy.deepcopy(value) == value, type(value)
        assert repr(value)


# Tables


@pytest.mark.parametrize("kind", [dict, pd.DataFrame, pl.DataFrame, pa.table])
def test_sweep_has_one_set_of_columns_after_those_that_came_in(brief, kind):
    table = {"site": ["valley", "quay"], **AIR}
    found = oc.sweep(kind(table), brief, builds=[WAX, oc.Build(POWDER)], threads=1)
    names = list(found) if isinstance(found, dict) else list(getattr(found, "column_names", found.columns))
    assert names == [*table, *COLUMNS]


def test_best_only_and_columns_leave_out_the_rest(brief):
    frame = pd.DataFrame({"site": ["valley", "quay"], **AIR}, index=["a", "b"])
    whole = oc.sweep(frame, brief)
    best = oc.sweep(frame, brief, best_only=True, columns=["build", "score"])
    assert list(best.columns) == [*frame.columns, "build", "score"]
    assert best.index.tolist() == ["a", "b"]
    for name in ("a", "b"):
        of_row = whole.loc[name]
        first = oc.rank(
            brief.replace(place=None, shelter="open", **frame.drop(columns="site").loc[name].to_dict())
        )
        assert best.loc[name, "build"] == str(first.best.build)
        # scores within a percent tie, and then findings, probability and cost decide
        highest = of_row.loc[~of_row["blocked"].astype(bool), "score"].max()
        assert 0.99 * highest <= best.loc[name, "score"] <= highest
    with pytest.raises(oc.UnknownNameError, match="score"):
        oc.sweep(frame, brief, columns=["scores"])


def test_grid_has_the_arguments_and_the_columns_of_sweep(brief):
    made = oc.grid(brief, builds=[WAX, POWDER], catalog=oc.Catalog.default(), required_years=[2, 5])
    frame = made.run(kind="pandas")
    assert list(frame.columns) == ["required_years", *COLUMNS]
    ranked = oc.rank(brief.replace(required_years=5))
    assert frame.loc[2, "score"] == pytest.approx(ranked[WAX].score, rel=1e-12)
    best = made.run(kind="dict", best_only=True, columns=["build"])
    assert list(best) == ["required_years", "build"] and len(best["build"]) == 2


def test_a_file_and_batches_take_the_same_arguments(brief, tmp_path):
    sites = tmp_path / "sites.csv"
    pd.DataFrame({"site": ["valley", "quay"], **AIR}).to_csv(sites, index=False)
    done = oc.sweep_file(sites, tmp_path / "out.parquet", brief, builds=[WAX], threads=1, best_only=True)
    assert (done.rows, done.results, done.bad_rows, done.extrapolated_rows) == (2, 2, 0, 0)
    batch = pa.RecordBatch.from_pydict(AIR)
    for given in ([batch], batch, pa.table(AIR), pd.DataFrame(AIR), pl.DataFrame(AIR)):
        (found,) = oc.sweep_batches(given, brief, builds=[WAX], best_only=True, columns=["build", "score"])
        assert found.schema.names == [*AIR, "build", "score"] and found.num_rows == 2


# The air


def test_losses_take_numbers_columns_arrays_and_quantities():
    one = oc.first_year_loss(
        "steel", temperature_c=10.0, relative_humidity_pct=80.0, so2_mg_m2_day=5.0, chloride_mg_m2_day=10.0
    )
    raster = np.full((2, 3), 10.0)
    found = oc.first_year_loss("steel", raster, 80.0, np.full((3,), 5.0), 10.0)
    assert found.shape == (2, 3) and (found == one).all()
    fahrenheit = UNITS.Quantity(np.array([50.0, 50.0]), "degF")
    per_year = UNITS.Quantity(3.6525, "g / m**2 / year")
    assert oc.first_year_loss("steel", fahrenheit, 80.0, 5.0, per_year) == pytest.approx([one, one], rel=1e-9)
    four = oc.first_year_losses(raster, 80.0, 5.0, 10.0)
    assert set(four) == {"steel", "zinc", "copper", "aluminium"} and four["steel"].shape == (2, 3)
    assert oc.corrosivity("steel", found).shape == (2, 3)
    assert oc.corrosivity("steel", one) == "C3"
    assert oc.long_term_loss("steel", found, 10.0, conservative=True).shape == (2, 3)
    assert oc.time_of_wetness([12.0, 12.0], [90.0, 60.0]).counted_wet_hours == 1.0


# What-ifs, records, pictures


def test_what_ifs_take_a_brief_then_keywords(brief):
    even = oc.break_even(brief, builds=[WAX, POWDER], required_years=(0.5, 20))
    assert even.crossings is not None
    found = oc.sensitivity(brief, WAX, catalog=None, points=16, chloride_mg_m2_day=(2, 60))
    assert found.tornado


def test_pictures_draw_into_axes_that_are_given(brief, ranking):
    from matplotlib.figure import Figure

    for draw in (
        lambda ax: oc.plots.survival(ranking, ax=ax),
        lambda ax: oc.plots.shares(ranking, ax=ax),
        lambda ax: oc.plots.tornado(brief, ranking.best, ax=ax),
        lambda ax: oc.plots.loss_growth(30.0, ax=ax),
    ):
        figure = Figure()
        ax = figure.subplots()
        assert draw(ax) is figure
        assert ax.get_xlabel() and len(figure.axes) >= 1
    for name in oc.plots.__all__:
        assert "ax" in inspect.signature(getattr(oc.plots, name)).parameters, name


def test_errors_are_value_errors():
    for name in ("InvalidValueError", "UnknownNameError", "DocumentError", "BuildError", "TableError"):
        assert issubclass(getattr(oc, name), oc.OvercoatError)
    assert issubclass(oc.OvercoatError, ValueError)


# Options and files where a build or a catalog is wanted


def test_options_stand_for_their_builds(brief, ranking):
    texts = [str(option.build) for option in ranking[:2]]
    by_text = oc.sweep(AIR, brief, builds=texts, columns=["build", "score"])
    for builds in (ranking[:2], [option.build for option in ranking[:2]]):
        found = oc.sweep(AIR, brief, builds=builds, columns=["build", "score"])
        assert found["build"].tolist() == by_text["build"].tolist()
    assert set(oc.sweep(AIR, brief, builds=ranking)["build"]) == {str(option.build) for option in ranking}
    assert oc.grid(brief, builds=ranking[:2]).builds == texts
    moved = oc.break_even(brief, ranking[:2], required_years=(1, 5))
    assert (moved.first, moved.second) == tuple(texts)
    assert oc.sensitivity(brief, ranking[0], points=2).build == texts[0]
    with pytest.raises(oc.InvalidValueError, match="one build as `build`"):
        oc.sensitivity(brief, builds=ranking[:2])
    with pytest.raises(oc.InvalidValueError, match="`build`"):
        oc.sensitivity(brief)


def test_wanted_builds_are_taken_as_texts_builds_options_and_dictionaries(brief, ranking):
    option = ranking[WAX]
    as_dictionary = {"base_metal": "steel_4_6", "treatment": "hot_alkaline", "films": ["hard_wax"]}
    for build in (WAX, option.build, option, as_dictionary):
        wanted = brief.replace(wants={"builds": [build]})
        assert wanted.wants.builds == [as_dictionary]
        assert oc.Brief(part=PART, duty=DUTY, wants={"builds": [build]}).wants.builds == [as_dictionary]
    assert [str(option.build) for option in oc.rank(wanted)] == [WAX]


def test_a_catalog_is_taken_as_dictionary_or_file_everywhere(brief, demo):
    path = demo / "workshop_catalog.json"
    catalog = oc.Catalog.from_json(path)
    builds = [WAX, POWDER]

    def answers(given):
        over = {"required_years": [2.0]}
        yield oc.break_even(brief, builds, catalog=given, over=over, chloride_mg_m2_day=(1, 9)).words
        yield oc.sensitivity(brief, WAX, catalog=given, points=2).nominal
        yield oc.grid(brief, builds=builds, catalog=given).run(kind="dict")["currency"].tolist()
        yield oc.sweep(AIR, brief, builds=builds, catalog=given)["currency"].tolist()

    expected = list(answers(catalog))
    assert expected != list(answers(None))
    for given in (path, str(path), json.loads(path.read_text("utf-8"))):
        assert list(answers(given)) == expected
    with pytest.raises(oc.InvalidValueError, match="`catalog`"):
        oc.sensitivity(brief, WAX, catalog=3)


def test_completion_shows_what_is_public():
    shown = dir(oc)
    assert set(oc.__all__) <= set(shown) and {"plots", "types", "records"} <= set(shown)
    assert not {"Any", "annotations", "TYPE_CHECKING", "sweeping", "choices"} & set(shown)
    assert len(shown) == len(set(shown)) and all(hasattr(oc, name) for name in shown)


def test_labelled_arrays_of_several_dimensions_are_rasters():
    shape = (2, 2, 3)
    grid = [np.full(shape, value) for value in (10.0, 80.0, 5.0, 30.0)]
    labelled = [xarray.DataArray(values, dims=("t", "y", "x")) for values in grid]
    expected = oc.first_year_loss("steel", *grid)
    assert expected.shape == shape
    assert np.array_equal(oc.first_year_loss("steel", *labelled), expected)


def test_labelled_arrays_are_never_paired_by_place():
    air = [np.array([5.0, 25.0]), np.array([300.0, 1.0])]
    sites = [
        xarray.DataArray(values, dims="site", coords={"site": names})
        for values, names in zip(air, (["a", "b"], ["b", "a"]), strict=True)
    ]
    with pytest.raises(oc.TableError, match="labels of `site`.*align"):
        oc.first_year_loss("steel", sites[0], 79.0, 3.0, sites[1])
    fields = [xarray.DataArray(np.ones((2, 2)), dims=dims) for dims in (("lat", "lon"), ("lon", "lat"))]
    with pytest.raises(oc.TableError, match="dimensions"):
        oc.first_year_loss("steel", fields[0], 79.0, 3.0, fields[1])


def test_open_choices_are_not_edited_in_silence(ranking):
    with pytest.raises(TypeError):
        ranking.best.papers().open_choices[0] = "Drawing 17"


def test_a_path_where_a_table_belongs_says_which_function_reads_files(brief, tmp_path):
    with pytest.raises(oc.TableError, match="^table: .*sweep_file"):
        oc.sweep("sites.csv", brief)
    with pytest.raises(oc.InvalidValueError, match="one file that exists.*once for each"):
        oc.sweep_file(tmp_path / "g*.csv", tmp_path / "out.csv", brief)


# What an outsider expects of the objects


def test_a_ranking_is_a_sequence_to_python_too(ranking):
    options = list(ranking)
    assert isinstance(ranking, Sequence)
    assert list(reversed(ranking)) == options[::-1]
    assert ranking.index(options[2]) == 2 and ranking.index(options[2].build) == 2
    assert (
        ranking.index(WAX.replace(" / ", "/"))
        == ranking.index(WAX)
        == ranking.index(oc.Build(WAX))
        == options.index(ranking[WAX])
    )
    assert ranking.index(options[-1], -1) == len(options) - 1
    assert ranking.count(WAX) == 1 and ranking.count("nothing of the kind") == 0
    for bounds in ((3,), (0, 2)):
        with pytest.raises(ValueError, match="of this ranking"):
            ranking.index(options[2], *bounds)
    assert ranking[options[2]] == options[2]


def test_an_unknown_build_is_a_key_error_and_one_of_overcoat(ranking):
    with pytest.raises(KeyError) as caught:
        ranking["typo"]
    error = caught.value
    assert isinstance(error, oc.UnknownNameError)
    assert (error.kind, error.field, error.value, error.nearest) == ("name", "build", "typo", None)
    assert str(error).startswith('`build` names "typo"')
    assert error.allowed == [str(option.build) for option in ranking]
    first = ", ".join(str(option.build) for option in ranking[:5])
    assert f"known: {first} and " in str(error)
    with pytest.raises(oc.UnknownNameError, match="did you mean"):
        ranking[f"{BLACK} / hard_wacks"]


def test_answers_and_briefs_can_be_keys(brief, ranking):
    again = oc.rank(brief)
    for one, same in (
        (brief, oc.Brief.from_json(brief.to_json())),
        (ranking[0], again[0]),
        (ranking[0].outlook, again[0].outlook),
        (ranking[0].findings[0], again[0].findings[0]),
    ):
        assert one == same and hash(one) == hash(same) and len({one, same}) == 1
    assert len(set(ranking)) == len(ranking)
    zero, minus = (brief.replace(temperature_c=value) for value in (0.0, -0.0))
    assert (zero == minus) <= (hash(zero) == hash(minus))


def test_a_brief_shows_and_keeps_what_it_was_made_of():
    brief = oc.Brief(name="gate", part=PART, duty=DUTY, remarks="hosed down weekly")
    assert brief.remarks == "hosed down weekly"
    assert oc.Brief(part=PART, duty=DUTY).remarks is None
    assert eval(repr(brief), {"Brief": oc.Brief}) == brief
    assert "'place': 'urban'" in repr(brief) and "'mass_g': 300" in repr(brief)


def test_a_ranking_shows_itself_in_a_line(ranking):
    assert len(repr(ranking)) < 250
    assert str(ranking.best.build) in repr(ranking) and f"{len(ranking)} options" in repr(ranking)


def test_quantiles_take_a_list_as_survival_does(ranking):
    outlook = ranking.best.outlook
    assert outlook.quantile([0.1, 0.5]) == [outlook.quantile(0.1), outlook.quantile(0.5)]
    assert outlook.quantile(np.array([0.1, 0.5])) == outlook.quantile([0.1, 0.5])
    with pytest.raises(oc.InvalidValueError, match="`years` is 3 years.*allowed: a number") as caught:
        outlook.survival("3 years")
    assert "brackets" not in str(caught.value)
    for truth in (True, np.True_):
        with pytest.raises(oc.InvalidValueError, match="`temperature_c` is True"):
            oc.first_year_loss("steel", truth, 80, 3, 4)


def test_a_category_is_taken_in_small_letters(brief):
    for given, meant in (("c3", "C3"), ("cx", "CX"), ("Cx", "CX"), ("C5", "C5")):
        assert brief.replace(place=None, corrosivity=given).duty.corrosivity == meant


def test_errors_have_all_facts_by_name(brief):
    for raised in (
        lambda: oc.Brief(part={"form": "screw"}, duty=DUTY),
        lambda: oc.sweep("sites.csv", brief),
        lambda: oc.sweep({"temperature_c": ["a"]}, brief),
        lambda: brief.replace(required_years=-1),
    ):
        with pytest.raises(oc.OvercoatError) as caught:
            raised()
        for fact in ("kind", "field", "value", "allowed", "remedy", "nearest"):
            assert hasattr(caught.value, fact)
    assert caught.value.value == "-1" and caught.value.nearest is None


def test_builds_given_alone_to_replace_say_how_they_are_given(brief):
    with pytest.raises(oc.InvalidValueError, match=r"replace\(wants=\{\*\*brief.wants, \"builds\"") as caught:
        brief.replace(builds=[WAX])
    assert caught.value.field == "builds"
    wanted = brief.replace(wants={**brief.wants, "builds": [WAX]})
    assert wanted.wants.target_probability == 0.8 and len(wanted.wants.builds) == 1


def test_the_order_note_is_the_part_of_the_papers_that_is_sent(ranking):
    papers = ranking.best.papers()
    assert papers.order_note.startswith("ORDER NOTE\n") and "ROUTE CARD" not in papers.order_note
    assert papers.order_note.strip() in papers.to_text()
    with pytest.raises(AttributeError):
        papers.order_note = ""
