"""Loss, category, growth and wetness from Python, against formulas written out here and real records."""

import csv
import importlib.util
import itertools
import math
import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import overcoat
from overcoat._columns import as_column
from overcoat._table import column_like
from overcoat.atmosphere import corrosivity_by_mass

METALS = ["steel", "zinc", "copper", "aluminium"]

# ISO 9223:2012, 8.2, equations 1 to 4, from memory: A, a, b, f up to 10 °C, f above, B, c, d, e.
COEFFICIENTS = {
    "steel": (1.77, 0.52, 0.020, 0.150, -0.054, 0.102, 0.62, 0.033, 0.040),
    "zinc": (0.0129, 0.44, 0.046, 0.038, -0.071, 0.0175, 0.57, 0.008, 0.085),
    "copper": (0.0053, 0.26, 0.059, 0.126, -0.080, 0.01025, 0.27, 0.036, 0.049),
    "aluminium": (0.0042, 0.73, 0.025, 0.009, -0.043, 0.0018, 0.60, 0.020, 0.094),
}


def loss_written_out(metal, temperature_c, humidity_pct, so2, chloride):
    a, a_exp, b, cold, warm, c, c_exp, d, e = COEFFICIENTS[metal]
    f = (cold if temperature_c <= 10 else warm) * (temperature_c - 10)
    return a * so2**a_exp * math.exp(b * humidity_pct + f) + c * chloride**c_exp * math.exp(
        d * humidity_pct + e * temperature_c
    )


# Rows on both sides of 10 °C, at it, and at the ends of the validity intervals.
ROWS = [
    (9.0, 78.0, 6.0, 3.0),
    (10.0, 80.0, 5.0, 10.0),
    (11.0, 79.0, 3.0, 80.0),
    (26.5, 82.0, 1.5, 300.0),
    (-17.1, 34.0, 0.7, 0.4),
    (28.7, 93.0, 150.4, 760.5),
]
COLUMNS = [list(column) for column in zip(*ROWS, strict=True)]


@pytest.mark.parametrize("metal", METALS)
@pytest.mark.parametrize("row", ROWS)
def test_a_row_agrees_with_the_formula_written_out(metal, row):
    found = overcoat.first_year_loss(metal, *row)
    assert type(found) is float
    assert found == pytest.approx(loss_written_out(metal, *row), rel=1e-13)


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(METALS),
    st.floats(-17.1, 28.7),
    st.floats(34, 93),
    st.floats(0.7, 150.4),
    st.floats(0.4, 760.5),
)
def test_any_valid_row_agrees_with_the_formula_and_warns_of_nothing(metal, t, rh, so2, chloride):
    found = overcoat.first_year_loss(metal, t, rh, so2, chloride)
    assert found == pytest.approx(loss_written_out(metal, t, rh, so2, chloride), rel=1e-12)


def test_names_may_be_given_in_any_order():
    assert overcoat.first_year_loss(
        "steel",
        chloride_mg_m2_day=3.0,
        so2_mg_m2_day=6.0,
        relative_humidity_pct=78.0,
        temperature_c=9.0,
    ) == overcoat.first_year_loss("steel", 9.0, 78.0, 6.0, 3.0)


KINDS = {
    "list": list,
    "tuple": tuple,
    "numpy": np.array,
    "numpy, strided": lambda column: np.repeat(np.array(column), 2)[::2],
    "numpy, reversed view": lambda column: np.array(column[::-1])[::-1],
    "numpy, foreign byte order": lambda column: np.array(column, dtype=">f8"),
    "numpy, read-only": lambda column: np.frombuffer(np.array(column).tobytes()),
    "pyarrow": pa.array,
    "pyarrow, chunked": lambda column: pa.chunked_array([column[:2], column[2:]]),
    "polars": pl.Series,
    "pandas": pd.Series,
    "pandas, other index": lambda column: pd.Series(column, index=range(10, 10 + len(column))),
    "pandas, nullable": lambda column: pd.Series(column, dtype="Float64"),
    "pandas, of Arrow": lambda column: pd.Series(column, dtype=pd.ArrowDtype(pa.float64())),
}


def listed(column) -> list:
    methods = ("to_pylist", "to_list", "tolist")
    return next(getattr(column, method)() for method in methods if hasattr(column, method))


