"""What if: where one build overtakes another, what an answer hangs on, the best build of each row."""

from __future__ import annotations

import itertools
import math
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar, overload

from overcoat import _core
from overcoat._builds import builds_and_catalog
from overcoat._columns import as_column, is_column, table_error
from overcoat._refusal import brief_of, catalog_of, invalid, mapped, wrong
from overcoat._table import as_kind, column_of, kind_of, names_of, taken, with_columns

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from overcoat._swept import BriefLike, BuildLike, CatalogLike

__all__ = [
    "BreakEven",
    "BreakEvenLine",
    "Crossing",
    "Sensitivity",
    "SobolIndex",
    "Stretch",
    "TornadoBar",
    "best",
    "break_even",
    "category_up",
    "pareto",
    "sensitivity",
]

# a table of any library
_Table = TypeVar("_Table")
# break-evens of one call, each of which takes milliseconds
_MOST_COMBINATIONS = 1_000_000
_AIR = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")


@dataclass(frozen=True)
class Crossing:
    """A place where the lead of two builds changes, or is touched.

    Attributes
    ----------
    at : float
        Where, in the unit of the input.
    kind : str
        "crossing" where the values meet; "jump" where one of them steps, as at a class of stainless steel,
        a layer lost to heat or a further replacement; "touch" where they meet and part with the same
        leader; "tie_end" where a stretch without a difference begins or ends.
    below, above : str
        Who leads below and above it: a build, "neither" or "both blocked".
    first, second : float
        The measure of the two builds there.
    """

    at: float
    kind: str
    below: str
    above: str
    first: float
    second: float


@dataclass(frozen=True)
class Stretch:
    """A part of a range with one leader: a build, "neither" or "both blocked"."""

    low: float
    high: float
    leader: str
    first_blocked: bool
    second_blocked: bool


@dataclass(frozen=True)
class BreakEven:
    """Where one build overtakes another as an input of the duty moves; see `break_even`.

    Attributes
    ----------
    first, second : str
        The builds.
    measure, input : str
        What is compared, and what moves.
    low, high : float
        Ends of the range.
    settings : dict
        Other inputs that were set.
    crossings : list of Crossing
        From low to high.
    stretches : list of Stretch
        Who leads where; they cover the range.
    verdict : str
        The answer in words, a line per stretch.
    """

    first: str
    second: str
    measure: str
    input: str
    low: float
    high: float
    settings: dict[str, float]
    crossings: list[Crossing]
    stretches: list[Stretch]
    verdict: str

    def __str__(self) -> str:
        """The verdict."""
        return self.verdict


@dataclass(frozen=True)
class BreakEvenLine:
    """Break-evens over the values of further inputs: a line, or a surface where there are two of them.

    Attributes
    ----------
    over : dict
        The further inputs with their values.
    points : list of BreakEven
        One for each combination, the last input fastest.
    words : dict
        The two builds in the short words of a table.
    """

    over: dict[str, list[float]]
    points: list[BreakEven]
    words: dict[str, str] = field(default_factory=dict)

    def table(self, kind: str | None = None) -> Any:
        """One row per crossing: the further inputs, its number from 0, `at`, `kind`, `below`, `above`.

        Parameters
        ----------
        kind : {"pandas", "polars", "arrow", "dict"}, optional
            Kind of table; pandas where it is installed, else a dictionary of columns.

        Returns
        -------
        table of that kind

        Raises
        ------
        UnknownNameError
            Another kind.
        """
        import numpy as np

        rows = [
            (point.settings, number, crossing)
            for point in self.points
            for number, crossing in enumerate(point.crossings)
        ]
        columns: dict[str, Any] = {
            name: np.array([settings[name] for settings, _, _ in rows], dtype=float) for name in self.over
        }
        columns["crossing"] = np.array([number for _, number, _ in rows], dtype=np.int64)
        columns["at"] = np.array([crossing.at for *_, crossing in rows], dtype=float)
        for name in ("kind", "below", "above"):
            columns[name] = np.array([getattr(crossing, name) for *_, crossing in rows], dtype=object)
        return as_kind(columns, kind_of(kind))


@overload
def break_even(
    brief: BriefLike,
    builds: Sequence[BuildLike],
    *,
    catalog: CatalogLike | None = None,
    measure: str = "score",
    over: None = None,
    **ends: tuple[float, float],
) -> BreakEven: ...


