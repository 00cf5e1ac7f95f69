"""Fifteen jobs as a newcomer calls them: what works at once, and refusals whose remedy works."""

import json
import multiprocessing
import pickle

import matplotlib
import numpy as np
import pandas as pd
import pint
import polars as pl
import pytest
import xarray as xr

import overcoat as oc

matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402

PAINTED = "steel_8_8 / hot_alkaline / zinc_phosphate_primer + air_dry_paint"
POWDERED = "steel_8_8 / hot_alkaline / polyester_powder"
WAXED = "steel_8_8 / hot_alkaline / hard_wax"
THREE = [PAINTED, POWDERED, WAXED]
INQUIRY = {
    "name": "Railing brackets of a pier",
    "part": {"form": "bracket", "base_metal": "steel_8_8", "surface_dm2": 2.0, "mass_g": 300.0},
    "duty": {"place": "coastal", "required_years": 5},
}
SHOP = {
    "schema": "overcoat.catalog.v1",
    "name": "Shop by the pier",
    "sources": {"list": {"firmness": "assumption", "citation": "invented price list"}},
    "prices": {"currency": "EUR"},
    "films": {"hard_wax": {"price_per_dm2": {"value": 0.5, "source": "list"}}},
}
PANELS = pd.DataFrame({"hours": [72, 96, 96, 120, 144, 144, 168, 168], "failed": [True] * 5 + [False] * 3})
FIELD = pd.DataFrame(
    {
        "place": ["coastal", "coastal", "rural", "urban"],
        "base_metal": "steel_8_8",
        "treatment": "hot_alkaline",
        "films": "hard_wax",
        "years": [1.0, 2.0, 3.0, 3.0],
        "failed": [False, True, False, False],
    }
)
AIR = ["temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day"]


@pytest.fixture(scope="module")
def brief():
    """Inquiry for brackets of a pier."""
    return oc.Brief.from_dict(INQUIRY)


@pytest.fixture(scope="module")
def shop():
    """Catalog with a price of its own."""
    return oc.Catalog.from_dict(SHOP)


@pytest.fixture(scope="module")
def ranking(brief, shop):
    """All builds for the pier at the shop's prices."""
    return oc.rank(brief, shop)


def test_01_rank_from_keywords_and_read_the_best():
    """A brief from its three parts; a wrong word for the screw and for the target is refused by name."""
    duty = {"place": "coastal", "required_years": 5}
    with pytest.raises(oc.DocumentError, match="`socket_cap_screw`"):
        oc.Brief(part={"form": "cap screw", "base_metal": "steel 8.8"}, duty=duty)
    part = {"form": "socket_cap_screw", "base_metal": "steel 8.8", "lot_pieces": 2000}
    with pytest.raises(oc.DocumentError, match="Did you mean `target_probability`"):
        oc.Brief(part=part, duty=duty, wants={"target": 0.8})
    best = oc.rank(oc.Brief(part=part, duty=duty, wants={"target_probability": 0.8})).best
    assert best.build.base_metal == "steel_8_8"
    assert 0 < best.outlook.probability_ok < 1
    assert best.outlook.p10_years < best.outlook.median_years < best.outlook.p90_years
    assert float(best.cost) == best.cost.per_thousand > 0


def test_02_rank_from_a_dictionary_text_and_a_path(tmp_path, brief):
    """Dictionary, JSON text, path and text of a path give the same answer; an open file is refused."""
    path = tmp_path / "pier.json"
    path.write_text(json.dumps(INQUIRY))
    with pytest.raises(oc.DocumentError, match='Add "schema": "overcoat.brief.v1"'):
        oc.rank(path)
    path.write_text(json.dumps({"schema": "overcoat.brief.v1", **INQUIRY}))
    verdict = oc.rank(brief).verdict
    for given in (INQUIRY, path.read_text(), path, str(path), oc.Brief.from_json(path)):
        assert oc.rank(given).verdict == verdict
    with (
        path.open() as file,
        pytest.raises(oc.InvalidValueError, match="a dictionary, JSON text or the path"),
    ):
        oc.rank(file)
    with pytest.raises(
        oc.DocumentError, match="unknown field `metal`, expected one of .*`part`, `duty`, `wants`"
    ):
        oc.rank({"metal": "steel 8.8", "place": "coastal"})


