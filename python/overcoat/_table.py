"""Tables of any library in, and the answer in the kind that came in.

narwhals tells the libraries apart and takes and joins rows; columns reach the core by Arrow's PyCapsule
interface or as the memory of NumPy, without a copy.
"""

from __future__ import annotations

import importlib.util
import json
import os
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import narwhals.stable.v2 as nw

from overcoat import _core
from overcoat._columns import (
    as_array,
    as_numbers,
    check_indexes,
    in_unicode,
    is_column,
    table_error,
    without_unit,
)
from overcoat._extras import needs
from overcoat._refusal import ranking_of, unknown, wrong

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    import polars as pl
    import pyarrow as pa
    from numpy.typing import NDArray

    from overcoat._core import Ranking, SweptTable, TableError

KINDS = ("pandas", "polars", "arrow", "dict")
_BACKENDS = {"pandas": "pandas", "polars": "polars", "arrow": "pyarrow"}
# fields of a row that are numbers whatever a column says
NUMBERS = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day", "required_years")


def no_table(value: Any) -> TableError:
    """The error for what is not a table."""
    remedy = "Pass a dictionary of columns, or a pandas, polars, pyarrow or DuckDB table."
    if isinstance(value, (str, os.PathLike)):
        remedy = "For a file use `sweep_file`, or read it into a table first."
    if hasattr(value, "collect") or hasattr(value, "compute"):
        remedy = "Collect it first."
    return table_error(".", None, f"expected a table, found {type(value).__name__}", remedy)


def _same(answer: Any) -> Any:
    return answer


@dataclass(frozen=True)
class Given:
    """A table of any library, or a dictionary of columns."""

    columns: Mapping[Any, Any] | nw.DataFrame[Any]
    # the answer in the kind that came in, where that is not the kind that was worked on
    back: Callable[[Any], Any] = _same

    @classmethod
    def of(cls, table: Any) -> Given:
        """The table, its library told."""
        if isinstance(table, Mapping):
            return cls(table)
        if isinstance(table, type):
            raise no_table(table)
        try:
            return cls._of_library(table)
        except nw.exceptions.DuplicateError as error:
            twice = _name_that_comes_twice(table)
            raise table_error(
                twice, None, "the table has two columns of this name", "Keep or rename one."
            ) from error

    @classmethod
    def _of_library(cls, table: Any) -> Given:
        """What narwhals knows, or what only exports Arrow; narwhals rejects two columns of one name."""
        try:
            frame = nw.from_native(table)
        except TypeError:
            return cls._of_arrow(table)
        if isinstance(frame, nw.DataFrame):
            return cls(frame)
        if isinstance(frame, nw.LazyFrame) and frame.implementation.is_polars():
            return cls(frame.collect(), lambda answer: answer.lazy())
        return cls._of_arrow(table)

    @classmethod
    def _of_arrow(cls, table: Any) -> Given:
        """What only exports Arrow: the answer is a table of pyarrow."""
        if not (hasattr(table, "__arrow_c_stream__") or hasattr(table, "__arrow_c_array__")):
            raise no_table(table)
        with needs("frames", "a table of this kind"):
            import pyarrow
        if isinstance(table, pyarrow.RecordBatch):
            whole = pyarrow.Table.from_batches([table])
            return cls(nw.from_native(whole, eager_only=True), _one_batch)
        try:
            whole = pyarrow.table(table)
        except (TypeError, ValueError) as error:
            raise no_table(table) from error
        return cls(nw.from_native(whole, eager_only=True))

    @property
    def names(self) -> list[Any]:
        """The names of the columns."""
        return list(self.columns) if isinstance(self.columns, Mapping) else list(self.columns.columns)

    @property
    def native(self) -> Any:
        """The dictionary, or the whole frame as its own library has it."""
        return self.columns if isinstance(self.columns, Mapping) else self.columns.to_native()

    def __len__(self) -> int:
        """The number of rows."""
        if not isinstance(self.columns, Mapping):
            return len(self.columns)
        return next((len(column) for column in self.columns.values()), 0)

    def source(self, obeyed: Sequence[str]) -> Any:
        """The columns that a sweep obeys, as the core takes them."""
        import numpy as np

        if isinstance(self.columns, Mapping):
            for name, column in self.columns.items():
                if not is_column(column):
                    reason = f"expected a column, found {type(column).__name__}"
                    raise table_error(str(name), None, reason, "Pass a column.")
            check_indexes(dict(self.columns))
            columns = {name: _column_of(name, self.columns[name]) for name in obeyed}
            rows = len(self)
            for name, column in self.columns.items():
                if len(column) != rows:
                    first = next(iter(self.columns))
                    reason = f"it has {len(column)} rows where `{first}` has {rows}"
                    raise table_error(str(name), None, reason, "Give columns of equal length.")
        elif self.columns.implementation.is_pandas_like():
            columns = {name: _column_of(name, self.columns[name].to_native()) for name in obeyed}
        elif obeyed:
            return self.columns.select(list(obeyed)).to_native()
        else:
            columns = {}
        # a table without such a column still has rows
        return columns or {"-": np.zeros(len(self))}

    def answer(self, swept: SweptTable) -> Any:
        """The rows that came in, each as often as it has results, with the results beside them."""
        import numpy as np

        each = len(swept) // max(len(self), 1)
        places: NDArray[np.integer[Any]] | None = swept.row
        if places is None and each != 1:
            places = np.repeat(np.arange(len(self)), each)
        if isinstance(self.columns, Mapping):
            carried = {name: _taken(column, places) for name, column in self.columns.items()}
            return self.back({**carried, **results_as_arrays(swept)})
        frame = self.columns if places is None else self.columns[places]
        results = _results_like(frame, swept)
        return self.back(
            nw.concat([frame, results], how="horizontal").to_native() if self.names else results.to_native()
        )