def kind_of(column) -> type:
    if isinstance(column, (list, tuple)):
        return np.ndarray
    return pa.Array if isinstance(column, pa.Array) else type(column)


@pytest.mark.parametrize("kind", KINDS)
def test_columns_of_any_kind_have_the_bits_of_the_scalar(kind):
    columns = [KINDS[kind](column) for column in COLUMNS]
    wanted = [overcoat.first_year_loss("zinc", *row) for row in ROWS]
    for found in (
        overcoat.first_year_loss("zinc", *columns),
        overcoat.first_year_losses(*columns)["zinc"],
    ):
        assert isinstance(found, kind_of(columns[0]))
        assert np.asarray(found).dtype == np.float64
        assert listed(found) == wanted
        if isinstance(found, pd.Series):
            assert found.index.equals(columns[0].index)


def test_losses_of_all_metals_have_the_bits_of_each():
    for row in ROWS:
        assert overcoat.first_year_losses(*row) == {
            metal: overcoat.first_year_loss(metal, *row) for metal in ("steel", "zinc", "copper", "aluminium")
        }
    with pytest.warns(overcoat.ExtrapolationWarning):
        overcoat.first_year_losses(29.0, 80.0, 5.0, 3.0)
    with pytest.warns(overcoat.ExtrapolationWarning, match="1 of 2 rows"):
        overcoat.first_year_losses([29.0, 9.0], 80.0, 5.0, 3.0)


@pytest.mark.parametrize("kind", KINDS)
def test_categories_and_growth_are_of_the_kind_that_came_in(kind):
    losses = KINDS[kind]([1.0, 30.0, 900.0, 90.0])
    found = overcoat.corrosivity("steel", losses)
    assert isinstance(found, kind_of(losses))
    assert listed(found) == ["C1", "C3", "CX", "C5"]
    assert isinstance(overcoat.long_term_loss("steel", 30.0, losses), kind_of(losses))


@pytest.mark.parametrize("kind", ["numpy", "pyarrow", "polars", "pandas"])
def test_columns_are_read_and_handed_over_where_they_lie(kind):
    column = np.linspace(1.0, 20.0, 10_000)
    like = {
        "numpy": lambda: column,
        "pyarrow": lambda: pa.array(column),
        "polars": lambda: pl.Series("t", pa.array(column)),
        "pandas": lambda: pd.Series(column, copy=False),
    }[kind]()
    assert as_column("temperature_c", like).ctypes.data == column.ctypes.data
    assert np.asarray(column_like((like,), "x", column)).ctypes.data == column.ctypes.data


def test_kinds_may_be_mixed():
    t, rh, so2, chloride = COLUMNS
    found = overcoat.first_year_loss("steel", pl.Series(t), pa.array(rh), pd.Series(so2), np.array(chloride))
    assert isinstance(found, pl.Series) and found.name == "first_year_loss_um"
    assert found.to_list() == overcoat.first_year_loss("steel", *COLUMNS).tolist()


def test_smaller_number_types_are_widened_not_refused():
    t, rh, so2, chloride = ([row[i] for row in ROWS[:4]] for i in range(4))
    single = np.array(t, dtype=np.float32)
    found = overcoat.first_year_loss("steel", single, rh, so2, chloride)
    assert (
        found.tolist() == overcoat.first_year_loss("steel", single.astype(float), rh, so2, chloride).tolist()
    )
    for whole in (np.int64, np.int8, np.uint16):
        found = overcoat.first_year_loss("steel", np.array([9, 11], dtype=whole), [78, 79], [6, 3], [3, 80])
        assert found.tolist() == [
            overcoat.first_year_loss("steel", 9.0, 78.0, 6.0, 3.0),
            overcoat.first_year_loss("steel", 11.0, 79.0, 3.0, 80.0),
        ]


def test_the_given_column_is_not_written_to():
    columns = [np.array(column) for column in COLUMNS]
    before = [column.copy() for column in columns]
    overcoat.first_year_loss("steel", *columns)
    assert all((a == b).all() for a, b in zip(columns, before, strict=True))


def test_a_number_beside_columns_counts_for_every_row():
    found = overcoat.first_year_loss("steel", [9.0, 9.0, 12.0], 78, np.float32(6.0), np.array(3))
    assert found[0] == found[1] == overcoat.first_year_loss("steel", 9.0, 78.0, 6.0, 3.0)
    assert found[2] == overcoat.first_year_loss("steel", 12.0, 78.0, 6.0, 3.0)


