"""Pictures of an answer, as matplotlib figures that users restyle at will.

Colours are told apart by the colour-blind and in grey print: each line also has a dash of its own.
Colours after Okabe and Ito, Color Universal Design (2008).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from overcoat._core import Option, Ranking

_COLOURS = ["#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9"]
_DASHES = ["-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)), (0, (1, 3))]
_HATCHES = ["", "///", "...", "xxx", "\\\\\\", "---"]
_CRITERIA = ["durability", "cost", "appearance", "heat", "assembly", "confidence"]


def _short(option: Option) -> str:
    films = " + ".join(option.build.films) or "no film"
    return f"{option.build.base_metal} / {option.build.treatment}\n{films}"


def _open_options(ranking: Ranking, top: int) -> list[Option]:
    return [option for option in ranking if not option.blocked][:top]


def survival(ranking: Ranking, top: int = 4) -> Figure:
    """Probability of no failure against years, with the required years marked.

    Parameters
    ----------
    ranking : Ranking
        An answer.
    top : int
        How many open builds to draw, the trade's default besides.

    Returns
    -------
    matplotlib.figure.Figure
        Years [a] on a logarithmic axis, probability [%].
    """
    import json

    import numpy as np
    from matplotlib.figure import Figure

    options = _open_options(ranking, top)
    default = next((o for o in ranking if o.trade_default and not o.blocked), None)
    if default is not None and all(default.build != option.build for option in options):
        options.append(default)
    required = json.loads(ranking.to_json())["brief"]["duty"]["required_years"]
    medians = [option.outlook.median_years for option in options] + [required]
    low = max(min(medians) / 10, 0.01)
    years = np.geomspace(low, min(max(medians) * 10, 200), 300)

    figure = Figure(figsize=(7.2, 5.0), layout="constrained")
    axes = figure.subplots()
    for i, option in enumerate(options):
        axes.plot(
            years,
            100 * np.array(option.outlook.survival(list(years))),
            color=_COLOURS[i % len(_COLOURS)],
            linestyle=_DASHES[i % len(_DASHES)],
            linewidth=2,
            label=_short(option) + (" (trade default)" if option.trade_default else ""),
        )
    axes.axvline(required, color="0.25", linewidth=1)
    axes.annotate(
        f"required: {required:g} a",
        (required, 3),
        textcoords="offset points",
        xytext=(4, 0),
        fontsize=8,
        color="0.25",
    )
    axes.set_xscale("log")
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:g}")
    axes.set_xlabel("years in this duty [a]")
    axes.set_ylabel("no failure so far [%]")
    axes.set_ylim(0, 101)
    axes.grid(color="0.9")
    figure.legend(fontsize=7, loc="outside lower center", ncols=2, frameon=False, handlelength=4)
    return figure


def shares(ranking: Ranking, top: int = 8) -> Figure:
    """Ranked builds with what each criterion takes from a perfect score.

    Parameters
    ----------
    ranking : Ranking
        An answer.
    top : int
        How many open builds to draw.

    Returns
    -------
    matplotlib.figure.Figure
        Score and loss by criterion [0 to 1].
    """
    from matplotlib.figure import Figure

    options = _open_options(ranking, top)
    figure = Figure(figsize=(7.2, 0.9 + 0.5 * max(len(options), 1)), layout="constrained")
    axes = figure.subplots()
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
                color=_COLOURS[i],
                hatch=_HATCHES[i],
                edgecolor="white",
                label=f"lost to {criterion}" if row == 0 else None,
            )
            left += width
    axes.set_yticks(range(len(options)), [_short(option) for option in options], fontsize=7)
    axes.invert_yaxis()
    axes.set_xlim(0, 1)
    axes.set_xlabel("score [0 to 1] and what each criterion takes from it")
    if options:
        axes.legend(fontsize=7, ncols=4, loc="lower center", bbox_to_anchor=(0.4, 1.0), frameon=False)
    return figure
