"""Refusals that are found on the Python side, in the form of the core's own."""

from __future__ import annotations

from overcoat._core import InvalidValueError


def invalid(field: str, value: object, allowed: str, remedy: str) -> InvalidValueError:
    """An error that names field, value, what is allowed and the mend."""
    error = InvalidValueError(f"`{field}` is {value}; allowed: {allowed}. {remedy}")
    error.kind, error.field, error.value = "value", field, str(value)
    error.allowed, error.remedy = allowed, remedy
    return error
