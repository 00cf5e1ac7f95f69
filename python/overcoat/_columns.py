"""Columns of any kind as contiguous float64, with errors that name the column."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

from overcoat._core import TableError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


# rows of what is not an array yet and costs memory to become one, as a range
_MOST_ROWS = 100_000_000


def table_error(column: str, row: int | None, reason: str, remedy: str) -> TableError:
    """An error in the form of the core's own: column, row, reason, remedy."""
    where = "table" if column == "." else f"column `{column}`" if column else "a column without a name"
    where += "" if row is None else f", row {row}"
    error = TableError(f"{where}: {reason}. {remedy}")
    error.kind, error.field, error.column = "table", column or ".", column
    error.row, error.remedy = row, remedy
    return error


def in_unicode(text: str) -> str:
    """The text with what is not Unicode written out, which the core then rejects by name."""
    return text.encode("utf-8", "backslashreplace").decode()


def is_column(value: Any) -> bool:
    """Whether a value is a column and not a number: anything with a length that is not text."""
    return (
        hasattr(type(value), "__len__")
        and not isinstance(value, (str, bytes))
        and getattr(value, "ndim", 1) != 0
    )


def is_frame(value: Any) -> bool:
    """Whether a value is a table of a library; its columns are not read, which may cost or warn."""
    return hasattr(type(value), "columns") or hasattr(type(value), "column_names")


