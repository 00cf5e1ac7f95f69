"""Briefs with units written out: "285 °F", "0.4 mil", "18 months".

The name of each field of a brief ends in its unit, and `Brief.from_json` takes plain numbers in that unit
only. Here such a field may also be text, a number and a unit; it is converted to the unit of the name. Text
that can be read in two ways is rejected. The fields, by the end of their names:

| end of the name | unit | text may be, for example |
| --- | --- | --- |
| `_c` | °C, a temperature, no difference | "285 °F", "413 K" |
| `_um`, `_mm`, `_m` | µm, mm, m | "0.4 mil", "1 1/2 in", "300 ft" |
| `_dm2` | dm² | "20 sq in", "130 cm²" |
| `_g` | g | "0.4 lb", "6 oz" |
| `_years`, `months_per_year` | a of 365.25 d; months in a year | "18 months"; "20 weeks" |
| `_mg_m2_day` | mg/(m²·d) | "3 g/(m²·a)", "80 mg/m2/day" |
| `_pct` | % | "80%" |
| `_hv` | HV | "320 HV" |

Needs pint: `pip install "overcoat[units]"`.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from os import PathLike
from typing import TYPE_CHECKING, Any

from overcoat._core import Brief, brief_text
from overcoat._extras import needs
from overcoat._refusal import invalid, one_of

if TYPE_CHECKING:
    from pint import UnitRegistry

    Refusal = Callable[[str], Exception]

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

# What the industry writes and pint reads otherwise or not at all; its `mil` is an angle.
_SAID = {
    '"': "inch",
    "″": "inch",
    "'": "foot",
    "′": "foot",
    "mil": "thou",
    "mils": "thou",
    "mo": "month",
    "wk": "week",
    "wks": "week",
    "y": "year",
    "yrs": "year",
    "HV": "vickers_hardness",
}

_MILES = "Statute and nautical miles differ: write km or nautical_mile."
_TONS = "Short, long and metric tons differ: write kg or lb."
_HARDNESS = "Between hardness scales there is no exact conversion: give HV, by ISO 18265."
_AMBIGUOUS = {
    "F": "F is the farad: write °F.",
    "C": "C is the coulomb: write °C.",
    "deg": "Write °C or °F.",
    "°": "Write °C or °F.",
    "mile": _MILES,
    "miles": _MILES,
    "mi": _MILES,
    "ton": _TONS,
    "tons": _TONS,
    "Mm": "Mm is the megametre: write mm.",
    "Mg": "Mg is the megagram: write mg.",
    "HRC": _HARDNESS,
    "HRB": _HARDNESS,
    "HB": _HARDNESS,
}

_NUMBER = re.compile(
    r"(?P<sign>[+-]?)(?:(?:(?P<whole>\d+)[ -])?(?P<over>\d+)/(?P<under>\d+)"
    r"|(?P<decimal>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?))(?![\d,.])"
)
# One power at most on each name: `m^9^9^9` would keep any reader busy.
_FACTOR = r"[A-Za-zµμ°Δ_]+(?:(?:\^|\*\*)?-?[1-4]|[²³])?"
_UNIT = re.compile(rf"{_FACTOR}(?:\s*[·*/]\s*{_FACTOR}|\s+{_FACTOR})*")
_LONGEST = 80


def read_brief(text_or_path: str | PathLike[str]) -> Brief:
    """A brief whose numbers may be text with units.

    Parameters
    ----------
    text_or_path : str or path
        JSON text or the path of a JSON file, as for `Brief.from_json`.

    Returns
    -------
    Brief
        The brief in the core's units.

    Raises
    ------
    InvalidValueError
        Text of the wrong kind of unit, without a unit, or that can be read in two ways.
    DocumentError
        Not a brief, as `Brief.from_json` says.
    ImportError
        There is text with units and no pint to read it.

    Examples
    --------
    >>> brief = read_brief('''{
    ...     "schema": "overcoat.brief.v1", "name": "manifold bracket",
    ...     "part": {"form": "bracket", "mass_g": "0.5 lb", "surface_dm2": "20 sq in"},
    ...     "duty": {"place": "rural", "heat_continuous_c": "285 °F", "required_years": "18 months"}}''')
    >>> duty = json.loads(brief.to_json())["duty"]
    >>> round(duty["heat_continuous_c"], 1), duty["required_years"]
    (140.6, 1.5)
    """
    # a line end makes a text of it, whatever it says: the core then tells best what is wrong
    text = brief_text(text_or_path) + "\n"
    try:
        document = json.loads(text.lstrip("\ufeff"), object_pairs_hook=_once)
    except (ValueError, RecursionError):
        return Brief.from_json(text)
    return Brief.from_json(json.dumps(to_core_units(document)) if has_units(document) else text)


def has_units(document: Any) -> bool:
    """Whether a field that holds a number, by its name, holds text.

    Examples
    --------
    >>> has_units({"duty": {"required_years": "18 months"}}), has_units({"duty": {"required_years": 2}})
    (True, False)
    """
    if isinstance(document, dict):
        return any(
            (isinstance(value, str) and _wanted(name) is not None) or has_units(value)
            for name, value in document.items()
        )
    return isinstance(document, list) and any(map(has_units, document))


def to_core_units(brief_dict: dict[str, Any]) -> dict[str, Any]:
    """A brief with every number that is text with a unit converted to the unit that ends its field's name.

    Parameters
    ----------
    brief_dict : dict
        A brief as read from JSON; it is left as it is.

    Returns
    -------
    dict
        A copy with numbers only; what is no text, or whose name ends in no unit, is passed on.

    Raises
    ------
    InvalidValueError
        Text of the wrong kind of unit, without a unit, or that can be read in two ways; it names the field,
        the value and the unit wanted.
    ImportError
        There is text with units and no pint to read it.

    Examples
    --------
    >>> to_core_units({"part": {"length_mm": "1 1/2 in"}, "duty": {"failure": {"loss_um": "0.4 mil"}}})
    {'part': {'length_mm': 38.1}, 'duty': {'failure': {'loss_um': 10.16}}}
    """
    one_of("brief_dict", brief_dict, dict, "Read the JSON first, as with `json.loads`.")
    converted: dict[str, Any] = _converted(brief_dict, "")
    return converted


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object without repeated names; the core rejects those."""
    if len({name for name, _ in pairs}) < len(pairs):
        raise ValueError("a name is given twice")
    return dict(pairs)