def test_no_rows_give_no_rows():
    assert overcoat.first_year_loss("steel", [], [], [], []).shape == (0,)
    assert overcoat.corrosivity("steel", np.array([])).shape == (0,)


def test_unequal_lengths_name_the_column():
    with pytest.raises(overcoat.TableError, match="2 rows, where the first column has 3") as caught:
        overcoat.first_year_loss("steel", [9.0] * 3, [78.0] * 3, [6.0] * 2, 3.0)
    assert (caught.value.kind, caught.value.column, caught.value.row) == ("table", "so2_mg_m2_day", None)


@pytest.mark.parametrize(
    "column",
    [
        ["9", "10"],
        [9.0, "10"],
        np.array(["9", "10"]),
        pl.Series(["9", "10"]),
        pa.array(["9", "10"]),
        pd.Series(["9", "10"]),
        [True, False],
        [1 + 2j, 3],
        np.array(["2024-01-01", "2024-01-02"], dtype="datetime64[D]"),
        [[9.0, 10.0]],
        {"a": 9.0, "b": 10.0},
    ],
    ids=lambda column: f"{type(column).__name__}",
)
def test_what_is_no_column_of_numbers_is_refused_by_name(column):
    with pytest.raises(overcoat.TableError, match="`temperature_c`") as caught:
        overcoat.first_year_loss("steel", column, 78.0, 6.0, 3.0)
    assert caught.value.column == caught.value.field == "temperature_c"
    assert caught.value.remedy


@pytest.mark.parametrize("text", ["9", "nine", b"9", None])
def test_a_text_is_no_number(text):
    with pytest.raises((TypeError, overcoat.OvercoatError)):
        overcoat.first_year_loss("steel", text, 78.0, 6.0, 3.0)


def test_a_text_beside_columns_is_no_number():
    with pytest.raises((TypeError, overcoat.OvercoatError)):
        overcoat.first_year_loss("steel", [9.0, 10.0], "78", 6.0, 3.0)


@pytest.mark.parametrize(
    "column",
    [
        [9.0, math.nan, math.nan],
        [9.0, None, 10.0],
        np.array([9.0, math.nan, 10.0]),
        pa.array([9.0, None, 10.0]),
        pa.array([9, None, 10]),
        pl.Series([9.0, None, 10.0]),
        pl.Series([9, None, 10]),
        pd.Series([9.0, None, 10.0]),
        pd.Series([9, None, 10], dtype="Int64"),
        pd.Series([9.0, None, 10.0], dtype="Float64"),
        pd.Series([9.0, None, 10.0], dtype=pd.ArrowDtype(pa.float64())),
    ],
    ids=lambda column: f"{type(column).__module__}-{getattr(column, 'dtype', '')}",
)
def test_nan_and_nulls_are_refused_with_their_row(column):
    with pytest.raises(overcoat.TableError, match="row 2") as caught:
        overcoat.first_year_loss("steel", column, 78.0, 6.0, 3.0)
    assert (caught.value.column, caught.value.row) == ("temperature_c", 2)


def test_masked_values_are_refused_as_nulls_are():
    masked = np.ma.masked_array([9.0, 11.0, 10.0], mask=[False, True, False])
    with pytest.raises(overcoat.TableError):
        overcoat.first_year_loss("steel", masked, 78.0, 6.0, 3.0)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, -1.0])
@pytest.mark.parametrize("field", ["relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day"])
def test_impossible_values_are_refused_by_field(field, bad):
    values = {
        "temperature_c": 9.0,
        "relative_humidity_pct": 78.0,
        "so2_mg_m2_day": 6.0,
        "chloride_mg_m2_day": 3.0,
    }
    with pytest.raises(overcoat.InvalidValueError) as caught:
        overcoat.first_year_loss("steel", **{**values, field: bad})
    assert (caught.value.kind, caught.value.field) == ("value", field)
    with pytest.raises(overcoat.TableError) as caught:
        overcoat.first_year_loss("steel", **{**values, field: [values[field], bad]})
    assert (caught.value.column, caught.value.row) == (field, 2)


