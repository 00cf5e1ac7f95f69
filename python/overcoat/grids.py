"""What-if grids: many briefs at once, as one long table."""

from __future__ import annotations

import importlib.util
import json
import math
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal, TypeAlias, overload

from overcoat import _core
from overcoat._builds import builds_and_catalog
from overcoat._columns import as_column, check_indexes, is_column, is_number, table_error, without_unit
from overcoat._extras import needs
from overcoat._quantities import unit_of
from overcoat._refusal import (
    brief_of,
    catalog_of,
    check_called,
    invalid,
    listed,
    mapped,
    number,
    one_of,
    threads_of,
    truth,
    unknown,
    whole_number,
    wrong,
)
from overcoat._swept import Remarks, named_index, obeyed_of, result_names
from overcoat._table import Given, as_kind, column_of, joined, kind_of, names_of

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    import polars as pl
    import pyarrow as pa
    from numpy.typing import NDArray

    from overcoat._swept import BriefLike, BuildLike, CatalogLike

    Columns: TypeAlias = dict[str, NDArray[Any]]
    Change: TypeAlias = Mapping[str, float | Callable[[Any], Any]] | Callable[[dict[str, Any]], Any] | None

_AIR = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
# fields that are numbers in every row
_NUMBERS = (*_AIR, "required_years")
# results of a batch where nothing is said, and of a table that is still made as a whole
_BATCH_RESULTS = 500_000
_MOST_RESULTS = 100_000_000
# a bar that would be gone at once is not shown
_BAR_AFTER_S = 0.5


def span(low: float, high: float, count: int, *, ratio: bool = False) -> NDArray[np.float64]:
    """Evenly spaced numbers for an axis of a grid, both ends among them.

    Parameters
    ----------
    low, high : float
        The ends.
    count : int
        How many, 2 to 10 million.
    ratio : bool
        Whether neighbours have one ratio instead of one difference; both ends above 0.

    Returns
    -------
    array of float
        The numbers in rising or falling order.

    Raises
    ------
    InvalidValueError
        An end that is not a finite number, or not above 0 with `ratio`; a count out of range.

    Examples
    --------
    >>> span(0, 300, 4).tolist()
    [0.0, 100.0, 200.0, 300.0]
    >>> span(1, 1000, 4, ratio=True).round(6).tolist()
    [1.0, 10.0, 100.0, 1000.0]
    """
    import numpy as np

    truth("span.ratio", ratio)
    allowed = "a finite number, above 0 with ratio=True"
    low, high = number("span.low", low, allowed), number("span.high", high, allowed)
    for name, end in (("low", low), ("high", high)):
        if ratio and end <= 0:
            raise invalid(f"span.{name}", end, allowed, "Pass the ends.")
    count = whole_number("span.count", count, 2, 10_000_000, "Give how many numbers, the ends among them.")
    return np.geomspace(low, high, count) if ratio else np.linspace(low, high, count)


@dataclass(frozen=True, eq=False)
class _Axis:
    """Columns that go together, of one length."""

    name: str
    columns: Columns
    labels: Columns = field(default_factory=dict)

    def __eq__(self, other: object) -> bool:
        """Whether names and values agree; a gap equals a gap."""

        def told(axis: _Axis) -> tuple[Any, ...]:
            return axis.name, [
                [(name, [repr(value) for value in column.tolist()]) for name, column in part.items()]
                for part in (axis.columns, axis.labels)
            ]

        return told(self) == told(other) if isinstance(other, _Axis) else NotImplemented

    __hash__ = None  # type: ignore[assignment]

    def __len__(self) -> int:
        return len(next(iter({**self.columns, **self.labels}.values())))


def _plain(value: Any) -> Any:
    """A value as JSON has it."""
    return value.item() if hasattr(value, "item") else value


