"""Tables of any kind in, and the answer in the kind that came in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._columns import as_numbers, is_column, table_error

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from overcoat._core import TableError

NEEDED = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
INPUT_COLUMNS = (*NEEDED, "required_years", "shelter")


def library(table: Any) -> str:
    """The library that a table or column comes from."""
    return type(table).__module__.partition(".")[0]


def exports_arrow(value: Any) -> bool:
    """Whether a value hands itself over by Arrow's PyCapsule interface."""
    has = hasattr(value, "__arrow_c_stream__") or hasattr(value, "__arrow_c_array__")
    return has and not isinstance(value, type)


def no_table(value: Any) -> TableError:
    """The error for what is no table."""
    remedy = "Give a dictionary of columns, or a pandas, polars, pyarrow or DuckDB table."
    if hasattr(value, "collect"):
        remedy = "Collect it first."
    return table_error(".", None, f"expected a table, found {type(value).__name__}", remedy)


def source(table: Any) -> Any:
    """The columns that a sweep reads, as the core takes them: what exports Arrow, or a dictionary."""
    kind = library(table)
    if isinstance(table, Mapping) or kind == "pandas":
        names = [str(name) for name in table]
    elif not exports_arrow(table):
        raise no_table(table)
    elif kind in ("polars", "duckdb"):
        names = list(table.columns)
    elif kind == "pyarrow" and hasattr(table, "select"):
        names = list(table.schema.names)
    else:
        return table
    if not set(NEEDED) <= set(names):
        # columns of no rows: enough for the core to say which one is missing and what it may be called
        return {name: [] for name in names}
    wanted = [name for name in INPUT_COLUMNS if name in names]
    if kind == "pandas":
        return {name: _pandas_column(table, name) for name in wanted}
    if isinstance(table, Mapping):
        return {name: _column(name, table[name]) for name in wanted}
    return table.select(*wanted) if kind == "duckdb" else table.select(wanted)


def _column(name: str, value: Any) -> Any:
    """A column of a dictionary: what exports Arrow as it is, texts as a list, numbers as NumPy."""
    import numpy as np

    if isinstance(getattr(value, "dtype", None), np.dtype) and hasattr(value, "to_numpy"):
        value = value.to_numpy()
    if exports_arrow(value):
        return value
    if name != "shelter":
        return as_numbers(name, value)
    if not is_column(value):
        raise table_error(name, None, f"expected a column, found {type(value).__name__}", "Give a column.")
    if isinstance(value, np.ndarray) and value.dtype.kind not in "UOT":
        reason = f"its type is {value.dtype}; wanted: text"
        raise table_error(name, None, reason, "Convert the column before.")
    return value.tolist() if hasattr(value, "tolist") else list(value)


def _pandas_column(frame: Any, name: str) -> Any:
    """A column of pandas: numbers of NumPy where they lie, the others by the Arrow of pandas."""
    import numpy as np

    column = frame[name]
    if name != "shelter" and isinstance(column.dtype, np.dtype) and column.dtype.kind in "fiub":
        return as_numbers(name, column.to_numpy())
    try:
        # a frame of one column: a column alone exports Arrow from pandas 3 on
        return _Exported(frame[[name]].__arrow_c_stream__())
    except ImportError:
        # no pyarrow
        return _column(name, column.tolist())
    except (TypeError, ValueError) as error:
        wanted = "text" if name == "shelter" else "numbers"
        reason = f"its type is {column.dtype}, which Arrow cannot take: {error}; wanted: {wanted}"
        raise table_error(name, None, reason, "Convert the column before.") from error


class _Exported:
    """A stream that was asked for already."""

    def __init__(self, capsule: object) -> None:
        self._capsule = capsule

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self._capsule


class _Numbers:
    """A column of NumPy that exports Arrow."""

    def __init__(self, column: NDArray[np.float64]) -> None:
        self._column = column

    def __arrow_c_array__(self, requested_schema: object = None) -> tuple[object, object]:
        return _core.export_numbers(self._column)


