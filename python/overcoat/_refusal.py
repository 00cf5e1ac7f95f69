"""Rejections that are found on the Python side, in the form of the core's own."""

from __future__ import annotations

import math
import operator
import os
from collections.abc import Iterable, Mapping
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from overcoat._columns import is_frame
from overcoat._core import Brief, Catalog, InvalidValueError, Ranking, UnknownNameError

Kind = TypeVar("Kind")

# Characters of a value that a message shows, and the length from which a list is told by its length alone.
_SHOWN = 400
# More names than this are not read: a message then lists the first and counts the others.
_MOST_NAMES, _FIRST_NAMES = 60, 5
# More entries than any list here may have; an iterator may never end.
_MOST_ENTRIES = 10_000_000


def _one_line(value: object) -> str:
    """A value as a message shows it: in one line, and cut where it is long."""
    kind = type(value).__name__
    try:
        if not isinstance(value, (str, os.PathLike)) and hasattr(value, "__len__") and len(value) > _SHOWN:
            return f"a {kind} of length {len(value)}"
        text = " ".join(str(value).split())
    except Exception:  # a number of more digits than Python prints; objects of users may raise anything
        return f"a value of type {kind}"
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"


def invalid(field: str, value: object, allowed: str, remedy: str) -> InvalidValueError:
    """An error that names field, value, what is allowed and the remedy."""
    shown = _one_line(value)
    error = InvalidValueError(f"`{field}` is {shown}; allowed: {allowed}. {remedy}")
    error.kind, error.field, error.value = "value", field, shown
    error.allowed, error.remedy = allowed, remedy
    return error


def wrong(field: str, value: object, allowed: str, remedy: str) -> InvalidValueError:
    """The error for an argument of another type than wanted: as `invalid`, with the type."""
    return invalid(field, f"{_one_line(value)} (of type {type(value).__name__})", allowed, remedy)


def one_of(field: str, value: Any, kind: type[Kind], remedy: str) -> Kind:
    """The argument, if it is an object of this kind."""
    if not isinstance(value, kind):
        raise wrong(field, value, f"a {kind.__name__}", remedy)
    return value


def brief_of(value: Any) -> Brief:
    """The argument `brief`: a brief, or a dictionary, JSON text or file that is one."""
    if isinstance(value, Brief):
        return value
    if isinstance(value, Mapping):
        return Brief.from_dict(value)
    if isinstance(value, (str, os.PathLike)):
        return Brief.from_json(value)
    allowed = "a Brief, a dictionary, JSON text or the path of a JSON file"
    raise wrong("brief", value, allowed, "Make one with `Brief(part=..., duty=...)`.")


def catalog_of(value: Any) -> Catalog | None:
    """The argument `catalog`: a catalog, or a dictionary, JSON text or file that is one; None stays None."""
    if value is None or isinstance(value, Catalog):
        return value
    if isinstance(value, Mapping):
        return Catalog.from_dict(value)
    if isinstance(value, (str, os.PathLike)):
        return Catalog.from_json(value)
    allowed = "a Catalog, a dictionary, JSON text or the path of a JSON file"
    raise wrong("catalog", value, allowed, "Read one with `Catalog.from_json`, or leave it out.")


class UnknownBuildError(UnknownNameError, KeyError):
    """A build that a ranking does not have: an error of overcoat, and the KeyError of a lookup."""

    # that of KeyError would put the sentence in quotes
    __str__ = Exception.__str__


def ranking_of(value: Any) -> Ranking:
    """The argument `ranking`, if it is one."""
    return one_of("ranking", value, Ranking, "Make one with `rank`.")


def mapped(field: str, value: Any, allowed: str, remedy: str) -> Mapping[str, Any]:
    """The argument as a mapping whose keys are text; an empty one for None."""
    if value is None:
        return {}
    if not isinstance(value, Mapping) or not all(isinstance(key, str) for key in value):
        raise wrong(field, value, allowed, remedy)
    return value