def test_sixty_fahrenheit_is_caught():
    with pytest.raises(overcoat.InvalidValueError) as caught:
        overcoat.first_year_loss("steel", 60.0, 75.0, 5.0, 3.0)
    assert (caught.value.field, caught.value.value) == ("temperature_c", "60")
    assert caught.value.allowed == "-60 to 40 °C"
    assert "60 °F is 15.6 °C" in caught.value.remedy  # (60 - 32) / 1.8 = 15.56
    with pytest.raises(overcoat.TableError, match=r"row 2.*°F"):
        overcoat.first_year_loss("steel", [15.6, 60.0], 75.0, 5.0, 3.0)


def test_an_unknown_metal_names_its_nearest():
    for temperature in (9.0, [9.0]):
        with pytest.raises(overcoat.UnknownNameError) as caught:
            overcoat.first_year_loss("alumnium", temperature, 78.0, 6.0, 3.0)
        assert caught.value.nearest == "aluminium"
        assert caught.value.allowed == METALS


def test_a_column_with_rows_outside_warns_once_from_the_line_of_the_caller():
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        overcoat.first_year_loss("steel", [9.0, 30.0, 31.0, 29.0], 20.0, [6.0] * 4, 3.0)
    assert [w.category for w in caught] == [overcoat.ExtrapolationWarning]
    assert "4 of 4 rows" in str(caught[0].message)
    assert caught[0].filename == __file__


def test_a_row_outside_warns_once_for_each_input_outside():
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        found = overcoat.first_year_loss("steel", 30.0, 0.75, 5.0, 3.0)
    assert [w.category for w in caught] == [overcoat.ExtrapolationWarning] * 2
    assert "`temperature_c` is 30" in str(caught[0].message)
    assert "looks like a fraction" in str(caught[1].message)
    assert caught[0].filename == __file__
    assert found == pytest.approx(loss_written_out("steel", 30.0, 0.75, 5.0, 3.0), rel=1e-13)


def test_a_deposition_of_zero_makes_its_term_zero_and_warns():
    with pytest.warns(overcoat.ExtrapolationWarning, match="chloride_mg_m2_day"):
        found = overcoat.first_year_loss("steel", 10.0, 50.0, 1.0, 0.0)
    assert found == pytest.approx(1.77 * math.e, rel=1e-14)


# Upper bounds of C1 to CX, printed: ISO 9223:2012, Table 2; µm and g/m².
UPPER_UM = {"steel": [1.3, 25, 50, 80, 200, 700], "zinc": [0.1, 0.7, 2.1, 4.2, 8.4, 25]}
UPPER_G_M2 = {"steel": [10, 200, 400, 650, 1500, 5500], "zinc": [0.7, 5, 15, 30, 60, 180]}
CATEGORIES = ["C1", "C2", "C3", "C4", "C5", "CX"]


@pytest.mark.parametrize("metal", UPPER_UM)
@pytest.mark.parametrize("by", ["thickness", "mass"])
def test_an_upper_bound_belongs_to_its_category_and_the_next_number_does_not(metal, by):
    classify, bounds = (
        (overcoat.corrosivity, UPPER_UM) if by == "thickness" else (corrosivity_by_mass, UPPER_G_M2)
    )
    for upper, (category, following) in zip(
        bounds[metal], itertools.pairwise([*CATEGORIES, "CX"]), strict=True
    ):
        assert classify(metal, float(upper)) == category
        assert classify(metal, math.nextafter(upper, math.inf)) == following
        assert classify(metal, math.nextafter(upper, 0)) == category
    assert classify(metal, 0.0) == "C1"


def test_a_column_of_losses_gives_a_column_of_categories():
    bounds = np.array(UPPER_UM["steel"], dtype=float)
    assert overcoat.corrosivity("steel", bounds).tolist() == CATEGORIES
    above = overcoat.corrosivity("steel", pl.Series(np.nextafter(bounds, np.inf)))
    assert above.to_list() == [*CATEGORIES[1:], "CX"]
    assert above.is_sorted()


def test_mass_and_thickness_are_rounded_apart_by_the_standard():
    # 650 g/m² of steel (7.86 g/cm³) are 82.7 µm: C4 by its mass, above the 80 µm of C4 by its thickness
    assert corrosivity_by_mass("steel", 650.0) == "C4"
    assert overcoat.corrosivity("steel", 650.0 / 7.86) == "C5"
    # and 1.3 µm are 10.2 g/m²
    assert corrosivity_by_mass("steel", 1.3 * 7.86) == "C2"
    assert overcoat.corrosivity("steel", 1.3) == "C1"