def test_03_what_if_by_replace(brief):
    """Years, place and metal move by `replace`, with units and spaces; the brief itself stays."""
    with pytest.raises(oc.UnknownNameError, match='did you mean "required_years"'):
        brief.replace(years=10)
    with pytest.raises(oc.UnknownNameError, match='did you mean "base_metal"'):
        brief.replace(metal="stainless 304")
    with pytest.raises(oc.UnknownNameError, match="stainless_304.*stands for several"):
        oc.rank(brief.replace(base_metal="stainless"))
    moved = brief.replace(required_years=10, place="rural", base_metal="stainless 304")
    assert (moved.duty["required_years"], moved.duty["place"]) == (10, "rural")
    assert oc.rank(moved).best.build.base_metal == "stainless_304"
    assert brief.replace(required_years="18 months").duty["required_years"] == 1.5
    assert brief.duty["required_years"] == 5
    with pytest.raises(TypeError, match="does not support item assignment"):
        brief.duty["required_years"] = 10


def test_04_two_builds_and_why_one_is_blocked(ranking):
    """A ranking takes a build as it prints it; a blocked option tells its check and its reason."""
    painted, waxed = ranking[PAINTED], ranking[WAXED]
    assert ranking[str(painted.build)] == ranking[painted.build] == painted
    assert painted.outlook.median_years > waxed.outlook.median_years
    blocked = [option for option in ranking if option.blocked]
    assert blocked and all(option.first_reason.startswith("Ruled out: ") for option in blocked)
    assert ranking[WAXED.replace("hot_alkaline", "stainless_alkaline")].blocked_by == "substrate.class"
    assert painted.blocked_by is None
    with pytest.raises(LookupError, match=f'did you mean "{WAXED}"'):
        ranking[WAXED.replace("steel_8_8", "steel_8_9")]


def test_05_survival_and_quantiles(ranking):
    """Survival and quantiles take a number, a list or an array; percent for a share is refused."""
    outlook = ranking[PAINTED].outlook
    assert outlook.survival(5) == pytest.approx(outlook.probability_ok)
    several = outlook.survival(np.array([1, 2, 5, 10]))
    assert sorted(several, reverse=True) == list(several)
    low, middle, high = outlook.quantile([0.1, 0.5, 0.9])
    assert (low, middle, high) == pytest.approx((outlook.p10_years, outlook.median_years, outlook.p90_years))
    assert outlook.survival(outlook.quantile(0.3)) == pytest.approx(0.7)
    with pytest.raises(oc.InvalidValueError, match="a share of the cases, 0 to 1"):
        outlook.quantile(90)
    with pytest.raises(oc.InvalidValueError, match="allowed: 0 years or more"):
        outlook.survival(-1)


def test_06_sweep_a_thousand_sites_in_pandas(brief):
    """The index stays; columns in everyday words are refused with the name that is meant."""
    drawn = np.random.default_rng(11)
    bounds = {"temperature": (0, 25), "humidity": (50, 90), "so2": (1, 40), "chloride": (1, 200)}
    sites = pd.DataFrame({name: drawn.uniform(*ends, 1000) for name, ends in bounds.items()})
    sites.index = pd.Index([f"site {i}" for i in range(1000)], name="site")
    with pytest.raises(oc.UnknownNameError, match="Rename the column to `temperature_c`"):
        oc.sweep(sites, brief, builds=THREE)
    sites.columns = AIR
    every = oc.sweep(sites, brief, builds=THREE)
    best = oc.sweep(sites, brief, builds=THREE, best_only=True)
    assert len(every) == 3000
    assert best.index.equals(sites.index)
    assert set(best["build"].astype(str)) <= set(THREE)
    with pytest.raises(oc.InvalidValueError, match="Write it as a ranking prints it"):
        oc.sweep(sites, brief, builds=["steel 8.8, black oxide class 1, hard wax"])


