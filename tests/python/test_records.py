"""Film capacity from records: against scipy's fits of censored data, and what a shop does with it."""

import json
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


def test_films_are_never_fitted_together_and_known_however_written():
    log = [
        {"hours": h, "failed": True, "film": film}
        for h, film in ((40, "Hard_Wax"), (60, "hard wax"), (80, "hard_wax"))
    ]
    alone = overcoat.fit_records(log)
    assert (alone.film, alone.rows) == ("hard_wax", 3)
    mixed = [*log, {"hours": 20, "failed": True, "film": "displacing_oil"}]
    with pytest.raises(overcoat.TableError, match=r"hard_wax \(3\)"):
        overcoat.fit_records(mixed)
    asked = overcoat.fit_records(mixed, film="hard_wax")
    assert asked.median_hours == alone.median_hours
    assert any("1 of 4 records" in remark for remark in asked.remarks)


@pytest.mark.parametrize("panels", [22, 200])
def test_survivors_promise_no_more_than_they_were_tested_for(panels):
    fitted = overcoat.fit_records([200.0] * panels, [False] * panels, film="hard_wax")
    assert fitted.kind == "lower bound"
    assert fitted.estimate.median == 200.0
    assert fitted.posterior_median_hours is None
    catalog = overcoat.Catalog.from_json(fitted.catalog_entry("ours", "2026-01", "2026-02"))
    assert "lower bound" in dict(catalog.sources)["own_records_hard_wax_capacity_h"][1]


def test_hours_typed_in_days_are_remarked():
    hours = [0.7, 1.0, 1.4]
    prior, _ = overcoat.fit_records(hours, [True] * 3, film="hard_wax").prior
    right = overcoat.fit_records([h * prior for h in hours], [True] * 3, film="hard_wax")
    days = overcoat.fit_records([h * prior / 24 for h in hours], [True] * 3, film="hard_wax")
    assert not any("contradict" in remark for remark in right.remarks)
    assert any("contradict" in remark and "days" in remark for remark in days.remarks)


def test_a_film_of_ones_own_catalog_is_learned_into_it():
    built_in = json.loads(overcoat.Catalog.default().to_json())
    own = {
        "schema": built_in["schema"],
        "name": "ours",
        "films": {"house_wax": built_in["films"]["hard_wax"]},
    }
    catalog = overcoat.Catalog.from_json(json.dumps(own))
    fitted = overcoat.fit_records([40.0, 60.0, 80.0], [True] * 3, film="house_wax", catalog=catalog)
    taught = catalog.extended(fitted.catalog_entry("cabinet", "2026-01", "2026-02"))
    assert taught.overrides[-1][0].startswith("films.house_wax")
    entry = fitted.estimate.catalog_entry("house_wax", "cabinet", "2026-01", "2026-02", catalog=catalog)
    assert catalog.extended(entry).overrides[-1][0].startswith("films.house_wax")


@pytest.mark.parametrize("film", ["hard_wax", "polyester_powder"])
def test_hours_typed_as_days_are_remarked_on_whether_panels_failed_or_not(film):
    prior, _ = overcoat.fit_records([24.0, 48.0], [True, True], film=film).prior
    days = [share * prior / 24 for share in (0.8, 0.9, 1.0, 1.1, 1.3)]
    for failed in ([True] * 5, [False] * 5, [True, False, False, True, False]):
        fitted = overcoat.fit_records(days, failed, film=film)
        assert any("days, multiply by 24" in remark for remark in fitted.remarks), fitted.remarks
        hours = overcoat.fit_records([24 * day for day in days], failed, film=film)
        assert not any("Check that the hours are hours" in remark for remark in hours.remarks)


def test_panels_of_a_strong_film_taken_out_after_a_day_say_that_they_tell_nothing():
    prior, _ = overcoat.fit_records([300.0, 400.0], [True, True], film="polyester_powder").prior
    fitted = overcoat.fit_records([25.0] * 5, [False] * 5, film="polyester_powder")
    assert prior > 250
    assert any("say nothing of the film" in remark for remark in fitted.remarks), fitted.remarks


@pytest.mark.parametrize("column", ["flim", "Film", "films", "Lot", "cabinets", "Treatment"])
def test_a_column_of_a_log_that_is_nearly_known_is_refused(column):
    with pytest.raises(overcoat.TableError, match="Did you mean"):
        overcoat.fit_records(f"hours,failed,{column}\n40,yes,a\n60,yes,b\n")
    assert overcoat.fit_records("hours,failed,operator\n40,yes,a\n60,yes,b\n").rows == 2