@overload
def break_even(
    brief: BriefLike,
    builds: Sequence[BuildLike],
    *,
    catalog: CatalogLike | None = None,
    measure: str = "score",
    over: Mapping[str, Sequence[float]],
    **ends: tuple[float, float],
) -> BreakEvenLine: ...


def break_even(
    brief: BriefLike,
    builds: Sequence[BuildLike],
    *,
    catalog: CatalogLike | None = None,
    measure: str = "score",
    over: Mapping[str, Sequence[float]] | None = None,
    **ends: tuple[float, float],
) -> BreakEven | BreakEvenLine:
    """Every value of an input of the duty at which one build overtakes the other.

    Found by bracketing and root finding on what `rank` says of the brief with the input put in, not by
    scanning: the range is cut at every step of the model (classes of stainless steel, layers lost to heat,
    findings, replacements) and each piece searched to the last figures of a number. Two changes of the lead
    less than a 64th of the range apart may both be missed.

    Parameters
    ----------
    brief : Brief, dict, str or path
        The inquiry; all that does not move stays as it says.
    builds : two of Build, Option or str
        The builds, as objects or as a ranking prints them.
    catalog : Catalog, dict, str or path, optional
        By default that of the options among the builds, else the built-in one.
    measure : {"score", "probability_ok", "median_years", "cost_per_thousand"}
        What is compared; of the cost less is better. A blocked build never leads.
    over : dict of sequences, optional
        Further inputs of the duty with their values: the break-even for each combination.
    **ends : tuple of float
        The input that moves, by its name in the duty, with the ends of its range in its own unit, for example
        `chloride_mg_m2_day=(0, 300)`.

    Returns
    -------
    BreakEven, or with `over` a BreakEvenLine

    Raises
    ------
    InvalidValueError, UnknownNameError
        No two builds, no or more than one input, a range that is none, an unknown name.

    Examples
    --------
    >>> import overcoat
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "rural", "required_years": 5}}''')
    >>> black = "steel_4_6 / hot_alkaline"
    >>> builds = [f"{black} / air_dry_paint", f"{black} / epoxy_electrocoat + polyester_powder"]
    >>> found = overcoat.break_even(brief, builds, required_years=(1, 20))
    >>> [stretch.leader.split(" / ")[2] for stretch in found.stretches]
    ['air_dry_paint', 'epoxy_electrocoat + polyester_powder']
    """
    texts, catalog = builds_and_catalog(builds, catalog, "two builds")
    brief, catalog = brief_of(brief), catalog_of(catalog)
    if texts is None or len(texts) != 2:
        raise wrong("builds", builds, "two builds", "Name the two to compare.")
    if len(ends) != 1:
        named = ", ".join(ends) or "no input"
        raise invalid("input", named, "one input with the ends of its range", "Move one input at a time.")
    ((name, pair),) = ends.items()
    low, high = _pair(name, pair)
    inputs = mapped(
        "over", over, "inputs with lists of values", 'Write them like {"required_years": [2, 5]}.'
    )
    further = {key: as_column(key, values).tolist() for key, values in inputs.items()}
    combinations = math.prod(map(len, further.values()))
    if combinations > _MOST_COMBINATIONS:
        allowed = f"at most {_MOST_COMBINATIONS}"
        raise invalid("over", f"{combinations} combinations", allowed, "Give shorter lists.")
    settings = [
        list(zip(further, combination, strict=True)) for combination in itertools.product(*further.values())
    ]
    first, second = texts
    found = _core.break_even_points(brief, first, second, measure, name, (low, high), settings, catalog)
    who = {"first": first, "second": second, "neither": "neither", "both_blocked": "both blocked"}
    points = [
        BreakEven(
            first,
            second,
            measure,
            name,
            low,
            high,
            dict(setting),
            [Crossing(at, kind, who[below], who[above], a, b) for at, kind, below, above, a, b in crossings],
            [Stretch(start, end, who[leader], *blocked) for start, end, leader, *blocked in stretches],
            verdict,
        )
        for setting, (crossings, stretches, verdict) in zip(settings, found, strict=True)
    ]
    if over is None:
        return points[0]
    known = _core.Catalog.default() if catalog is None else catalog
    return BreakEvenLine(further, points, {build: known.in_words(build) for build in texts})


def _pair(name: str, pair: Any) -> tuple[float, float]:
    """The ends of a range as numbers."""
    if not is_column(pair) or len(pair) != 2:
        raise invalid(name, pair, "the two ends of a range", "Write them like (0, 300).")
    low, high = (float(end) for end in as_column(name, pair))
    return low, high