def listed(field: str, value: Any, allowed: str, remedy: str, most: int = _MOST_ENTRIES) -> list[Any]:
    """The entries of an argument, which must be a list and no text, mapping or table."""
    no_list = isinstance(value, (str, bytes, Mapping)) or is_frame(value)
    if no_list or not hasattr(value, "__iter__"):
        raise wrong(field, value, allowed, remedy)
    try:
        entries = list(islice(value, most + 1))
    except TypeError as error:  # an array of no dimension, a class
        raise wrong(field, value, allowed, remedy) from error
    if len(entries) > most:
        raise invalid(field, f"a list of more than {most}", f"at most {most}", "Ask in parts.")
    return entries


def whole_number(field: str, value: Any, least: int, most: int, remedy: str) -> int:
    """The argument as a whole number within bounds; a truth value is none."""
    try:
        number = operator.index(value)
    except TypeError:
        number = None
    if number is None or isinstance(value, bool) or not least <= number <= most:
        raise wrong(field, value, f"a whole number from {least} to {most}", remedy)
    return number


def number(field: str, value: Any, allowed: str = "a finite number", remedy: str = "Pass one.") -> float:
    """The argument as a finite number; a text or truth value is none."""
    try:
        found = math.nan if _is_no_number(value) else float(value)
    except (TypeError, ValueError, OverflowError):
        found = math.nan
    if not math.isfinite(found):
        raise wrong(field, value, allowed, remedy)
    return found


def _is_no_number(value: Any) -> bool:
    """Whether it is what `float` would accept even so; of complex numbers it uses a part and warns."""
    complex_of_numpy = getattr(getattr(value, "dtype", None), "kind", "") == "c"
    return complex_of_numpy or isinstance(value, (bool, str, bytes, bytearray))


def least_share(least: Any) -> float:
    """The argument `least`: a share; below 0 it leaves out nothing, as estimates may fall below 0."""
    found = number("least", least, "a finite number of at most 1")
    if found > 1:
        raise invalid("least", least, "a finite number of at most 1", "Pass one.")
    return found


def truth(field: str, value: Any) -> bool:
    """The argument as True or False."""
    if type(value).__name__ not in ("bool", "bool_"):
        raise wrong(field, value, "True or False", "Pass one of them.")
    return bool(value)


def check_called(field: str, value: Any, remedy: str) -> None:
    """Rejects what is neither None nor can be called."""
    if not (value is None or callable(value)) or isinstance(value, type):
        raise wrong(field, value, "a function", remedy)


def path_of(field: str, value: Any) -> Path:
    """The argument as a path that the system can take."""
    try:
        path = Path(value)
        os.fsencode(path)
    except (TypeError, ValueError) as error:
        raise wrong(field, value, "the path of a file", "Give it as text or Path.") from error
    if "\0" in str(path) or not path.name:
        raise invalid(field, repr(str(path)), "the path of a file", "Write it again.")
    return path


def how_many(top: Any) -> int:
    """The argument `top`: how many builds to show."""
    return whole_number("top", top, 1, 2**31 - 1, "Say how many builds to show.")


def threads_of(value: Any) -> int:
    """The argument `threads`: all processors where nothing is said."""
    if value is None:
        return os.cpu_count() or 1
    return whole_number("threads", value, 1, 2**63 - 1, "Leave it out for all processors.")


def unknown(
    field: str,
    value: str,
    known: Iterable[str],
    remedy: str,
    kind: type[UnknownNameError] = UnknownNameError,
) -> UnknownNameError:
    """An error that names field, value, the nearest known name and the remedy; of many names the first."""
    import difflib

    names = list(known)
    shown = _one_line(value)
    nearest = next(iter(difflib.get_close_matches(shown.lower(), names, n=1, cutoff=0.75)), None)
    guess = "" if nearest is None else f' (did you mean "{nearest}"?)'
    told = ", ".join(names) if len(names) <= _MOST_NAMES else ", ".join(names[:_FIRST_NAMES])
    more = "" if len(names) <= _MOST_NAMES else f" and {len(names) - _FIRST_NAMES} others"
    error = kind(f'`{field}` names "{shown}", which is unknown{guess}; known: {told}{more}. {remedy}')
    error.kind, error.field, error.value = "name", field, shown
    error.nearest, error.allowed, error.remedy = nearest, names, remedy
    return error
