"""What-if pictures: where one build overtakes another, and what an answer hangs on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from overcoat._refusal import invalid, least_share, one_of
from overcoat.plots._look import (
    BETTER,
    COLOURS,
    HATCHES,
    WORSE,
    check_bars,
    check_finite,
    long_number,
    name_rows,
    percent,
    plain_numbers,
    plain_text,
    short_number,
    single,
    titled,
    two_lines,
    years,
)
from overcoat.whatif import BreakEvenLine, Sensitivity

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat.whatif import BreakEven, Stretch

_LABELS = {
    "temperature_c": "mean air temperature [°C]",
    "relative_humidity_pct": "mean relative humidity [%]",
    "so2_mg_m2_day": "SO2 deposition [mg/(m²·d)]",
    "chloride_mg_m2_day": "chloride deposition [mg/(m²·d)]",
    "first_year_steel_loss_um": "first-year loss of steel [µm]",
    "sea_distance_m": "distance to the sea [m]",
    "road_salt.months_per_year": "months of salted roads [months/yr]",
    "road_salt.distance_m": "distance to the road [m]",
    "road_salt.season_chloride_mg_m2_day": "chloride in the salting season [mg/(m²·d)]",
    "heat_continuous_c": "lasting heat [°C]",
    "heat_peak_c": "peak heat [°C]",
    "cold_share": "share of the year in which the hot part is cold [0 to 1]",
    "mating_area_ratio": "area of the mating metal over that of the part [ratio]",
    "required_years": "required years [yr]",
}
_MEASURES = {
    "score": "score [0 to 1]",
    "probability_ok": "probability of the required years [0 to 1]",
    "median_years": "median years [yr]",
    "cost_per_thousand": "cost of 1,000 pieces over the required years [currency of the catalog]",
}


_SUBJECTS = {
    "score": "The score",
    "probability_ok": "The probability",
    "median_years": "The median",
    "cost_per_thousand": "The cost",
}
_OUTPUTS = {**_MEASURES, "log_years": "logarithm of the years"}


def _reach(found: Sensitivity, low: float, high: float) -> str:
    """From where to where the measure of a study goes, with its unit."""
    if found.measure == "probability_ok":
        return f"{percent(low)} to {percent(high)}"
    if found.measure == "median_years":
        return f"{short_number(low)} to {years(high)}"
    if found.measure == "cost_per_thousand":
        return f"{low:,.0f} to {high:,.0f} per 1,000 pieces"
    return f"{low:.2f} to {high:.2f}"


def _worded(name: str, words: dict[str, str]) -> str:
    """A factor or an input in words."""
    return _LABELS.get(name) or plain_text(words.get(name, name.replace("_", " ")))


def _without_unit(label: str) -> str:
    """A label of an axis within a sentence."""
    return label.rpartition(" [")[0] or label


def _between(low: float, high: float, label: str) -> str:
    """A range of an input with its name and unit, for a sentence."""
    numbers = " to ".join(dict.fromkeys(f"{end:.2g}" for end in (low, high)))
    name, _, unit = label.rpartition(" [")
    return f"{numbers} {name}" if name.endswith(" years") else f"{name} of {numbers} {unit.rstrip(']')}"


def _who_leads_where(points: list[BreakEven], x: list[float], across: str, names: dict[str, str]) -> str:
    """The finding of a picture of two builds over two inputs, in a sentence."""
    first, second = points[0].first, points[0].second
    parts = {build: names[build].rpartition(", ") for build in (first, second)}
    same = parts[first][0] == parts[second][0] and parts[first][2] != parts[second][2]
    shown = {build: parts[build][2] if same else name for build, name in names.items() if build in parts}
    shown |= {"neither": "neither", "both blocked": "neither"}
    moved, over = _worded(points[0].input, {}), _worded(across, {})
    alone = [point.stretches[0].leader if len(point.stretches) == 1 else None for point in points]
    if None not in alone and len(set(alone)) == 1:
        return f"{shown[str(alone[0])]} leads in the whole range"
    left, right = alone[0], alone[-1]
    before = next((i for i, leader in enumerate(alone) if leader != left), len(alone)) - 1
    after = len(alone) - next((i for i, leader in enumerate(alone[::-1]) if leader != right), len(alone))
    turns_once = all(leader is None for leader in alone[before + 1 : after])
    if left is not None and right is not None and left != right and turns_once:
        reach = _between(x[before], x[after], over)
        hangs = f", depending on {_without_unit(moved)}" if after - before > 1 else ""
        return f"{shown[right]} leads beyond {reach}{hangs}"
    ends = [c.at for point in points for c in point.crossings if c.kind != "touch"]
    orders = {tuple(stretch.leader for stretch in point.stretches) for point in points}
    if ends and len(orders) == 1 and len(order := orders.pop()) == 2:
        reach = _between(min(ends), max(ends), moved)
        return f"{shown[order[1]]} leads beyond {reach}, depending on {_without_unit(over)}"
    if not ends:
        return f"The lead changes with {_without_unit(over)}, not with {_without_unit(moved)}"
    return f"The lead changes at {_between(min(ends), max(ends), moved)}, depending on {_without_unit(over)}"


def _matched(left: list[Stretch], right: list[Stretch]) -> tuple[list[Stretch], list[Stretch]] | None:
    """Stretches of two neighbors in pairs of one leader; what only the longer list has begins as none.

    None where the lists do not fit so.
    """
    if len(left) > len(right):
        turned = _matched(right, left)
        return None if turned is None else (turned[1], turned[0])
    leaders = [stretch.leader for stretch in left]
    for start in range(len(right) - len(left) + 1):
        if [stretch.leader for stretch in right[start : start + len(left)]] == leaders:
            low, high = left[0].low, left[-1].high
            before = [replace(stretch, low=low, high=low) for stretch in right[:start]]
            after = [replace(stretch, low=high, high=high) for stretch in right[start + len(left) :]]
            return [*before, *left, *after], right
    return None


def break_even_line(line: BreakEvenLine, *, ax: Axes | None = None) -> Figure:
    """Which of two builds leads over two inputs, and the line on which they are even.

    Dots are the exact crossings at each value of the further input. A full line joins them where neighboring
    values have the same leaders in the same order; a dashed one leads to the edge where a leader first comes
    up between two values.

    Parameters
    ----------
    line : BreakEvenLine
        Of `overcoat.break_even` with one further input of two values or more.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        The further input across, the input that moved upwards, each with its unit.

    Raises
    ------
    InvalidValueError
        A line over no input or over more than one, or of a single value.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "rural", "required_years": 5}}''')
    >>> black = "steel_4_6 / hot_alkaline"
    >>> builds = [f"{black} / air_dry_paint", f"{black} / epoxy_electrocoat + polyester_powder"]
    >>> line = overcoat.break_even(
    ...     brief, builds, chloride_mg_m2_day=(0, 100), over={"required_years": [2, 5, 10]})
    >>> plots.break_even_line(line).axes[0].get_ylabel()
    'chloride deposition [mg/(m²·d)]'
    """
    import numpy as np
    from matplotlib.patches import Patch

    one_of("line", line, BreakEvenLine, "Make it with `break_even` and `over`.")
    if len(line.over) != 1 or len(next(iter(line.over.values()))) < 2:
        given = ", ".join(line.over) or "no further input"
        raise invalid("line", given, "one further input", "Give two values of it or more.")
    ((across, values),) = line.over.items()
    order = sorted(range(len(values)), key=lambda i: values[i])
    points = [line.points[i] for i in order]
    x = np.array([values[i] for i in order])

    figure, axes = single(height=5.2, ax=ax)
    first, second = points[0].first, points[0].second
    looks: dict[str, dict[str, Any]] = {
        first: {"facecolor": "#9ecae1", "hatch": HATCHES[0]},
        second: {"facecolor": "#fdd0a2", "hatch": HATCHES[1]},
        "neither": {"facecolor": "0.85", "hatch": HATCHES[2]},
        "both blocked": {"facecolor": "0.6", "hatch": HATCHES[3]},
    }
    names = {first: line.words.get(first, first), second: line.words.get(second, second)}
    names |= {"neither": "neither leads", "both blocked": "both are ruled out"}
    shown: set[str] = set()

    def fill(ends: list[float], left: list[Stretch], right: list[Stretch]) -> None:
        for own, other in zip(left, right, strict=True):
            lows, highs = [own.low, other.low], [own.high, other.high]
            axes.fill_between(
                ends, lows, highs, edgecolor="0.5", linewidth=0, antialiased=False, **looks[own.leader]
            )
            shown.add(own.leader)

    for before, after, a, b in zip(points[:-1], points[1:], x[:-1].tolist(), x[1:].tolist(), strict=True):
        pairs = _matched(before.stretches, after.stretches)
        if pairs is None:
            middle = (a + b) / 2
            fill([a, middle], before.stretches, before.stretches)
            fill([middle, b], after.stretches, after.stretches)
            continue
        left, right = pairs
        fill([a, b], left, right)
        style: Any = "-" if len(before.stretches) == len(after.stretches) else (0, (2, 1))
        for c, d in zip(left[1:], right[1:], strict=True):
            axes.plot([a, b], [c.low, d.low], color="black", linewidth=2, linestyle=style)
    crossings = [[c for c in point.crossings if c.kind != "touch"] for point in points]
    lone = [(value, c.at) for value, own in zip(x, crossings, strict=True) for c in own]
    if lone:
        axes.plot(*zip(*lone, strict=True), color="black", marker="o", markersize=3, linestyle="none")
    axes.set_xlim(x[0], x[-1])
    axes.set_ylim(points[0].low, points[0].high)
    axes.set_xlabel(_worded(across, {}))
    axes.set_ylabel(_worded(points[0].input, {}))
    finding = _who_leads_where(points, x.tolist(), across, names)
    better = "lower" if points[0].measure == "cost_per_thousand" else "higher"
    handles = [
        Patch(label=two_lines(names[name]), edgecolor="0.5", linewidth=0.5, **look)
        for name, look in looks.items()
        if name in shown
    ]
    figure.legend(
        handles=handles, fontsize=8, loc="outside lower center", ncols=2, frameon=False, handleheight=2
    )
    measure = _without_unit(_MEASURES[points[0].measure])
    titled(axes, finding, f"The leader has the {better} {measure}; on the black line they are equal.")
    return figure


def tornado_bars(found: Sensitivity, least: float = 0.01, *, ax: Axes | None = None) -> Figure:
    """How far each uncertain factor or range alone moves a number of the answer.

    Parameters
    ----------
    found : Sensitivity
        Of `overcoat.sensitivity`.
    least : float
        Bars shorter than this share of the longest [0 to 1] are left out.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        The measure across, two bars per factor or range, one for each end with the value there; years and
        cost that reach far on a logarithmic axis.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "urban", "required_years": 2}}''')
    >>> found = overcoat.sensitivity(brief, "steel_4_6 / hot_alkaline / hard_wax", points=2)
    >>> plots.tornado_bars(found).axes[0].get_yticklabels()[0].get_text()
    'atmosphere'
    """
    bars = one_of("found", found, Sensitivity, "Make it with `sensitivity`.").tornado
    least = least_share(least)
    ends = [found.nominal, *(end for bar in bars for end in (bar.at_low, bar.at_high))]
    check_finite("found", ends)
    longest = max((abs(bar.at_high - bar.at_low) for bar in bars), default=0.0)
    bars = [bar for bar in bars if abs(bar.at_high - bar.at_low) >= least * longest]
    check_bars("found", len(bars))
    figure, axes = single(8.0, 1.9 + 0.5 * max(len(bars), 1), ax=ax)
    wide = min(ends) > 0 and max(ends) > 4 * min(ends)
    logarithmic = wide and found.measure in ("median_years", "cost_per_thousand")
    # the cost is the one measure that is better low
    sign = -1 if found.measure == "cost_per_thousand" else 1
    looks = {"for the worse": WORSE, "for the better": BETTER}
    seen: set[str] = set()
    for row, bar in enumerate(bars):
        for side, value, end in ((-0.17, bar.low, bar.at_low), (0.17, bar.high, bar.at_high)):
            way = "for the better" if sign * (end - found.nominal) > 0 else "for the worse"
            color, hatch = looks[way]
            axes.barh(
                row + side,
                end - found.nominal,
                left=found.nominal,
                height=0.34,
                color=color,
                hatch=hatch,
                edgecolor="white",
                label=None if way in seen else way,
            )
            seen.add(way)
            right = end > found.nominal or (end == found.nominal and side > 0)
            times = "" if bar.name in _LABELS else "×"
            axes.annotate(
                f"{long_number(end)} at {times}{short_number(value) if times else long_number(value)}",
                (end, row + side),
                textcoords="offset points",
                xytext=(4 if right else -4, 0),
                ha="left" if right else "right",
                va="center",
                fontsize=7.5,
            )
    name_rows(axes, [_worded(bar.name, found.words) for bar in bars])
    axes.axvline(found.nominal, color="0.1", linewidth=1)
    low, high = min(ends), max(ends)
    if logarithmic:
        axes.set_xscale("log")
        room = max((high / low) ** 0.3, 1.02)
        axes.set_xlim(low / room, high * room)
        plain_numbers(axes.xaxis)
    else:
        room = 0.3 * (high - low) or 0.01
        axes.set_xlim(low - room, high + room)
        if found.measure in ("score", "probability_ok"):
            axes.set_xticks([tick for tick in axes.get_xticks() if 0 <= tick <= 1])
            axes.set_xlim(low - room, high + room)
    axes.set_xlabel(
        f"{_MEASURES[found.measure]}; line: {long_number(found.nominal)} as ranked\n"
        "at ×2: the factor at twice its median"
    )
    build = found.words.get(found.build, found.build)
    if bars:
        most = _without_unit(_worded(bars[0].name, found.words))
        low, high = sorted((bars[0].at_low, bars[0].at_high))
        figure.legend(fontsize=8, loc="outside lower center", ncols=2, frameon=False)
        titled(axes, f"{_SUBJECTS[found.measure]} depends most on {most}: {_reach(found, low, high)}", build)
    return figure


def sobol_bars(found: Sensitivity, least: float = 0.01, *, ax: Axes | None = None) -> Figure:
    """First-order and total Sobol indices with their standard errors.

    Where the total is above the first order, the factor works together with others.

    Parameters
    ----------
    found : Sensitivity
        Of `overcoat.sensitivity`.
    least : float
        Factors with a smaller total index [0 to 1] are left out.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Shares of the variance [0 to 1], two bars per factor or range, one within the other, the largest
        first. A first order beyond the total is an error of sampling, which the standard errors show.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "urban", "required_years": 2}}''')
    >>> found = overcoat.sensitivity(brief, "steel_4_6 / hot_alkaline / hard_wax", points=64)
    >>> plots.sobol_bars(found).axes[0].get_xlabel().splitlines()[0]
    'share of the variance of the logarithm of the years [0 to 1]'
    """
    one_of("found", found, Sensitivity, "Make it with `sensitivity`.")
    least = least_share(least)
    numbers = (
        number for i in found.sobol for number in (i.first_order, i.first_order_error, i.total, i.total_error)
    )
    check_finite("found", numbers)
    indices = sorted((i for i in found.sobol if i.total >= least), key=lambda i: -i.total)
    check_bars("found", len(indices))
    figure, axes = single(height=1.7 + 0.5 * max(len(indices), 1), ax=ax)
    # the part alone lies within the bar of the whole
    for name, height, color, hatch in (
        ("total", 0.66, "#BFD9E8", HATCHES[1]),
        ("first_order", 0.3, COLOURS[0], HATCHES[0]),
    ):
        axes.barh(
            range(len(indices)),
            [getattr(index, name) for index in indices],
            xerr=[getattr(index, f"{name}_error") for index in indices],
            height=height,
            color=color,
            hatch=hatch,
            edgecolor="white",
            error_kw={"elinewidth": 1, "capsize": 2},
            label={"first_order": "alone (first order)", "total": "with its interactions (total)"}[name],
        )
    name_rows(axes, [_worded(index.name, found.words) for index in indices])
    axes.set_xlim(left=0)
    output = _without_unit(_OUTPUTS[found.output])
    axes.set_xlabel(f"share of the variance of the {output} [0 to 1]\nlines: ± one standard error")
    build = found.words.get(found.build, found.build)
    if indices:
        first = indices[0]
        most = "Most of the spread" if first.total > 0.5 else "The largest share of the spread"
        name = _without_unit(_worded(first.name, found.words))
        figure.legend(fontsize=8, loc="outside lower center", ncols=2, frameon=False)
        titled(axes, f"{most} ({percent(first.total)}) comes from {name}", build)
    return figure
