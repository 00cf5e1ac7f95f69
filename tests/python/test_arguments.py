"""What comes in, at the ends of what is allowed: arguments, columns, dictionaries, logs, tables."""

import itertools
import json
import math
import os
from pathlib import Path

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest

import overcoat
from overcoat import _builds, _columns, _documents, _fields, _log, _quantities, _refusal, _table

DEMO = Path(__file__).resolve().parents[2] / "demo-data"
HINGE = DEMO / "briefs" / "gate-hinge.json"
PRICES = DEMO / "workshop_catalog.json"
Refused = overcoat.InvalidValueError


def said(call, *given, **named):
    """The message of a refusal."""
    with pytest.raises(overcoat.OvercoatError) as caught:
        call(*given, **named)
    return str(caught.value)


class Mute:
    def __str__(self):
        raise RuntimeError("nothing to say")


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("x" * 400, "x" * 400),
        ("x" * 401, "x" * 400 + "…"),
        ("two\n  lines", "two lines"),
        ([0] * 400, ("[" + "0, " * 400)[:400] + "…"),
        ([0] * 401, "a list of length 401"),
        (Path("a" * 401), "a" * 400 + "…"),
        (Mute(), "a value of type Mute"),
        (7, "7"),
    ],
)
def test_a_value_is_shown_in_one_line_and_cut(value, shown):
    error = _refusal.invalid("thing", value, "another", "Give it.")
    assert str(error) == f"`thing` is {shown}; allowed: another. Give it."
    assert (error.kind, error.field, error.value) == ("value", "thing", shown)
    assert (error.allowed, error.remedy) == ("another", "Give it.")


def test_the_type_of_a_wrong_argument_is_told():
    assert str(_refusal.wrong("thing", 7, "text", "Write it.")) == (
        "`thing` is 7 (of type int); allowed: text. Write it."
    )
    assert _refusal.one_of("thing", 7, int, "") == 7
    assert "allowed: a int. Give one." in said(_refusal.one_of, "thing", "7", int, "Give one.")


def test_a_brief_and_a_catalog_come_in_four_forms():
    text = HINGE.read_text("utf-8")
    brief = overcoat.Brief.from_json(text)
    assert _refusal.brief_of(brief) is brief
    assert _refusal.brief_of(json.loads(text)) == _refusal.brief_of(text) == _refusal.brief_of(HINGE) == brief
    assert "allowed: a Brief, a dictionary, JSON text or the path" in said(_refusal.brief_of, 3)
    priced = overcoat.Catalog.from_json(PRICES)
    assert _refusal.catalog_of(priced) is priced
    assert _refusal.catalog_of(None) is None
    for form in (PRICES, PRICES.read_text("utf-8"), json.loads(PRICES.read_text("utf-8"))):
        assert _refusal.catalog_of(form).to_json() == priced.to_json()
    assert "allowed: a Catalog, a dictionary" in said(_refusal.catalog_of, 3)


def test_a_mapping_has_keys_of_text():
    assert _refusal.mapped("m", None, "", "") == {}
    assert _refusal.mapped("m", {"a": 1}, "", "") == {"a": 1}
    for given in ({1: 2}, [("a", 1)], "a"):
        assert "`m` is" in said(_refusal.mapped, "m", given, "a mapping", "")


@pytest.mark.parametrize("given", [[1, 2, 3], (1, 2, 3), range(1, 4), iter([1, 2, 3]), np.array([1, 2, 3])])
def test_a_list_may_be_anything_that_ends(given):
    assert _refusal.listed("l", given, "a list", "", 3) == [1, 2, 3]


@pytest.mark.parametrize(
    "given",
    ["abc", b"abc", {"a": 1}, 3, None, list, np.array(1), pd.DataFrame({"a": [1]}), pa.table({"a": [1]})],
)
def test_what_is_no_list_is_refused(given):
    assert "allowed: a list. Write one." in said(_refusal.listed, "l", given, "a list", "Write one.", 3)


def test_a_list_that_is_too_long_or_never_ends_is_refused():
    for given in ([1, 2, 3, 4], itertools.count()):
        assert said(_refusal.listed, "l", given, "a list", "", 3) == (
            "`l` is a list of more than 3; allowed: at most 3. Ask in parts."
        )