def test_impossible_losses_are_refused():
    for bad in (-0.1, math.nan, math.inf):
        for classify in (overcoat.corrosivity, corrosivity_by_mass):
            with pytest.raises(overcoat.InvalidValueError):
                classify("zinc", bad)
        with pytest.raises(overcoat.TableError) as caught:
            overcoat.corrosivity("zinc", [0.5, bad])
        assert caught.value.row == 2
    with pytest.raises(overcoat.UnknownNameError):
        overcoat.corrosivity("Stahl", 1.0)


# Exponents of ISO 9224:2012, from memory: average, conservative.
EXPONENTS = {
    "steel": (0.523, 0.575),
    "zinc": (0.813, 0.873),
    "copper": (0.667, 0.726),
    "aluminium": (0.728, 0.807),
}
# Multiples of the first year, t^b and then the slope at 20 a: calculated apart from this project.
MULTIPLES = {
    "steel": {2: (1.4369, 1.4897), 10: (3.3343, 3.7584), 20: (4.7911, 5.5988), 50: (8.5498, 10.4277)},
    "zinc": {2: (1.7569, 1.8315), 10: (6.5013, 7.4645), 20: (11.4219, 13.6710), 50: (25.3509, 31.5731)},
    "copper": {2: (1.5878, 1.6540), 10: (4.6452, 5.3211), 20: (7.3754, 8.8013), 50: (14.7545, 18.3860)},
    "aluminium": {2: (1.6563, 1.7496), 10: (5.3456, 6.4121), 20: (8.8542, 11.2184), 50: (18.5230, 24.7983)},
}


@pytest.mark.parametrize("metal", METALS)
@pytest.mark.parametrize("conservative", [False, True])
def test_the_loss_grows_by_the_multiples_of_the_standard(metal, conservative):
    b = EXPONENTS[metal][conservative]
    assert overcoat.long_term_loss(metal, 7.0, 1.0, conservative) == 7.0
    assert overcoat.long_term_loss(metal, 7.0, 0.0, conservative) == 0.0
    for years, multiples in MULTIPLES[metal].items():
        found = overcoat.long_term_loss(metal, 10.0, years, conservative=conservative)
        assert found == pytest.approx(10 * multiples[conservative], rel=3e-5)
        by_formula = years**b if years <= 20 else 20**b + b * 20 ** (b - 1) * (years - 20)
        assert found == pytest.approx(10 * by_formula, rel=1e-13)


def test_after_twenty_years_the_loss_goes_on_in_a_straight_line():
    at = overcoat.long_term_loss("zinc", 2.0, np.array([20.0, 30.0, 40.0, 80.0]))
    slope = 2.0 * 0.813 * 20 ** (0.813 - 1)
    assert np.diff(at) == pytest.approx([10 * slope, 10 * slope, 40 * slope], rel=1e-12)


def test_growth_of_columns_has_the_bits_of_the_scalar():
    first, years = [50.0, 1.0, 0.0], [0.5, 35.0, 10.0]
    for conservative, composition in itertools.product((False, True), (None, {"Cu": 0.3})):
        found = overcoat.long_term_loss("steel", first, pl.Series(years), conservative, composition)
        assert found.tolist() == [
            overcoat.long_term_loss("steel", r, t, conservative, composition)
            for r, t in zip(first, years, strict=True)
        ]
    assert overcoat.long_term_loss("steel", 50.0, [1, 10]).tolist() == [
        50.0,
        overcoat.long_term_loss("steel", 50.0, 10.0),
    ]