def _column(name: str, values: Any) -> NDArray[Any]:
    """The values of a field along an axis; numbers as numbers, everything else as it is."""
    import numpy as np

    allowed, remedy = "a list or span of values", "Put a single value into the brief, or into [ ]."
    if not is_column(values):
        raise wrong(name, values, allowed, remedy)
    entries = listed(name, values, allowed, remedy)
    if not entries:
        raise invalid(name, "empty", "one value or more", "Pass values, or leave the field out.")
    values = without_unit(name, values)
    if any(isinstance(entry, str) for entry in entries) and unit_of(name) is not None:
        values = [_core.number_of_text(name, entry) if isinstance(entry, str) else entry for entry in values]
    if name in _NUMBERS:
        return as_column(name, values, gaps=True)
    plain = [_plain(value) for value in (values.tolist() if hasattr(values, "tolist") else values)]
    if all(is_number(value) for value in plain):
        return np.array(plain)
    try:
        json.dumps(plain).encode()
    except (TypeError, ValueError, RecursionError) as error:
        raise wrong(
            name, values, f"{allowed} that a brief takes", f"Correct the values ({error})."
        ) from error
    column = np.empty(len(plain), dtype=object)
    for place, value in enumerate(plain):
        column[place] = value
    return column


def _sites(table: Any) -> _Axis:
    """A table of places: fields of a brief move together, other columns stay as labels."""
    import numpy as np

    names = names_of(table)
    if isinstance(table, Mapping):
        check_indexes(dict(table))
    given = Given.of(table)
    obeyed = obeyed_of(given, True)
    columns: Columns = {}
    labels: Columns = {}
    for name, values in named_index(given).items():
        if name in names or name in ("catalog", "change"):
            raise table_error(name, None, "the index has this name too", "Rename the index, or drop it.")
        labels[name] = values
    for name in names:
        if name in ("catalog", "change"):
            raise table_error(name, None, "a grid names its own columns so", "Rename it.")
        values = column_of(table, name, "", in_unit=name in obeyed)
        if name in obeyed:
            columns[_core.field_name(name)] = _column(_core.field_name(name), values)
            continue
        labels[str(name)] = np.asarray(values)
    if not columns:
        raise table_error("sites", None, "no field of a brief", f"Give columns such as {', '.join(_AIR)}.")
    lengths = {len(column) for column in (*columns.values(), *labels.values())}
    if len(lengths) != 1:
        raise table_error(
            "sites", None, f"columns of {sorted(lengths)} rows", "Give columns of equal length."
        )
    return _Axis("sites", columns, labels)