def test_whole_numbers_at_their_bounds():
    for given in (2, 3, 4, np.int64(4)):
        assert _refusal.whole_number("n", given, 2, 4, "") == given
    for given in (1, 5, True, 3.0, "3", None, np.True_):
        assert "allowed: a whole number from 2 to 4" in said(_refusal.whole_number, "n", given, 2, 4, "")
    # what is not said fits every bound
    assert "whole number" in said(_refusal.whole_number, "n", None, -1, 1, "")
    assert "whole number" in said(_refusal.whole_number, "n", True, 0, 1, "")
    assert (_refusal.how_many(1), _refusal.how_many(2**31 - 1)) == (1, 2**31 - 1)
    for given in (0, 2**31):
        assert "`top`" in said(_refusal.how_many, given)
    assert (_refusal.threads_of(None), _refusal.threads_of(1)) == (os.cpu_count(), 1)
    assert _refusal.threads_of(2**63 - 1) == 2**63 - 1
    for given in (0, 2**63):
        assert "`threads`" in said(_refusal.threads_of, given)


def test_all_processors_are_one_where_the_system_does_not_tell(monkeypatch):
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert _refusal.threads_of(None) == 1


def test_numbers():
    for given in (1, 1.5, -2, np.float32(0.5), np.int8(3), np.array(2.0)):
        assert _refusal.number("x", given) == float(given)
    for given in (True, "1", b"1", bytearray(b"1"), np.complex128(1), 1j, math.nan, math.inf, -math.inf):
        assert "allowed: a finite number. Pass one." in said(_refusal.number, "x", given)
    for given in (10**400, None, [1.0]):
        assert "`x` is" in said(_refusal.number, "x", given)


def test_the_least_share_is_at_most_one():
    assert [_refusal.least_share(given) for given in (-1, 0, 1)] == [-1, 0, 1]
    assert "at most 1" in said(_refusal.least_share, 1.0001)


def test_truth_values_and_functions():
    assert _refusal.truth("t", True) is True
    assert _refusal.truth("t", np.False_) is False
    for given in (0, 1, "yes", None):
        assert "allowed: True or False" in said(_refusal.truth, "t", given)
    _refusal.check_called("f", None, "")
    _refusal.check_called("f", len, "")
    for given in (3, int, "len"):
        assert "allowed: a function" in said(_refusal.check_called, "f", given, "")


def test_paths():
    assert _refusal.path_of("p", "a/b.csv") == _refusal.path_of("p", Path("a/b.csv")) == Path("a/b.csv")
    for given in (3, None, "\ud800.csv", "a\0b", "", ".", "/"):
        assert "allowed: the path of a file" in said(_refusal.path_of, "p", given)


def test_an_unknown_name_lists_all_known_ones_or_the_first_five():
    sixty = [f"name {i:02}" for i in range(60)]
    assert str(_refusal.unknown("f", "zzz", sixty, "Choose.")) == (
        f'`f` names "zzz", which is unknown; known: {", ".join(sixty)}. Choose.'
    )
    error = _refusal.unknown("f", "NAME 07x", [*sixty, "other"], "Choose.")
    assert str(error) == (
        '`f` names "NAME 07x", which is unknown (did you mean "name 07"?); known: '
        "name 00, name 01, name 02, name 03, name 04 and 56 others. Choose."
    )
    assert (error.kind, error.field, error.value, error.nearest) == ("name", "f", "NAME 07x", "name 07")
    assert (error.allowed, error.remedy) == ([*sixty, "other"], "Choose.")


def test_a_table_error_names_its_place():
    for column, row, where in (
        (".", None, "table"),
        ("", None, "a column without a name"),
        ("a", None, "column `a`"),
        ("a", 3, "column `a`, row 3"),
    ):
        error = _columns.table_error(column, row, "odd", "Mend it.")
        assert str(error) == f"{where}: odd. Mend it."
        assert (error.kind, error.field, error.column) == ("table", column or ".", column)
        assert (error.row, error.remedy) == (row, "Mend it.")


