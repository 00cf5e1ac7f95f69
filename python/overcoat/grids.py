"""What-if grids: many briefs at once, as one long table."""

from __future__ import annotations

import json
import math
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any, TypeAlias

from overcoat import _core
from overcoat._builds import build_texts
from overcoat._columns import as_column, is_column, is_number, table_error
from overcoat._kinds import Words, as_kind, column_of, joined, kind_of, names_of
from overcoat._refusal import (
    brief_of,
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

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Columns: TypeAlias = dict[str, NDArray[Any]]
    Change: TypeAlias = Mapping[str, float | Callable[[Any], Any]] | Callable[[dict[str, Any]], Any] | None

_AIR = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
# what rows move without a brief of their own
_NUMBERS = (*_AIR, "required_years")
_BY_ROW = (*_NUMBERS, "shelter")
_CATEGORIES = ("C1", "C2", "C3", "C4", "C5", "CX")
_RESULTS = (
    "median_years",
    "p10_years",
    "p90_years",
    "probability_ok",
    "score",
    "cost_per_thousand",
    "blocked",
)
# results of a batch where nothing is said, and of a table that is still made as a whole
_BATCH_RESULTS = 500_000
_MOST_RESULTS = 100_000_000
# briefs that are remembered
_MOST_BRIEFS = 10_000
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
            raise invalid(f"span.{name}", end, allowed, "Give the ends.")
    count = whole_number("span.count", count, 2, 10_000_000, "Give how many numbers, the ends among them.")
    return np.geomspace(low, high, count) if ratio else np.linspace(low, high, count)


@cache
def _fields() -> dict[str, tuple[str, ...]]:
    """Every field of a brief that a grid may move, by its name, with its path."""
    definitions = json.loads(_core.schema("brief"))["$defs"]
    inner = {"road_salt": "RoadSalt", "weights": "Weights"}
    found: dict[str, tuple[str, ...]] = {}
    for section in ("Duty", "Part", "Wants"):
        for name in definitions[section]["properties"]:
            if (section, name) != ("Wants", "builds"):
                path = (section.lower(), name)
                found[name] = path
                for below in definitions[inner[name]]["properties"] if name in inner else ():
                    found[f"{name}.{below}"] = (*path, below)
    return found


def _name_of(given: str) -> str:
    """The name of a field, with or without its section before it."""
    section, _, rest = given.partition(".")
    name = rest if section in ("duty", "part", "wants") else given
    path = _fields().get(name)
    if path is None or (name != given and path[0] != section):
        raise unknown(given, given, _fields(), "Name a field of duty, part or wants.")
    return name


@dataclass(frozen=True)
class _Axis:
    """Columns that go together, of one length."""

    name: str
    columns: Columns
    labels: Columns = field(default_factory=dict)

    def __len__(self) -> int:
        return len(next(iter({**self.columns, **self.labels}.values())))

    def variants(self) -> tuple[NDArray[np.int64], list[dict[str, Any]]]:
        """Which brief each place of the axis asks for, and the fields of each brief that no row moves."""
        import numpy as np

        names = [name for name in self.columns if name not in _BY_ROW]
        known: dict[str, int] = {}
        codes = np.empty(len(self), dtype=np.int64)
        fields: list[dict[str, Any]] = []
        for place in range(len(self) if names else 0):
            values = {name: _plain(self.columns[name][place]) for name in names}
            key = json.dumps(values, sort_keys=True)
            if key not in known:
                known[key] = len(fields)
                fields.append(values)
            codes[place] = known[key]
        return (codes, fields) if names else (np.zeros(len(self), dtype=np.int64), [{}])


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
        raise invalid(name, "empty", "one value or more", "Give values, or leave the field out.")
    if name in _NUMBERS:
        return as_column(name, values, gaps=True)
    plain = [_plain(value) for value in (values.tolist() if hasattr(values, "tolist") else entries)]
    if all(is_number(value) for value in plain):
        return np.array(plain)
    try:
        json.dumps(plain).encode()
    except (TypeError, ValueError, RecursionError) as error:
        raise wrong(name, values, f"{allowed} that a brief takes", f"Mend the values ({error}).") from error
    column = np.empty(len(plain), dtype=object)
    for place, value in enumerate(plain):
        column[place] = value
    return column


def _sites(table: Any) -> _Axis:
    """A table of places: fields of a brief move together, other columns stay as labels."""
    import difflib

    import numpy as np

    columns: Columns = {}
    labels: Columns = {}
    for name in names_of(table):
        values = column_of(table, name, "")
        if isinstance(name, str) and name in _fields():
            columns[name] = _column(name, values)
            continue
        # a slip of the pen must not pass as a label
        near = difflib.get_close_matches(str(name), list(_fields()), n=1, cutoff=0.9)
        if near:
            raise unknown(f"sites.{name}", str(name), _fields(), f'Write "{near[0]}", or rename the label.')
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
        progress: bool | None = None,
    ) -> Iterator[Any]:
        """The table in parts, each made when it is asked for.

        Memory stays that of one part whatever the length. Ctrl-C ends the part in hand within tens of
        milliseconds; parts handed out before stay whole.

        Parameters
        ----------
        rows : int, optional
            Rows of a part; as many as give about half a million results by default.
        kind, threads, progress
            As in `run`.

        Yields
        ------
        table
            As `run` gives it.
        """
        as_asked = kind_of(kind)
        if rows is not None:
            rows = whole_number("rows", rows, 1, 2**62, "Give the rows of a part.")
        if progress is not None:
            progress = truth("progress", progress)
        return self._parts(rows, as_asked, threads_of(threads), progress)

    def run(
        self, *, kind: str | None = None, threads: int | None = None, progress: bool | None = None
    ) -> Any:
        """The whole table: one row per brief, catalog, change and build.

        Parameters
        ----------
        kind : {"pandas", "polars", "arrow", "dict"}, optional
            Kind of table; pandas where it is installed, else a dictionary of columns.
        threads : int, optional
            Threads to use; all processors by default. The results are the same bits for any number.
        progress : bool, optional
            Whether to show a bar; by default where a terminal or notebook looks on and it takes more than
            half a second.

        Returns
        -------
        table
            `row` (from 0), `catalog` and `change` where named, labels of the sites, each field that moves,
            `build`, `first_year_loss_um`, `category`, `median_years`, `p10_years`, `p90_years`,
            `probability_ok`, `score`, `cost_per_thousand`, `blocked` and `reason`, as in `sweep`. Each
            number is that of `rank` for the brief of the row, to 12 figures. A row with a missing or
            impossible value has NaN and a reason.

        Raises
        ------
        InvalidValueError
            A table of more than a hundred million results: use `batches`.
        OvercoatError
            What `rank` refuses in a brief of the grid.
        """
        as_asked = kind_of(kind)
        if len(self) > _MOST_RESULTS or len(self) * len(self._builds_of_first()) > _MOST_RESULTS:
            raise invalid(
                "grid", f"{len(self)} rows", f"at most {_MOST_RESULTS} results in one table", "Use `batches`."
            )
        return joined(list(self.batches(kind=as_asked, threads=threads, progress=progress)), as_asked)

    def _builds_of_first(self) -> list[str]:
        """The builds that the first brief of the grid compares."""
        first = [axis.variants()[1][0] for axis in self._axes]
        catalog = next(iter(self.catalogs.values())) if self.catalogs else self._catalog
        brief = _moved(self.brief, first)
        return list(_core.grid_columns(brief, 0, {}, None, self.builds, catalog, 1)["builds"])

    def _parts(self, rows: int | None, kind: str, threads: int, progress: bool | None) -> Iterator[Any]:
        step = rows or max(1, _BATCH_RESULTS // max(1, len(self._builds_of_first())))
        maker = _Maker(self, threads)
        with _bar(len(self), progress) as advance:
            for start in range(0, len(self), step):
                stop = min(start + step, len(self))
                table = as_kind(maker.part(start, stop), kind)
                advance(stop - start)
                yield table


def _moved(brief: _core.Brief, fields: Iterable[Mapping[str, Any]]) -> _core.Brief:
    """The brief with fields put in."""
    document = json.loads(brief.to_json())
    for name, value in (pair for some in fields for pair in some.items()):
        *sections, last = _fields()[name]
        at = document
        for section in sections:
            at = at.setdefault(section, {})
        at[last] = value
    return _core.Brief.from_json(json.dumps(document))


class _Maker:
    """Makes parts of the table of a grid; remembers briefs that come again."""

    def __init__(self, grid: Grid, threads: int) -> None:
        self.grid = grid
        self.threads = threads
        self.catalogs: list[_core.Catalog | None] = list((grid.catalogs or {}).values()) or [grid._catalog]
        self.changes: list[tuple[str, Change]] = list((grid.changes or {}).items()) or [("", None)]
        self.variants = [axis.variants() for axis in grid._axes]
        self.briefs: dict[tuple[int, ...], _core.Brief] = {}

    def part(self, start: int, stop: int) -> dict[str, Any]:
        """The columns of some rows."""
        import numpy as np

        shape = (len(self.catalogs), len(self.changes), *(len(axis) for axis in self.grid._axes))
        rows = np.arange(start, stop)
        catalog, change, *places = np.unravel_index(rows, shape)
        codes = [catalog, change]
        codes += [of_place[place] for (of_place, _), place in zip(self.variants, places, strict=True)]
        # rows of one brief, catalog and change go together
        sizes = (shape[0], shape[1], *(len(briefs) for _, briefs in self.variants))
        group = np.ravel_multi_index(tuple(codes), sizes)
        parts = [
            self.group(rows, np.flatnonzero(group == one), np.unravel_index(int(one), sizes), places)
            for one in np.unique(group)
        ]
        if len(parts) == 1:
            return parts[0]
        order = np.argsort(np.concatenate([part["row"] for part in parts]), kind="stable")
        return {name: _joined([part[name] for part in parts], order) for name in parts[0]}

    def group(
        self,
        rows: NDArray[np.int64],
        own: NDArray[np.int64],
        key: tuple[Any, ...],
        places: Sequence[NDArray[np.int64]],
    ) -> dict[str, Any]:
        """The columns of rows that share brief, catalog and change; `own` are their places among the rows."""
        import numpy as np

        catalog_code, change_code, *brief_codes = (int(code) for code in key)
        brief = self.brief(tuple(brief_codes))
        moved: Columns = {}
        labels: Columns = {}
        for axis, place in zip(self.grid._axes, places, strict=True):
            moved |= {name: column[place[own]] for name, column in axis.columns.items()}
            labels |= {name: column[place[own]] for name, column in axis.labels.items()}
        moved |= _changed(self.changes[change_code], moved, brief, len(own))
        found = _core.grid_columns(
            brief,
            len(own),
            {name: np.ascontiguousarray(moved[name]) for name in _NUMBERS if name in moved},
            [word if isinstance(word, str) else None for word in moved["shelter"]]
            if "shelter" in moved
            else None,
            self.grid.builds,
            self.catalogs[catalog_code],
            self.threads,
        )
        builds = found["builds"]
        each = len(builds)
        table: dict[str, Any] = {"row": np.repeat(rows[own], each)}
        for name, choice, code in (
            ("catalog", self.grid.catalogs, catalog_code),
            ("change", self.grid.changes, change_code),
        ):
            if choice is not None:
                table[name] = Words(np.full(len(own) * each, code), list(choice))
        for name, column in {**labels, **moved}.items():
            table[name] = np.repeat(_shown(column), each)
        table["build"] = Words(found["build"].astype(np.int64), builds)
        table["first_year_loss_um"] = found["first_year_loss_um"]
        table["category"] = Words(found["category"].astype(np.int64), _CATEGORIES)
        table |= {name: found[name] for name in _RESULTS}
        table["reason"] = Words(found["reason"].astype(np.int64), found["reasons"])
        return table

    def brief(self, codes: tuple[int, ...]) -> _core.Brief:
        """The brief with the fields of each axis that no row moves."""
        if codes not in self.briefs:
            if len(self.briefs) >= _MOST_BRIEFS:
                self.briefs.clear()
            fields = [briefs[code] for (_, briefs), code in zip(self.variants, codes, strict=True)]
            self.briefs[codes] = _moved(self.grid.brief, fields)
        return self.briefs[codes]


def _shown(column: NDArray[Any]) -> NDArray[Any]:
    """Values as a table shows them: what is a list or an object in a brief, as its JSON."""
    import numpy as np

    if column.dtype != object:
        return column
    shown = np.empty(len(column), dtype=object)
    shown[:] = [json.dumps(value) if isinstance(value, (list, dict)) else value for value in column]
    return shown


def _joined(columns: Sequence[Any], order: NDArray[np.int64]) -> Any:
    """Columns one below the other, in an order."""
    import numpy as np

    if not isinstance(columns[0], Words):
        return np.concatenate(columns)[order]
    words: dict[str, int] = {}
    codes = []
    for column in columns:
        # the last place stands for none, as -1 does
        own = np.array([*(words.setdefault(word, len(words)) for word in column.words), -1], dtype=np.int64)
        codes.append(own[column.codes])
    return Words(np.concatenate(codes)[order], list(words))


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
        after = {column: column_of(made, column, "Give it back.") for column in names_of(made)}
    else:
        after = {
            column: how(column_now(column))
            if callable(how)
            else column_now(column)
            * number(f"changes.{name}.{column}", how, "a factor or a function", "Give one of them.")
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
    """A bar that has begun, or None where nobody looks on."""
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
    import importlib.util

    return importlib.util.find_spec("ipywidgets") is not None


def grid(
    brief: _core.Brief,
    builds: Iterable[_core.Build | str] | None = None,
    *,
    sites: Any = None,
    fields: Mapping[str, Any] | None = None,
    paired: bool = False,
    catalogs: _core.Catalog | Mapping[str, _core.Catalog] | None = None,
    changes: Mapping[str, Change] | None = None,
    **more_fields: Any,
) -> Grid:
    """A what-if grid: a brief with fields moved, every build at each, as one long table ready to pivot.

    Rows are all combinations of catalogs, changes, sites and fields, in this order, the last fastest.
    Numbers are those of `rank` for the brief of the row. Where all four inputs of the air are numbers of
    the brief, the sites or the fields, rows go through the engine of `sweep`; where a described place, a
    measured loss or a distance to the sea still speaks, they are ranked one by one, which is far slower.

    Parameters
    ----------
    brief : Brief
        The inquiry; all that does not move stays as it says.
    builds : iterable of Build or str, optional
        The builds, as objects or as a ranking prints them; those that `rank` would try by default.
    sites : table, optional
        Places, one per row: a dictionary of columns, pandas, polars or pyarrow. Columns named as fields of
        a brief move together, all others are carried along as labels.
    fields : dict, optional
        Fields by names that are no Python words, as in `{"road_salt.months_per_year": [0, 4]}`.
    paired : bool
        Whether the fields move together, first with first, instead of each with each.
    catalogs : Catalog, or dict of Catalog, optional
        The catalog, or several by name: what if the wax were twice as good?
    changes : dict, optional
        Changes of the air and the years by name. Each is None (as it is), a dictionary with a factor or a
        function for each column, as in `{"chloride_mg_m2_day": 2.0}`, or a function of a dictionary of
        columns, as `category_up`. The table shows the values after the change.
    **more_fields : list or span
        Fields of duty, part or wants by their names, as in `required_years=[5, 10, 15]`.

    Returns
    -------
    Grid
        With `run()` for the table and `batches()` for its parts.

    Raises
    ------
    UnknownNameError
        A field that a brief does not have, with the nearest name.
    InvalidValueError, TableError
        Values that are no list; paired fields of unequal length; a field given twice.

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
    ...     ["steel_4_6 / hot_alkaline / hard_wax", "steel_4_6 / hot_alkaline / polyester_powder"],
    ...     chloride_mg_m2_day=overcoat.span(0, 300, 31),
    ...     required_years=[5, 10, 15],
    ... )
    >>> what_if
    Grid(93 rows; chloride_mg_m2_day: 31, required_years: 3)
    >>> table = what_if.run(kind="dict")
    >>> len(table["row"]), table["build"][0]
    (186, 'steel_4_6 / hot_alkaline / hard_wax')
    """
    brief_of(brief)
    axes = [] if sites is None else [_sites(sites)]
    moved: Columns = {}
    named_fields = mapped("fields", fields, "lists of values by the names of fields", "Give a dictionary.")
    for given, values in [*named_fields.items(), *more_fields.items()]:
        name = _name_of(given)
        if name in moved or (axes and name in axes[0].columns):
            raise invalid(given, "given twice", "one list of values", "Leave one of them out.")
        moved[name] = _column(name, values)
    if truth("paired", paired) and len({len(column) for column in moved.values()}) > 1:
        lengths = ", ".join(f"{name}: {len(column)}" for name, column in moved.items())
        raise invalid("paired", lengths, "lists of one length", "Give as many values of each field.")
    if paired and moved:
        axes.append(_Axis(" with ".join(moved), moved))
    else:
        axes += [_Axis(name, {name: column}) for name, column in moved.items()]
    named = catalogs if isinstance(catalogs, Mapping) else None
    for name, choice in (("catalogs", named), ("changes", changes)):
        by_name = mapped(name, choice, "one or more by name", "Give a dictionary.")
        if choice is not None and len(by_name) == 0:
            raise invalid(name, "empty", "one or more by name", "Name one, or leave it out.")
    for catalog in filter(lambda one: one is not None, [catalogs]) if named is None else named.values():
        one_of("catalogs", catalog, _core.Catalog, "Read one with `Catalog.from_json`.")
    for name, change in (changes or {}).items():
        if not isinstance(change, Mapping):
            remedy = "Give one, or a dictionary with a factor for each column."
            check_called(f"changes.{name}", change, remedy)
    made = Grid(
        brief,
        build_texts(builds),
        named,
        changes,
        None if isinstance(catalogs, Mapping) else catalogs,
        axes,
    )
    if math.prod(made.shape) >= 2**62:
        raise invalid("grid", f"{math.prod(made.shape)} rows", "fewer than 2^62 rows", "Give shorter lists.")
    return made
