"""How an answer holds: survival curves, what each criterion costs, what each uncertain factor moves."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from overcoat._core import Option
from overcoat._refusal import brief_of, least_share, one_of
from overcoat.plots._look import (
    COLOURS,
    HATCHES,
    MOST_BARS,
    MOST_LINES,
    dash,
    name_rows,
    open_options,
    plain_numbers,
    plain_text,
    short_name,
    single,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat._core import Brief, Ranking

_CRITERIA = ["durability", "cost", "appearance", "heat", "assembly", "confidence"]


def survival(ranking: Ranking, top: int = 4, *, ax: Axes | None = None) -> Figure:
    """Probability of no failure against years, with the required years marked.

    Parameters
    ----------
    ranking : Ranking
        An answer.
    top : int
        How many open builds to draw, 1 to 24; the trade's default besides.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a figure of its own by default.

    Returns
    -------
    matplotlib.figure.Figure
        Years [yr] on a logarithmic axis, probability [%].

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
    default = next((o for o in ranking if o.trade_default and not o.blocked), None)
    if default is not None and all(default.build != option.build for option in options):
        options.append(default)
    required = json.loads(ranking.to_json())["brief"]["duty"]["required_years"]
    medians = [option.outlook.median_years for option in options] + [required]
    low = max(min(medians) / 10, 0.001)
    years = np.geomspace(low, min(max(medians) * 10, 200), 300)

    figure, axes = single(height=5.0 + 0.13 * max(len(options) - 6, 0), ax=ax)
    for i, option in enumerate(options):
        axes.plot(
            years,
            100 * np.array(option.outlook.survival(list(years))),
            color=COLOURS[i % len(COLOURS)],
            linestyle=dash(i),
            linewidth=2,
            label=short_name(option.build) + (" (trade default)" if option.trade_default else ""),
        )
    axes.axvline(required, color="0.25", linewidth=1)
    # beside the line, on the side that has room
    left = required**2 < years[0] * years[-1]
    axes.annotate(
        f"{required:g} years required",
        (required, 3),
        textcoords="offset points",
        xytext=(4 if left else -4, 0),
        ha="left" if left else "right",
        fontsize=8,
        color="0.25",
    )
    axes.set_xscale("log")
    axes.set_xlim(years[0], years[-1])
    plain_numbers(axes.xaxis)
    axes.set_xlabel("years in service [yr]")
    axes.set_ylabel("parts still free of failure [%]")
    axes.set_ylim(0, 101)
    axes.grid(color="0.9")
    if options:
        figure.legend(fontsize=7, loc="outside lower center", ncols=2, frameon=False, handlelength=4)
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
        Axes to draw into; a figure of its own by default.

    Returns
    -------
    matplotlib.figure.Figure
        Score and loss by criterion [0 to 1].

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> ranking = overcoat.rank(overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "rural", "required_years": 5}}'''))
    >>> plots.shares(ranking, top=3).axes[0].get_xlim()[1].item()
    1.0
    """
    options = open_options(ranking, top, MOST_BARS)
    figure, axes = single(height=0.9 + 0.5 * max(len(options), 1), ax=ax)
    for row, option in enumerate(options):
        left = option.score
        axes.barh(row, option.score, color="0.35", height=0.6, label="score" if row == 0 else None)
        for i, criterion in enumerate(_CRITERIA):
            width = (1 - option.score) * option.shares[criterion]
            axes.barh(
                row,
                width,
                left=left,
                height=0.6,
                color=COLOURS[i],
                hatch=HATCHES[i],
                edgecolor="white",
                label=f"lost to {criterion}" if row == 0 else None,
            )
            left += width
    name_rows(axes, [short_name(option.build) for option in options], fontsize=7)
    axes.set_xlim(0, 1)
    axes.set_xlabel("score [0 to 1] and what each criterion takes from it")
    if options:
        figure.legend(fontsize=7, ncols=4, loc="outside upper center", frameon=False)
    return figure


def tornado(brief: Brief, option: Option, least: float = 0.005, *, ax: Axes | None = None) -> Figure:
    """How far each uncertain factor alone moves the median years, one log standard deviation either way.

    A factor that carries the share s of the variance moves the logarithm of the years by sqrt(s)·σ, where σ
    is the log standard deviation of the outlook. The longest bar names the measurement that would firm the
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
        Axes to draw into; a figure of its own by default.

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
    required = json.loads(brief_of(brief).to_json())["duty"]["required_years"]
    factors = sorted(
        ((share, name) for name, share in outlook.variance_shares.items() if share >= least), reverse=True
    )
    figure, axes = single(height=1.7 + 0.42 * max(len(factors), 1), ax=ax)
    median = outlook.median_years
    words = {"worse for the part": (COLOURS[1], "///"), "better for the part": (COLOURS[0], "")}
    for row, (share, _) in enumerate(factors):
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
    name_rows(axes, [plain_text(name.replace("_", " ")) for _, name in factors])
    axes.axvline(median, color="0.1", linewidth=1)
    axes.axvline(required, color="0.25", linewidth=1, linestyle=(0, (4, 2)))
    low = min(required, median * math.exp(-outlook.log_sd))
    high = max(required, median * math.exp(outlook.log_sd))
    axes.set_xscale("log")
    axes.set_xlim(low / 1.3, high * 1.3)
    plain_numbers(axes.xaxis)
    axes.set_xlabel(
        f"median years [yr]; full line: {median:.3g} yr as ranked, dashed line: {required:g} yr required"
    )
    axes.set_ylabel("uncertain factor [-]")
    axes.set_title(short_name(option.build).replace("\n", " / "), fontsize=9, loc="left")
    if factors:
        figure.legend(fontsize=8, loc="outside lower center", ncols=2, frameon=False)
    return figure