def test_what_is_a_column_a_frame_and_a_number():
    for given in ([1], (1,), np.array([1]), pd.Series([1]), pl.Series([1]), pa.array([1]), {}):
        assert _columns.is_column(given)
    for given in (1, "ab", b"ab", np.array(1.0), np.float64(1), None):
        assert not _columns.is_column(given)
    assert _columns.is_frame(pd.DataFrame()) and _columns.is_frame(pa.table({}))
    assert not _columns.is_frame(pd.Series([1])) and not _columns.is_frame([1])
    assert [_columns.is_number(given) for given in (1, 1.0, True, "1", None)] == [
        True,
        True,
        False,
        False,
        False,
    ]


def test_numbers_of_a_column():
    def numbers(given):
        return _columns.as_numbers("x", given)

    masked = np.ma.MaskedArray([1, 2, 3], mask=[False, True, False])
    np.testing.assert_array_equal(numbers(masked), [1.0, np.nan, 3.0])
    np.testing.assert_array_equal(numbers([1, None, 2.5]), [1.0, np.nan, 2.5])
    assert numbers(np.array([1, 2], dtype="f2")).dtype == np.float64
    assert numbers(np.array([1, 2], dtype="f4")).dtype == np.float32
    assert numbers(np.array([1, 2], dtype=np.longdouble)).dtype == np.float64
    swapped = numbers(np.array([1.0, 2.0], dtype=np.dtype("f8").newbyteorder()))
    assert swapped.dtype.isnative and swapped.tolist() == [1.0, 2.0]
    strided = numbers(np.arange(6.0)[::2])
    assert strided.flags.c_contiguous and strided.tolist() == [0.0, 2.0, 4.0]
    assert "its type is bool; wanted: numbers" in said(numbers, [True, False])
    assert "its type is object; wanted: numbers" in said(numbers, [1.0, "a", None])
    assert "a number is too large" in said(numbers, [10**400, None])
    assert "expected a column, found int" in said(numbers, 3)
    assert "expected one dimension, found 2" in said(numbers, np.ones((2, 2)))
    assert "no column" in said(numbers, [[1.0], [2.0, 3.0]])


def test_what_is_no_array_yet_has_a_limit(monkeypatch):
    monkeypatch.setattr(_columns, "_MOST_ROWS", 3)
    assert _columns.as_array("x", range(3)).tolist() == [0, 1, 2]
    assert _columns.as_array("x", np.arange(4)).tolist() == [0, 1, 2, 3]
    assert said(_columns.as_array, "x", range(4)) == "column `x`: 4 rows, at most 3. Give an array."


def test_a_gap_is_told_by_its_row_or_kept():
    assert said(_columns.as_column, "x", [1.0, 2.0, None]).startswith("column `x`, row 3: not a number")
    kept = _columns.as_column("x", [1, None], gaps=True)
    assert kept.dtype == np.float64 and math.isnan(kept[1])
    assert _columns.as_column("x", [1, 2]).tolist() == [1.0, 2.0]


def test_series_are_paired_only_where_their_rows_are_one():
    first, other = pd.Series([1.0, 2.0], index=["a", "b"]), pd.Series([1.0, 2.0], index=["b", "a"])
    _columns.check_indexes(
        {"x": first, "y": first.copy(), "z": [1.0, 2.0], "n": 3.0, "p": pl.Series([1.0, 2.0])}
    )
    message = said(_columns.check_indexes, {"n": [1.0, 2.0], "x": first, "y": first, "z": other})
    assert message.startswith("column `z`: its index is not that of `x`, so rows would be paired by place.")


def test_numbers_beside_columns_are_repeated():
    found = _columns.columns(a=[1.0, 2.0], b=3)
    assert {name: column.tolist() for name, column in found.items()} == {"a": [1.0, 2.0], "b": [3.0, 3.0]}
    assert "column `b`: 3 rows, where the first column has 2" in said(_columns.columns, a=[1, 2], b=[1, 2, 3])
    assert "expected a number or a column, found str" in said(_columns.columns, a=[1.0], b="x")
    assert "expected a number or a column, found bool" in said(_columns.columns, a=[1.0], b=True)


