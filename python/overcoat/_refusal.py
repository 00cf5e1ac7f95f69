"""Refusals that are found on the Python side, in the form of the core's own."""

from __future__ import annotations

from collections.abc import Iterable

from overcoat._core import InvalidValueError, UnknownNameError


def _one_line(value: object) -> str:
    """A value as a message shows it: in one line, and cut where it is long."""
    try:
        text = " ".join(str(value).split())
    except ValueError:  # a whole number of more digits than Python prints
        text = f"a very long {type(value).__name__}"
    return text if len(text) <= 400 else f"{text[:400]}…"


def invalid(field: str, value: object, allowed: str, remedy: str) -> InvalidValueError:
    """An error that names field, value, what is allowed and the mend."""
    shown = _one_line(value)
    error = InvalidValueError(f"`{field}` is {shown}; allowed: {allowed}. {remedy}")
    error.kind, error.field, error.value = "value", field, shown
    error.allowed, error.remedy = allowed, remedy
    return error


def unknown(field: str, value: str, known: Iterable[str], remedy: str) -> UnknownNameError:
    """An error that names field, value, the nearest known name and the mend."""
    import difflib

    names = list(known)
    nearest = next(iter(difflib.get_close_matches(value.lower(), names, n=1, cutoff=0.75)), None)
    guess = "" if nearest is None else f' (did you mean "{nearest}"?)'
    error = UnknownNameError(
        f'`{field}` names "{value}", which is unknown{guess}; known: {", ".join(names)}. {remedy}'
    )
    error.kind, error.field, error.value = "name", field, value
    error.nearest, error.allowed, error.remedy = nearest, names, remedy
    return error
