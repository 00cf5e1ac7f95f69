"""Tables of any kind as a header and rows of text, as the core reads logs; a number keeps all its digits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from overcoat._columns import check_indexes, is_column, is_frame, table_error
from overcoat._table import Given


def is_table(value: Any) -> bool:
    """Whether a value is a table: a dictionary or frame of columns, or a list of dictionaries."""
    if isinstance(value, dict) or is_frame(value):
        return True
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)


def header_and_rows(table: Any) -> tuple[list[str], list[list[str]]]:
    """The columns of a table as text, row by row."""
    if isinstance(table, list):
        names = list(dict.fromkeys(name for row in table for name in row))
        return [str(name) for name in names], [[_text(row.get(name)) for name in names] for row in table]
    # of a lazy frame, or what only exports Arrow, the whole table
    given = Given.of(table)
    names, columns_of = given.names, given.native
    if isinstance(columns_of, Mapping):
        check_indexes(dict(columns_of))
    columns = [_values(name, columns_of[name]) for name in names]
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


def _values(name: str, column: Any) -> list[Any]:
    if not is_column(column) or isinstance(column, Mapping) or is_frame(column):
        reason = f"expected a column, found {type(column).__name__}"
        raise table_error(str(name), None, reason, "Pass one column of this name.")
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