def test_rasters_are_laid_out_as_columns():
    plain, shape = _columns.raveled({"a": np.ones((2, 3)), "b": np.arange(3.0), "c": 5})
    assert shape == (2, 3)
    assert plain["b"].tolist() == [0.0, 1.0, 2.0] * 2 and plain["c"].tolist() == [5] * 6
    columns = {"a": [1.0, 2.0], "b": 5.0}
    assert _columns.raveled(columns) == (columns, None)
    frame = pd.DataFrame({"a": [1.0]})
    assert _columns.raveled({"a": frame}) == ({"a": frame}, None)
    assert "allowed: a number" in said(_columns.raveled, {"a": 1.0, "b": np.True_})
    message = said(_columns.raveled, {"b": 1.0, "a": np.ones((2, 3)), "c": np.ones((4, 2))})
    assert message.startswith("column `a`: arrays of shapes that do not fit")


def test_quantities_go_into_the_unit_of_the_name():
    pint = pytest.importorskip("pint")
    of = pint.UnitRegistry().Quantity
    assert _quantities.in_unit_of("relative_humidity_pct", of(0.78, "")) == pytest.approx(78.0)
    assert _quantities.in_unit_of("sea_distance_m", of(2, "km")) == pytest.approx(2000.0)
    assert "Remove the unit" in said(_quantities.in_unit_of, "lot_pieces", of(2, "km"))
    assert "`hardness_hv`" in said(_quantities.in_unit_of, "hardness_hv", of(2, "m"))
    assert "a quantity that converts to" in said(_quantities.in_unit_of, "sea_distance_m", of(2, "kg"))
    assert _columns.without_unit("sea_distance_m", of([1, 2], "km")).tolist() == [1000, 2000]
    assert _columns.without_unit("sea_distance_m", 5) == 5


def test_builds_as_a_user_lists_them():
    option = overcoat.rank(HINGE)[0]
    text = str(option.build)
    assert _builds.builds_and_catalog(None, None) == (None, None)
    texts, catalog = _builds.builds_and_catalog([option, option.build, text], None)
    assert texts == [text] * 3 and catalog == overcoat.Catalog.default()
    assert "Name one." in said(_builds.builds_and_catalog, [3], None)
    assert "Put the build in brackets." in said(_builds.builds_and_catalog, text, None)
    assert "at most 65535" in said(_builds.builds_and_catalog, itertools.repeat(text), None)


def test_a_section_has_its_fields_as_attributes():
    section = _documents.Section("Duty", {"place": "rural", "road_salt": {"distance_m": 5}})
    assert section.place == "rural" and section.required_years is None
    assert section.road_salt.distance_m == 5 and section.road_salt.months_per_year is None
    with pytest.raises(AttributeError, match="Duty has no field `plase`; did you mean `place`?"):
        section.plase  # noqa: B018
    with pytest.raises(AttributeError, match=r"^Duty has no field `zzzzz`$"):
        section.zzzzz  # noqa: B018
    with pytest.raises(
        AttributeError, match=r"Duty does not change: make a brief with `replace\(place=...\)`"
    ):
        section.place = "urban"
    assert dict(section) == section and len(section) == 2 and section != {"place": "rural"}
    assert section != 3 and "required_years" in dir(section)
    assert repr(_documents.Section("Duty", {"place": "rural"})) == "Duty(place='rural')"
    own = _documents.Section("Nothing", {"a": 1})
    assert own.a == 1 and dir(own) == ["a"]
    weights = _documents.Section("Wants", {"weights": {"cost": 2}})
    assert weights.weights.cost == 2 and weights.weights.heat is None