@dataclass(frozen=True)
class TornadoBar:
    """An uncertain factor or a range moved alone.

    Attributes
    ----------
    name : str
        The factor, for example `capacity of hard_wax`, or the input, for example `chloride_mg_m2_day`.
    low, high : float
        What it is moved to: multiples of its median for a factor (one log standard deviation either way),
        ends of its range for an input.
    at_low, at_high : float
        The measure there, all else as ranked.
    source : str
        Where the spread comes from.
    """

    name: str
    low: float
    high: float
    at_low: float
    at_high: float
    source: str


@dataclass(frozen=True)
class SobolIndex:
    """Shares of the variance of an output, with their standard errors.

    Attributes
    ----------
    name : str
        The factor or the input.
    first_order : float
        Share of the variance that goes if this one alone becomes known.
    total : float
        Share that stays if all but this one become known.
    first_order_error, total_error : float
        Standard errors of the two.
    """

    name: str
    first_order: float
    first_order_error: float
    total: float
    total_error: float


@dataclass(frozen=True)
class Sensitivity:
    """What the answer for a build hangs on; see `sensitivity`.

    Attributes
    ----------
    build : str
        The build.
    measure : str
        What the tornado is of.
    nominal : float
        The measure as ranked.
    tornado : list of TornadoBar
        The longest first.
    output : str
        What the Sobol indices are of.
    sobol : list of SobolIndex
        Factors of the outlook, then ranges.
    mean, variance : float
        Of that output.
    runs : int
        How often the model was run for them.
    variance_shares : dict
        Share of each factor in the variance of the logarithm of the years, in closed form; ranges do not
        count.
    words : dict
        The build and the factors in the words of an answer.
    """

    build: str
    measure: str
    nominal: float
    tornado: list[TornadoBar]
    output: str
    sobol: list[SobolIndex]
    mean: float
    variance: float
    runs: int
    variance_shares: dict[str, float]
    words: dict[str, str] = field(default_factory=dict)

    def table(self, kind: str | None = None) -> Any:
        """One row per factor or range, in the order of the tornado, with bars, indices and shares.

        Parameters
        ----------
        kind : {"pandas", "polars", "arrow", "dict"}, optional
            Kind of table; pandas where it is installed, else a dictionary of columns.

        Returns
        -------
        table of that kind

        Raises
        ------
        UnknownNameError
            Another kind.
        """
        import numpy as np

        indices = {index.name: index for index in self.sobol}
        columns: dict[str, Any] = {"name": np.array([bar.name for bar in self.tornado], dtype=object)}
        for name in ("low", "high", "at_low", "at_high"):
            columns[name] = np.array([getattr(bar, name) for bar in self.tornado])
        columns["variance_share"] = np.array(
            [self.variance_shares.get(bar.name, np.nan) for bar in self.tornado]
        )
        for name in ("first_order", "first_order_error", "total", "total_error"):
            columns[name] = np.array([getattr(indices[bar.name], name) for bar in self.tornado])
        columns["source"] = np.array([bar.source for bar in self.tornado], dtype=object)
        return as_kind(columns, kind_of(kind))