def test_07_sweep_polars_and_files(tmp_path, brief):
    """Polars in, polars out; CSV to Parquet; a path to `sweep` is sent to `sweep_file`."""
    sites = pl.DataFrame({"name": ["quay", "farm"], "place": ["coastal", "rural"], "required_years": [5, 10]})
    with pytest.raises(oc.UnknownNameError, match="Rename the column to `required_years`"):
        oc.sweep(sites.rename({"required_years": "years"}), brief, builds=THREE)
    best = oc.sweep(sites, brief, builds=THREE, best_only=True)
    assert isinstance(best, pl.DataFrame) and best["name"].to_list() == ["quay", "farm"]
    sites.write_csv(tmp_path / "sites.csv")
    with pytest.raises(oc.TableError, match="For a file use `sweep_file`"):
        oc.sweep(tmp_path / "sites.csv", brief)
    told = oc.sweep_file(
        tmp_path / "sites.csv", tmp_path / "out.parquet", brief, builds=THREE, best_only=True
    )
    written = pd.read_parquet(tmp_path / "out.parquet")
    assert told.rows == len(written) == 2
    assert list(written["build"].astype(str)) == list(best["build"].cast(pl.String))
    with pytest.raises(oc.InvalidValueError, match=r"ends in \.csv or \.parquet"):
        oc.sweep_file(tmp_path / "sites.csv", tmp_path / "out.pq", brief)


def test_08_grid_and_pivot(brief):
    """Place by years by heat in one long table, pivoted by pandas; everyday names are refused by name."""
    with pytest.raises(oc.UnknownNameError, match='did you mean "required_years"'):
        oc.grid(brief, place=["rural"], years=[1, 5])
    with pytest.raises(oc.UnknownNameError, match='did you mean "heat_continuous_c"'):
        oc.grid(brief, place=["rural"], heat=[20, 100])
    places, years, heats = ["rural", "coastal"], [1, 5, 10], [20, 100]
    grid = oc.grid(brief, place=places, required_years=years, heat_continuous_c=heats, builds=[PAINTED])
    table = grid.run()
    assert len(table) == len(grid) == 12
    wide = table.pivot_table(
        index="place", columns=["required_years", "heat_continuous_c"], values="probability_ok", observed=True
    )
    assert wide.shape == (2, 6)
    assert (wide.loc["rural"] >= wide.loc["coastal"]).all()
    assert (wide.xs(20, axis=1, level=1) >= wide.xs(100, axis=1, level=1)).all(axis=None)


def test_09_break_even_and_tornado(brief):
    """Years at which the lead changes, and the bars of one build; each refusal names the argument."""
    with pytest.raises(oc.UnknownNameError, match='did you mean "required_years"'):
        oc.break_even(brief, [POWDERED, PAINTED], years=(0.25, 20))
    with pytest.raises(oc.InvalidValueError, match="two ends of a range"):
        oc.break_even(brief, [POWDERED, PAINTED], required_years=range(1, 30))
    found = oc.break_even(brief, [POWDERED, PAINTED], required_years=(0.25, 20))
    assert len(found.stretches) == len(found.crossings) + 1
    with pytest.raises(oc.InvalidValueError, match="`build` is None.*Name one"):
        oc.sensitivity(brief)
    bars = oc.sensitivity(brief, PAINTED).tornado
    widths = [abs(np.log(bar.at_high / bar.at_low)) for bar in bars]
    assert widths == sorted(widths, reverse=True)
    assert {"name", "low", "high"} <= set(pd.DataFrame(bars).columns)


def test_10_own_prices_and_an_own_film(brief, shop):
    """A bare catalog is asked for its schema, name, map and source in turn, and then counts."""
    for given, told in (
        ({"films": {}}, 'Add "schema": "overcoat.catalog.v1"'),
        ({"schema": SHOP["schema"], "films": {}}, "Name the catalog"),
        ({**SHOP, "films": {"hard_wax": {"price": 20.0}}}, "Did you mean `price_per_dm2`"),
        ({**SHOP, "films": {"hard_wax": {"price_per_dm2": {"value": 0.5}}}}, "Give its `source` too"),
    ):
        with pytest.raises(oc.DocumentError, match=told):
            oc.Catalog.from_dict(given)
    assert ("films.hard_wax.price_per_dm2.value", SHOP["name"]) in shop.overrides
    waxed = json.loads(shop.to_json())["films"]["hard_wax"]
    capacity = {"median": 120, "log_sd": 0.5, "source": "list"}
    own = {**SHOP, "films": {"pier_wax": {**waxed, "name": "pier wax", "capacity_h": capacity}}}
    build = WAXED.replace("hard_wax", "pier_wax")
    with pytest.raises(oc.InvalidValueError, match=r"replace\(wants="):
        brief.replace(builds=[build])
    over_oxide = {"base_metal": "steel_8_8", "treatment": "hot_alkaline"}
    builds = [{**over_oxide, "films": [film]} for film in ("pier_wax", "hard_wax")]
    own_ranking = oc.rank(brief.replace(wants={**brief.wants, "builds": builds}), shop.extended(own))
    assert own_ranking[build].outlook.median_years > own_ranking[WAXED].outlook.median_years