def test_a_dictionary_becomes_json():
    build = {"base_metal": "steel_4_6", "treatment": "hot_alkaline", "films": ["hard_wax"]}
    given = {
        "name": "n",
        "part": {"mass_g": np.float64(2.5), "lot_pieces": np.int64(3)},
        "duty": {"corrosivity": " c3 ", "place": "rural"},
        "wants": {"builds": ["steel_4_6 / hot_alkaline / hard_wax", dict(build)]},
    }
    assert json.loads(_documents.json_of(given, "brief")) == {
        "schema": "overcoat.brief.v1",
        "name": "n",
        "part": {"mass_g": 2.5, "lot_pieces": 3},
        "duty": {"corrosivity": "C3", "place": "rural"},
        "wants": {"builds": [build, build]},
    }
    option = overcoat.rank(HINGE)[0]
    whole = {
        "base_metal": option.build.base_metal,
        "treatment": option.build.treatment,
        "films": option.build.films,
    }
    assert json.loads(_documents.json_of({"x": [option, option.build]}, "catalog")) == {"x": [whole, whole]}
    assert json.loads(_documents.json_of({}, "brief")) == {
        "schema": "overcoat.brief.v1",
        "name": "inquiry",
        "part": {},
    }
    assert json.loads(_documents.json_of({1: np.arange(2)}, "catalog")) == {"1": [0, 1]}
    assert "the wants as a whole" in said(_documents.json_of, {"builds": []}, "fields")
    assert "what JSON can hold" in said(_documents.json_of, {"a": {1, 2}}, "brief")


def test_what_differs_between_catalogs():
    before = {"schema": "s", "name": "a", "prices": {"x": 1, "y": 2}, "films": {"w": {"h": 1}}}
    after = {
        "schema": "s",
        "name": "b",
        "prices": {"x": 1, "y": 3},
        "films": {"w": {"h": 1}},
        "places": {"p": {}},
    }
    differs = json.loads(_documents.what_differs(json.dumps(before), json.dumps(after), "own"))
    assert differs == {"schema": "s", "name": "own", "prices": {"y": 3}, "places": {"p": {}}}


def test_fields_of_a_schema_in_words():
    schema = {
        "$defs": {
            "Kind": {"description": "What it is.", "oneOf": [{"enum": ["a", "b"]}, {"const": "c"}]},
            "Own": {"oneOf": [{"properties": {"other": {}}}]},
            "Part": {"properties": {"size": {"description": "In\n mm."}}},
        },
        "properties": {
            "kind": {"$ref": "#/$defs/Kind"},
            "maybe": {"anyOf": [{"$ref": "#/$defs/Kind"}, {"type": "null"}], "description": "Or none."},
            "own": {"$ref": "#/$defs/Own"},
            "parts": {"items": {"$ref": "#/$defs/Part"}, "enum": [1, 2]},
            "by_name": {"additionalProperties": {"$ref": "#/$defs/Part"}},
            "open": {"additionalProperties": True},
        },
    }
    assert _fields.fields_in_words(schema) == [
        ("kind", "What it is. One of a, b, c."),
        ("maybe", "Or none. One of a, b, c."),
        ("own", ' One of {"other": 0}.'),
        ("parts", " One of 1, 2."),
        ("parts[].size", "In mm."),
        ("by_name", ""),
        ("by_name.NAME.size", "In mm."),
        ("open", ""),
    ]


def test_logs_as_text():
    assert _log.is_table({}) and _log.is_table([{"a": 1}]) and _log.is_table(pd.DataFrame())
    assert not _log.is_table([]) and not _log.is_table([{"a": 1}, 2]) and not _log.is_table("a.csv")
    rows = [
        {"h": 0.1, "ok": True},
        {"h": math.nan, "lot": None, "n": 3},
        {"ok": False, "t": pd.NaT, "m": pd.NA},
    ]
    assert _log.header_and_rows(rows) == (
        ["h", "ok", "lot", "n", "t", "m"],
        [["0.1", "yes", "", "", "", ""], ["", "", "", "3", "", ""], ["", "no", "", "", "", ""]],
    )
    assert _log.header_and_rows({"a": [1.5, 2.0], "b": ["x", None]}) == (
        ["a", "b"],
        [["1.5", "x"], ["2.0", ""]],
    )
    for kind in (pd.DataFrame, pl.DataFrame, pa.table, pl.LazyFrame):
        assert _log.header_and_rows(kind({"a": [1, 2]})) == (["a"], [["1"], ["2"]])
    assert "column `b`: 1 rows, where the first column has 2" in said(
        _log.header_and_rows, {"a": [1, 2], "b": [1]}
    )
    for column in (3, "text", {"x": 1}, pd.DataFrame({"x": [1]})):
        assert "column `b`: expected a column, found" in said(_log.header_and_rows, {"a": [1], "b": column})


