"""Numbers and columns with a unit, as pint has them."""

from __future__ import annotations

from typing import Any

from overcoat._refusal import invalid


def is_quantity(value: Any) -> bool:
    """Whether a value is a number or a column with a unit, as pint has them."""
    return hasattr(value, "magnitude") and hasattr(value, "units") and callable(getattr(value, "to", None))


def in_unit_of(name: str, quantity: Any) -> Any:
    """The number or numbers of a quantity in the unit that ends the name of its field or column.

    Examples
    --------
    >>> import pint
    >>> round(in_unit_of("heat_peak_c", pint.UnitRegistry().Quantity(285, "degF")), 1)
    140.6
    """
    from overcoat.units import _wanted

    wanted = _wanted(name)
    if wanted is None:
        raise invalid(name, quantity, "a plain value", "Remove the unit: this field has none.")
    words, unit = wanted
    try:
        if unit == "vickers_hardness":
            raise ValueError("a hardness has no unit in pint")
        if unit == "percent":
            return quantity.to("dimensionless").magnitude * 100.0
        return quantity.to(unit).magnitude
    except Exception as error:  # pint's errors are no family of their own in every version
        raise invalid(
            name, quantity, f"a quantity that converts to {words}", f"Give {words} ({error})."
        ) from error