def like(table: Any, swept: _core.SweptTable) -> Any:
    """The answer in the kind of table that came in; an Arrow table that nobody knows has it as it is."""
    kind = library(table)
    if isinstance(table, Mapping):
        return _texts(swept)
    if kind == "pandas":
        return _pandas_frame(swept)
    if kind == "polars":
        import polars

        return polars.DataFrame(swept)
    if kind in ("pyarrow", "duckdb"):
        import pyarrow

        if isinstance(table, pyarrow.RecordBatch):
            return pyarrow.record_batch(swept)
        return pyarrow.table(swept)
    return swept


def column_like(given: tuple[Any, ...], name: str, column: NDArray[np.float64]) -> Any:
    """A column of numbers in the kind of the first column given, where it lies."""
    first = next(value for value in given if is_column(value))
    kind = library(first)
    if kind == "polars":
        import polars

        return polars.Series(_Numbers(column)).alias(name)
    if kind == "pandas":
        import pandas

        return pandas.Series(column, index=getattr(first, "index", None), name=name, copy=False)
    if kind == "pyarrow":
        import pyarrow

        array = pyarrow.array(column)
        return pyarrow.chunked_array([array]) if isinstance(first, pyarrow.ChunkedArray) else array
    return column


def words_like(first: Any, name: str, codes: NDArray[np.uint8], words: list[str]) -> Any:
    """A column of ordered words in the kind of the column given: categories, in NumPy texts."""
    import numpy as np

    kind = library(first)
    if kind == "polars":
        import polars

        return polars.Series(name, words, dtype=polars.Enum(words)).gather(codes)
    if kind == "pandas":
        import pandas

        values = pandas.Categorical.from_codes(codes, dtype=pandas.CategoricalDtype(words, ordered=True))
        return pandas.Series(values, index=getattr(first, "index", None), name=name, copy=False)
    if kind == "pyarrow":
        import pyarrow

        array = pyarrow.DictionaryArray.from_arrays(codes, words, ordered=True)
        return pyarrow.chunked_array([array]) if isinstance(first, pyarrow.ChunkedArray) else array
    return np.array(words)[codes]


def _refused(swept: _core.SweptTable, columns: Mapping[str, NDArray[Any]]) -> NDArray[np.bool_]:
    """Which results are none."""
    with_result = [word in ("ok", "extrapolated") for word in swept.words()[1]]
    refused: NDArray[np.bool_] = columns["reason"] >= sum(with_result)
    return refused


def _texts(swept: _core.SweptTable) -> dict[str, NDArray[Any]]:
    """Columns of NumPy, with texts that all results of a kind share."""
    import numpy as np

    columns = swept.columns()
    categories, reasons = swept.words()
    builds = len(swept.builds)
    refused = _refused(swept, columns)[::builds]
    category = np.array(categories, dtype=object)[columns["category"][::builds]]
    category[refused] = ""
    reason = np.array(reasons, dtype=object)[columns["reason"][::builds]]
    for name, of_rows in (("category", category), ("reason", reason)):
        # the builds of a row share them
        spread = np.empty((len(of_rows), builds), dtype=object)
        spread[:] = of_rows[:, None]
        columns[name] = spread.reshape(-1)
    columns["build"] = np.tile(np.array(swept.builds, dtype=object), len(refused))
    return columns


def _pandas_frame(swept: _core.SweptTable) -> Any:
    import numpy as np
    import pandas

    columns: dict[str, Any] = dict(swept.columns())
    categories, reasons = swept.words()
    refused = _refused(swept, columns)
    codes = columns["category"].astype(np.int8)
    codes[refused] = -1
    columns["category"] = codes
    for name, words in (("build", swept.builds), ("category", categories), ("reason", reasons)):
        kind = pandas.CategoricalDtype(words, ordered=name == "category")
        columns[name] = pandas.Categorical.from_codes(columns[name], dtype=kind, validate=False)
    columns["blocked"] = pandas.arrays.BooleanArray(columns["blocked"], refused)
    return pandas.DataFrame(columns, copy=False)