def _name_that_comes_twice(table: Any) -> str:
    names: Any = getattr(getattr(table, "schema", None), "names", None) or getattr(table, "columns", ())
    return next((str(name) for name, count in Counter(names).items() if count > 1), ".")


def _one_batch(table: Any) -> Any:
    """A table of pyarrow as one record batch."""
    import pyarrow

    batches = table.combine_chunks().to_batches()
    return (
        batches[0]
        if batches
        else pyarrow.RecordBatch.from_arrays(
            [pyarrow.array([], kind) for kind in table.schema.types], schema=table.schema
        )
    )


def _taken(column: Any, places: NDArray[np.integer[Any]] | None) -> Any:
    """A column of a dictionary as an array of NumPy, or a quantity as it is; some of its rows."""
    import numpy as np

    array = column if hasattr(column, "magnitude") else np.asarray(column)
    return array if places is None else array[places]


def _column_of(name: str, value: Any) -> Any:
    """A column as the core takes it: an exporter of Arrow, numbers of NumPy or a list of text."""
    import numpy as np

    value = without_unit(name, value)
    kind = getattr(getattr(value, "dtype", None), "kind", None)
    if name.removeprefix("duty.") in NUMBERS:
        if (
            isinstance(value, list)
            or kind in ("f", "i", "u")
            and isinstance(getattr(value, "dtype", None), np.dtype)
        ):
            return as_numbers(name, value.to_numpy() if hasattr(value, "to_numpy") else value)
        if hasattr(value, "iloc"):
            return _numbers_of_pandas(name, value)
        return value if _exports(value) else as_numbers(name, value)
    if _exports(value) and not hasattr(value, "iloc"):
        return value
    if kind in ("f", "i", "u") and isinstance(value.dtype, np.dtype):
        return as_numbers(name, value.to_numpy() if hasattr(value, "to_numpy") else value)
    cells = value.tolist() if hasattr(value, "tolist") else list(value)
    if name.removeprefix("duty.") == "shelter":
        # a word, or nothing: what else it may be is told with its row
        cells = [in_unicode(cell) if isinstance(cell, str) else cell for cell in cells]
        return [None if _is_missing(cell) else cell for cell in cells]
    try:
        return [_text(cell) for cell in cells]
    except (TypeError, ValueError, RecursionError) as error:
        reason = f"a cell is not text, a number or JSON: {' '.join(str(error).split())}"
        raise table_error(name, None, reason, "Enter what a brief has in this field.") from error