def test_copper_and_chromium_slow_the_rust_of_steel():
    # effects on the exponent from memory (ISO 9224:2012, annex C): Cu -0.069, Cr -0.124 per mass %,
    # from the 0.05% Cu and 0.03% Cr assumed of plain steel
    b = 0.523 - 0.069 * (0.35 - 0.05) - 0.124 * (0.53 - 0.03)
    found = overcoat.long_term_loss("steel", 50.0, 10.0, composition={"Cu": 0.35, "Cr": 0.53})
    assert found == pytest.approx(50 * 10**b, rel=1e-12)
    by_field = {"copper_pct": 0.35, "chromium_pct": 0.53}
    assert overcoat.long_term_loss("steel", 50.0, 10.0, composition=by_field) == found
    on_the_safe_side = overcoat.long_term_loss("steel", 50.0, 10.0, True, {"Cu": 0.35, "Cr": 0.53})
    assert on_the_safe_side == pytest.approx(50 * 10 ** (b + 0.575 - 0.523), rel=1e-12)
    assert overcoat.long_term_loss("steel", 50.0, 10.0, composition={}) == pytest.approx(
        overcoat.long_term_loss("steel", 50.0, 10.0), rel=1e-15
    )


def test_compositions_that_the_rule_does_not_cover_are_refused():
    for years in (10.0, [10.0]):
        with pytest.raises(overcoat.UnknownNameError) as caught:
            overcoat.long_term_loss("steel", 50.0, years, composition={"cu": 0.3})
        assert caught.value.nearest == "Cu"
        with pytest.raises(overcoat.InvalidValueError, match="copper_pct"):
            overcoat.long_term_loss("steel", 50.0, years, composition={"Cu": 9.0})
        with pytest.raises(overcoat.InvalidValueError, match="steel only"):
            overcoat.long_term_loss("zinc", 50.0, years, composition={"Cu": 0.3})
    with pytest.raises(overcoat.InvalidValueError, match="years"):
        overcoat.long_term_loss("steel", 50.0, -1.0)
    with pytest.raises(overcoat.TableError) as caught:
        overcoat.long_term_loss("steel", [50.0, 50.0], [1.0, -1.0])
    assert (caught.value.column, caught.value.row) == ("years", 2)


def wet_hours(readings):
    """Hours with T > 0 °C and RH > 80%, and hours with both readings."""
    valid = [(t, rh) for t, rh in readings if not (math.isnan(t) or math.isnan(rh))]
    return sum(t > 0 and rh > 80 for t, rh in valid), len(valid)


def test_both_limits_of_wetness_are_strict():
    temperature = [0.0, 0.1, 5.0, 5.0, -5.0, 5.0]
    humidity = [95.0, 95.0, 80.0, 80.1, 100.0, 40.0]
    found = overcoat.time_of_wetness(temperature, humidity)
    assert found.counted_wet_hours == 2
    assert (found.valid_hours, found.expected_hours, found.coverage, found.gaps) == (6, 6, 1.0, 0)
    assert found.hours_per_year == pytest.approx(8760 * 2 / 6)
    assert found.mean_temperature_c == pytest.approx(sum(temperature) / 6)
    assert found.mean_relative_humidity_pct == pytest.approx(sum(humidity) / 6)


def test_gaps_are_counted_and_scaled_over():
    temperature = [5.0, None, None, 5.0, 5.0, math.nan, 5.0, 5.0]
    humidity = [90.0, 90.0, None, 90.0, 50.0, 50.0, None, 50.0]
    found = overcoat.time_of_wetness(temperature, humidity)
    assert (found.counted_wet_hours, found.valid_hours, found.expected_hours) == (2, 4, 8)
    assert (found.coverage, found.gaps, found.longest_gap_hours) == (0.5, 2, 2)
    assert found.hours_per_year == pytest.approx(8760 * 2 / 4)
    assert any("50" in line for line in found.findings)
    for kind in (pl.Series, pa.array, pd.Series):
        t = kind([math.nan if x is None else x for x in temperature])
        assert overcoat.time_of_wetness(t, kind(humidity)).hours_per_year == found.hours_per_year


# ISO 9223, upper bounds of the wetness classes in hours a year, from memory: 10, 250, 2500, 5500.
@pytest.mark.parametrize(
    ("hours", "expected"),
    [(10, "tau1"), (11, "tau2"), (250, "tau2"), (251, "tau3"), (2500, "tau3"), (2501, "tau4")]
    + [(5500, "tau4"), (5501, "tau5")],
)
def test_the_class_of_a_whole_year(hours, expected):
    humidity = np.full(8760, 60.0)
    humidity[:hours] = 90.0
    found = overcoat.time_of_wetness(np.full(8760, 12.0), humidity)
    assert (found.hours_per_year, found.wetness_class, found.findings) == (hours, expected, [])


