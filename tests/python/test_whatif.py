"""Break-even and sensitivity: against rankings, closed forms and a general library of such analyses."""

import itertools
import json
import signal
import subprocess
import sys
import time

import numpy as np
import pytest
from SALib.analyze import sobol as salib_analysis
from SALib.sample import sobol as salib_sample
from scipy.optimize import brentq
from scipy.stats import norm

import overcoat

BLACK = "steel_4_6 / hot_alkaline"
WAX = f"{BLACK} / hard_wax"
PAINT = f"{BLACK} / air_dry_paint"
POWDER = f"{BLACK} / epoxy_electrocoat + polyester_powder"
BARE = f"{BLACK} / no film"
AIR = {
    "temperature_c": 11.0,
    "relative_humidity_pct": 79.0,
    "so2_mg_m2_day": 4.0,
    "chloride_mg_m2_day": 20.0,
}


def brief(**duty) -> overcoat.Brief:
    document = {
        "schema": "overcoat.brief.v1",
        "name": "what if",
        "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
        "duty": {"required_years": 5, **AIR, **duty},
    }
    return overcoat.Brief.from_json(json.dumps(document))


def score_of(build: str, **duty) -> float:
    table = overcoat.grid(brief(**duty), builds=[build], required_years=[duty.get("required_years", 5)]).run(
        kind="dict"
    )
    return float(table["score"][0])


def test_a_crossing_is_where_an_independent_root_finder_finds_it():
    found = overcoat.break_even(brief(), [PAINT, POWDER], required_years=(0.5, 20))
    (crossing,) = found.crossings
    root = brentq(
        lambda t: score_of(PAINT, required_years=t) - score_of(POWDER, required_years=t), 1, 10, xtol=1e-13
    )
    assert crossing.at == pytest.approx(root, rel=1e-9)
    assert crossing.kind == "crossing"
    assert (crossing.below, crossing.above) == (PAINT, POWDER)
    assert crossing.first == pytest.approx(crossing.second, rel=1e-9)
    assert [(s.low, s.high, s.leader) for s in found.stretches] == [
        (0.5, crossing.at, PAINT),
        (crossing.at, 20.0, POWDER),
    ]
    assert str(found) == found.verdict
    assert found.verdict.count("leads") == 2


def test_a_line_has_a_break_even_for_each_value():
    over = {"temperature_c": [5.0, 15.0], "so2_mg_m2_day": [2.0, 30.0]}
    line = overcoat.break_even(brief(), [PAINT, POWDER], required_years=(0.5, 30), over=over)
    combinations = list(itertools.product(*over.values()))
    assert [tuple(point.settings.values()) for point in line.points] == combinations
    for point in line.points:
        alone = overcoat.break_even(brief(**point.settings), [PAINT, POWDER], required_years=(0.5, 30))
        assert [c.at for c in alone.crossings] == pytest.approx([c.at for c in point.crossings], rel=1e-12)
    table = line.table()
    assert list(table.columns) == [
        "temperature_c",
        "so2_mg_m2_day",
        "crossing",
        "at",
        "kind",
        "below",
        "above",
    ]
    assert len(table) == sum(len(point.crossings) for point in line.points)


def test_builds_by_object_and_a_catalog_of_ones_own(demo):
    prices = overcoat.Catalog.from_json(demo / "workshop_catalog.json")
    options = {str(option.build): option.build for option in overcoat.rank(brief(), prices)}
    words = overcoat.break_even(
        brief(), [PAINT, WAX], catalog=prices, measure="cost_per_thousand", required_years=(0.1, 9)
    )
    objects = overcoat.break_even(
        brief(),
        [options[PAINT], options[WAX]],
        catalog=prices,
        measure="cost_per_thousand",
        required_years=(0.1, 9),
    )
    assert words == objects
    assert words != overcoat.break_even(
        brief(), [PAINT, WAX], measure="cost_per_thousand", required_years=(0.1, 9)
    )