def _exports(value: Any) -> bool:
    return hasattr(value, "__arrow_c_stream__") or hasattr(value, "__arrow_c_array__")


def _numbers_of_pandas(name: str, series: Any) -> NDArray[Any]:
    """Numbers of a Series whose type is not one of NumPy's, or whose cells are objects."""
    import decimal

    import numpy as np

    wanted = "numbers"
    if nw.from_native(series, series_only=True).dtype.is_numeric():
        return as_numbers(name, series.to_numpy(dtype=np.float64, na_value=np.nan))
    cells = series.tolist()
    if any(isinstance(cell, decimal.Decimal) for cell in cells):
        cells = [float(cell) if isinstance(cell, decimal.Decimal) else cell for cell in cells]
    cells = [None if _is_missing(cell) else cell for cell in cells]
    if not all(
        cell is None or (isinstance(cell, (int, float)) and not isinstance(cell, bool)) for cell in cells
    ):
        raise table_error(
            name, None, f"its type is {series.dtype}; wanted: {wanted}", "Convert the column before."
        )
    return as_numbers(name, cells)


def _is_missing(cell: Any) -> bool:
    return (
        cell is None
        or type(cell).__name__ in ("NAType", "NaTType")
        or (isinstance(cell, float) and cell != cell)
    )


def _text(cell: Any) -> str | None:
    """A cell as the core reads it: a word, a number, a truth value or JSON."""
    if _is_missing(cell):
        return None
    if isinstance(cell, str):
        return in_unicode(cell)
    if hasattr(cell, "tolist"):
        cell = cell.tolist()
    if isinstance(cell, (list, tuple, Mapping, bool)):
        return json.dumps(dict(cell) if isinstance(cell, Mapping) else cell)
    return repr(cell) if isinstance(cell, float) else str(cell)


def words_as_array(codes: NDArray[np.int32], words: Sequence[str]) -> NDArray[np.object_]:
    """Words by code, -1 for none, as an array of Python strings that rows share."""
    import numpy as np

    return np.array([*words, None], dtype=object)[codes]


def results_as_arrays(swept: SweptTable) -> dict[str, NDArray[Any]]:
    """Columns of NumPy; of a row without a result NaN, None and False."""
    import numpy as np

    valid = swept.valid()
    columns: dict[str, Any] = {}
    for name, column in swept.columns().items():
        if isinstance(column, tuple):
            codes, words = column
            if name == "category":
                codes = np.where(valid, codes, -1)
            column = words_as_array(codes, words)
        columns[name] = column
    return columns


def _results_like(frame: nw.DataFrame[Any], swept: SweptTable) -> nw.DataFrame[Any]:
    """The results in the library of a frame, with its index."""
    if frame.implementation.is_pandas():
        return nw.from_native(_results_of_pandas(swept, nw.maybe_get_index(frame)), eager_only=True)
    if frame.implementation.is_polars():
        import polars

        return nw.from_native(polars.DataFrame(swept), eager_only=True)
    results = nw.from_arrow(swept, backend=frame.implementation)
    index = nw.maybe_get_index(frame)
    return results if index is None else nw.maybe_set_index(results, index=index)


def _results_of_pandas(swept: SweptTable, index: Any) -> Any:
    import numpy as np
    import pandas

    columns: dict[str, Any] = {}
    valid = swept.valid()
    for name, column in swept.columns().items():
        if isinstance(column, tuple):
            codes, words = column
            if name == "category":
                codes = np.where(valid, codes, -1)
            kind = pandas.CategoricalDtype(words, ordered=name == "category")
            columns[name] = pandas.Categorical.from_codes(codes, dtype=kind, validate=False)
        elif name in ("met", "blocked"):
            columns[name] = column if valid.all() else pandas.arrays.BooleanArray(column, ~valid)
        else:
            columns[name] = column
    return pandas.DataFrame(columns, index=index, copy=False)