def test_records_that_cannot_be_used_are_refused():
    for temperature, humidity, message in [
        ([], [], "empty"),
        ([5.0], [90.0, 91.0], "`relative_humidity_pct`"),
        ([5.0, 68.0], [90.0, 90.0], "row 2.*°F"),
        ([5.0, -999.0], [90.0, 90.0], "row 2"),
        ([5.0, 5.0], [90.0, 106.0], "row 2"),
        ([5.0, 5.0], [0.8, 0.9], "fraction"),
        (["5"], [90.0], "`temperature_c`"),
    ]:
        with pytest.raises(overcoat.TableError, match=message):
            overcoat.time_of_wetness(temperature, humidity)
    with pytest.raises(overcoat.TableError, match="expected a column"):
        overcoat.time_of_wetness(5.0, [90.0])


def number(text: str) -> float:
    return float(text) if text else math.nan


def test_the_gaps_of_the_demo_record_are_found(demo: Path):
    path = demo / "climate_hourly.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = {
            row["time"]: (number(row["temperature_c"]), number(row["relative_humidity_pct"]))
            for row in csv.DictReader(file)
        }
    hours = [str(hour) for hour in np.arange("2023-01-01T00", "2024-01-01T00", dtype="datetime64[h]")]
    year = [rows.get(f"{hour}:00", (math.nan, math.nan)) for hour in hours]
    wet, valid = wet_hours(year)
    missing = [math.isnan(t) or math.isnan(rh) for t, rh in year]
    gaps = [len(list(run)) for gap, run in itertools.groupby(missing) if gap]

    record = overcoat.ClimateRecord.from_csv(path)
    assert len(record) == 8760
    found = record.wetness()
    assert (found.expected_hours, found.valid_hours, found.counted_wet_hours) == (8760, valid, wet)
    assert valid == 8760 - 178  # as demo-data/README.md says
    assert (found.gaps, found.longest_gap_hours) == (len(gaps), max(gaps))
    assert found.longest_gap_hours == 30
    assert found.hours_per_year == pytest.approx(8760 * wet / valid)
    assert found.coverage == pytest.approx(valid / 8760)
    # a path as text and the text itself are the same record
    for same in (str(path), path.read_text("utf-8")):
        assert overcoat.ClimateRecord.from_csv(same).wetness().hours_per_year == found.hours_per_year


def typical_year_csv(path: Path) -> list[tuple[float, float]]:
    """A file of typical meteorological year 3: header in line 2."""
    with path.open(encoding="utf-8", newline="") as file:
        next(file)
        return [(float(row["Dry-bulb (C)"]), float(row["RHum (%)"])) for row in csv.DictReader(file)]


def typical_year_fixed_width(path: Path) -> list[tuple[float, float]]:
    """A file of typical meteorological year 2: columns 68 to 71 in 0.1 °C, 80 to 82 in %, from 1."""
    lines = path.read_text("ascii").splitlines()[1:]
    return [(int(line[67:71]) / 10, float(line[79:82])) for line in lines]


# Hourly records in the wheel of pvlib (0.16.1), wet hours counted apart from this project. Counting 80%
# as wet too would give 3134, 2917 and 2803.
@pytest.mark.parametrize(
    ("name", "read", "expected"),
    [
        ("723170TYA.CSV", typical_year_csv, 3050),
        ("703165TY.csv", typical_year_csv, 2705),
        ("12839.tm2", typical_year_fixed_width, 2721),
    ],
)
def test_wet_hours_of_real_records(name, read, expected):
    spec = importlib.util.find_spec("pvlib")
    path = Path(spec.origin).parent / "data" / name if spec else None
    if path is None or not path.is_file():
        pytest.skip(f"this pvlib brings no {name}")
    readings = read(path)
    temperature, humidity = zip(*readings, strict=True)
    found = overcoat.time_of_wetness(temperature, humidity)
    assert wet_hours(readings) == (expected, 8760)
    assert (found.counted_wet_hours, found.hours_per_year, found.coverage) == (expected, expected, 1.0)
    assert found.mean_temperature_c == pytest.approx(sum(temperature) / 8760)
    text = "temperature_c,relative_humidity_pct\n" + "".join(f"{t},{rh}\n" for t, rh in readings)
    assert overcoat.ClimateRecord.from_csv(text).wetness().counted_wet_hours == expected
