"""Grossly wrong arguments of everything public: an error of our own that names the argument, no bare one.

What is public is walked, not listed: a function, method or argument without a good call here fails.
"""

import importlib
import inspect
import json
import math
import pkgutil
import warnings
from dataclasses import is_dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest

import overcoat

DEMO = Path(__file__).resolve().parents[2] / "demo-data"
# the command has tests of its own
COMMANDS = {"__main__"}
# What anybody may write by mistake. Each is right somewhere; an object of no kind is right nowhere.
NOTHING_AT_ALL = object()
WRONG = {
    "nothing": None,
    "object": NOTHING_AT_ALL,
    "truth": True,
    "integer": 3,
    "negative": -7,
    "enormous": 10**400,
    "longest": 10**5000,
    "nan": math.nan,
    "infinite": math.inf,
    "complex": 1 + 2j,
    "text": "no such thing",
    "empty text": "",
    "surrogate": "\ud800",
    "null character": "a\x00b",
    "long text": "x" * 100_000,
    "bytes": b"\xff\xfe",
    "empty list": [],
    "list of nothing": [None, None],
    "list of lists": [[1.0, 2.0], [3.0, 4.0]],
    "ragged list": [[1.0], [2.0, 3.0]],
    "mixed list": [1.0, "a", None, {}, object()],
    "empty dictionary": {},
    "nested dictionary": {"a": {"b": {"c": object()}}},
    "dictionary by number": {1: 2.0},
    "set": {1.0, 2.0},
    "endless": range(10**18),
    "list of an enormous number": [10**400, 1],
    "array of texts": np.array(["a", "b"]),
    "array of no dimension": np.array(1.0),
    "array of two dimensions": np.ones((2, 2)),
    "array of complex numbers": np.ones(2, dtype="c16"),
    "array of times": np.array(["2023-01-01", "NaT"], dtype="M8[D]"),
    "empty array": np.array([]),
    "frame without columns": pd.DataFrame(),
    "frame": pd.DataFrame({"a": [1, 2]}),
    "frame of polars": pl.DataFrame({"a": [1]}),
    "table of pyarrow": pa.table({"a": [1]}),
    "lazy frame": pl.LazyFrame({"a": [1]}),
    "series": pd.Series([1.0, None]),
    "function": lambda *given: given[0],
    "class": dict,
    "class of tables": pd.DataFrame,
    "absent file": Path("no-such-folder") / "no-such-file.csv",
    "folder": Path(__file__).parent,
    "rows": [{"hours": 1}, {"failed": object()}],
    "ranking": overcoat.rank(overcoat.Brief.from_json(DEMO / "briefs" / "deck-fitting.json")),
}

BRIEF = overcoat.Brief.from_json(
    """{"schema": "overcoat.brief.v1", "name": "gate",
    "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5,
             "lot_pieces": 90},
    "duty": {"temperature_c": 10, "relative_humidity_pct": 78, "so2_mg_m2_day": 4, "chloride_mg_m2_day": 20,
             "required_years": 5}}"""
)
BUILDS = [f"steel_4_6 / hot_alkaline / {film}" for film in ("hard_wax", "polyester_powder")]
CATALOG = overcoat.Catalog.default()
RANKING = overcoat.rank(BRIEF)
AIR = {
    "temperature_c": 10.0,
    "relative_humidity_pct": 78.0,
    "so2_mg_m2_day": 4.0,
    "chloride_mg_m2_day": 20.0,
}
PLACES = {name: [value, value] for name, value in AIR.items()}
RECORDS = {"hours": [48.0, 72.0, 72.0, 96.0], "failed": [True, True, True, False]}
FITTED = overcoat.fit_records(**RECORDS, film="hard_wax")
PARTS = [
    {
        "base_metal": "steel_8_8",
        "treatment": "hot_alkaline",
        "films": "hard_wax",
        "first_year_steel_loss_um": 10.0,
        "shelter": "sheltered",
        "years": 9.0,
        "failed": True,
    }
]
WHAT_IF = overcoat.grid(BRIEF, builds=BUILDS, required_years=[5, 10])
LINE = overcoat.break_even(BRIEF, BUILDS, chloride_mg_m2_day=(0, 100), over={"required_years": [2, 5]})
HANGS_ON = overcoat.sensitivity(BRIEF, BUILDS[0], points=4)
DATES = {"catalog_name": "own", "first_date": "2026-01-01", "last_date": "2026-03-31"}
GRID_OF = {
    "rows": 1,
    "kind": "dict",
    "threads": 1,
    "best_only": True,
    "columns": ["score"],
    "progress": False,
}