def kind_of(kind: str | None, table: Any = None) -> str:
    """The kind asked for; else that of the table given; else pandas where it is installed."""
    if kind is None:
        if isinstance(table, Mapping):
            return "dict"
        library = type(table).__module__.partition(".")[0]
        if library in ("pandas", "polars", "pyarrow"):
            return {"pyarrow": "arrow"}.get(library, library)
        return "pandas" if importlib.util.find_spec("pandas") else "dict"
    if not isinstance(kind, str):
        raise wrong("kind", kind, f"one of {', '.join(KINDS)}", "Name one of them, or leave it out.")
    if kind not in KINDS:
        raise unknown("kind", kind, KINDS, "Name one of them.")
    return kind


def as_kind(columns: Mapping[str, Any], kind: str) -> Any:
    """Columns of NumPy as a table of a kind."""
    if kind == "dict":
        return dict(columns)
    if kind == "pandas":
        import pandas

        return pandas.DataFrame(dict(columns), copy=False)
    plain = {
        # texts and truth values with gaps come as objects
        name: column.tolist()
        if getattr(column, "dtype", None) is not None and column.dtype.kind == "O"
        else column
        for name, column in columns.items()
    }
    with needs("frames", "a table of this kind"):
        if kind == "polars":
            import polars

            return polars.DataFrame(plain, strict=False)
        import pyarrow

        return pyarrow.table(plain)


def joined(tables: Sequence[Any], kind: str) -> Any:
    """Tables of one kind and one set of columns, one below the other."""
    if len(tables) == 1:
        return tables[0]
    if kind == "arrow":
        import pyarrow

        return pyarrow.concat_tables(tables).unify_dictionaries()
    if kind == "dict":
        import numpy as np

        return {name: np.concatenate([table[name] for table in tables]) for name in tables[0]}
    if kind == "polars":
        import polars

        return polars.concat(tables)
    import pandas

    return pandas.concat(tables, ignore_index=True)


def names_of(table: Any) -> list[str]:
    """The names of the columns of a table of any kind."""
    return Given.of(table).names


def column_of(table: Any, name: str, remedy: str, *, in_unit: bool = False) -> NDArray[Any]:
    """A column of a table of any kind as an array; one with a unit, in the unit that its name ends in."""
    given = Given.of(table)
    if name not in given.names:
        raise table_error(name, None, "missing", remedy)
    if isinstance(given.columns, Mapping):
        column = given.columns[name]
        return as_array(name, without_unit(name, column) if in_unit else column)
    native = given.columns[name].to_native()
    plain = without_unit(name, native) if in_unit else native
    return as_array(name, given.columns[name].to_numpy() if plain is native else plain)


def taken(table: Any, places: NDArray[np.int64], rows: int) -> Any:
    """Some of the rows of a table, as a table of its kind."""
    given = Given.of(table)
    if isinstance(given.columns, Mapping):
        columns = {name: column_of(table, name, "") for name in given.columns}
        for name, column in columns.items():
            if len(column) != rows:
                raise table_error(
                    name, None, f"{len(column)} rows, not {rows}", "Give columns of equal length."
                )
        return {name: column[places] for name, column in columns.items()}
    return given.back(given.columns[places].to_native())


def with_columns(table: Any, columns: Mapping[str, NDArray[Any]]) -> Any:
    """The table with some columns replaced, as a new table of its kind."""
    given = Given.of(table)
    if isinstance(given.columns, Mapping):
        return {**table, **columns}
    frame = given.columns
    made = [nw.new_series(name, column, backend=frame.implementation) for name, column in columns.items()]
    index = nw.maybe_get_index(frame)
    if index is not None:
        made = [nw.maybe_set_index(series, index=index) for series in made]
    return given.back(frame.with_columns(*made).to_native())