def test_kinds_of_tables():
    assert [_table.kind_of(None, made) for made in ({}, pd.DataFrame(), pl.DataFrame(), pa.table({}))] == [
        "dict", "pandas", "polars", "arrow"
    ]  # fmt: skip
    assert _table.kind_of("arrow", {}) == "arrow" and _table.kind_of(None, np.ones(1)) == "pandas"
    assert "one of pandas, polars, arrow, dict" in said(_table.kind_of, 3)
    assert 'names "pands"' in said(_table.kind_of, "pands")


def test_without_pandas_a_table_is_a_dictionary(monkeypatch):
    monkeypatch.setattr(_table.importlib.util, "find_spec", lambda name: None)
    assert _table.kind_of(None) == "dict"


@pytest.mark.parametrize("kind", _table.KINDS)
def test_columns_become_a_table_and_tables_one(kind):
    columns = {"a": np.array([1.5, 2.5]), "b": np.array(["x", None], dtype=object)}
    made = _table.as_kind(columns, kind)
    assert _table.kind_of(None, made) == kind and _table.names_of(made) == ["a", "b"]
    assert _table.joined([made], kind) is made
    both = _table.joined([made, made], kind)
    assert _table.column_of(both, "a", "").tolist() == [1.5, 2.5, 1.5, 2.5]
    assert len(_table.Given.of(both)) == 4
    if kind == "pandas":
        assert both.index.tolist() == [0, 1, 2, 3]
    some = _table.taken(both, np.array([3, 0]), 4)
    assert _table.column_of(some, "a", "").tolist() == [2.5, 1.5]
    other = _table.with_columns(some, {"a": np.array([7.0, 8.0])})
    assert _table.column_of(other, "a", "").tolist() == [7.0, 8.0]
    assert _table.column_of(some, "a", "").tolist() == [2.5, 1.5]
    assert "column `c`: missing. Add it." in said(_table.column_of, both, "c", "Add it.")


def test_a_dictionary_of_unequal_columns_is_not_taken_from():
    message = said(_table.taken, {"a": [1, 2], "b": [1]}, np.array([0]), 2)
    assert message == "column `b`: 1 rows, not 2. Give columns of equal length."


def test_replaced_columns_keep_the_index():
    frame = pd.DataFrame({"a": [1.0, 2.0]}, index=["x", "y"])
    assert _table.with_columns(frame, {"a": np.array([3.0, 4.0])})["a"].to_dict() == {"x": 3.0, "y": 4.0}


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (None, None),
        (math.nan, None),
        (pd.NA, None),
        (pd.NaT, None),
        ("word", "word"),
        ("\ud800", "\\ud800"),
        (1.5, "1.5"),
        (3, "3"),
        (True, "true"),
        (np.float64(2.0), "2.0"),
        (np.bool_(False), "false"),
        ([1, 2], "[1, 2]"),
        ((1, 2), "[1, 2]"),
        (np.array([1, 2]), "[1, 2]"),
        ({"a": 1}, '{"a": 1}'),
        (pd.Series({"a": 1}).to_dict(), '{"a": 1}'),
    ],
)
def test_a_cell_as_the_core_reads_it(cell, text):
    assert _table._text(cell) == text


def test_what_is_no_table_is_refused_with_what_to_do():
    for given, remedy in (
        (3, "Pass a dictionary of columns"),
        ("a.csv", "For a file use `sweep_file`"),
        (Path("a.csv"), "For a file use `sweep_file`"),
        (pd.DataFrame, "Pass a dictionary of columns"),
    ):
        message = said(_table.Given.of, given)
        assert message.startswith("table: expected a table, found") and remedy in message

    class Lazy:
        def compute(self):
            return self

    assert "Collect it first." in said(_table.Given.of, Lazy())
