"""Whatever comes back pickles, copies and compares."""

import copy
import inspect
import pickle

import pytest

import overcoat as oc
import overcoat.records
import overcoat.types
from overcoat import _core

BLACK = "steel_4_6 / hot_alkaline"
WAX = f"{BLACK} / hard_wax"
BRIEF = oc.Brief(
    part={"form": "bracket", "base_metal": "steel_4_6"}, duty={"place": "urban", "required_years": 5}
)
OWN = oc.Catalog.from_dict(
    {
        "schema": "overcoat.catalog.v1",
        "name": "trial",
        "sources": {"own": {"firmness": "own_records", "citation": "our cabinet"}},
        "films": {"hard_wax": {"capacity_h": {"median": 120, "log_sd": 0.4, "source": "own"}}},
    }
)
FIELD = (
    "base_metal,treatment,films,years,outcome,place,shelter\n"
    "steel_4_6,hot_alkaline,hard_wax,1.5,failed,rural,open\n"
    "steel_4_6,hot_alkaline,hard_wax,2,intact,rural,open\n"
)
CLIMATE = "temperature_c,relative_humidity_pct\n" + "10,85\n" * 40 + ",\n" + "11,70\n" * 7


def made():
    ranking = oc.rank(BRIEF)
    hours, failed = [48.0, 72.0, 72.0, 96.0], [True, True, True, False]
    fitted = oc.fit_records(hours, failed, film="hard_wax", catalog=OWN, cabinets={"2": [83, 85]})
    by_lots = oc.fit_records(
        [40.0, 60, 80, 45, 66, 90, 50, 70, 95, 30, 44, 58],
        [True] * 12,
        lot=list("aaabbbcccddd"),
        distribution="weibull",
    )
    unfailed = oc.fit_records([200.0] * 5, [False] * 5, film="hard_wax")
    record = oc.ClimateRecord.from_csv(CLIMATE)
    backtest = oc.backtest(FIELD)
    what = ranking.what_to_measure()
    grid = oc.grid(
        BRIEF, builds=[WAX], sites={"site": ["a", "b"], "temperature_c": [9.0, None]}, required_years=[1, 2]
    )
    paints = [f"{BLACK} / air_dry_paint", f"{BLACK} / epoxy_electrocoat + polyester_powder"]
    gate = oc.Brief(
        part={"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
        duty={"place": "rural", "required_years": 5},
    )
    line = oc.break_even(gate, paints, required_years=(1, 20), over={"heat_peak_c": [20, 30]})
    sensitivity = oc.sensitivity(BRIEF, WAX, points=64)
    return [
        BRIEF, BRIEF.duty, OWN, ranking, ranking.best, ranking.best.build, ranking.best.outlook,
        ranking.best.cost, ranking.best.papers(), ranking.atmosphere,
        next(finding for option in ranking for finding in option.findings),
        fitted, by_lots, unfailed, fitted.estimate, unfailed.estimate,
        *ranking.truly_first()[:2], what, *what.measurements[:1],
        *oc.update_field(FIELD, "hard_wax"), backtest, backtest.outlook, record, record.wetness(),
        overcoat.records.check_cabinet([83.0, 85.0], "2"),
        _core.field_log_csv(FIELD), grid, line, line.points[0], *line.points[0].crossings[:1],
        *line.points[0].stretches[:1], sensitivity, sensitivity.tornado[0], sensitivity.sobol[0],
    ]  # fmt: skip


@pytest.fixture(scope="module")
def objects():
    return made()


def test_what_comes_back_is_equal_after_pickling_and_copying(objects):
    for value in objects:
        for again in (pickle.loads(pickle.dumps(value)), copy.copy(value), copy.deepcopy(value)):
            assert type(again) is type(value)
            assert again == value, type(value)


def test_every_class_that_a_user_meets_is_among_them(objects):
    kinds = {type(value) for value in objects}
    named = {getattr(overcoat.types, name) for name in overcoat.types.__all__}
    named |= {getattr(oc, name) for name in oc.__all__ if inspect.isclass(getattr(oc, name))}
    left = {kind for kind in named - kinds if not issubclass(kind, (Exception, Warning))}
    # made of a file that was swept
    assert left == {overcoat.types.SweptFile}


def test_what_differs_is_not_equal(objects):
    for one in objects:
        assert [other for other in objects if other == one][0] is not None
        assert one != "x" and one != 1
    fitted = oc.fit_records([48.0, 72.0, 96.0], [True] * 3)
    assert fitted == oc.fit_records([48.0, 72.0, 96.0], [True] * 3)
    assert fitted != oc.fit_records([48.0, 72.0, 97.0], [True] * 3)
    assert oc.grid(BRIEF, builds=[WAX], required_years=[1, 2]) != oc.grid(
        BRIEF, builds=[WAX], required_years=[1, 3]
    )


def test_a_fit_that_was_pickled_still_answers(objects):
    fitted = next(value for value in objects if isinstance(value, overcoat.types.FittedRecords))
    again = pickle.loads(pickle.dumps(fitted))
    assert again.bounds_hours == fitted.bounds_hours
    entry = ("ours", "2026-01", "2026-03")
    assert again.catalog_entry(*entry) == fitted.catalog_entry(*entry)
    assert again.prior == (pytest.approx(120), 0.4)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: oc.Brief(part={}, duty={"place": "urban", "required_years": -1}),
        lambda: oc.rank(BRIEF.replace(place="urbann")),
        lambda: oc.sweep({"x": [1]}),
        lambda: oc.Brief.from_json("{"),
    ],
)
def test_refusals_pickle_with_all_that_they_say(refused):
    with pytest.raises(oc.OvercoatError) as caught:
        refused()
    again = pickle.loads(pickle.dumps(caught.value))
    assert (type(again), str(again), vars(again)) == (
        type(caught.value),
        str(caught.value),
        vars(caught.value),
    )