@pytest.mark.parametrize(
    ("words", "error", "message"),
    [
        ({"builds": [PAINT]}, overcoat.InvalidValueError, "two builds"),
        ({"builds": PAINT}, overcoat.InvalidValueError, "two builds"),
        ({"required_years": 5}, overcoat.InvalidValueError, "two ends"),
        ({"required_years": (5, 1)}, overcoat.InvalidValueError, "lower first"),
        ({"required_years": (0, 5)}, overcoat.InvalidValueError, "required_years"),
        ({"temperature_c": (0, 5)}, overcoat.InvalidValueError, "one input"),
        ({"measure": "scores"}, overcoat.UnknownNameError, "score"),
        ({"over": {"temprature_c": [5.0]}}, overcoat.UnknownNameError, "temperature_c"),
        ({"builds": [PAINT, f"{BLACK} / hard_wacks"]}, overcoat.UnknownNameError, "hard_wax"),
    ],
)
def test_what_has_no_break_even_is_refused(words, error, message):
    given = {"builds": [PAINT, POWDER], "required_years": (0.5, 20)} | words
    with pytest.raises(error, match=message):
        overcoat.break_even(brief(), **given)


def test_the_indices_of_a_bare_treatment_are_its_shares_of_variance():
    found = overcoat.sensitivity(brief(), BARE)
    assert sum(found.variance_shares.values()) == pytest.approx(1.0)
    for index in found.sobol:
        share = found.variance_shares[index.name]
        assert index.first_order == pytest.approx(share, abs=0.02)
        assert index.total == pytest.approx(share, abs=0.02)
        assert abs(index.first_order - share) < 5 * index.first_order_error + 1e-3
    assert found.runs == 16 * 512 * (len(found.sobol) + 2)


def salib_indices(names, bounds, dists, model, n=2048):
    problem = {"num_vars": len(names), "names": names, "bounds": bounds, "dists": dists}
    sample = salib_sample.sample(problem, n, calc_second_order=False, seed=5)
    found = salib_analysis.analyze(problem, model(sample), calc_second_order=False, seed=5)
    return {
        name: (found["S1"][i], found["ST"][i], found["S1_conf"][i] / 1.96, found["ST_conf"][i] / 1.96)
        for i, name in enumerate(names)
    }


def agree(found: overcoat.types.Sensitivity, wanted):
    for index in found.sobol:
        first, total, first_error, total_error = wanted[index.name]
        assert abs(index.first_order - first) < 5 * np.hypot(index.first_order_error, first_error) + 2e-3, (
            index
        )
        assert abs(index.total - total) < 5 * np.hypot(index.total_error, total_error) + 2e-3, index
        assert abs(index.first_order - first) < 0.06
        assert abs(index.total - total) < 0.06


def test_indices_of_a_life_agree_with_a_library_on_a_model_written_here():
    """The life of a film on a treatment, from the equations of the documentation, with salt over a range."""
    salt = (2.0, 120.0)
    found = overcoat.sensitivity(brief(), PAINT, chloride_mg_m2_day=salt)
    names = [index.name for index in found.sobol]
    factors = names[:-1]
    assert set(factors) == {
        "atmosphere",
        "capacity of air_dry_paint",
        "field factor of air_dry_paint",
        "loss rate in the cabinet",
        "aging of air_dry_paint",
        "capacity of the treatment",
        "field factor of the treatment",
        "aging of the treatment",
    }
    catalog = json.loads(overcoat.Catalog.default().to_json())
    film, treatment = catalog["films"]["air_dry_paint"], catalog["treatments"]["hot_alkaline"]
    # open air: all of the weather on the paint; dose in µm of bare steel
    um_per_hour = 70 / 48 / 7.86
    film_um = (
        film["capacity_h"]["median"]
        * treatment["paint_hold_factor"]["value"]
        * film["field_factor"]["median"]
        * um_per_hour
    )
    film_age = 1 / film["ageing"]["indoor_years"]["value"] + 1 / film["ageing"]["weather_years"]["value"]
    treatment_um = treatment["capacity_h"]["median"] * treatment["field_factor"]["median"] * um_per_hour
    treatment_age = 1 / treatment["ageing"]["indoor_years"]["value"]
    log_sd = {bar.name: np.log(bar.high) for bar in found.tornado if bar.name in factors}

    def log_years(values):
        z = {name: norm.ppf(values[:, i]) * log_sd[name] for i, name in enumerate(factors)}
        chloride = values[:, -1]
        ones = np.ones_like(chloride)
        loss = overcoat.first_year_loss("steel", 11.0 * ones, 79.0 * ones, 4.0 * ones, chloride)
        rate = loss * np.exp(z["atmosphere"] - z["loss rate in the cabinet"])

        def years(dose_um, age, of):
            dose = dose_um * np.exp(z[f"capacity of {of}"] + z[f"field factor of {of}"])
            return 1 / (rate / dose + age * np.exp(-z[f"aging of {of}"]))

        return np.log(
            years(film_um, film_age, "air_dry_paint") + years(treatment_um, treatment_age, "the treatment")
        )

    bounds = [[0.0, 1.0]] * len(factors) + [list(salt)]
    agree(found, salib_indices(names, bounds, ["unif"] * len(names), log_years))


