"""The air at a place: loss in the first year, corrosivity category, loss over years, time of wetness.

Each function takes floats, or columns of equal length: NumPy, Arrow, polars or pandas. A float beside
columns counts for every row. Columns give NumPy arrays.
"""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING, Any, overload

from overcoat import _core
from overcoat._columns import as_column, columns, is_column

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    FloatColumn = NDArray[np.float64]


class ExtrapolationWarning(UserWarning):
    """An input lies outside the interval for which the dose-response function was fitted."""


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
    temperature_c: Any,
    relative_humidity_pct: Any,
    so2_mg_m2_day: Any,
    chloride_mg_m2_day: Any,
) -> FloatColumn: ...


def first_year_loss(
    metal: str,
    temperature_c: Any,
    relative_humidity_pct: Any,
    so2_mg_m2_day: Any,
    chloride_mg_m2_day: Any,
) -> float | FloatColumn:
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
    float or numpy.ndarray
        Loss [µm]; a column of the same length for columns.

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
        An input outside the interval it was fitted for; the result is computed all the same.

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
    if any(is_column(value) for value in given.values()):
        losses, outside = _core.first_year_loss_columns(metal, **columns(**given))
        if outside:
            warnings.warn(
                f"{outside} of {len(losses)} rows lie outside the validity of the dose-response function",
                ExtrapolationWarning,
                stacklevel=2,
            )
        return losses
    loss, sentences = _core.first_year_loss_scalar(metal, **given)
    for sentence in sentences:
        warnings.warn(sentence, ExtrapolationWarning, stacklevel=2)
    return loss


@overload
def corrosivity(metal: str, first_year_loss_um: float) -> str: ...


@overload
def corrosivity(metal: str, first_year_loss_um: Any) -> NDArray[np.str_]: ...


def corrosivity(metal: str, first_year_loss_um: Any) -> str | NDArray[np.str_]:
    """Corrosivity category of a first-year loss, "C1" to "C5" or "CX".

    Upper bounds belong to the class, lower ones do not (ISO 9223:2012, Table 2). Steel bounds are rounded
    separately in µm and g/m²: this function classifies by thickness, `corrosivity_by_mass` by mass. The
    aluminium table is in g/m² alone, so aluminium is converted by its density first.

    Parameters
    ----------
    metal : {"steel", "zinc", "copper", "aluminium"}
        Standard metal of ISO 9223.
    first_year_loss_um : float or column
        Loss in the first year [µm], 0 or more.

    Returns
    -------
    str or numpy.ndarray of str
        The category; above the upper bound of CX it is still "CX".

    Raises
    ------
    UnknownNameError, InvalidValueError, TableError
        Another metal; a negative loss or NaN.

    Examples
    --------
    >>> corrosivity("steel", 25.0), corrosivity("steel", 25.1)
    ('C2', 'C3')
    """
    if is_column(first_year_loss_um):
        import numpy as np

        loss = as_column("first_year_loss_um", first_year_loss_um)
        return np.array(_core.corrosivity_column(metal, loss), dtype="<U2")
    return _core.corrosivity_scalar(metal, first_year_loss_um)


def corrosivity_by_mass(metal: str, first_year_loss_g_m2: float) -> str:
    """Corrosivity category of a first-year loss in g/m².

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
    first_year_loss_um: Any,
    years: Any,
    conservative: bool = False,
    composition: Mapping[str, float] | None = None,
) -> FloatColumn: ...


def long_term_loss(
    metal: str,
    first_year_loss_um: Any,
    years: Any,
    conservative: bool = False,
    composition: Mapping[str, float] | None = None,
) -> float | FloatColumn:
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
        Mass % by element symbol (C, P, S, Si, Ni, Cr, Cu) of a low-alloy steel, which then has an exponent
        of its own; what is left out is that of plain steel. For steel alone.

    Returns
    -------
    float or numpy.ndarray
        Loss [µm].

    Raises
    ------
    UnknownNameError, InvalidValueError, TableError
        Another metal or element; a composition outside the range of the rule; a bad value.

    Examples
    --------
    >>> round(long_term_loss("steel", 50.0, 10.0), 1)
    166.7
    """
    if not (composition is None or hasattr(composition, "keys")):
        raise TypeError(f"composition must map elements to mass %, not {type(composition).__name__}")
    chosen = None if composition is None else dict(composition)
    if is_column(first_year_loss_um) or is_column(years):
        given = columns(first_year_loss_um=first_year_loss_um, years=years)
        return _core.long_term_loss_columns(
            metal, given["first_year_loss_um"], given["years"], conservative, chosen
        )
    return _core.long_term_loss_scalar(metal, first_year_loss_um, years, conservative, chosen)


def time_of_wetness(temperature_c: Any, relative_humidity_pct: Any) -> _core.Wetness:
    """Hours a year in which a surface is wet: T > 0 °C and RH > 80 % (ISO 9223:2012, from memory).

    Parameters
    ----------
    temperature_c : column
        Hourly air temperature [°C], -90 to 60; NaN or null is a gap.
    relative_humidity_pct : column
        Hourly relative humidity [%], 0 to 100 (readings up to 105 count as 100).

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
    return _core.time_of_wetness_columns(
        as_column("temperature_c", temperature_c, gaps=True),
        as_column("relative_humidity_pct", relative_humidity_pct, gaps=True),
    )
