"""What-if pictures: where one build overtakes another, and what an answer hangs on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat._refusal import invalid, least_share, one_of
from overcoat.plots._look import (
    COLOURS,
    HATCHES,
    check_bars,
    check_finite,
    name_rows,
    plain_numbers,
    plain_text,
    single,
)
from overcoat.whatif import BreakEvenLine, Sensitivity

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat.whatif import Stretch

_LABELS = {
    "temperature_c": "mean air temperature [°C]",
    "relative_humidity_pct": "mean relative humidity [%]",
    "so2_mg_m2_day": "SO2 deposition [mg/(m²·d)]",
    "chloride_mg_m2_day": "chloride deposition [mg/(m²·d)]",
    "first_year_steel_loss_um": "first-year loss of steel [µm]",
    "sea_distance_m": "distance to the sea [m]",
    "road_salt.months_per_year": "months of salted roads [months/a]",
    "road_salt.distance_m": "distance to the road [m]",
    "road_salt.season_chloride_mg_m2_day": "chloride in the salting season [mg/(m²·d)]",
    "heat_continuous_c": "lasting heat [°C]",
    "heat_peak_c": "peak heat [°C]",
    "mating_area_ratio": "area of the mating metal over that of the part [-]",
    "required_years": "required years [yr]",
}
_MEASURES = {
    "score": "score [0 to 1]",
    "probability_ok": "probability of the required years [0 to 1]",
    "median_years": "median years [yr]",
    "cost_per_thousand": "cost of a thousand over the required years [catalog currency]",
}


def _worded(name: str) -> str:
    """A factor or an input in words."""
    return _LABELS.get(name, plain_text(name.replace("_", " ")))


def _folded(build: str) -> str:
    """A build in two lines."""
    return "\n".join(plain_text(part) for part in build.rsplit(" / ", 1))


def break_even_line(line: BreakEvenLine, *, ax: Axes | None = None) -> Figure:
    """Which of two builds leads over two inputs, and the line on which they are even.

    Dots are the exact crossings at each value of the further input; a full line joins them where neighbouring
    values have the same leaders in the same order, else colors change halfway.

    Parameters
    ----------
    line : BreakEvenLine
        Of `overcoat.break_even` with one further input of two values or more.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a figure of its own by default.

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
    shown: set[str] = set()

    def fill(ends: list[float], left: list[Stretch], right: list[Stretch]) -> None:
        for own, other in zip(left, right, strict=True):
            lows, highs = [own.low, other.low], [own.high, other.high]
            axes.fill_between(ends, lows, highs, edgecolor="0.5", linewidth=0, **looks[own.leader])
            shown.add(own.leader)

    for before, after, a, b in zip(points[:-1], points[1:], x[:-1].tolist(), x[1:].tolist(), strict=True):
        left, right = before.stretches, after.stretches
        if [stretch.leader for stretch in left] == [stretch.leader for stretch in right]:
            fill([a, b], left, right)
            for c, d in zip(left[1:], right[1:], strict=True):
                axes.plot([a, b], [c.low, d.low], color="black", linewidth=2)
        else:
            middle = (a + b) / 2
            fill([a, middle], left, left)
            fill([middle, b], right, right)
    crossings = [[c for c in point.crossings if c.kind != "touch"] for point in points]
    lone = [(value, c.at) for value, own in zip(x, crossings, strict=True) for c in own]
    if lone:
        axes.plot(*zip(*lone, strict=True), color="black", marker="o", markersize=3, linestyle="none")
    axes.set_xlim(x[0], x[-1])
    axes.set_ylim(points[0].low, points[0].high)
    axes.set_xlabel(_LABELS.get(across, f"{across} [-]"))
    axes.set_ylabel(_LABELS.get(points[0].input, f"{points[0].input} [-]"))
    axes.set_title(f"who leads by {points[0].measure.replace('_', ' ')}; black: even", fontsize=9, loc="left")
    handles = [
        Patch(label=_folded(name), edgecolor="0.5", linewidth=0.5, **look)
        for name, look in looks.items()
        if name in shown
    ]
    figure.legend(
        handles=handles, fontsize=7, loc="outside lower center", ncols=2, frameon=False, handleheight=2
    )
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
        Axes to draw into; a figure of its own by default.

    Returns
    -------
    matplotlib.figure.Figure
        The measure across, one bar per factor or range; years and cost on a logarithmic axis.

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
    'atmosphere: × 0.497 to 2.01'
    """
    bars = one_of("found", found, Sensitivity, "Make it with `sensitivity`.").tornado
    least = least_share(least)
    ends = [found.nominal, *(end for bar in bars for end in (bar.at_low, bar.at_high))]
    check_finite("found", ends)
    longest = max((abs(bar.at_high - bar.at_low) for bar in bars), default=0.0)
    bars = [bar for bar in bars if abs(bar.at_high - bar.at_low) >= least * longest]
    check_bars("found", len(bars))
    figure, axes = single(height=1.7 + 0.42 * max(len(bars), 1), ax=ax)
    logarithmic = found.measure in ("median_years", "cost_per_thousand") and min(ends) > 0
    looks = {"low": (COLOURS[1], HATCHES[1]), "high": (COLOURS[0], HATCHES[0])}
    for row, bar in enumerate(bars):
        for which, end in (("low", bar.at_low), ("high", bar.at_high)):
            color, hatch = looks[which]
            axes.barh(
                row,
                end - found.nominal,
                left=found.nominal,
                height=0.6,
                color=color,
                hatch=hatch,
                edgecolor="white",
                label=f"at the {which} end" if row == 0 else None,
            )
            right = end > found.nominal or (end == found.nominal and which == "high")
            axes.annotate(
                f"{end:.3g}",
                (end, row),
                textcoords="offset points",
                xytext=(4 if right else -4, 0),
                ha="left" if right else "right",
                va="center",
                fontsize=8,
            )
    names = []
    for bar in bars:
        times = "" if bar.name in _LABELS else "× "
        names.append(f"{_worded(bar.name)}: {times}{bar.low:.3g} to {bar.high:.3g}")
    name_rows(axes, names)
    axes.axvline(found.nominal, color="0.1", linewidth=1)
    low, high = min(ends), max(ends)
    if logarithmic:
        axes.set_xscale("log")
        room = max((high / low) ** 0.12, 1.01)
        axes.set_xlim(low / room, high * room)
        plain_numbers(axes.xaxis)
    else:
        room = 0.12 * (high - low) or 0.01
        axes.set_xlim(low - room, high + room)
    axes.set_xlabel(f"{_MEASURES[found.measure]}; line: {found.nominal:.3g} as ranked")
    axes.set_ylabel("uncertain factor or range [-]")
    axes.set_title(plain_text(found.build), fontsize=9, loc="left")
    if bars:
        figure.legend(fontsize=8, loc="outside lower center", ncols=2, frameon=False)
    return figure


def sobol_bars(found: Sensitivity, least: float = 0.01, *, ax: Axes | None = None) -> Figure:
    """First-order and total Sobol indices with their standard errors.

    Where the total stands above the first order, the factor works together with others.

    Parameters
    ----------
    found : Sensitivity
        Of `overcoat.sensitivity`.
    least : float
        Factors with a smaller total index [0 to 1] are left out.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a figure of its own by default.

    Returns
    -------
    matplotlib.figure.Figure
        Shares of the variance [0 to 1], two bars per factor or range, the largest first.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "urban", "required_years": 2}}''')
    >>> found = overcoat.sensitivity(brief, "steel_4_6 / hot_alkaline / hard_wax", points=64)
    >>> plots.sobol_bars(found).axes[0].get_xlabel()
    'share of the variance of log years [0 to 1] ± one standard error'
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
    for offset, name, color, hatch in (
        (-0.2, "first_order", COLOURS[0], HATCHES[0]),
        (0.2, "total", COLOURS[1], HATCHES[1]),
    ):
        axes.barh(
            [row + offset for row in range(len(indices))],
            [getattr(index, name) for index in indices],
            xerr=[getattr(index, f"{name}_error") for index in indices],
            height=0.36,
            color=color,
            hatch=hatch,
            edgecolor="white",
            error_kw={"elinewidth": 1, "capsize": 2},
            label={"first_order": "alone (first order)", "total": "with all its company (total)"}[name],
        )
    name_rows(axes, [_worded(index.name) for index in indices])
    axes.set_xlim(left=0)
    output = found.output.replace("_", " ")
    axes.set_xlabel(f"share of the variance of {output} [0 to 1] ± one standard error")
    axes.set_ylabel("uncertain factor or range [-]")
    axes.set_title(plain_text(found.build), fontsize=9, loc="left")
    if indices:
        figure.legend(fontsize=8, loc="outside lower center", ncols=2, frameon=False)
    return figure