def sensitivity(
    brief: BriefLike,
    build: BuildLike | None = None,
    *,
    catalog: CatalogLike | None = None,
    measure: str = "median_years",
    output: str = "log_years",
    log_sds: Mapping[str, float] | None = None,
    points: int = 512,
    **ranges: tuple[float, float],
) -> Sensitivity:
    """What the answer for one build hangs on: tornado, Sobol indices, shares of variance.

    Uncertain are the lognormal factors of the outlook, each with the log standard deviation of its source,
    and the ranges given here, taken as evenly filled (assumption).

    Parameters
    ----------
    brief : Brief, dict, str or path
        The inquiry.
    build : Build, Option or str
        The build, as an object or as a ranking prints it.
    catalog : Catalog, dict, str or path, optional
        By default that of the options among the builds, else the built-in one.
    measure : {"score", "probability_ok", "median_years", "cost_per_thousand"}
        What the bars of the tornado are of: each factor moved by one log standard deviation either way,
        each input to the ends of its range, all else as ranked.
    output : str
        What the Sobol indices are of: "log_years", the logarithm of the years to failure of one part with
        every factor as it falls, or a measure, with the medians of the catalog as uncertain as their
        sources.
    log_sds : dict, optional
        Log standard deviations of factors by name, in place of those of their sources: what would a
        measurement change?
    points : int
        Points of each of 16 independent estimates of the indices, 2 to 65536. With 512 errors are about 0.01;
        each index carries its own.
    **ranges : tuple of float
        Inputs of the duty with the ends of their range, for example `chloride_mg_m2_day=(10, 100)`.

    Returns
    -------
    Sensitivity

    Raises
    ------
    InvalidValueError, UnknownNameError
        A range that is none, an unknown input, factor, build or measure.

    Notes
    -----
    First order by Saltelli et al. (2010), total by Jansen (1999), on 16 random shifts of a fixed lattice;
    the same call gives the same bits.

    Examples
    --------
    >>> import overcoat
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "urban", "required_years": 2}}''')
    >>> found = overcoat.sensitivity(
    ...     brief, "steel_4_6 / hot_alkaline / hard_wax", points=64, chloride_mg_m2_day=(2, 60))
    >>> found.tornado[0].name
    'atmosphere'
    >>> len(found.sobol) == len(found.tornado)
    True
    """
    if "builds" in ranges:
        remedy = "Pass the one build as `build`."
        raise invalid("builds", ranges["builds"], "one build: a sensitivity is of one at a time", remedy)
    if build is None:
        raise wrong("build", build, "a build, an option, or its text as a ranking prints it", "Name one.")
    texts, catalog = builds_and_catalog([build], catalog)
    (text,) = texts or []
    brief, catalog = brief_of(brief), catalog_of(catalog)
    pairs = [(name, *_pair(name, pair)) for name, pair in ranges.items()]
    spreads = dict(mapped("log_sds", log_sds, "numbers by factor", 'Write them like {"cabinet": 0.1}.'))
    found = _core.sensitivity_columns(brief, text, measure, output, pairs, spreads, points, catalog)
    known = _core.Catalog.default() if catalog is None else catalog
    words = {bar[0]: known.factor_in_words(bar[0]) for bar in found["tornado"]}
    words[text] = known.in_words(text)
    return Sensitivity(
        text,
        measure,
        found["nominal"],
        [TornadoBar(*bar) for bar in found["tornado"]],
        output,
        [SobolIndex(*index) for index in found["sobol"]],
        found["mean"],
        found["variance"],
        found["runs"],
        found["variance_shares"],
        words,
    )


def _rows_of(table: Any) -> NDArray[np.int64]:
    """Which results belong together: those of one place and moment, told by all that is not a result.

    Rows that agree in all of it have the same results; they are told apart by their builds coming again.
    """
    import numpy as np

    results = _core.result_columns(all=True)
    names = names_of(table)
    keys = {name: _numbered(column_of(table, name, "")) for name in names if name not in results}
    rows = np.zeros(len(column_of(table, "score", _REMEDY)), dtype=np.int64)
    builds = _numbered(column_of(table, "build", "")) if "build" in names else None
    index = getattr(table, "index", None)
    if index is not None and hasattr(index, "is_unique") and not index.is_unique:
        rows = _numbered(np.asarray(index))
    if builds is not None:
        keys = _without_labels_of_builds(keys, builds, bool(rows.any()))
    if builds is not None:
        _warn_of_texts_that_part_rows(table, keys, builds, rows)
    for key in keys.values():
        rows = _joined(rows, key)
    if builds is not None:
        pairs = _joined(rows, builds)
        order = np.argsort(pairs, kind="stable")
        first = np.searchsorted(pairs[order], pairs)
        again = np.empty(len(rows), dtype=np.int64)
        again[order] = np.arange(len(rows))
        again -= first
        rows = _joined(rows, again)
    return rows


def _warn_of_texts_that_part_rows(
    table: Any, keys: dict[str, NDArray[np.int64]], builds: NDArray[np.int64], rows: NDArray[np.int64]
) -> None:
    """A warning of text columns that differ between the builds of one row, as told by all other columns."""
    texts = [
        name
        for name, key in keys.items()
        if key.any() and not _is_of_a_sweep(name) and column_of(table, name, "").dtype.kind in "OUST"
    ]
    for name, key in keys.items():
        if name not in texts:
            rows = _joined(rows, key)
    parting = []
    for name in texts:
        others = rows
        for other in texts:
            if other != name:
                others = _joined(others, keys[other])
        # a build that comes again in a row is of another place, which the text tells apart
        pairs = int(_joined(others, builds).max()) + 1
        if len(builds) == pairs and int(_joined(others, keys[name]).max()) > int(others.max()):
            parting.append(name)
    if parting:
        columns = ", ".join(f"`{name}`" for name in parting)
        warnings.warn(
            f"builds of one row have several values of {columns}, so they are compared only with those of "
            "the same value. Drop it first, if it was made from results.",
            UserWarning,
            stacklevel=5,
        )


