"""Tables of any kind as a header and rows of text, as the core reads logs; a number keeps all its digits."""

from __future__ import annotations

import math
from typing import Any

from overcoat._columns import table_error


def is_table(value: Any) -> bool:
    """Whether a value is a table: a dictionary or frame of columns, or a list of dictionaries."""
    if isinstance(value, dict) or hasattr(value, "columns") or hasattr(value, "column_names"):
        return True
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)


def header_and_rows(table: Any) -> tuple[list[str], list[list[str]]]:
    """The columns of a table as text, row by row."""
    if isinstance(table, list):
        names = list(dict.fromkeys(name for row in table for name in row))
        return [str(name) for name in names], [[_text(row.get(name)) for name in names] for row in table]
    # pyarrow calls the columns themselves `columns`
    given = next(
        (getattr(table, name) for name in ("column_names", "columns") if hasattr(table, name)), table
    )
    names = list(given)
    columns = [_values(table[name]) for name in names]
    for name, column in zip(names, columns, strict=True):
        if len(column) != len(columns[0]):
            raise table_error(
                str(name),
                None,
                f"{len(column)} rows, where the first column has {len(columns[0])}",
                "Give columns of equal length.",
            )
    rows = [[_text(value) for value in row] for row in zip(*columns, strict=True)]
    return [str(name) for name in names], rows


def _values(column: Any) -> list[Any]:
    for method in ("to_pylist", "to_list", "tolist"):
        if hasattr(column, method):
            return list(getattr(column, method)())
    return list(column)


def _text(value: Any) -> str:
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(value)
    text = str(value)
    return "" if text in ("<NA>", "NaT") else text