@dataclass(frozen=True)
class Grid:
    """Briefs that differ in some fields, with builds and catalogs to compare; made by `grid`.

    Nothing is computed until `run` or `batches` is called. `len()` gives the number of rows: briefs times
    catalogs times changes.
    """

    brief: _core.Brief
    builds: list[str] | None
    catalogs: Mapping[str, _core.Catalog] | None
    changes: Mapping[str, Change] | None
    _catalog: _core.Catalog | None
    _axes: list[_Axis]
    _kind: str

    @property
    def shape(self) -> tuple[int, ...]:
        """Length of each axis: catalogs and changes where there are any, then the others in order."""
        named = [len(choice) for choice in (self.catalogs, self.changes) if choice is not None]
        return (*named, *(len(axis) for axis in self._axes))

    def __len__(self) -> int:
        """The number of rows."""
        return math.prod(self.shape)

    def __repr__(self) -> str:
        """What it spans."""
        names = [axis.name for axis in self._axes]
        choices = {"catalog": self.catalogs, "change": self.changes}
        names = [name for name, choice in choices.items() if choice is not None] + names
        spans = ", ".join(f"{name}: {length}" for name, length in zip(names, self.shape, strict=True))
        return f"Grid({len(self)} rows; {spans})"

    def batches(
        self,
        rows: int | None = None,
        *,
        kind: str | None = None,
        threads: int | None = None,
        best_only: bool = False,
        columns: Sequence[str] | None = None,
        progress: bool | None = None,
    ) -> Iterator[Any]:
        """The table in parts, each made when it is requested.

        Memory stays that of one part whatever the length. Ctrl-C ends the part in hand within tens of
        milliseconds; parts handed out before stay whole.

        Parameters
        ----------
        rows : int, optional
            Rows of a part; as many as give about half a million results by default.
        kind, threads, best_only, columns, progress
            See `run`.

        Yields
        ------
        table
            As `run` gives it.
        """
        as_asked = self._kind if kind is None else kind_of(kind)
        best_only, names = truth("best_only", best_only), result_names(columns)
        if rows is not None:
            rows = whole_number("rows", rows, 1, 2**62, "Pass the rows of a part.")
        if progress is not None:
            progress = truth("progress", progress)
        return self._parts(rows, as_asked, threads_of(threads), best_only, names, progress)

    @overload
    def run(
        self,
        *,
        kind: Literal["pandas"],
        threads: int | None = None,
        best_only: bool = False,
        columns: Sequence[str] | None = None,
        progress: bool | None = None,
    ) -> pd.DataFrame: ...

    @overload
    def run(
        self,
        *,
        kind: Literal["polars"],
        threads: int | None = None,
        best_only: bool = False,
        columns: Sequence[str] | None = None,
        progress: bool | None = None,
    ) -> pl.DataFrame: ...

    @overload
    def run(
        self,
        *,
        kind: Literal["arrow"],
        threads: int | None = None,
        best_only: bool = False,
        columns: Sequence[str] | None = None,
        progress: bool | None = None,
    ) -> pa.Table: ...

    @overload
    def run(
        self,
        *,
        kind: Literal["dict"],
        threads: int | None = None,
        best_only: bool = False,
        columns: Sequence[str] | None = None,
        progress: bool | None = None,
    ) -> dict[str, NDArray[Any]]: ...

    @overload
    def run(
        self,
        *,
        kind: str | None = None,
        threads: int | None = None,
        best_only: bool = False,
        columns: Sequence[str] | None = None,
        progress: bool | None = None,
    ) -> Any: ...

    def run(
        self,
        *,
        kind: str | None = None,
        threads: int | None = None,
        best_only: bool = False,
        columns: Sequence[str] | None = None,
        progress: bool | None = None,
    ) -> Any:
        """The whole table: one row per brief, catalog, change and build.

        Parameters
        ----------
        kind : {"pandas", "polars", "arrow", "dict"}, optional
            Kind of table; that of `sites` where they were given as a table, else pandas where it is
            installed, else a dictionary of columns.
        threads : int, optional
            Threads to use; all processors by default. The results are the same bits for any number.
        best_only : bool
            Keep the best build of each brief, like `sweep`.
        columns : sequence of str, optional
            Columns of results to compute and return, named like those of `sweep`; all by default.
        progress : bool, optional
            Whether to show a bar; by default where a terminal or notebook looks on and it takes more than
            half a second.

        Returns
        -------
        table
            `catalog` and `change` where named, labels of the sites, each field that moves, then the columns
            of results of `sweep`. Each number is that of `rank` for the brief of the row. A row with a
            missing or impossible value has NaN and a `row_status` that says why.

        Raises
        ------
        InvalidValueError
            A table of more than a hundred million results: use `batches`.
        OvercoatError
            What `rank` rejects in a brief of the grid.
        """
        as_asked = self._kind if kind is None else kind_of(kind)
        if len(self) > _MOST_RESULTS or len(self) * self._builds_of_a_row() > _MOST_RESULTS:
            raise invalid(
                "grid", f"{len(self)} rows", f"at most {_MOST_RESULTS} results in one table", "Use `batches`."
            )
        parts = self.batches(
            kind=as_asked, threads=threads, best_only=best_only, columns=columns, progress=progress
        )
        return joined(list(parts), as_asked)

    def _builds_of_a_row(self) -> int:
        """How many builds the first brief of the grid compares."""
        return len(_Maker(self, 1, False, ["row_status"]).part(0, 1)[1])

    def _parts(
        self,
        rows: int | None,
        kind: str,
        threads: int,
        best_only: bool,
        columns: list[str] | None,
        progress: bool | None,
    ) -> Iterator[Any]:
        step = rows or max(1, _BATCH_RESULTS // max(1, self._builds_of_a_row()))
        maker = _Maker(self, threads, best_only, columns)
        remarks = Remarks()
        with _bar(len(self), progress) as advance:
            start = 0
            while start < len(self):
                # no part goes beyond a catalog and change
                stop = min(start + step, len(self), (start // maker.each + 1) * maker.each)
                moved, swept = maker.part(start, stop)
                table = _as_table(moved, swept, kind)
                remarks.warn(remarks.add(swept, before=start), stacklevel=2)
                advance(stop - start)
                yield table
                start = stop


def _as_table(moved: dict[str, Any], swept: _core.SweptTable, kind: str) -> Any:
    """The fields that move and the results beside them; in pandas words are plain text, ready to pivot."""
    if kind in ("dict", "pandas"):
        return as_kind(Given(moved).answer(swept), kind)
    return Given.of(as_kind(moved, kind)).answer(swept)


class _Maker:
    """Makes parts of the table of a grid: rows of one catalog and change at a time."""

    def __init__(self, grid: Grid, threads: int, best_only: bool, columns: list[str] | None) -> None:
        self.grid, self.threads = grid, threads
        self.best_only, self.columns = best_only, columns
        self.catalogs: list[_core.Catalog | None] = list((grid.catalogs or {}).values()) or [grid._catalog]
        self.changes: list[tuple[str, Change]] = list((grid.changes or {}).items()) or [("", None)]
        self.shape = tuple(len(axis) for axis in grid._axes)
        self.each = max(math.prod(self.shape), 1)
        # a value of None takes the field out of the brief
        names = [name for axis in grid._axes for name, column in axis.columns.items() if _has_none(column)]
        self.brief = grid.brief.replace(**dict.fromkeys(names)) if names else grid.brief

    def part(self, start: int, stop: int) -> tuple[dict[str, Any], _core.SweptTable]:
        """The labels and moved fields of some rows, and their results."""
        import numpy as np

        grid = self.grid
        catalog_code, change_code = divmod(start // self.each, len(self.changes))
        rows = np.arange(start, stop) % self.each
        places = np.unravel_index(rows, self.shape) if self.shape else ()
        moved: Columns = {}
        labels: Columns = {}
        for axis, place in zip(grid._axes, places, strict=True):
            moved |= {name: column[place] for name, column in axis.columns.items()}
            labels |= {name: column[place] for name, column in axis.labels.items()}
        moved |= _changed(self.changes[change_code], moved, self.brief, len(rows))
        table: Columns = {}
        for name, choice, code in (
            ("catalog", grid.catalogs, catalog_code),
            ("change", grid.changes, change_code),
        ):
            if choice is not None:
                table[name] = np.full(len(rows), list(choice)[code], dtype=object)
        shown = {name: _shown(column) for name, column in moved.items()}
        # where nothing moves there is still a row for each catalog and change
        source = Given.of(shown).source(list(shown)) if shown else {"-": np.zeros(len(rows))}
        swept = _core.sweep_table(
            self.brief,
            source,
            grid.builds,
            self.catalogs[catalog_code],
            self.threads,
            self.best_only,
            self.columns,
            True,
            True,
        )
        # a field that is a column of the results stands there
        results = _core.result_columns(all=True)
        return {**table, **labels, **{n: c for n, c in shown.items() if n not in results}}, swept


def _has_none(column: NDArray[Any]) -> bool:
    return column.dtype == object and any(value is None for value in column)


def _shown(column: NDArray[Any]) -> NDArray[Any]:
    """Values as a table shows them: what is a list or an object in a brief, as its JSON."""
    import numpy as np

    if column.dtype != object:
        return column
    shown = np.empty(len(column), dtype=object)
    shown[:] = [json.dumps(value) if isinstance(value, (list, dict)) else value for value in column]
    return shown


def _changed(named: tuple[str, Change], moved: Columns, brief: _core.Brief, length: int) -> Columns:
    """What a change makes of the columns of some rows: only those that it moves."""
    import numpy as np

    name, change = named
    if change is None:
        return {}
    duty = json.loads(brief.to_json())["duty"]

    def column_now(column: str) -> NDArray[Any]:
        _check_movable(name, column)
        if column in moved:
            return moved[column]
        if column in duty:
            return np.full(length, float(duty[column]))
        raise table_error(
            column,
            None,
            f'missing, and the change "{name}" moves it',
            "Give it in the brief, the sites or a field.",
        )

    if callable(change):
        now = {column: column_now(column) for column in _NUMBERS if column in moved or column in duty}
        made = change(now)
        after = {column: column_of(made, column, "Give it back.", in_unit=True) for column in names_of(made)}
    else:
        after = {
            column: how(column_now(column))
            if callable(how)
            else column_now(column)
            * number(f"changes.{name}.{column}", how, "a factor or a function", "Pass one of them.")
            for column, how in change.items()
        }
    checked: Columns = {}
    for column, values in after.items():
        _check_movable(name, column)
        checked[column] = as_column(column, values, gaps=True)
        if len(checked[column]) != length:
            raise table_error(
                column, None, f'{len(checked[column])} rows after "{name}", {length} before', "Keep the rows."
            )
    return checked


def _check_movable(change: str, column: Any) -> None:
    if column not in _NUMBERS:
        raise unknown(
            f"changes.{change}", str(column), _NUMBERS, "Change one of these; move others by a field."
        )


@contextmanager
def _bar(total: int, progress: bool | None) -> Iterator[Callable[[int], None]]:
    """A progress bar on standard error or in a notebook, once the work has taken a moment."""
    start = time.perf_counter()
    bar: Any = None
    task: Any = None
    done = 0

    def advance(rows: int) -> None:
        nonlocal bar, task, done
        done += rows
        late = progress or (done < total and time.perf_counter() - start > _BAR_AFTER_S)
        if bar is None and late and progress is not False:
            bar = _new_bar(progress)
            if bar is not None:
                task = bar.add_task("rows", total=total)
        if bar is not None:
            bar.update(task, completed=done)

    try:
        yield advance
    finally:
        if bar is not None:
            bar.stop()


def _new_bar(progress: bool | None) -> Any:
    """A bar that has begun, or None where no one looks on or nothing draws it."""
    if importlib.util.find_spec("rich") is None and not progress:
        return None
    with needs("notebook", "a bar of progress"):
        from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

    console = Console(stderr=True)
    # a notebook draws the bar with widgets; without them it would draw warnings
    looked_on = "ipywidgets" in sys.modules or _has_widgets() if console.is_jupyter else console.is_terminal
    if not (looked_on or (progress and not console.is_jupyter)):
        return None
    bar = Progress(
        "{task.description}", BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(), console=console
    )
    bar.start()
    return bar


def _has_widgets() -> bool:
    return importlib.util.find_spec("ipywidgets") is not None


def grid(
    brief: BriefLike,
    *,
    builds: Iterable[BuildLike] | None = None,
    catalog: CatalogLike | Mapping[str, _core.Catalog] | None = None,
    sites: Any = None,
    fields: Mapping[str, Any] | None = None,
    paired: bool = False,
    changes: Mapping[str, Change] | None = None,
    **more_fields: Any,
) -> Grid:
    """A what-if grid: a brief with fields moved, every build at each, as one long table ready to pivot.

    Rows are all combinations of catalogs, changes, sites and fields, in this order, the last fastest. The
    engine is that of `sweep`. Where all four inputs of the atmosphere are numbers of the brief, the sites or
    the fields, a million rows take seconds; where a described place, a measured loss or a distance to the sea
    still speaks, rows are ranked one by one, which is far slower.

    Parameters
    ----------
    brief : Brief, dict, str or path
        The inquiry; all that does not move stays as it says.
    builds : iterable of Build, Option or str, optional
        The builds, as objects or as a ranking prints them; those that `rank` would try by default.
    catalog : Catalog, dict, str or path, or dict of Catalog, optional
        The catalog, or several by name: what if the wax were twice as good? The column `currency` says in
        which money each counts.
    sites : table, optional
        Places, one per row: a dictionary of columns, pandas, polars or pyarrow. Columns named as fields of a
        brief move together, all others are carried along as labels; one that is nearly a field, or named like
        a result, is rejected.
    fields : dict, optional
        Fields by names that are not Python words, for example `{"road_salt.months_per_year": [0, 4]}`.
    paired : bool
        Whether the fields move together, first with first, instead of each with each.
    changes : dict, optional
        Changes of the atmosphere and the years by name. Each is None (as it is), a dictionary with a factor
        or a
        function for each column, for example `{"chloride_mg_m2_day": 2.0}`, or a function of a dictionary of
        columns, as `category_up`. The table shows the values after the change.
    **more_fields : list or span
        Fields of duty, part or wants by their names, for example `required_years=[5, 10, 15]`.

    Returns
    -------
    Grid
        With `run()` for the table and `batches()` for its parts.

    Raises
    ------
    UnknownNameError
        A field that a brief does not have, with the nearest name.
    InvalidValueError, TableError
        Values that are not a list; paired fields of unequal length; a field given twice.

    Examples
    --------
    >>> import overcoat
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"temperature_c": 11, "relative_humidity_pct": 79, "so2_mg_m2_day": 4,
    ...              "required_years": 5}}''')
    >>> what_if = overcoat.grid(
    ...     brief,
    ...     builds=["steel_4_6 / hot_alkaline / hard_wax", "steel_4_6 / hot_alkaline / polyester_powder"],
    ...     chloride_mg_m2_day=overcoat.span(0, 300, 31),
    ...     required_years=[5, 10, 15],
    ... )
    >>> what_if
    Grid(93 rows; chloride_mg_m2_day: 31, required_years: 3)
    >>> table = what_if.run(kind="dict")
    >>> len(table["score"]), table["build"][0]
    (186, 'steel_4_6 / hot_alkaline / hard_wax')
    """
    asked = brief_of(brief)
    axes = [] if sites is None else [_sites(sites)]
    moved: Columns = {}
    named_fields = mapped("fields", fields, "lists of values by the names of fields", "Pass a dictionary.")
    for given, values in [*named_fields.items(), *more_fields.items()]:
        if given in ("best_only", "columns", "kind", "threads", "progress"):
            raise invalid(
                given, values, "a field of a brief here", f"Give it to the grid's `run({given}=...)`."
            )
        name = _core.field_name(given)
        if name in moved or (axes and name in axes[0].columns):
            raise invalid(given, "given twice", "one list of values", "Leave one of them out.")
        moved[name] = _column(name, values)
    if truth("paired", paired):
        check_indexes({**named_fields, **more_fields})
    if paired and len({len(column) for column in moved.values()}) > 1:
        lengths = ", ".join(f"{name}: {len(column)}" for name, column in moved.items())
        raise invalid("paired", lengths, "lists of one length", "Give as many values of each field.")
    if paired and moved:
        axes.append(_Axis(" with ".join(moved), moved))
    else:
        axes += [_Axis(name, {name: column}) for name, column in moved.items()]
    taken = {label for axis in axes for label in axis.labels}
    for name in moved:
        if name in taken:
            raise invalid(name, "given twice", "one list of values", "Leave one of them out.")
    # a catalog that is a dictionary itself has its schema; several by name have no such name
    named = catalog if isinstance(catalog, Mapping) and "schema" not in catalog else None
    for name, choice in (("catalog", named), ("changes", changes)):
        by_name = mapped(name, choice, "one or more by name", "Pass a dictionary.")
        if choice is not None and len(by_name) == 0:
            raise invalid(name, "empty", "one or more by name", "Name one, or leave it out.")
    for one in (named or {}).values():
        one_of("catalog", one, _core.Catalog, "Read one with `Catalog.from_json`.")
    single: _core.Catalog | None = None
    texts, of_builds = builds_and_catalog(builds, catalog)
    if named is None:
        single = catalog_of(of_builds)
    for name, change in (changes or {}).items():
        if not isinstance(change, Mapping):
            remedy = "Pass one, or a dictionary with a factor for each column."
            check_called(f"changes.{name}", change, remedy)
    made = Grid(asked, texts, named, changes, single, axes, kind_of(None, sites))
    if math.prod(made.shape) >= 2**62:
        raise invalid("grid", f"{math.prod(made.shape)} rows", "fewer than 2^62 rows", "Give shorter lists.")
    return made
