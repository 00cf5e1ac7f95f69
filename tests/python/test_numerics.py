"""Digits over the whole range that inputs may have, against the same equations in 50 digits (mpmath).

Probabilities keep their digits down to 1e-12 and beyond, fall with the years without a step back, and nothing
cancels where terms are far apart or lives are very short.
"""

import json
import math
import random
import warnings

import mpmath as mp
import numpy as np
import pytest

import overcoat

mp.mp.dps = 50
Z90 = mp.sqrt(2) * mp.erfinv(mp.mpf("0.8"))


@pytest.fixture(autouse=True)
def extrapolation_is_fine():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", overcoat.ExtrapolationWarning)
        yield


def exact(number: float) -> mp.mpf:
    """A printed decimal as it is printed, so that the rounding of constants counts too."""
    return mp.mpf(repr(number))


COEFFICIENTS = {
    "steel": (1.77, 0.52, 0.020, 0.150, -0.054, 0.102, 0.62, 0.033, 0.040),
    "zinc": (0.0129, 0.44, 0.046, 0.038, -0.071, 0.0175, 0.57, 0.008, 0.085),
    "copper": (0.0053, 0.26, 0.059, 0.126, -0.080, 0.01025, 0.27, 0.036, 0.049),
    "aluminium": (0.0042, 0.73, 0.025, 0.009, -0.043, 0.0018, 0.60, 0.020, 0.094),
}


def exact_first_year(metal: str, t: float, rh: float, so2: float, chloride: float) -> mp.mpf:
    a, b, c, cold, warm, d, e, f, g = (exact(value) for value in COEFFICIENTS[metal])
    t, rh, so2, chloride = (mp.mpf(value) for value in (t, rh, so2, chloride))
    slope = cold if t <= 10 else warm
    by_so2 = a * so2**b * mp.exp(c * rh + slope * (t - 10)) if so2 else mp.mpf(0)
    return by_so2 + (d * chloride**e * mp.exp(f * rh + g * t) if chloride else mp.mpf(0))


def relative(found: float, expected: mp.mpf) -> float:
    return float(abs(mp.mpf(float(found)) - expected) / abs(expected))


@pytest.mark.parametrize("metal", list(COEFFICIENTS))
def test_first_year_losses(metal):
    rng = random.Random(1)
    # all corners and edges of what is accepted, subnormal depositions among them, and points between
    places = [
        (t, rh, so2, cl)
        for t in (-60.0, 10.0, math.nextafter(10.0, 11), 40.0)
        for rh in (0.0, 100.0)
        for so2 in (0.0, 5e-324, 1e-300, 5000.0)
        for cl in (0.0, 5e-324, 1e-300, 20_000.0)
    ] + [
        (
            rng.uniform(-60, 40),
            rng.uniform(0, 100),
            math.exp(rng.uniform(-30, 8.5)),
            math.exp(rng.uniform(-30, 9.9)),
        )
        for _ in range(400)
    ]
    columns = [np.array(column) for column in zip(*places, strict=True)]
    found = overcoat.first_year_loss(metal, *columns)
    worst = 0.0
    for place, loss in zip(places, found, strict=True):
        expected = exact_first_year(metal, *place)
        if expected == 0:
            assert loss == 0
        else:
            worst = max(worst, relative(loss, expected))
            worst = max(worst, relative(overcoat.first_year_loss(metal, *place), expected))
    print(f"{metal}: {worst:.1e}")
    # a rounded exponent of up to some hundreds: so many units of the last place
    assert worst < 1e-13


@pytest.mark.parametrize(
    "metal, b", [("steel", 0.523), ("zinc", 0.813), ("copper", 0.667), ("aluminium", 0.728)]
)
def test_losses_over_the_years(metal, b):
    rng = random.Random(2)
    b = exact(b)
    for _ in range(300):
        first, years = math.exp(rng.uniform(-25, 12)), math.exp(rng.uniform(-25, 12))
        t = mp.mpf(years)
        multiple = t**b if t <= 20 else 20**b + b * mp.mpf(20) ** (b - 1) * (t - 20)
        assert relative(overcoat.long_term_loss(metal, first, years), first * multiple) < 2e-14