def test_11_fit_panels_and_put_the_film_into_a_catalog(brief, shop):
    """A log without outcomes is asked for them; the fit extends a catalog as it is or as an entry."""
    with pytest.raises(oc.TableError, match=r"`outcome` \(or `failed`\)"):
        oc.fit_records(PANELS.rename(columns={"failed": "rusted"}), film="hard_wax")
    fitted = oc.fit_records(PANELS, film="hard wax")
    assert (fitted.film, fitted.failed) == ("hard_wax", 5)
    assert oc.fit_records(PANELS["hours"], PANELS["failed"]).median_hours == fitted.median_hours
    entry = fitted.catalog_entry("Own cabinet", "2026-01-05", "2026-03-01")
    for catalog in (shop.extended(fitted), shop.extended(entry)):
        assert "films.hard_wax.capacity_h.median" in dict(oc.rank(brief, catalog).overrides)


def test_12_update_from_the_field_and_backtest(shop):
    """Field records teach a film; a log without the build is asked for its columns."""
    with pytest.raises(oc.TableError, match="Name the columns `base_metal`, `treatment`, `films`"):
        oc.backtest(FIELD.drop(columns=["base_metal", "treatment", "films"]))
    with pytest.raises(oc.UnknownNameError, match='did you mean "hard_wax"'):
        oc.update_field(FIELD, "hard wax")
    [update] = oc.update_field(FIELD, "hard_wax")
    assert (update.film, update.rows, update.failed) == ("hard_wax", 4, 1)
    assert "films.hard_wax.field_factors" in dict(shop.extended(update).overrides)
    judged = oc.backtest(FIELD, catalog=shop)
    assert 0 <= judged.outlook.coverage_80 <= 1


def test_13_first_year_loss_of_rasters_and_quantities():
    """A raster through `apply_ufunc` or a frame keeps its axes; quantities convert; kelvin is refused."""
    loss = oc.first_year_loss("steel", 11.0, 79.0, 3.0, 80.0)
    values = dict(zip(AIR, (11.0, 79.0, 3.0, 80.0), strict=True))
    cells = {name: (("lat", "lon"), np.full((2, 3), value)) for name, value in values.items()}
    raster = xr.Dataset(cells, coords={"lat": [54.0, 55.0], "lon": [9.0, 10.0, 11.0]})
    mapped = xr.apply_ufunc(oc.first_year_loss, "steel", *(raster[name] for name in AIR))
    assert mapped.dims == ("lat", "lon")
    assert np.allclose(mapped, loss)
    assert (xr.apply_ufunc(oc.corrosivity, "steel", mapped) == oc.corrosivity("steel", loss)).all()
    swept = oc.sweep(raster.to_dataframe(), {**INQUIRY, "duty": {"required_years": 5}}, builds=[PAINTED])
    assert swept["probability_ok"].to_xarray().dims == ("lat", "lon")
    quantity = pint.UnitRegistry().Quantity
    assert oc.first_year_loss("steel", quantity(51.8, "degF"), 79.0, 3.0, 80.0) == pytest.approx(loss)
    assert oc.corrosivity("steel", quantity(0.05, "mm")) == oc.corrosivity("steel", 50.0)
    with pytest.raises(oc.InvalidValueError, match=r"looks like kelvin: 284\.15 K is 11\.0 °C"):
        oc.first_year_loss("steel", 284.15, 79.0, 3.0, 80.0)
    left, right = pd.Series([5.0, 25.0], index=["a", "b"]), pd.Series([300.0, 1.0], index=["b", "a"])
    with pytest.raises(oc.TableError, match="Align them first"):
        oc.first_year_loss("steel", left, 79.0, 3.0, right)