def _without_labels_of_builds(
    keys: dict[str, NDArray[np.int64]], builds: NDArray[np.int64], has_index: bool
) -> dict[str, NDArray[np.int64]]:
    """The columns that tell rows apart: all but those that only say the build in other words.

    Where such a column could have been meant to tell rows apart, a warning says that it does not.
    """
    import numpy as np

    distinct = int(builds.max(initial=-1)) + 1
    labels = {
        name: int(key.max()) + 1
        for name, key in keys.items()
        if key.any() and not _is_of_a_sweep(name) and int(_joined(key, builds).max()) + 1 == distinct
    }
    kept = {name: key for name, key in keys.items() if name not in labels}
    if not has_index and not any(np.any(key) for key in kept.values()):
        # whether these are the builds of one place or one build for each of several is not told
        unsure = list(labels) if not any(map(_is_of_a_sweep, keys)) else []
    else:
        unsure = []
    unsure += [name for name, values in labels.items() if values < distinct and name not in unsure]
    if unsure:
        columns = ", ".join(f"`{name}`" for name in unsure)
        warnings.warn(
            f"each build has one value of {columns}, so rows are not told apart by it: builds are compared "
            "with those of the other values too. To compare within one value only, group the table by it "
            "first; a column `row` always tells rows apart.",
            UserWarning,
            stacklevel=5,
        )
    return kept


def _is_of_a_sweep(name: str) -> bool:
    """Whether a column is one by which a sweep or a grid tells rows apart, and no label of the user."""
    try:
        _core.field_name(name)
    except _core.UnknownNameError:
        return name in ("row", "catalog", "change")
    return True


def _joined(rows: NDArray[np.int64], key: NDArray[np.int64]) -> NDArray[np.int64]:
    """Each pair of values as its number among the distinct ones."""
    return _numbered(rows * (int(key.max(initial=0)) + 1) + key)


def _numbered(column: NDArray[Any]) -> NDArray[np.int64]:
    """Each value of a column as its number among the distinct ones."""
    import numpy as np

    if column.dtype.kind in "biufUSMm":
        return np.unique(column, return_inverse=True)[1].reshape(-1).astype(np.int64)
    known: dict[Any, int] = {}
    # by its text, NaN is equal to itself
    keys = (
        value if isinstance(value, (str, int, float)) and value == value else repr(value)
        for value in column.tolist()
    )
    return np.array([known.setdefault(key, len(known)) for key in keys], dtype=np.int64)


_REMEDY = "Pass a table that `grid` or `sweep` made."


def _results(table: Any) -> tuple[Any, ...]:
    """Row, score, probability, cost, whether blocked, and burden, from a table of results."""
    import numpy as np

    remedy, names = _REMEDY, names_of(table)
    # a ranking is one row, whatever its own columns say of each option
    is_ranking = {"trade_default", "first_reason"} <= set(names)
    row = np.zeros(len(column_of(table, "score", remedy)), np.int64) if is_ranking else _rows_of(table)
    score = as_column("score", column_of(table, "score", remedy), gaps=True)
    probability = as_column("probability_ok", column_of(table, "probability_ok", remedy), gaps=True)
    cost, burden = (
        as_column(name, column_of(table, name, remedy), gaps=True) if name in names else None
        for name in ("cost_per_thousand", "burden")
    )
    if burden is None and "treatment" in names:
        # of the findings the table does not tell; a bath of hexavalent chromium still comes last in a tie
        distinct, codes = np.unique(column_of(table, "treatment", remedy).astype(str), return_inverse=True)
        burden = np.array(_core.bath_burdens(distinct.tolist()), dtype=np.float64)[codes.reshape(-1)]
    blocked = column_of(table, "blocked", remedy)
    if blocked.dtype.kind != "b":
        # where there is no result, it is None or NA
        if not all(value is True or value is False or _is_missing(value) for value in blocked.tolist()):
            raise table_error("blocked", None, f"expected truth values, found {blocked.dtype}", remedy)
        blocked = np.array([value is not False for value in blocked.tolist()])
    return row, score, probability, cost, np.ascontiguousarray(blocked), burden


def _is_missing(value: Any) -> bool:
    return value is None or type(value).__name__ == "NAType"