def swept(folder):
    sites = folder / "sites.csv"
    sites.write_text(",".join(AIR) + "\n10,78,4,20\n")
    return {"sites": sites, "out": folder / "out.csv", "progress": None, "batch_rows": 2}


# A good call of each: every argument by name, for methods behind their object; functions of a folder.
ASKED = {
    "builds": BUILDS,
    "catalog": CATALOG,
    "threads": 1,
    "brief": BRIEF,
    "best_only": True,
    "columns": ["build", "score"],
}
GOOD = {
    "overcoat.first_year_loss": {"metal": "steel", **AIR},
    "overcoat.first_year_losses": AIR,
    "overcoat.corrosivity": {"metal": "steel", "first_year_loss_um": 30.0},
    "overcoat.long_term_loss": {
        "metal": "steel",
        "first_year_loss_um": 30.0,
        "years": 10.0,
        "conservative": True,
        "composition": {"Cu": 0.3},
    },
    "overcoat.time_of_wetness": {"temperature_c": [10.0, 12.0], "relative_humidity_pct": [90.0, 70.0]},
    "overcoat.rank": {"brief": BRIEF, "catalog": CATALOG},
    "overcoat.schema": {"document": "brief"},
    "overcoat.read_brief": {"text_or_path": BRIEF.to_json()},
    "overcoat.Brief.from_json": {"text_or_path": BRIEF.to_json()},
    "overcoat.Brief.to_json": (BRIEF, {}),
    "overcoat.Brief.from_dict": {"document": BRIEF.to_dict()},
    "overcoat.Brief.to_dict": (BRIEF, {}),
    "overcoat.Brief.replace": (BRIEF, {"required_years": 3}),
    "overcoat.Catalog.default": {},
    "overcoat.Catalog.from_json": {"text_or_path": DEMO / "workshop_catalog.json"},
    "overcoat.Catalog.all_sources": (CATALOG, {}),
    "overcoat.Catalog.observations": (CATALOG, {"entry": "hard_wax"}),
    "overcoat.Catalog.from_dict": {
        "document": json.loads((DEMO / "workshop_catalog.json").read_text("utf-8"))
    },
    "overcoat.Catalog.extended": (CATALOG, {"further": DEMO / "workshop_catalog.json"}),
    "overcoat.Catalog.to_json": (CATALOG, {}),
    "overcoat.Catalog.factor_in_words": (CATALOG, {"factor": "atmosphere"}),
    "overcoat.Catalog.in_words": (CATALOG, {"build": RANKING.best.build}),
    "overcoat.ClimateRecord.from_csv": {"text_or_path": "temperature_c,relative_humidity_pct\n3,90\n"},
    "overcoat.ClimateRecord.from_epw": None,
    "overcoat.ClimateRecord.wetness": (
        overcoat.ClimateRecord.from_csv("temperature_c,relative_humidity_pct\n3,90\n"),
        {},
    ),
    "overcoat.sweep": {"table": PLACES, **ASKED},
    "overcoat.sweep_batches": {
        "batches": pa.table(PLACES).to_batches(),
        **ASKED,
    },
    "overcoat.sweep_file": lambda folder: {**swept(folder), **ASKED},
    "overcoat.span": {"low": 1.0, "high": 10.0, "count": 4, "ratio": True},
    "overcoat.grid": {
        "brief": BRIEF,
        "builds": BUILDS,
        "sites": {"site": ["quay"], "so2_mg_m2_day": [4.0]},
        "fields": {"road_salt.months_per_year": [0, 4]},
        "paired": True,
        "catalog": {"own": CATALOG},
        "changes": {"as is": None, "more": {"chloride_mg_m2_day": 2.0}},
        "chloride_mg_m2_day": [10.0, 20.0],
    },
    "overcoat.grids.Grid.run": (WHAT_IF, {name: value for name, value in GRID_OF.items() if name != "rows"}),
    "overcoat.grids.Grid.batches": (WHAT_IF, GRID_OF),
    "overcoat.best": {"table": overcoat.sweep(PLACES, builds=BUILDS)},
    "overcoat.pareto": {"table": WHAT_IF.run(kind="dict")},
    "overcoat.whatif.category_up": {"table": PLACES},
    "overcoat.break_even": {
        "brief": BRIEF,
        "builds": BUILDS,
        "catalog": CATALOG,
        "measure": "score",
        "over": {"required_years": [2, 5]},
        "chloride_mg_m2_day": (0, 100),
    },
    "overcoat.types.BreakEvenLine.table": (LINE, {"kind": "dict"}),
    "overcoat.sensitivity": {
        "brief": BRIEF,
        "build": BUILDS[0],
        "catalog": CATALOG,
        "measure": "score",
        "output": "log_years",
        "log_sds": {"atmosphere": 0.2},
        "points": 4,
        "chloride_mg_m2_day": (2, 60),
    },
    "overcoat.types.Sensitivity.table": (HANGS_ON, {"kind": "dict"}),
    "overcoat.fit_records": {
        **RECORDS,
        "until_hours": [math.nan] * 4,
        "lot": ["a", "a", "b", "b"],
        "cabinets": {"2": [83.0, 85.0]},
        "distribution": "weibull",
        "film": "hard_wax",
        "catalog": CATALOG,
        "confidence": 0.8,
    },
    "overcoat.records.merge_estimates": {"estimates": [FITTED.estimate, FITTED.estimate]},
    "overcoat.records.check_cabinet": {"mass_losses_g_m2": [83.0, 85.0], "cabinet": "2"},
    "overcoat.update_field": {
        "records": PARTS,
        "film": "hard_wax",
        "catalog": CATALOG,
        "capacity": FITTED.estimate,
        "part_log_sd": 0.4,
    },
    "overcoat.backtest": {"records": PARTS, "catalog": CATALOG},
    "overcoat.types.Backtest.to_json": (overcoat.backtest(PARTS), {}),
    "overcoat.types.FittedRecords.quantile_hours": (FITTED, {"probability": 0.2}),
    "overcoat.types.FittedRecords.quantile_bounds_hours": (FITTED, {"probability": 0.2}),
    "overcoat.types.FittedRecords.probability_plot": (FITTED, {}),
    "overcoat.types.FittedRecords.catalog_entry": (FITTED, DATES),
    "overcoat.types.Estimate.from_json": {"text": FITTED.estimate.to_json()},
    "overcoat.types.Estimate.to_json": (FITTED.estimate, {}),
    "overcoat.types.Estimate.catalog_entry": (
        FITTED.estimate,
        {"film": "hard_wax", **DATES, "catalog": CATALOG},
    ),
    "overcoat.types.FieldUpdate.catalog_entry": (overcoat.update_field(PARTS, "hard_wax")[0], DATES),
    "overcoat.Ranking.truly_first": (RANKING, {}),
    "overcoat.Ranking.what_to_measure": (
        RANKING,
        {"among": 2, "panels": 5, "field_parts": 5, "reference_specimens": 4},
    ),
    "overcoat.Ranking.index": (RANKING, {"value": RANKING[1], "start": 0, "stop": 5}),
    "overcoat.Ranking.count": (RANKING, {"value": RANKING.best.build}),
    "overcoat.Ranking.to_json": (RANKING, {}),
    "overcoat.Ranking.from_json": {"text_or_path": RANKING.to_json(), "catalog": CATALOG},
    "overcoat.Ranking.to_arrow": (RANKING, {}),
    "overcoat.Ranking.to_pandas": (RANKING, {}),
    "overcoat.Ranking.to_polars": (RANKING, {}),
    "overcoat.Ranking.to_text": (RANKING, {}),
    "overcoat.Ranking.fragment": (RANKING, {"top": 3}),
    "overcoat.Ranking.page": (RANKING, {"top": 3, "date": "2026-11-27", "revision": "B"}),
    "overcoat.types.MeasureNext.to_json": (RANKING.what_to_measure(), {}),
    "overcoat.Option.papers": (RANKING.best, {"units": "inch", "date": "2026-11-27", "revision": "B"}),
    "overcoat.Outlook.quantile": (RANKING.best.outlook, {"p": 0.1}),
    "overcoat.Outlook.survival": (RANKING.best.outlook, {"years": [1.0, 5.0]}),
    "overcoat.Papers.to_text": (RANKING.best.papers(), {}),
    "overcoat.Papers.page": (RANKING.best.papers(), {"date": "2026-11-27", "revision": "B"}),
    "overcoat.Papers.to_html": (RANKING.best.papers(), {}),
    "overcoat.Papers.to_json": (RANKING.best.papers(), {}),
    "overcoat.panels.panel": {"brief": BRIEF, "catalog": CATALOG, "top": 3},
    "overcoat.atmosphere.corrosivity_by_mass": {"metal": "steel", "first_year_loss_g_m2": 100.0},
    "overcoat.chart": {
        "brief": BRIEF,
        "required_years": 5,
        "builds": BUILDS,
        "places": ["rural"],
        "catalog": CATALOG,
    },
    "overcoat.panels.Panel": {"brief": BRIEF, "catalog": CATALOG, "top": 3},
    "overcoat.plots.survival": {"ax": None, "ranking": RANKING, "top": 2},
    "overcoat.plots.shares": {"ax": None, "ranking": RANKING, "top": 2},
    "overcoat.plots.cost_probability": {"ax": None, "ranking": RANKING},
    "overcoat.plots.tornado": {"ax": None, "brief": BRIEF, "option": RANKING.best, "least": 0.01},
    "overcoat.plots.environment_map": {
        "ax": None,
        "brief": BRIEF,
        "catalog": CATALOG,
        "against": "temperature_c",
        "chloride_mg_m2_day": (1.0, 300.0),
        "between": (0.0, 20.0),
        "builds": [{"treatment": "hot_alkaline", "films": ["hard_wax"]}],
        "steps": 2,
    },
    "overcoat.plots.loss_growth": {"ax": None, "first_year_loss_um": 48.0, "metal": "zinc", "years": 20.0},
    "overcoat.plots.wetness_year": {
        "ax": None,
        "time": ["2023-01-01T00:00", "2023-07-01T00:00"],
        "temperature_c": [3.0, 18.0],
        "relative_humidity_pct": [92.0, 60.0],
        "salt_months": [12, 1],
        "chloride_mg_m2_day": [30.0] * 12,
    },
    "overcoat.plots.break_even_line": {"ax": None, "line": LINE},
    "overcoat.plots.tornado_bars": {"ax": None, "found": HANGS_ON, "least": 0.01},
    "overcoat.plots.sobol_bars": {"ax": None, "found": HANGS_ON, "least": 0.01},
    "overcoat.plots.operating_characteristic": {"ax": None, "papers": RANKING.best.papers()},
    "overcoat.plots.probability_plot": {"ax": None, "fitted": FITTED},
    "overcoat.plots.calibration": {"ax": None, "judged": overcoat.backtest(PARTS)},
}
# a whole weather file
GOOD["overcoat.ClimateRecord.from_epw"] = {
    "text_or_path": "LOCATION,Nowhere\n-\n-\n-\n-\n-\n-\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n"
    "2023,1,1,1,60,?,3.0,2.0,90,100000\n"
}
# An argument of any kind at all.
ANY_KIND = {("overcoat.Ranking.count", "value")}


