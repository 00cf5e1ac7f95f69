"""How an answer holds: survival curves, what each criterion costs, what each uncertain factor moves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat._core import Option
from overcoat._refusal import brief_of, least_share, one_of, ranking_of
from overcoat.plots._look import (
    BETTER,
    COLOURS,
    HATCHES,
    MOST_BARS,
    MOST_LINES,
    WORSE,
    dash,
    name_rows,
    open_options,
    percent,
    plain_numbers,
    plain_text,
    short_name,
    short_number,
    single,
    titled,
    years,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat._core import Brief, Ranking

# in the words of an answer
_CRITERIA = {
    "durability": "probability",
    "cost": "cost",
    "appearance": "appearance",
    "heat": "heat margin",
    "assembly": "fit and friction",
    "confidence": "data quality",
}
# one for each build of the front that is named
_MARKERS = ["o", "s", "^", "D", "v", "P", "X", "<", ">", "*"]
# points of percent within which lines cannot be told apart
_ALIKE = 2.0


def survival(ranking: Ranking, top: int = 4, *, ax: Axes | None = None) -> Figure:
    """Probability of no failure against years, with the required years and the target marked.

    Options whose lines lie within two points share one line. A line ends where the evidence does.

    Parameters
    ----------
    ranking : Ranking
        An answer.
    top : int
        How many open builds to draw, 1 to 24; the usual default besides.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Years [yr], probability [%].

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> ranking = overcoat.rank(overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "rural", "required_years": 5}}'''))
    >>> plots.survival(ranking).axes[0].get_xlabel()
    'years in service [yr]'
    """
    import numpy as np

    options = open_options(ranking, top, MOST_LINES)
    numbered = list(enumerate(options, 1))
    every = enumerate(ranking, 1)
    place, default = next(((i, o) for i, o in every if o.trade_default and not o.blocked), (0, None))
    if default is not None and place > len(options):
        numbered.append((place, default))
    required, target = ranking.brief.duty.required_years, ranking.target_probability
    medians = [min(option.outlook.median_years, option.outlook.horizon_years) for _, option in numbered]
    end = max(2.5 * required, min(1.4 * max(medians, default=0.0), 10 * required))
    lines: list[tuple[list[tuple[int, Option]], Any, Any]] = []
    for number, option in numbered:
        last = min(end, option.outlook.horizon_years)
        time = np.unique([*np.linspace(0, last, 300), *np.geomspace(last / 1e4, last, 100)])
        kept = 100 * np.array(option.outlook.survival(time))
        for alike, other, drawn in lines:
            if abs(other[-1] - last) < 1e-9 and np.abs(drawn - kept).max() < _ALIKE:
                alike.append((number, option))
                break
        else:
            lines.append(([(number, option)], time, kept))

    figure, axes = single(height=5.2 + 0.2 * max(len(lines) - 4, 0), ax=ax)
    axes.axhline(100 * target, color="0.25", linewidth=1, linestyle=(0, (4, 2)))
    axes.annotate(
        f"target {percent(target)}",
        (end, 100 * target),
        textcoords="offset points",
        xytext=(-3, 3),
        ha="right",
        fontsize=8,
        color="0.25",
    )
    axes.axvline(required, color="0.25", linewidth=1)
    for i, (alike, time, kept) in enumerate(lines):
        number, option = alike[0]
        chance = option.outlook.probability_ok
        named = f"#{number} {short_name(option)}\n{percent(chance)} after {years(required)}"
        if default is not None and place in dict(alike):
            named += "; usual default"
        if len(alike) > 1:
            named += f"; {', '.join(f'#{other}' for other, _ in alike[1:])} on the same line"
        look: dict[str, Any] = {"color": COLOURS[i % len(COLOURS)], "linestyle": dash(i)}
        axes.plot(time, kept, linewidth=2, label=named, **look)
        if time[-1] < end and kept[-1] > 1:
            axes.plot(time[-1], kept[-1], "|", color=look["color"], markersize=11, markeredgewidth=2)
        if required <= time[-1]:
            axes.plot(required, 100 * chance, "o", color=look["color"], markersize=5, zorder=3)
    axes.annotate(
        f"{years(required)} required",
        (required, 2),
        textcoords="offset points",
        xytext=(4, 0),
        fontsize=8,
        color="0.25",
    )
    axes.set_xlim(0, end)
    axes.set_xlabel("years in service [yr]")
    axes.set_ylabel("probability of no failure so far [%]")
    axes.set_ylim(0, 101)
    axes.grid(color="0.9")
    if options:
        reached = "reaches" if options[0].met else "does not reach"
        first = (
            f"#1 {reached} the target: {percent(options[0].outlook.probability_ok)} after {years(required)}"
        )
        usual = f"; the usual default has {percent(default.outlook.probability_ok)}" if default else ""
        figure.legend(fontsize=7.5, loc="outside lower center", ncols=2, frameon=False, handlelength=4)
        titled(axes, first + usual)
    return figure


def shares(ranking: Ranking, top: int = 8, *, ax: Axes | None = None) -> Figure:
    """Ranked builds with what each criterion takes from a perfect score.

    Parameters
    ----------
    ranking : Ranking
        An answer.
    top : int
        How many open builds to draw, 1 to 60.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Loss from a perfect score by criterion [0 to 1], the score at the end of each bar.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> ranking = overcoat.rank(overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "rural", "required_years": 5}}'''))
    >>> plots.shares(ranking, top=3).axes[0].get_xlim()[0].item()
    0.0
    """
    options = open_options(ranking, top, MOST_BARS)
    figure, axes = single(height=1.6 + 0.46 * max(len(options), 1), ax=ax)
    lost = [{name: (1 - option.score) * option.shares[name] for name in _CRITERIA} for option in options]
    shown = [name for name in _CRITERIA if any(row[name] > 0 for row in lost)]
    for row, (option, widths) in enumerate(zip(options, lost, strict=True)):
        left = 0.0
        for name in shown:
            i = list(_CRITERIA).index(name)
            axes.barh(
                row,
                widths[name],
                left=left,
                height=0.6,
                color=COLOURS[i],
                hatch=HATCHES[i],
                edgecolor="white",
                label=_CRITERIA[name] if row == 0 else None,
            )
            left += widths[name]
        axes.annotate(
            f"score {option.score:.2f}",
            (left, row),
            textcoords="offset points",
            xytext=(4, 0),
            va="center",
            fontsize=8,
        )
    names = [f"#{number} {short_name(option)}" for number, option in enumerate(options, 1)]
    name_rows(axes, names, fontsize=7.5)
    axes.set_xlim(0, 1.2 * max((1 - option.score for option in options), default=1.0) or 1.0)
    axes.set_xlabel("points below a perfect score [0 to 1]")
    if options:
        worst = max(_CRITERIA, key=lambda name: options[0].shares[name])
        share = options[0].shares[worst]
        missing = f"{1 - options[0].score:.2f}"
        finding = f"#1 loses most to {_CRITERIA[worst]}: {percent(share)} of the {missing} it lacks"
        figure.legend(fontsize=8, ncols=max(len(shown), 1), loc="outside lower center", frameon=False)
        titled(axes, finding if share > 0 else "#1 has a perfect score")
    return figure


def cost_probability(ranking: Ranking, *, ax: Axes | None = None) -> Figure:
    """What probability costs: every open build as a point, and the Pareto front that no other build beats.

    A build on the front has none that is both cheaper and likelier. The first of the ranking is named, and
    the next of the front in its order, ten in all.

    Parameters
    ----------
    ranking : Ranking
        An answer.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Cost over the required years [currency per 1,000 pieces], probability of no failure [%].

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> ranking = overcoat.rank(overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "rural", "required_years": 5}}'''))
    >>> plots.cost_probability(ranking).axes[0].get_ylabel()
    'probability of no failure for 5 years [%]'
    """

    def point(option: Option) -> tuple[float, float]:
        return option.cost.per_thousand, 100 * option.outlook.probability_ok

    numbered = [(place, o) for place, o in enumerate(ranking_of(ranking), 1) if not o.blocked]
    front = [(place, option) for place, option in numbered if option.on_pareto_front]
    named = [*(numbered[:1] if numbered[:1] != front[:1] else []), *front][: len(_MARKERS)]
    required, target = ranking.brief.duty.required_years, ranking.target_probability
    figure, axes = single(height=4.6 + 0.17 * len(named), ax=ax)
    axes.axhline(100 * target, color="0.25", linewidth=1, linestyle=(0, (4, 2)), label="_target")
    axes.annotate(
        f"target {percent(target)}",
        (1, 100 * target),
        xycoords=("axes fraction", "data"),
        textcoords="offset points",
        xytext=(-3, 3),
        ha="right",
        fontsize=8,
        color="0.25",
    )
    others = [point(option) for _, option in numbered if not option.on_pareto_front]
    if others:
        axes.plot(*zip(*others, strict=True), ".", color="0.6", label="beaten by an option on the line")
    if front:
        line = sorted(point(option) for _, option in front)
        axes.plot(*zip(*line, strict=True), color="0.3", linewidth=1, drawstyle="steps-post", label="_front")
    for i, (place, option) in enumerate(named):
        axes.plot(
            *point(option),
            _MARKERS[i],
            color=COLOURS[i % len(COLOURS)],
            markersize=7,
            zorder=3,
            linestyle="None",
            label=f"#{place} {short_name(option)}",
        )
    costs = [option.cost.per_thousand for _, option in numbered]
    if costs and 0 < 20 * min(costs) < max(costs):
        axes.set_xscale("log")
        plain_numbers(axes.xaxis)
    currency = plain_text(numbered[0][1].cost.currency) if numbered else "no open build"
    axes.set_xlabel(f"cost over {years(required)} per 1,000 pieces [{currency}]")
    axes.set_ylabel(f"probability of no failure for {years(required)} [%]")
    axes.set_ylim(-2, 102)
    axes.grid(color="0.9")
    if front:
        cheapest = ranking.cheapest_met
        at = next((place for place, option in numbered if option == cheapest), None)
        finding = (
            f"No option reaches {percent(target)}"
            if at is None
            else f"#{at} reaches {percent(target)} at the lowest cost"
        )
        figure.legend(fontsize=7.5, loc="outside lower center", ncols=2, frameon=False)
        titled(axes, f"{finding}; {len(front)} of {len(numbered)} options are on the line, beaten by none")
    return figure


def tornado(brief: Brief, option: Option, least: float = 0.005, *, ax: Axes | None = None) -> Figure:
    """How far each uncertain factor alone moves the median years, one log standard deviation either way.

    A factor that carries the share s of the variance moves the logarithm of the years by sqrt(s)·σ, where σ
    is the log standard deviation of the outlook. The longest bar names the measurement that would narrow the
    answer most.

    Parameters
    ----------
    brief : Brief
        The inquiry, for its required years.
    option : Option
        One build of its ranking.
    least : float
        Factors with a smaller share of the variance [0 to 1] are left out.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Median years [yr] on a logarithmic axis, one bar per factor.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "rural", "required_years": 5}}''')
    >>> figure = plots.tornado(brief, overcoat.rank(brief).best)
    >>> "atmosphere" in [label.get_text() for label in figure.axes[0].get_yticklabels()]
    True
    """
    import math

    outlook = one_of("option", option, Option, "Take one of a ranking.").outlook
    least = least_share(least)
    required = brief_of(brief).duty.required_years
    factors = [(name, share) for name, share in option.spread_from if share >= least]
    figure, axes = single(height=1.7 + 0.42 * max(len(factors), 1), ax=ax)
    median = outlook.median_years
    words = {"worse for the part": WORSE, "better for the part": BETTER}
    for row, (_, share) in enumerate(factors):
        reach = math.sqrt(share) * outlook.log_sd
        ends = (median * math.exp(-reach), median * math.exp(reach))
        for (label, (color, hatch)), end in zip(words.items(), ends, strict=True):
            axes.barh(
                row,
                end - median,
                left=median,
                height=0.6,
                color=color,
                hatch=hatch,
                edgecolor="white",
                label=f"one standard deviation {label}" if row == 0 else None,
            )
            axes.annotate(
                f"{end:.3g}",
                (end, row),
                textcoords="offset points",
                xytext=(4 if end > median else -4, 0),
                ha="left" if end > median else "right",
                va="center",
                fontsize=8,
            )
    name_rows(axes, [plain_text(name) for name, _ in factors])
    axes.axvline(median, color="0.1", linewidth=1)
    axes.axvline(required, color="0.25", linewidth=1, linestyle=(0, (4, 2)))
    low = min(required, median * math.exp(-outlook.log_sd))
    high = max(required, median * math.exp(outlook.log_sd))
    axes.set_xscale("log")
    axes.set_xlim(low / 1.3, high * 1.3)
    plain_numbers(axes.xaxis)
    axes.set_xlabel(
        f"median years [yr]; full line: {median:.3g} as ranked, dashed line: {required:g} required"
    )
    if factors:
        name, share = factors[0]
        reach = math.exp(math.sqrt(share) * outlook.log_sd)
        figure.legend(fontsize=8, loc="outside lower center", ncols=2, frameon=False)
        titled(
            axes,
            f"The median depends most on {plain_text(name)}: "
            f"{short_number(median / reach)} to {years(median * reach)}",
            option.short_name,
        )
    return figure
