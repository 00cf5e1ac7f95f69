"""What every way to sweep a table shares."""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from os import PathLike
from typing import TYPE_CHECKING, Any, TypeAlias

from overcoat import _core
from overcoat._columns import in_unicode, table_error
from overcoat._refusal import brief_of, listed, one_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from overcoat._table import Given

BriefLike: TypeAlias = "_core.Brief | Mapping[str, Any] | str | PathLike[str]"
CatalogLike: TypeAlias = "_core.Catalog | Mapping[str, Any] | str | PathLike[str]"
BuildLike: TypeAlias = "_core.Build | _core.Option | str"

_PLAIN = {"name": "sweep", "part": {"base_metal": "steel_4_6"}, "duty": {"required_years": 5}}


def brief_or_plain(brief: Any) -> _core.Brief:
    """The brief given, or that of a plain part of low-carbon steel and five years."""
    return _core.Brief.from_dict(_PLAIN) if brief is None else brief_of(brief)


def result_names(columns: Any) -> list[str] | None:
    """The columns of results asked for, as text."""
    if columns is None:
        return None
    remedy = "Put their names in brackets."
    names = listed("columns", columns, "a list of columns of results", remedy)
    return [in_unicode(one_of("columns", name, str, remedy)) for name in names]


def swept_of(
    given: Given,
    brief: _core.Brief,
    builds: list[str] | None,
    catalog: Any,
    threads: int,
    best_only: bool,
    columns: list[str] | None,
) -> _core.SweptTable:
    """The results of a table whose library is told already."""
    return _core.sweep_table(brief, _obeyed(given), builds, catalog, threads, best_only, columns)


def untold_of(given: Given, brief: _core.Brief, builds: list[str] | None, catalog: Any) -> list[str]:
    """What a ranking of the first row says and the results do not."""
    return _core.untold(brief, _obeyed(given), builds, catalog)


# free text of the brief is no row's, and who wrote it knows it
_OF_THE_BRIEF = "Not judged: the remarks beyond single words"


class Remarks:
    """What rankings of rows remark and tables of results do not say, through all batches of a table."""

    def __init__(self) -> None:
        self._found: dict[str, list[int]] = {}

    def add(self, swept: _core.SweptTable, numbers: Any = None, before: int = 0) -> list[str]:
        """Takes those of a batch, whose rows have these numbers, or follow so many; which are new."""
        new = []
        for remark, row, rows in swept.remarks:
            if remark not in self._found:
                self._found[remark] = [before + row if numbers is None else int(numbers[row]), 0]
                new.append(remark)
            self._found[remark][1] += rows
        return new

    def lines(self, wanted: list[str] | None = None) -> list[str]:
        """Each remark once, or each of those wanted, with the rows that it is of, counted from 1."""
        found = []
        for remark in self._found if wanted is None else wanted:
            row, rows = self._found[remark]
            place = f"row {row + 1}" if rows == 1 else f"{rows} rows, the first is row {row + 1}"
            found.append(f"{remark} ({place})")
        return found

    def warn(self, new: list[str], stacklevel: int) -> None:
        """One warning of those that are new, where there are any."""
        new = [remark for remark in new if not remark.startswith(_OF_THE_BRIEF)]
        if new:
            warnings.warn("not in the results: " + "; ".join(self.lines(new)), stacklevel=stacklevel + 1)


def _obeyed(given: Given) -> Any:
    """The columns that a sweep obeys."""
    return given.source(obeyed_of(given, False))


def named_index(given: Given) -> dict[str, NDArray[Any]]:
    """The levels of the index that have names, of tables that have an index."""
    index = getattr(given.native, "index", None)
    names = [name for name in getattr(index, "names", None) or () if name is not None]
    return {str(name): index.get_level_values(name).to_numpy() for name in names}  # type: ignore[union-attr]


def obeyed_of(given: Given, all_fields: bool) -> list[str]:
    """The names of the columns that are obeyed; an index of such a name is rejected."""
    index = list(named_index(given))
    obeyed = _core.obeyed([in_unicode(str(name)) for name in (*given.names, *index)], all_fields)
    for name in index:
        if str(name) in obeyed:
            reason = "it is the index of the table, which is carried along and not obeyed"
            raise table_error(str(name), None, reason, "Make it a column with `reset_index()`, or rename it.")
    return obeyed