def is_number(value: Any) -> bool:
    """Whether a value counts as a number: a truth value does not."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def without_unit(name: str, value: Any) -> Any:
    """The numbers of quantities in the unit that the name ends in; anything else as it is."""
    # columns of frames keep the quantities of pint in an array of their own
    inner = getattr(value, "array", None)
    held = inner.quantity if inner is not None and hasattr(type(inner), "quantity") else value
    if hasattr(held, "magnitude") and hasattr(held, "units"):
        from overcoat._quantities import in_unit_of

        return in_unit_of(name, held)
    if isinstance(value, (list, tuple)) and any(hasattr(entry, "magnitude") for entry in value):
        return [without_unit(name, entry) for entry in value]
    return value


def as_array(name: str, value: Any, remedy: str = "Pass one value per row.") -> NDArray[Any]:
    """The column as an array of whatever type, of one dimension."""
    import numpy as np

    if not is_column(value):
        raise table_error(name, None, f"expected a column, found {type(value).__name__}", "Pass a column.")
    if not hasattr(value, "__array__") and len(value) > _MOST_ROWS:
        raise table_error(name, None, f"{len(value)} rows, at most {_MOST_ROWS}", "Give an array.")
    try:
        array = np.asarray(value)
    except ValueError as error:
        raise table_error(name, None, f"no column: {error}", remedy) from error
    if array.ndim != 1:
        raise table_error(name, None, f"expected one dimension, found {array.ndim}", remedy)
    return array


def as_numbers(name: str, value: Any) -> NDArray[Any]:
    """The column as a contiguous array of a type that the core reads, nulls as NaN; numbers only.

    A column with a unit is converted to the unit that its name ends in.
    """
    import numpy as np

    value = without_unit(name, value)
    if isinstance(value, np.ma.MaskedArray) and value.dtype.kind in "fiu":
        value = np.ma.filled(value.astype(np.float64), np.nan)
    array = as_array(name, value, "Pass one number per row.")
    if array.dtype.kind not in "fiu":
        # Python lists and Arrow columns with nulls arrive as objects; everything else is not a number.
        if array.dtype.kind == "O" and all(x is None or is_number(x) for x in array):
            try:
                array = np.array([np.nan if x is None else x for x in array], dtype=np.float64)
            except OverflowError as error:
                remedy = "Pass numbers that a float64 holds."
                raise table_error(name, None, f"a number is too large: {error}", remedy) from error
        else:
            reason = f"its type is {array.dtype}; wanted: numbers"
            raise table_error(name, None, reason, "Convert the column to numbers.")
    # half and extended floats are no types of a table
    if array.dtype.kind == "f" and array.itemsize not in (4, 8):
        array = array.astype(np.float64)
    return np.require(array, dtype=array.dtype.newbyteorder("="), requirements=["C", "A"])


def as_column(name: str, value: Any, gaps: bool = False) -> NDArray[np.float64]:
    """The column as contiguous float64; numbers only, nulls only where `gaps` says so (as NaN)."""
    import numpy as np

    column = as_numbers(name, value).astype(np.float64, copy=False)
    if not gaps and np.isnan(column).any():
        row = int(np.flatnonzero(np.isnan(column))[0]) + 1
        raise table_error(name, row, "not a number", "Fill or drop the row first.")
    return column


def check_indexes(given: dict[str, Any]) -> None:
    """Rejects Series of pandas whose rows do not belong together: they would be paired by place."""
    first: tuple[str, Any] | None = None
    for name, value in given.items():
        index = getattr(value, "index", None)
        if (
            index is None
            or not hasattr(index, "equals")
            or type(value).__module__.partition(".")[0] != "pandas"
        ):
            continue
        if first is None:
            first = name, index
        elif not index.equals(first[1]):
            raise table_error(
                name,
                None,
                f"its index is not that of `{first[0]}`, so rows would be paired by place",
                'Align them first, as with `pandas.concat([...], axis=1, join="inner")`.',
            )


def check_labels(given: dict[str, Any]) -> None:
    """Rejects labeled arrays whose dimensions or labels differ: they would be paired by place."""
    labeled = {name: value for name, value in given.items() if type(value).__name__ == "DataArray"}
    first = next(iter(labeled), "")
    for name, value in labeled.items():
        other = labeled[first]
        found = f"its dimensions are {value.dims}, those of `{first}` are {other.dims}"
        if value.dims == other.dims:
            shared = [d for d in value.dims if d in value.indexes and d in other.indexes]
            apart = [d for d in shared if not value.indexes[d].equals(other.indexes[d])]
            if not apart:
                continue
            found = f"its labels of `{apart[0]}` are not those of `{first}`"
        remedy = (
            "Align them first, as with `xarray.align` or `xarray.broadcast`, or use `xarray.apply_ufunc`."
        )
        raise table_error(name, None, f"{found}, so cells would be paired by place", remedy)


def columns(**given: Any) -> dict[str, NDArray[np.float64]]:
    """Columns of equal length; a single number is repeated for every row."""
    import numpy as np

    check_indexes(given)
    # the core rejects a gap with its row, and looks at each number anyway
    found = {name: as_column(name, value, gaps=True) for name, value in given.items() if is_column(value)}
    length = len(next(iter(found.values())))
    for name, column in found.items():
        if len(column) != length:
            raise table_error(
                name,
                None,
                f"{len(column)} rows, where the first column has {length}",
                "Give columns of equal length.",
            )
    for name, value in given.items():
        if name not in found:
            given[name] = value = without_unit(name, value)
            if not is_number(np.asarray(value).item()):
                reason = f"expected a number or a column, found {type(value).__name__}"
                raise table_error(name, None, reason, "Pass numbers.")
    return {
        name: found[name] if name in found else np.full(length, value, dtype=np.float64)
        for name, value in given.items()
    }


def _is_raster(value: Any) -> bool:
    """Whether a value is an array of more than one dimension, of NumPy or of a library that labels it."""
    dimensions = getattr(value, "ndim", 0)
    return (
        isinstance(dimensions, int) and dimensions > 1 and hasattr(value, "__array__") and not is_frame(value)
    )


def raveled(given: dict[str, Any]) -> tuple[dict[str, Any], tuple[int, ...] | None]:
    """Arrays of more than one dimension as columns, and their common shape; None where there are none."""
    check_labels(given)
    plain = {name: without_unit(name, value) for name, value in given.items()}
    for name, value in plain.items():
        if type(value).__name__ in ("bool", "bool_"):
            from overcoat._refusal import wrong

            raise wrong(name, value, "a number", "Pass one number, in the unit that its name ends in.")
    # numbers alone do not load NumPy
    np = sys.modules.get("numpy")
    # a frame has two dimensions too, and is no raster
    if np is None or not any(_is_raster(value) for value in plain.values()):
        return plain, None
    try:
        spread = np.broadcast_arrays(*(np.asarray(value) for value in plain.values()))
    except ValueError as error:
        name = next(name for name, value in plain.items() if np.ndim(value) > 1)
        raise table_error(
            name, None, f"arrays of shapes that do not fit: {error}", "Pass one shape."
        ) from error
    return {name: array.ravel() for name, array in zip(plain, spread, strict=True)}, spread[0].shape