def option(duty: dict, build: dict, catalog: overcoat.Catalog | None = None) -> overcoat.Option:
    document = {
        "schema": "overcoat.brief.v1",
        "name": "numerics",
        "part": {"form": "bracket", "mass_g": 100, "surface_dm2": 1},
        "duty": {"required_years": 5} | duty,
        "wants": {"builds": [build]},
    }
    return overcoat.rank(overcoat.Brief.from_json(json.dumps(document)), catalog)[0]


STAINLESS = {"base_metal": "stainless_304", "treatment": "none", "films": []}


def below(z: mp.mpf) -> mp.mpf:
    """The normal distribution function, by the function that does not cancel in the lower tail."""
    return mp.erfc(-z / mp.sqrt(2)) / 2


def test_probability_tails():
    """Bare stainless steel: stains at lognormal times, median 0.4 years and log spread 0.8."""
    outlook = option({"place": "coastal"}, STAINLESS).outlook
    assert outlook.log_sd == pytest.approx(0.8, abs=1e-12)
    fails = 1 - outlook.never_fails
    years = 0.4 * np.exp(0.8 * np.linspace(-8, 3, 2001))
    found = np.array(outlook.survival(list(years)))
    assert (np.diff(found) <= 0).all(), "a longer time is likelier"
    for year, probability in zip(years, found, strict=True):
        expected = 1 - fails * below(mp.log(mp.mpf(year) / mp.mpf("0.4")) / mp.mpf("0.8"))
        assert relative(probability, expected) < 1e-9, year


@pytest.mark.parametrize("rate", [0.0, 1e-9, 3.0, 100.0])
@pytest.mark.parametrize("loss", [1e-3, 5.0, 900.0, 5000.0])
def test_costs_of_very_many_replacements(rate, loss):
    """A geometric series of up to a hundred terms, with a ratio that may be next to 1."""
    own = {
        "schema": "overcoat.catalog.v1",
        "name": "own",
        "prices": {
            "discount_rate_pct": {"value": rate, "source": "default_prices"},
            "replacement_labour_per_piece": {"value": 1.0, "source": "default_prices"},
        },
    }
    catalog = overcoat.Catalog.from_json(json.dumps(own))
    duty = {"first_year_steel_loss_um": loss, "shelter": "sheltered", "required_years": 100.0}
    one = option(duty, {"base_metal": "steel_4_6", "treatment": "hot_alkaline", "films": []}, catalog)
    life, count = mp.mpf(one.outlook.median_years), int(one.cost.replacements)
    assert count == min(int(mp.ceil(100 / life)) - 1, 100)
    factor = (1 + exact(rate) / 100) ** -life
    worth = count if factor == 1 else factor * (1 - factor**count) / (1 - factor)
    each = mp.mpf(one.cost.purchase_per_thousand) + 1000
    expected = mp.mpf(one.cost.purchase_per_thousand) + worth * each
    assert relative(one.cost.per_thousand, expected) < 1e-12


def test_means_of_millions_of_readings():
    """The sum of a tenth, a million times, is a hundred thousand: none of it gets lost on the way."""
    rows = 1_000_000
    wet = overcoat.time_of_wetness(np.full(rows, 0.1), np.full(rows, 70.1))
    assert wet.mean_temperature_c == 0.1
    assert wet.mean_relative_humidity_pct == 70.1


@pytest.mark.parametrize("distribution", ["lognormal", "weibull"])
def test_quantiles_far_out(distribution):
    fitted = overcoat.fit_records(
        [24.0, 48.0, 48.0, 72.0, 96.0, 120.0], [True] * 6, distribution=distribution
    )
    chances = [10.0**-k for k in range(9, 0, -1)] + [0.5] + [1 - 10.0**-k for k in range(1, 10)]
    hours = [fitted.quantile_hours(chance) for chance in chances]
    assert all(a < b for a, b in zip(hours, hours[1:], strict=False))
    median = mp.mpf(fitted.median_hours)
    for chance, found in zip(chances, hours, strict=True):
        p = mp.mpf(chance)
        if distribution == "lognormal":
            z = mp.sqrt(2) * mp.erfinv(2 * p - 1)
            expected = median * mp.exp(z * mp.mpf(fitted.log_sd))
        else:
            expected = median * (mp.log(1 - p) / mp.log(mp.mpf("0.5"))) ** (1 / mp.mpf(fitted.weibull_shape))
        assert relative(found, expected) < 1e-10, (distribution, chance)
