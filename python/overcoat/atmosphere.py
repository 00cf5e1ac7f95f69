"""The atmosphere of a site: loss in the first year, corrosivity category, loss over years, time of wetness.

Each function takes floats, or columns of equal length: NumPy, pyarrow, polars or pandas. A float beside
columns counts for every row. The answer is a column of the kind of the first one; lists give NumPy arrays.
Arrays of more dimensions, as rasters have, are spread to one shape as NumPy does; the answer has that shape.
Quantities of pint are converted to the unit that the argument's name ends in; the answer is a plain number in
the unit that the documentation names. Contiguous columns of float64 are read where they lie.
"""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING, Any, overload

from overcoat import _core
from overcoat._columns import as_column, check_indexes, columns, is_column, raveled
from overcoat._refusal import mapped
from overcoat._table import column_like, words_like

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import TypeVar

    import numpy as np
    import pandas as pd
    import polars as pl
    from numpy.typing import NDArray

    Column = TypeVar("Column", NDArray[np.float64], "pd.Series[float]", pl.Series)

__all__ = [
    "ExtrapolationWarning",
    "corrosivity",
    "corrosivity_by_mass",
    "first_year_loss",
    "first_year_losses",
    "long_term_loss",
    "time_of_wetness",
]

_METALS = ("steel", "zinc", "copper", "aluminium")


class ExtrapolationWarning(UserWarning):
    """An input is outside the interval for which the dose-response function was fitted."""


@overload
def first_year_loss(
    metal: str,
    temperature_c: float,
    relative_humidity_pct: float,
    so2_mg_m2_day: float,
    chloride_mg_m2_day: float,
) -> float: ...


@overload
def first_year_loss(
    metal: str,
    temperature_c: Column,
    relative_humidity_pct: Column | float,
    so2_mg_m2_day: Column | float,
    chloride_mg_m2_day: Column | float,
) -> Column: ...


@overload
def first_year_loss(
    metal: str,
    temperature_c: Any,
    relative_humidity_pct: Any,
    so2_mg_m2_day: Any,
    chloride_mg_m2_day: Any,
) -> Any: ...


def first_year_loss(
    metal: str,
    temperature_c: Any,
    relative_humidity_pct: Any,
    so2_mg_m2_day: Any,
    chloride_mg_m2_day: Any,
) -> Any:
    """Loss of bare metal in the first year outdoors, µm.

    r = A·Pd^a·exp(b·RH + f(T)) + B·Sd^c·exp(d·RH + e·T), ISO 9223:2012, 8.2, equations 1 to 4; the
    coefficients are from memory. A deposition of zero makes its term exactly zero.

    Parameters
    ----------
    metal : {"steel", "zinc", "copper", "aluminium"}
        Standard metal of ISO 9223.
    temperature_c : float or column
        Annual mean air temperature [°C], -60 to 40; fitted for -17.1 to 28.7.
    relative_humidity_pct : float or column
        Annual mean relative humidity [%], 0 to 100; fitted for 34 to 93.
    so2_mg_m2_day : float or column
        Annual mean SO2 deposition [mg/(m²·d)], 0 or more; fitted for 0.7 to 150.4.
    chloride_mg_m2_day : float or column
        Annual mean chloride deposition [mg/(m²·d)], 0 or more; fitted for 0.4 to 760.5.

    Returns
    -------
    float or column
        Loss [µm]; a column of the same length and kind for columns.

    Raises
    ------
    UnknownNameError
        Another metal.
    InvalidValueError
        A physically impossible value, such as 60 °F given as °C.
    TableError
        Columns of unequal length, or a bad value, with its row.

    Warns
    -----
    ExtrapolationWarning
        An input outside the interval it was fitted for; the result is computed even so.

    Examples
    --------
    >>> round(first_year_loss("steel", 10.0, 80.0, 5.0, 10.0), 1)
    29.1
    """
    given = {
        "temperature_c": temperature_c,
        "relative_humidity_pct": relative_humidity_pct,
        "so2_mg_m2_day": so2_mg_m2_day,
        "chloride_mg_m2_day": chloride_mg_m2_day,
    }
    given, shape = raveled(given)
    if any(is_column(value) for value in given.values()):
        losses, outside = _core.first_year_loss_columns(metal, **columns(**given))
        _warn_of_rows(outside, len(losses))
        if shape is not None:
            return losses.reshape(shape)
        return column_like(tuple(given.values()), "first_year_loss_um", losses)
    loss, sentences = _core.first_year_loss_scalar(metal, **given)
    for sentence in sentences:
        warnings.warn(sentence, ExtrapolationWarning, stacklevel=2)
    return loss