# of logs, which are no briefs: the whole name
_OF_LOGS = {"hours": ("hours", "hour"), "until_hours": ("hours", "hour")}


def _wanted(name: Any) -> tuple[str, str] | None:
    return _OF_LOGS.get(str(name)) or next(
        (unit for end, unit in _WANTED.items() if str(name).endswith(end)), None
    )


def _converted(value: Any, path: str) -> Any:
    if isinstance(value, dict):
        changed = {}
        for name, entry in value.items():
            field = f"{path}.{name}" if path else str(name)
            wanted = _wanted(name)
            if isinstance(entry, str) and wanted is not None:
                changed[name] = _in_unit(entry, field, *wanted)
            else:
                changed[name] = _converted(entry, field)
        return changed
    if isinstance(value, list):
        return [_converted(entry, f"{path}[{i}]") for i, entry in enumerate(value)]
    return value


def _in_unit(text: str, field: str, words: str, unit: str) -> float:
    """The number of `text` in the wanted unit."""

    def refused(remedy: str) -> Exception:
        said = text if len(text) <= _LONGEST else text[:_LONGEST] + "..."
        allowed = f"a number in {words}, or text with a unit that converts to {words}"
        return invalid(field, json.dumps(said, ensure_ascii=False), allowed, remedy)

    plain = text.strip().replace("−", "-").replace("\u00a0", " ").replace("\u202f", " ")
    found = _NUMBER.match(plain)
    if found is None or len(text) > _LONGEST:
        comma = " Write decimals with a point and thousands without a mark." if "," in text else ""
        raise refused(f"Write one number and one unit.{comma}")
    number = _number(found)
    name = plain[found.end() :].strip().removesuffix(".").replace("sq. ", "sq ")
    if number is None or not math.isfinite(number):
        raise refused("Write a finite number.")
    if not name:
        raise refused(f"Add the unit, or remove the quotes for a number in {words}.")
    if name in _AMBIGUOUS:
        raise refused(_AMBIGUOUS[name])
    if unit == "percent":
        if name not in ("%", "percent", "pct"):
            raise refused("Write %.")
        return number
    # Twelve figures: 140.555555556 and not 140.55555555555554 for what was meant as 285 °F.
    return float(f"{_convert(number, name, unit, refused):.12g}")


def _number(found: re.Match[str]) -> float | None:
    sign = -1 if found["sign"] == "-" else 1
    if found["decimal"]:
        return sign * float(found["decimal"])
    if int(found["under"]) == 0:
        return None
    return sign * float(int(found["whole"] or 0) + Fraction(int(found["over"]), int(found["under"])))


def _convert(number: float, name: str, unit: str, refused: Refusal) -> float:
    registry = _registry()
    import pint

    degrees = re.fullmatch(r"(?:°|deg\.?|degrees?)\s*([CF])", name)
    per_year = unit == "month" and re.fullmatch(r"(.+?)\s*(?:/|per)\s*(?:a|y|yr|year)", name)
    if degrees:
        name = f"deg{degrees[1]}"
    elif per_year:
        name = per_year[1]
    name = _SAID.get(name, name)
    if not _UNIT.fullmatch(re.sub(r"[()]", "", name)):
        raise refused("Write one number and one unit.")
    try:
        given = registry.Unit(re.sub(r"(?<=[A-Za-zµμ])(-?[1-4])", r"**\1", name))
    except pint.UndefinedUnitError as error:
        raise refused(f"There is no unit {name!r}.") from error
    except Exception as error:  # pint's reader of expressions has many ways to fail
        raise refused("Write one number and one unit.") from error
    if "delta_" in str(given):
        raise refused("A temperature is meant, not a difference.")
    try:
        return float(registry.Quantity(number, given).to(unit).magnitude)
    except pint.DimensionalityError as error:
        raise refused(f"{name!r} measures another quantity.") from error
    except (pint.PintError, OverflowError) as error:
        raise refused("Write one number and one unit.") from error


@cache
def _registry() -> UnitRegistry[Any]:
    with needs("units", "text with units"):
        import pint
    registry: UnitRegistry[Any] = pint.UnitRegistry()
    registry.define("vickers_hardness = [vickers_hardness] = HV")
    return registry
