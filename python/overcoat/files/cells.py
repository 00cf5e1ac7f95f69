"""Cells of CSV files: text to numbers on the way in, no formulas on the way out."""

from __future__ import annotations

from typing import Any

# The words that stand for a gap, as the core's own reader of CSV files has them.
GAPS = ("", "nan", "na", "null")

# Numbers as Arrow reads them. Arrow rejects a whole column for one cell; this tells which.
NUMBER = r"^[+-]?(\d+\.?\d*([eE][+-]?\d+)?|\.\d+([eE][+-]?\d+)?|(?i:inf|infinity|nan|nan\([0-9a-z_]*\)))$"

# What spreadsheets take for a formula, spaces before it or not.
_FORMULA = r"^\s*[=+\-@]|^[\t\r\n]"


def numbers(text: Any) -> tuple[Any, Any | None]:
    """A column of text as float64, null for a gap, and which cells are not numbers (None if all are)."""
    import pyarrow as pa
    import pyarrow.compute as pc

    given = pc.utf8_trim_whitespace(text)
    gap = pc.is_in(pc.utf8_lower(given), pa.array(GAPS, pa.string()))
    given = pc.if_else(gap, pa.scalar(None, pa.string()), given)
    try:
        return given.cast(pa.float64()), None
    except pa.ArrowInvalid:
        number = pc.fill_null(pc.match_substring_regex(given, NUMBER), True)
        given = pc.if_else(number, given, pa.scalar(None, pa.string()))
        return given.cast(pa.float64()), pc.invert(number)


def without_formulas(text: Any) -> Any:
    """Text with an apostrophe before what a spreadsheet would run; numbers stay as they are."""
    import pyarrow.compute as pc

    formula = pc.match_substring_regex(text, _FORMULA)
    if not pc.any(formula).as_py():
        return text
    formula = pc.and_not(formula, pc.match_substring_regex(text, NUMBER))
    return pc.if_else(formula, pc.binary_join_element_wise("'", text, ""), text)