def _warn_of_rows(outside: int, rows: int) -> None:
    if outside:
        warnings.warn(
            f"{outside} of {rows} rows are outside the validity of the dose-response function",
            ExtrapolationWarning,
            stacklevel=3,
        )


def first_year_losses(
    temperature_c: Any, relative_humidity_pct: Any, so2_mg_m2_day: Any, chloride_mg_m2_day: Any
) -> dict[str, Any]:
    """Loss of all four bare metals in the first year outdoors, µm: `first_year_loss` of each, to the bit.

    The metals share what their functions have in common, so that four cost less than two alone.

    Parameters
    ----------
    temperature_c, relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day : float or column
        See `first_year_loss`.

    Returns
    -------
    dict of str to float or column
        Loss [µm] by metal: "steel", "zinc", "copper", "aluminium".

    Raises
    ------
    InvalidValueError, TableError
        See `first_year_loss`.

    Warns
    -----
    ExtrapolationWarning
        An input outside the interval it was fitted for.

    Examples
    --------
    >>> {metal: round(loss, 2) for metal, loss in first_year_losses(10.0, 80.0, 5.0, 10.0).items()}
    {'steel': 29.13, 'zinc': 1.33, 'copper': 1.46, 'aluminium': 0.19}
    """
    given = {
        "temperature_c": temperature_c,
        "relative_humidity_pct": relative_humidity_pct,
        "so2_mg_m2_day": so2_mg_m2_day,
        "chloride_mg_m2_day": chloride_mg_m2_day,
    }
    given, shape = raveled(given)
    if any(is_column(value) for value in given.values()):
        losses, outside = _core.first_year_losses_columns(**columns(**given))
        _warn_of_rows(outside, len(losses["steel"]))
        if shape is not None:
            return {metal: loss.reshape(shape) for metal, loss in losses.items()}
        kinds = tuple(given.values())
        return {metal: column_like(kinds, metal, loss) for metal, loss in losses.items()}
    found = {}
    sentences: list[str] = []
    for metal in _METALS:
        found[metal], sentences = _core.first_year_loss_scalar(metal, **given)
    for sentence in sentences:
        warnings.warn(sentence, ExtrapolationWarning, stacklevel=2)
    return found


@overload
def corrosivity(metal: str, first_year_loss_um: float) -> str: ...


@overload
def corrosivity(metal: str, first_year_loss_um: Any) -> Any: ...


def corrosivity(metal: str, first_year_loss_um: Any) -> Any:
    """Corrosivity category of a first-year loss, "C1" to "C5" or "CX".

    Upper bounds belong to the class, lower ones do not (ISO 9223:2012, Table 2). Steel bounds are rounded
    separately in µm and g/m²: this function classifies by thickness, `corrosivity_by_mass` by mass. The
    aluminum table is in g/m² alone, so aluminum is converted by its density first.

    Parameters
    ----------
    metal : {"steel", "zinc", "copper", "aluminium"}
        Standard metal of ISO 9223.
    first_year_loss_um : float or column
        Loss in the first year [µm], 0 or more.

    Returns
    -------
    str or column
        The category; above the upper bound of CX it is still "CX". A column is of the kind that came in:
        categories in their order, in NumPy texts.

    Raises
    ------
    UnknownNameError, InvalidValueError, TableError
        Another metal; a negative loss or NaN.

    Examples
    --------
    >>> corrosivity("steel", 25.0), corrosivity("steel", 25.1)
    ('C2', 'C3')
    """
    given, shape = raveled({"first_year_loss_um": first_year_loss_um})
    first_year_loss_um = given["first_year_loss_um"]
    if is_column(first_year_loss_um):
        loss = as_column("first_year_loss_um", first_year_loss_um, gaps=True)
        codes, words = _core.corrosivity_column(metal, loss)
        if shape is not None:
            return words_like(loss, "category", codes, words).reshape(shape)
        return words_like(first_year_loss_um, "category", codes, words)
    return _core.corrosivity_scalar(metal, first_year_loss_um)


def corrosivity_by_mass(metal: str, first_year_loss_g_m2: float) -> str:
    """Corrosivity category of a first-year loss in g/m².

    Parameters
    ----------
    metal : {"steel", "zinc", "copper", "aluminium"}
        Standard metal of ISO 9223.
    first_year_loss_g_m2 : float
        Loss in the first year [g/m²].

    Returns
    -------
    str
        "C1" to "C5" or "CX", by the bounds by mass of ISO 9223:2012; those by thickness are rounded, so that
        a loss near a bound can be of another category.

    Raises
    ------
    UnknownNameError, InvalidValueError
        Another metal; a negative loss or NaN.

    Examples
    --------
    >>> corrosivity_by_mass("steel", 650.0), corrosivity("steel", 650.0 / 7.86)
    ('C4', 'C5')
    """
    return _core.corrosivity_by_mass(metal, first_year_loss_g_m2)