def column_like(given: tuple[Any, ...], name: str, column: NDArray[np.float64]) -> Any:
    """A column of numbers in the kind of the first column given."""
    first = next(value for value in given if is_column(value))
    try:
        series = nw.from_native(first, series_only=True)
    except TypeError:
        # an array of pyarrow is no column of a frame, and gives one back
        if type(first).__module__.partition(".")[0] == "pyarrow":
            import pyarrow

            return pyarrow.array(column)
        return column
    if series.implementation.is_polars():
        import polars

        return polars.Series(_Numbers(column)).alias(name)
    if series.implementation.is_pandas():
        import pandas

        return pandas.Series(column, index=first.index, name=name, copy=False)
    return nw.new_series(name, column, backend=series.implementation).to_native()


class _Numbers:
    """A column of NumPy that exports Arrow."""

    def __init__(self, column: NDArray[np.float64]) -> None:
        self._column = column

    def __arrow_c_array__(self, requested_schema: object = None) -> tuple[object, object]:
        return _core.export_numbers(self._column)


def words_like(first: Any, name: str, codes: NDArray[np.uint8], words: list[str]) -> Any:
    """A column of ordered words in the kind of the column given: categories, in NumPy texts."""
    import numpy as np

    kind = type(first).__module__.partition(".")[0]
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


def rows(ranking: Ranking) -> dict[str, list[Any]]:
    """A ranking as columns: those of a sweep, then what only a ranking has."""
    options = list(ranking_of(ranking))
    air = ranking.atmosphere
    table: dict[str, list[Any]] = {
        "build": [str(o.build) for o in options],
        "base_metal": [o.build.base_metal for o in options],
        "treatment": [o.build.treatment for o in options],
        "films": [" + ".join(o.build.films) for o in options],
        "category": [air.category] * len(options),
        "first_year_loss_um": [air.first_year_steel_loss_um] * len(options),
        "median_years": [o.outlook.median_years for o in options],
        "p10_years": [o.outlook.p10_years for o in options],
        "p90_years": [o.outlook.p90_years for o in options],
        "probability_ok": [o.outlook.probability_ok for o in options],
        "cost_per_thousand": [o.cost.per_thousand for o in options],
        "currency": [o.cost.currency for o in options],
        "score": [o.score for o in options],
        "met": [o.met for o in options],
        "blocked": [o.blocked for o in options],
        "blocked_by": [o.blocked_by for o in options],
        "row_status": [o.row_status for o in options],
        "burden": [o.burden for o in options],
        "dangers": [o.dangers for o in options],
        "rank": list(range(1, len(options) + 1)),
        "beyond_evidence": [o.beyond_evidence for o in options],
        "name": [o.name for o in options],
        "on_pareto_front": [o.on_pareto_front for o in options],
        "trade_default": [o.trade_default for o in options],
        "outside_blackening": [o.outside_blackening for o in options],
        "first_reason": [o.first_reason for o in options],
    }
    shares = [o.shares for o in options]
    for criterion in ("durability", "cost", "appearance", "heat", "assembly", "confidence"):
        table[f"share_{criterion}"] = [share[criterion] for share in shares]
    return table


def to_arrow(ranking: Ranking) -> pa.Table:
    """The ranking as a pyarrow Table."""
    with needs("frames", "a table of a ranking"):
        import pyarrow

    return pyarrow.table(rows(ranking))


def to_pandas(ranking: Ranking) -> pd.DataFrame:
    """The ranking as a pandas DataFrame."""
    with needs("frames", "a table of a ranking"):
        import pandas

    return pandas.DataFrame(rows(ranking))


def to_polars(ranking: Ranking) -> pl.DataFrame:
    """The ranking as a polars DataFrame."""
    with needs("frames", "a table of a ranking"):
        import polars

    return polars.DataFrame(rows(ranking))