def public_modules():
    yield overcoat
    for found in pkgutil.iter_modules(overcoat.__path__):
        if not found.name.startswith("_") and found.name not in COMMANDS:
            yield importlib.import_module(f"overcoat.{found.name}")


def names_of(module):
    own = [
        name
        for name, value in vars(module).items()
        if not name.startswith("_") and getattr(value, "__module__", None) == module.__name__
    ]
    return getattr(module, "__all__", own)


def constructed(kind) -> bool:
    """Whether users make one: not what only holds results, and no error."""
    return (
        kind.__module__ not in ("overcoat", "overcoat.types")  # a class of the core
        and not is_dataclass(kind)
        and not issubclass(kind, (tuple, BaseException))
    )


def surface():
    """Everything public that can be called, each once, under the name by which it is documented."""
    met = set()
    for module in public_modules():
        for name in names_of(module):
            value = getattr(module, name)
            if not callable(value) or id(value) in met:
                continue
            met.add(id(value))
            path = f"{module.__name__}.{name}"
            if not inspect.isclass(value):
                yield path, value
                continue
            if constructed(value):
                yield path, value
            for member, how in vars(value).items():
                inherited = issubclass(value, (BaseException, tuple)) and not inspect.isfunction(how)
                if not member.startswith("_") and callable(getattr(value, member)) and not inherited:
                    yield f"{path}.{member}", getattr(value, member)


