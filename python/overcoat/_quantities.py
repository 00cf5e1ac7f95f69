"""Numbers and columns with a unit, as pint has them; text with a unit the core reads."""

from __future__ import annotations

from typing import Any

from overcoat._refusal import invalid

# The unit by the end of a field's name, longest first, in words for errors and as pint calls it.
_WANTED = {
    "months_per_year": ("months", "month"),
    "_mg_m2_day": ("mg/(m²·d)", "milligram / meter ** 2 / day"),
    "_years": ("years", "year"),
    "years": ("years", "year"),
    "_dm2": ("dm²", "decimeter ** 2"),
    "_pct": ("%", "percent"),
    "_um": ("µm", "micrometer"),
    "_mm": ("mm", "millimeter"),
    "_hv": ("HV", "vickers_hardness"),
    "_m": ("m", "meter"),
    "_g": ("g", "gram"),
    "_c": ("°C", "degree_Celsius"),
}
# of logs, which are no briefs: the whole name
_OF_LOGS = {"hours": ("hours", "hour"), "until_hours": ("hours", "hour")}


def unit_of(name: str) -> tuple[str, str] | None:
    """The unit that a name of a field or column ends in, in words and as pint calls it, or none."""
    return _OF_LOGS.get(name) or next((unit for end, unit in _WANTED.items() if name.endswith(end)), None)


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
    wanted = unit_of(name)
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