def test_indices_of_an_answer_agree_with_a_library_on_rankings():
    """Ranges of the duty alone: with no spread left in the factors the answer is a function of the air."""
    ranges = {
        "temperature_c": (2.0, 22.0),
        "relative_humidity_pct": (65.0, 90.0),
        "chloride_mg_m2_day": (2.0, 200.0),
    }
    still = {name: 0.0 for name in overcoat.sensitivity(brief(), PAINT, points=2).variance_shares}
    found = overcoat.sensitivity(brief(), PAINT, output="median_years", log_sds=still, **ranges)
    moved = [index for index in found.sobol if index.name in ranges]
    assert all(index.total == 0.0 for index in found.sobol if index.name not in ranges)

    def median_years(values):
        table = dict(zip(ranges, values.T, strict=True)) | {"so2_mg_m2_day": np.full(len(values), 4.0)}
        return overcoat.sweep(table, brief(), builds=[PAINT])["median_years"]

    # with the spreads of the catalog the median of the sum lies a little off, much alike everywhere
    wanted = salib_indices(list(ranges), list(map(list, ranges.values())), ["unif"] * 3, median_years)
    for index in moved:
        first, total, *_ = wanted[index.name]
        assert index.first_order == pytest.approx(first, abs=0.06)
        assert index.total == pytest.approx(total, abs=0.06)


def test_the_estimators_agree_with_a_library_and_so_do_the_errors():
    """Twice the same question at few and many points: the error that is said covers the difference."""
    few = overcoat.sensitivity(brief(), WAX, points=64, chloride_mg_m2_day=(2, 60))
    many = overcoat.sensitivity(brief(), WAX, points=1024, chloride_mg_m2_day=(2, 60))
    again = overcoat.sensitivity(brief(), WAX, points=64, chloride_mg_m2_day=(2, 60))
    assert few == again
    for a, b in zip(few.sobol, many.sobol, strict=True):
        assert abs(a.first_order - b.first_order) < 5 * a.first_order_error + 1e-3
        assert abs(a.total - b.total) < 5 * a.total_error + 1e-3


@pytest.mark.parametrize("measure", ["score", "probability_ok", "median_years", "cost_per_thousand"])
def test_a_bar_is_a_ranking_at_the_ends_of_its_range(measure):
    found = overcoat.sensitivity(brief(), PAINT, measure=measure, points=2, required_years=(2, 9))
    bar = next(bar for bar in found.tornado if bar.name == "required_years")
    table = overcoat.grid(brief(), builds=[PAINT], required_years=[2, 5, 9]).run(kind="dict")
    assert [bar.at_low, found.nominal, bar.at_high] == pytest.approx(table[measure].tolist(), rel=1e-12)
    reach = [abs(bar.at_high - bar.at_low) for bar in found.tornado]
    assert reach == sorted(reach, reverse=True)
    columns = found.table("dict")
    assert columns["name"].tolist() == [bar.name for bar in found.tornado]
    assert np.isnan(columns["variance_share"][columns["name"] == "required_years"]).all()


def test_a_measurement_that_halves_a_spread_moves_the_shares():
    before = overcoat.sensitivity(brief(), WAX)
    sds = {bar.name: np.log(bar.high) for bar in before.tornado}
    name = "field factor of hard_wax"
    after = overcoat.sensitivity(brief(), WAX, log_sds={name: sds[name] / 2})
    # variances of all other factors stay: share' = (s/4) / (1 - 3s/4)
    share = before.variance_shares[name]
    assert after.variance_shares[name] == pytest.approx(share / 4 / (1 - 0.75 * share), rel=0.05)