@overload
def long_term_loss(
    metal: str,
    first_year_loss_um: float,
    years: float,
    conservative: bool = False,
    composition: Mapping[str, float] | None = None,
) -> float: ...


@overload
def long_term_loss(
    metal: str,
    first_year_loss_um: Column,
    years: Column | float,
    conservative: bool = False,
    composition: Mapping[str, float] | None = None,
) -> Column: ...


@overload
def long_term_loss(
    metal: str,
    first_year_loss_um: Any,
    years: Any,
    conservative: bool = False,
    composition: Mapping[str, float] | None = None,
) -> Any: ...


def long_term_loss(
    metal: str,
    first_year_loss_um: Any,
    years: Any,
    conservative: bool = False,
    composition: Mapping[str, float] | None = None,
) -> Any:
    """Loss of bare metal after years, µm.

    D(t) = r·t^b up to 20 years, then a straight line with the slope at 20 years (ISO 9224:2012; exponents
    from memory).

    Parameters
    ----------
    metal : {"steel", "zinc", "copper", "aluminium"}
        Standard metal of ISO 9223.
    first_year_loss_um : float or column
        Loss in the first year [µm], 0 or more.
    years : float or column
        Time [a], 0 or more.
    conservative : bool
        Use the upper exponent of the standard instead of the average.
    composition : mapping of str to float, optional
        Mass % by element symbol (C, P, S, Si, Ni, Cr, Cu) of a low-alloy steel, which then has its own
        exponent; what is left out is that of plain steel. For steel alone.

    Returns
    -------
    float or column
        Loss [µm]; a column of the same length and kind for columns.

    Raises
    ------
    UnknownNameError, InvalidValueError, TableError
        Another metal or element; a composition outside the range of the rule; a bad value.

    Examples
    --------
    >>> round(long_term_loss("steel", 50.0, 10.0), 1)
    166.7
    """
    remedy = 'Write it like {"Cu": 0.3, "Cr": 0.5}.'
    elements = mapped("composition", composition, "mass % by element symbol", remedy)
    chosen = None if composition is None else dict(elements)
    plain, shape = raveled({"first_year_loss_um": first_year_loss_um, "years": years})
    first_year_loss_um, years = plain["first_year_loss_um"], plain["years"]
    if is_column(first_year_loss_um) or is_column(years):
        given = columns(first_year_loss_um=first_year_loss_um, years=years)
        loss = _core.long_term_loss_columns(
            metal, given["first_year_loss_um"], given["years"], conservative, chosen
        )
        if shape is not None:
            return loss.reshape(shape)
        return column_like((first_year_loss_um, years), "loss_um", loss)
    return _core.long_term_loss_scalar(metal, first_year_loss_um, years, conservative, chosen)


def time_of_wetness(temperature_c: Any, relative_humidity_pct: Any) -> _core.Wetness:
    """Hours a year in which a surface is wet: T > 0 °C and RH > 80% (ISO 9223:2012, from memory).

    Parameters
    ----------
    temperature_c : column
        Hourly air temperature [°C], -90 to 60; NaN or null is a gap.
    relative_humidity_pct : column
        Hourly relative humidity [%], 0 to 100 (readings up to 105 count as 100).

        The columns have no times: one row counts as one hour, so an hour without a row is not a gap here.
        Give each missing hour a row of NaN, or read the file with `ClimateRecord.from_csv`, which finds
        absent hours by their times.

    Returns
    -------
    Wetness
        With `hours_per_year` (missing hours scaled), `wetness_class` ("tau1" to "tau5"), `coverage` (0 to
        1), means, gaps and findings.

    Raises
    ------
    TableError
        Columns of unequal length, no valid hour, or a value out of range, with its row.

    Examples
    --------
    >>> time_of_wetness([12.0, -3.0, 12.0, 12.0], [90.0, 95.0, 60.0, 80.0]).counted_wet_hours
    1.0
    """
    check_indexes({"temperature_c": temperature_c, "relative_humidity_pct": relative_humidity_pct})
    return _core.time_of_wetness_columns(
        as_column("temperature_c", temperature_c, gaps=True),
        as_column("relative_humidity_pct", relative_humidity_pct, gaps=True),
    )
