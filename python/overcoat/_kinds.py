"""Tables of results in the kind that a user works with, and single columns out of any kind."""

from __future__ import annotations

import importlib.util
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from overcoat._columns import as_array, is_frame, table_error
from overcoat._refusal import unknown, wrong
from overcoat._tables import no_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

KINDS = ("pandas", "polars", "arrow", "dict")


@dataclass(frozen=True)
class Words:
    """A column of words as places in a list, -1 for none, so that a long table holds each word once."""

    codes: NDArray[np.int64]
    words: Sequence[str]

    def spelt(self) -> NDArray[np.object_]:
        """The words themselves."""
        import numpy as np

        # an array of Python strings: each row points to one of the few
        return np.array([*self.words, None], dtype=object)[self.codes]


def kind_of(kind: str | None) -> str:
    """The kind asked for; pandas where nothing is asked and it is installed, else a dictionary of columns."""
    if kind is None:
        return "pandas" if importlib.util.find_spec("pandas") else "dict"
    if not isinstance(kind, str):
        raise wrong("kind", kind, f"one of {', '.join(KINDS)}", "Name one of them, or leave it out.")
    if kind not in KINDS:
        raise unknown("kind", kind, KINDS, "Name one of them.")
    return kind


def as_kind(columns: Mapping[str, Any], kind: str) -> Any:
    """Columns, some of them `Words`, as a table of a kind."""
    if kind == "arrow":
        import pyarrow

        def arrow(column: Any) -> Any:
            if not isinstance(column, Words):
                return pyarrow.array(column)
            codes = pyarrow.array(column.codes.astype("int32"), mask=column.codes < 0)
            return pyarrow.DictionaryArray.from_arrays(codes, list(column.words))

        return pyarrow.table({name: arrow(column) for name, column in columns.items()})
    if kind == "polars":
        import polars

        def series(column: Any) -> polars.Series:
            if not isinstance(column, Words):
                return polars.Series(column if column.dtype.kind in "biuf" else column.tolist())
            # the last place, which -1 names too, is null
            words = polars.Series([*column.words, None], dtype=polars.String)
            return words.gather(column.codes % len(words))

        return polars.DataFrame({name: series(column) for name, column in columns.items()})
    plain = {
        name: column.spelt() if isinstance(column, Words) else column for name, column in columns.items()
    }
    if kind == "dict":
        return plain
    import pandas

    return pandas.DataFrame(plain)


def joined(tables: Sequence[Any], kind: str) -> Any:
    """Tables of one kind and one set of columns, one below the other."""
    if len(tables) == 1:
        return tables[0]
    if kind == "arrow":
        import pyarrow

        return pyarrow.concat_tables(tables).unify_dictionaries()
    if kind == "polars":
        import polars

        return polars.concat(tables)
    if kind == "dict":
        import numpy as np

        return {name: np.concatenate([table[name] for table in tables]) for name in tables[0]}
    import pandas

    return pandas.concat(tables, ignore_index=True)


def names_of(table: Any) -> list[str]:
    """The names of the columns of a table of any kind."""
    if isinstance(table, Mapping):
        return list(table)
    # what is computed later has columns and no length
    if not (is_frame(table) and hasattr(type(table), "__getitem__") and hasattr(type(table), "__len__")):
        raise no_table(table)
    return list(table.column_names if hasattr(table, "column_names") else table.columns)


def column_of(table: Any, name: str, remedy: str) -> NDArray[Any]:
    """A column of a table of any kind as an array."""
    if name not in names_of(table):
        raise table_error(name, None, "missing", remedy)
    return as_array(name, table[name])


def taken(table: Any, places: NDArray[np.int64], rows: int) -> Any:
    """Some of the rows of a table, as a table of its kind."""
    if isinstance(table, Mapping):
        columns = {name: column_of(table, name, "") for name in table}
        for name, column in columns.items():
            if len(column) != rows:
                raise table_error(
                    name, None, f"{len(column)} rows, not {rows}", "Give columns of equal length."
                )
        return {name: column[places] for name, column in columns.items()}
    if hasattr(table, "iloc"):
        return table.iloc[places]
    return table.take(places) if hasattr(table, "column_names") else table[places]


def with_columns(table: Any, columns: Mapping[str, NDArray[Any]]) -> Any:
    """The table with some columns replaced, as a new table of its kind."""
    if isinstance(table, Mapping):
        return {**table, **columns}
    if hasattr(table, "iloc"):
        return table.assign(**columns)
    if hasattr(table, "column_names"):
        for name, column in columns.items():
            table = table.set_column(table.column_names.index(name), name, [column])
        return table
    import polars

    return table.with_columns([polars.Series(name, column) for name, column in columns.items()])