@pytest.mark.parametrize(
    ("words", "error", "message"),
    [
        ({"points": 1}, overcoat.InvalidValueError, "points"),
        ({"points": 64.0}, overcoat.InvalidValueError, "points"),
        ({"output": "years"}, overcoat.UnknownNameError, "log_years"),
        ({"measure": "year"}, overcoat.UnknownNameError, "median_years"),
        ({"log_sds": {"field factor of wax": 0.1}}, overcoat.UnknownNameError, "hard_wax"),
        ({"log_sds": {"field factor of hard_wax": -0.1}}, overcoat.InvalidValueError, "log_sds"),
        ({"temperature_c": (5, 5)}, overcoat.InvalidValueError, "temperature_c"),
        ({"temperature": (5, 9)}, overcoat.UnknownNameError, "temperature_c"),
        ({"build": "steel_4_6 / hot_alkaline"}, overcoat.InvalidValueError, "BASE_METAL"),
    ],
)
def test_what_cannot_be_studied_is_refused(words, error, message):
    with pytest.raises(error, match=message):
        overcoat.sensitivity(**{"brief": brief(), "build": WAX, "points": 2} | words)


def test_ctrl_c_leaves_a_long_study():
    code = (
        "import overcoat\n"
        f"brief = overcoat.Brief.from_json({brief().to_json()!r})\n"
        "print('begun', flush=True)\n"
        f"overcoat.sensitivity(brief, {WAX!r}, points=65536, temperature_c=(2, 20))\n"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8"
    )
    try:
        assert child.stdout.readline() == "begun\n"
        time.sleep(3)
        child.send_signal(signal.SIGINT)
        start = time.perf_counter()
        _, err = child.communicate(timeout=100)
        # to its end it runs for minutes
        assert time.perf_counter() - start < 20
    finally:
        child.kill()
    assert err.splitlines()[-1] == "KeyboardInterrupt"


# --- options of a ranking with a catalog of its own


OWN_PRICES = {
    "schema": "overcoat.catalog.v1",
    "name": "twice the price",
    "sources": {"list": {"firmness": "assumption", "citation": "invented"}},
    "prices": {"currency": "XTS", "blank_per_kg": {"value": 40.0, "source": "list"}},
}


def test_options_bring_the_catalog_of_their_ranking(demo):
    brief = overcoat.Brief.from_json(demo / "briefs" / "deck-fitting.json")
    own = overcoat.Catalog.from_dict(OWN_PRICES)
    ranking = overcoat.rank(brief, own)
    first = ranking.best
    table = {"required_years": [5.0]}
    swept = overcoat.sweep(table, brief, builds=[first])
    assert swept["cost_per_thousand"][0] == pytest.approx(first.cost.per_thousand)
    assert (
        swept["cost_per_thousand"]
        == overcoat.sweep(table, brief, builds=[first], catalog=own)["cost_per_thousand"]
    )
    # what is named wins, and a text brings none
    built_in = overcoat.sweep(table, brief, builds=[str(first.build)])["cost_per_thousand"]
    default = overcoat.Catalog.default()
    assert overcoat.sweep(table, brief, builds=[first], catalog=default)["cost_per_thousand"] == built_in
    assert built_in != swept["cost_per_thousand"]
    grid = overcoat.grid(brief, builds=[first], required_years=[5.0]).run()
    assert list(grid["cost_per_thousand"]) == list(swept["cost_per_thousand"])
    # two rankings, two catalogs: which one is meant cannot be known
    other = overcoat.rank(brief).best
    with pytest.raises(overcoat.InvalidValueError, match="different catalogs"):
        overcoat.sweep(table, brief, builds=[first, other])


def test_the_option_to_order_is_the_cheapest_that_reaches_the_target_where_the_first_does_not(demo):
    part = {"form": "button_head_screw", "thread": "M8", "length_mm": 20, "lot_pieces": 20000}
    duty = {"place": "urban", "required_years": 10, "mating_metals": ["aluminum"], "mating_area_ratio": 30}
    ranking = overcoat.rank({"schema": "overcoat.brief.v1", "name": "frame", "part": part, "duty": duty})
    assert not ranking.met and ranking.to_order == ranking.cheapest_met != ranking.best
    deck = overcoat.rank(overcoat.Brief.from_json(demo / "briefs" / "deck-fitting.json"))
    assert deck.met and deck.to_order == deck.best