SURFACE = dict(surface())


def good_call(path, folder):
    """The function, bound where it is a method, and the arguments of a good call."""
    good = GOOD[path]
    good = good(folder) if callable(good) else good
    if isinstance(good, dict):
        return SURFACE[path], good
    owner, arguments = good
    return getattr(owner, path.rpartition(".")[2]), arguments


def called(function, arguments):
    made = function(**arguments)
    # what comes batch by batch is made when it is asked for
    return list(made) if inspect.isgenerator(made) else made


def test_everything_public_has_a_good_call_with_every_argument():
    assert set(GOOD) == set(SURFACE)
    for path, function in SURFACE.items():
        if not callable(GOOD[path]):
            arguments = GOOD[path] if isinstance(GOOD[path], dict) else GOOD[path][1]
            parameters = inspect.signature(function).parameters.values()
            named = {
                parameter.name
                for parameter in parameters
                if parameter.kind is not parameter.VAR_KEYWORD and parameter.name != "self"
            }
            assert named <= set(arguments), path
            assert len(arguments) >= len(parameters) - (not isinstance(GOOD[path], dict)), path


@pytest.mark.parametrize("path", GOOD)
def test_a_wrong_argument_is_refused_by_name(path, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    if "anel" in path:
        pytest.importorskip("ipywidgets")
    warnings.simplefilter("ignore", overcoat.ExtrapolationWarning)
    function, good = good_call(path, tmp_path)
    called(function, good)
    wrongly = []
    for argument in good:
        for what, value in WRONG.items():
            if said := fault(path, function, good, argument, value):
                wrongly.append(f"{argument}={what}: {said}")
    assert not wrongly, "\n".join(wrongly)


def fault(path, function, good, argument, value) -> str | None:
    """What is wrong with the answer to a wrong argument; of many it is the right one, which is fine."""
    try:
        called(function, good | {argument: value})
    except overcoat.OvercoatError as error:
        text = str(error)
        if "\n" in text or len(text) > 10_000:
            return f"a message of {len(text)} characters: {text[:200]}"
        named = error.kind in ("value", "name", "document", "build", "table") and error.field and error.remedy
        return None if named else f"no field or remedy: {text}"
    except OSError as error:
        # of a file that cannot be read
        return None if error.args else "no word of the file"
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    if value is NOTHING_AT_ALL and (path, argument) not in ANY_KIND:
        return "taken"
    return None


def test_an_unknown_argument_is_a_type_error(tmp_path):
    for path in SURFACE:
        # what moves inputs of a duty takes their names
        if path not in (
            "overcoat.Brief.replace",
            "overcoat.grid",
            "overcoat.break_even",
            "overcoat.sensitivity",
        ):
            function, good = good_call(path, tmp_path)
            with pytest.raises(TypeError, match="keyword argument"):
                function(**good, no_such_argument=1)


def test_a_message_names_argument_value_allowed_and_remedy():
    with pytest.raises(overcoat.InvalidValueError) as caught:
        overcoat.break_even(BRIEF, 3, chloride_mg_m2_day=(0, 100))
    assert str(caught.value) == (
        "`builds` is 3 (of type int); allowed: two builds. Put the build in brackets."
    )
    with pytest.raises(overcoat.InvalidValueError) as caught:
        overcoat.first_year_loss("steel", None, 78.0, 4.0, 20.0)
    assert str(caught.value) == (
        "`temperature_c` is None (of type NoneType); allowed: a number. "
        "Pass one number, in the unit that its name ends in."
    )
    with pytest.raises(overcoat.InvalidValueError, match=r"^`brief` is 3 \(of type int\); allowed: a Brief"):
        overcoat.rank(3)
    with pytest.raises(overcoat.TableError, match="expected a table, found NoneType"):
        overcoat.best(None)
    assert json.loads(BRIEF.to_json())["name"] == "gate"


def test_rows_without_a_result_have_no_best_and_do_not_stop_the_others():
    places = {**PLACES, "temperature_c": [math.nan, 10.0]}
    for table in (places, pd.DataFrame(places), pl.DataFrame(places), pa.table(places)):
        with pytest.warns(UserWarning, match="1 of 2 rows have no usable build"):
            first = overcoat.best(overcoat.sweep(table, builds=BUILDS))
        assert [float(x) for x in first["temperature_c"]] == [10.0]
    with pytest.raises(overcoat.TableError, match="1 rows, not 2"):
        overcoat.best({**overcoat.sweep(PLACES, builds=BUILDS[:1]), "site": ["quay"]})
    with pytest.raises(overcoat.TableError, match="truth values"):
        overcoat.best({**overcoat.sweep(PLACES, builds=BUILDS[:1]), "blocked": ["False", "True"]})


def test_a_field_may_hold_lists_of_one_length():
    pairs = [["copper", "lead"], ["silver", "copper"]]
    table = overcoat.grid(BRIEF, builds=BUILDS[:1], mating_metals=pairs).run(kind="dict")
    assert [json.loads(shown) for shown in table["mating_metals"]] == pairs


def test_part_of_a_complex_number_is_no_number():
    for bad in (np.complex64(1 + 2j), np.array(1 + 2j), 1 + 2j):
        with pytest.raises(overcoat.InvalidValueError):
            overcoat.corrosivity("steel", bad)
        with pytest.raises(overcoat.InvalidValueError):
            FITTED.quantile_hours(bad)


@pytest.mark.filterwarnings("ignore:not in the results")
@pytest.mark.parametrize("kind", ["pandas", "polars", "arrow", "dict"])
def test_a_grid_made_in_parts_is_the_grid_made_at_once(kind, monkeypatch):
    asked = overcoat.grid(BRIEF, builds=BUILDS, required_years=[2, 5, 10], shelter=["open", "indoor"])
    whole = asked.run(kind=kind)
    monkeypatch.setattr("overcoat.grids._BATCH_RESULTS", 1)
    assert len(list(asked.batches(kind=kind))) == 6
    parts = asked.run(kind=kind)
    for name in ("required_years", "shelter", "build", "median_years", "category", "row_status"):
        assert list(map(str, parts[name])) == list(map(str, whole[name])), name


def test_places_of_each_kind_go_up_a_category():
    expected = overcoat.whatif.category_up(PLACES)["chloride_mg_m2_day"]
    for table in (pd.DataFrame(PLACES), pl.DataFrame(PLACES), pa.table(PLACES)):
        worse = overcoat.whatif.category_up(table)
        assert isinstance(worse, type(table))
        assert np.array_equal(np.asarray(worse["chloride_mg_m2_day"]), expected)


def test_what_seldom_goes_wrong_in_a_table_or_grid():
    with pytest.raises(overcoat.TableError, match=r"Arrow cannot take|wanted: numbers"):
        overcoat.sweep(pd.DataFrame({**PLACES, "so2_mg_m2_day": [1.0, "a"]}), builds=BUILDS)
    with pytest.raises(overcoat.TableError, match="`shelter`: expected a column"):
        overcoat.sweep({**PLACES, "shelter": "open"}, builds=BUILDS)
    with pytest.raises(overcoat.InvalidValueError, match="at most 1000000"):
        many = {name: list(range(1, 1002)) for name in ("required_years", "so2_mg_m2_day")}
        overcoat.break_even(BRIEF, BUILDS, over=many, chloride_mg_m2_day=(0, 100))
    with pytest.raises(overcoat.InvalidValueError, match="`mating_metals`"):
        overcoat.grid(BRIEF, builds=BUILDS, mating_metals=[[object()]])
    placed = overcoat.Brief.from_json(
        json.dumps(json.loads(BRIEF.to_json()) | {"duty": {"place": "rural", "required_years": 5}})
    )
    with pytest.raises(overcoat.TableError, match="the change"):
        overcoat.grid(placed, builds=BUILDS, changes={"more": {"so2_mg_m2_day": 2.0}}).run()