def best(table: _Table) -> _Table:
    """The best open build of each row of a table of results.

    The order is that of a ranking: score, then among scores within 1% the lower `burden`, the higher
    probability, the lower cost where the table has it; builds equal in all of these in the order in which
    they stand. `burden` (findings, with a bath of hexavalent chromium last) is a column that `sweep` and
    `grid` give where `columns` names it; without it the bath alone is looked up in the built-in catalog, so
    that a tie can fall otherwise than in `rank` or with `best_only`; a UserWarning says so where builds tie.
    A row whose builds are all blocked or without a result is left out, and a UserWarning counts such rows.

    Parameters
    ----------
    table : table of results
        As `grid` or `sweep` give it, of any kind, sorted or cut as you like: results belong together where
        all columns that are not results agree, but for columns of yours with one value for each build (a
        short name, a family). A UserWarning says so where such a column could have been meant to keep
        results apart. A table of a ranking is one row.

    Returns
    -------
    table of the kind that came in
        One result per row.

    Examples
    --------
    >>> best({"row": [0, 0, 1], "build": ["a", "b", "a"], "score": [0.4, 0.6, 0.2],
    ...     "probability_ok": [0.5, 0.9, 0.1], "blocked": [False, False, False]})["build"].tolist()
    ['b', 'a']
    """
    results = _results(table)
    if "burden" not in names_of(table) and _core.rows_have_ties(*results):
        warnings.warn(
            "builds share rank 1 by score, and the table has no column `burden` to settle it: the best can "
            'differ from that of `rank`. Ask for it with `columns=[..., "burden"]`, or use `best_only=True`.',
            UserWarning,
            stacklevel=2,
        )
    places = _core.best_of_rows(*results)
    left_out = int((places < 0).sum())
    if left_out:
        warnings.warn(
            f"{left_out} of {len(places)} rows have no usable build and are left out: `best_only=True` "
            "keeps them with what rules them out.",
            UserWarning,
            stacklevel=2,
        )
    found: _Table = taken(table, places[places >= 0], len(results[0]))
    return found


def pareto(table: _Table) -> _Table:
    """The Pareto front of each row of a table of results: cost against probability.

    A result stays if it is open and no other open one of its row is at least as cheap and at least as
    likely, and better in one of the two. Equal ones stay together.

    Parameters
    ----------
    table : table of results
        With `cost_per_thousand`, as `grid` and `sweep` give it; of any kind, in any order. What belongs
        together is as with `best`.

    Returns
    -------
    table of the kind that came in
        Its results in their order.

    Examples
    --------
    >>> pareto({"row": [0, 0, 0], "build": ["a", "b", "c"], "score": [0.4, 0.6, 0.2],
    ...     "probability_ok": [0.5, 0.9, 0.4], "cost_per_thousand": [900, 1500, 1000],
    ...     "blocked": [False, False, False]})["build"].tolist()
    ['a', 'b']
    """
    import numpy as np

    results = _results(table)
    found: _Table = taken(table, np.flatnonzero(_core.front_of_rows(*results)), len(results[0]))
    return found


def category_up(table: _Table) -> _Table:
    """The same places one corrosivity category worse.

    Which air lies behind the next category is not one air. Here both depositions of a row are multiplied by
    one factor, its climate as it is, until the first-year loss of steel stands as far within the next
    category of ISO 9223 as it stood within its own, on the logarithmic scale (assumption).

    Parameters
    ----------
    table : table of places
        With the four inputs of `first_year_loss`, of any kind.

    Returns
    -------
    table of the kind that came in
        With `so2_mg_m2_day` and `chloride_mg_m2_day` replaced.

    Raises
    ------
    TableError
        A missing column; a row that has no next category: CX already, no deposition that could be
        multiplied, or a climate in which no deposition that a duty takes would do.

    Examples
    --------
    >>> import overcoat
    >>> place = {"temperature_c": [12.0], "relative_humidity_pct": [80.0], "so2_mg_m2_day": [4.0],
    ...     "chloride_mg_m2_day": [20.0]}
    >>> worse = overcoat.whatif.category_up(place)
    >>> [overcoat.corrosivity("steel", overcoat.first_year_loss("steel", **air)[0]) for air in (place, worse)]
    ['C3', 'C4']
    """
    remedy = f"The table needs {', '.join(_AIR)}."
    air: list[NDArray[np.float64]] = [
        as_column(name, column_of(table, name, remedy, in_unit=True)) for name in _AIR
    ]
    so2, chloride = _core.category_up_columns(*air)
    worse: _Table = with_columns(table, {"so2_mg_m2_day": so2, "chloride_mg_m2_day": chloride})
    return worse