def test_14_papers_as_text_and_json(brief, ranking):
    """The order note is text, the papers are JSON; a field that the inquiry settles is no longer open."""
    papers = ranking.best.papers()
    assert papers.order_note in str(papers)
    assert json.loads(papers.to_json())["inquiry"] == INQUIRY["name"]
    assert papers.open_choices and "M8" not in papers.order_note
    again = oc.rank(brief.replace(thread="M8")).best.papers(revision="B", date="2026-11-27")
    assert "M8" in again.order_note
    assert "Revision B, 2026-11-27" in again.to_text()


def test_15_plots_page_pickles_and_json(tmp_path, brief, ranking):
    """Three pictures into given axes, a page, answers through processes, and a ranking out and in."""
    figure, axes = plt.subplots(1, 3)
    oc.plots.survival(ranking, ax=axes[0])
    oc.plots.cost_probability(ranking, ax=axes[1])
    oc.plots.tornado(brief, ranking.best, ax=axes[2])
    assert all(ax.has_data() for ax in axes)
    plt.close(figure)
    with pytest.raises(oc.InvalidValueError, match="a Ranking. Make one with `rank`"):
        oc.plots.survival(ranking[:3])
    assert ranking.page().startswith("<!doctype html>")
    assert pickle.loads(pickle.dumps(ranking.best)) == ranking.best
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        [through] = pool.starmap(oc.rank, [(brief, oc.Catalog.from_dict(SHOP))])
    assert through.verdict == ranking.verdict
    (tmp_path / "ranking.json").write_text(ranking.to_json())
    for saved in (tmp_path / "ranking.json", ranking.to_json()):
        assert oc.Ranking.from_json(saved).best == ranking.best


def test_everyday_words_of_a_part_mean_that_part(brief):
    """A form is told by its words before its letters, and a category is quoted as it was written."""
    for word, key in {
        "hex bolt": "hexagon_head_screw",
        "bolts": "hexagon_head_screw",
        "Hex Nut": "hexagon_nut",
        "wood screw": "other",
        "spring": "other",
        "gate hinge": "bracket",
        "washer": "plain_washer",
        "brackett": "bracket",
    }.items():
        with pytest.raises(oc.DocumentError) as caught:
            brief.replace(form=word)
        assert (caught.value.nearest, caught.value.remedy) == (key, f"Did you mean `{key}`?"), word
    with pytest.raises(oc.DocumentError, match="any of these: hexagon_head_screw, socket_cap_screw"):
        brief.replace(form="screw")
    with pytest.raises(oc.DocumentError, match="One kind of part at a time: hexagon_nut, plain_washer"):
        brief.replace(form="nuts and washers")
    with pytest.raises(oc.OvercoatError, match="Im2"):
        oc.Brief(duty={"corrosivity": "Im2", "required_years": 3})


@pytest.mark.parametrize(
    ("word", "nearest"),
    [
        ("S355", "steel_4_6, steel_5_8"),
        ("C45", "steel_8_8, steel_10_9, steel_12_9"),
        ("1.4571", "stainless_316"),
        ("A5", "stainless_316"),
        ("duplex", "stainless_2205"),
    ],
)
def test_a_metal_that_is_not_there_is_answered_with_the_nearest(word, nearest):
    with pytest.raises(oc.UnknownNameError) as caught:
        oc.rank(oc.Brief(part={"base_metal": word}, duty={"place": "rural", "required_years": 3}))
    assert f"known: {nearest}. " in str(caught.value)


def test_arguments_of_a_run_are_not_fields(brief):
    with pytest.raises(oc.InvalidValueError, match=r"run\(best_only="):
        oc.grid(brief, best_only=True)
    with pytest.raises(oc.InvalidValueError, match=r"run\(columns="):
        oc.grid(brief, columns=["score"])


def test_a_standard_metal_is_known_whatever_its_case():
    for word in ("Steel", "STEEL"):
        assert oc.first_year_loss(word, 11.0, 79.0, 3.0, 80.0) == oc.first_year_loss(
            "steel", 11.0, 79.0, 3.0, 80.0
        )
    assert oc.corrosivity("Zinc", 1.0) == oc.corrosivity("zinc", 1.0)
    with pytest.raises(oc.UnknownNameError, match="Lead"):
        oc.corrosivity("Lead", 1.0)
