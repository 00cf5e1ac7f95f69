"""Film capacity from records: against scipy's fits of censored data, and what a shop does with it."""

import math

import numpy as np
import pytest
from scipy import stats

import overcoat

HOURS = [36.0, 48.0, 52.0, 60.0, 72.0, 72.0, 90.0, 96.0, 96.0, 96.0]
FAILED = [True] * 7 + [False] * 3


def censored(hours, failed):
    known = [h for h, f in zip(hours, failed, strict=True) if f]
    return stats.CensoredData(
        uncensored=known, right=[h for h, f in zip(hours, failed, strict=True) if not f]
    )


def test_the_lognormal_fit_is_that_of_scipy():
    fitted = overcoat.fit_records(HOURS, FAILED)
    shape, _, scale = stats.lognorm.fit(censored(HOURS, FAILED), floc=0)
    assert fitted.kind == "estimate"
    assert (fitted.rows, fitted.failed) == (10, 7)
    # scipy stops at its own tolerance
    assert fitted.median_hours == pytest.approx(scale, rel=1e-3)
    assert fitted.log_sd == pytest.approx(shape, rel=1e-3)
    low, high = fitted.bounds_hours
    assert low < fitted.median_hours < high


def test_the_weibull_fit_is_that_of_scipy():
    fitted = overcoat.fit_records(HOURS, FAILED, distribution="weibull")
    shape, _, scale = stats.weibull_min.fit(censored(HOURS, FAILED), floc=0)
    assert fitted.weibull_shape == pytest.approx(shape, rel=1e-3)
    assert fitted.median_hours == pytest.approx(scale * math.log(2) ** (1 / shape), rel=1e-3)


def test_three_panels_do_not_overturn_the_catalog_and_thirty_do():
    catalog = overcoat.Catalog.default()
    few = overcoat.fit_records([200.0, 220.0, 240.0], [True] * 3, film="hard_wax", catalog=catalog)
    many = overcoat.fit_records([200.0, 220.0, 240.0] * 10, [True] * 30, film="hard_wax")
    assert few.prior_share > 0.5 > many.prior_share
    assert few.posterior_median_hours < 140 < many.posterior_median_hours


def test_without_a_failure_there_is_a_lower_bound_and_it_says_so():
    fitted = overcoat.fit_records([96.0] * 5, [False] * 5)
    assert fitted.kind == "lower bound"
    assert fitted.log_sd is None and fitted.criteria is None
    assert fitted.bounds_hours[1] is None
    assert fitted.remarks


def test_an_entry_is_a_catalog_that_the_ranking_names():
    entry = overcoat.fit_records(HOURS, FAILED, film="hard_wax").catalog_entry(
        "cabinet 2", "2025-01", "2025-12"
    )
    catalog = overcoat.Catalog.from_json(entry)
    assert ("films.hard_wax.capacity_h.median", "cabinet 2") in catalog.overrides
    firmness, citation = catalog.sources["own_records_hard_wax_capacity_h"]
    assert firmness == "own records"
    assert "10 records (7 failed)" in citation


def test_intervals_and_lots():
    rng = np.random.default_rng(7)
    lots = np.repeat(["A", "B", "C", "D", "E"], 6)
    effect = dict(zip("ABCDE", rng.normal(0, 0.4, 5), strict=True))
    hours = np.exp(np.log(70) + [effect[lot] for lot in lots] + rng.normal(0, 0.2, 30))
    seen = np.floor(hours / 24) * 24
    fitted = overcoat.fit_records(np.maximum(seen, 0), [True] * 30, until_hours=seen + 24, lot=lots)
    between, within = fitted.lot_log_sds
    assert 0.05 < between < 1.2 and 0.05 < within < 0.5


def test_a_file_stands_for_the_columns(tmp_path):
    path = tmp_path / "log.csv"
    rows = "".join(f"{h},{'yes' if f else 'no'}\n" for h, f in zip(HOURS, FAILED, strict=True))
    path.write_text("hours,failed\n" + rows, encoding="utf-8")
    assert overcoat.fit_records(path).median_hours == overcoat.fit_records(HOURS, FAILED).median_hours


@pytest.mark.parametrize(
    ("hours", "failed", "words"),
    [
        ([10.0, -1.0], [True, True], "row 2"),
        ([10.0, 20.0], [True], "failed"),
        ([10.0, 20.0], ["yes", "no"], "truth values"),
        ([10.0], [True], "spread"),
    ],
)
def test_bad_records_are_refused(hours, failed, words):
    with pytest.raises(overcoat.OvercoatError, match=words):
        overcoat.fit_records(hours, failed)
