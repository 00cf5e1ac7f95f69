"""The sampling plan of an order: which lots it lets pass."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from overcoat._core import Papers
from overcoat._refusal import one_of
from overcoat.plots._look import COLOURS, DASHES, single, titled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def operating_characteristic(papers: Papers, *, ax: Axes | None = None) -> Figure:
    """Probability that a lot is accepted against the share of it that is defective, for each sampling plan.

    Parameters
    ----------
    papers : Papers
        Papers of a build.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Defective pieces in the lot [%], probability of acceptance [%]; the circles mark what a buyer gets one
        time in ten, the dotted line the acceptance quality limit where there is one.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5, "lot_pieces": 500},
    ...     "duty": {"place": "rural", "required_years": 5}}''')
    >>> plots.operating_characteristic(overcoat.rank(brief).best.papers()).axes[0].get_xlabel()
    'defective pieces in the lot [%]'
    """
    one_of("papers", papers, Papers, "Take `papers()` of an option.")
    acceptance = json.loads(papers.to_json())["acceptance"]
    figure, axes = single(ax=ax)
    limits = set()
    findings: list[tuple[float, str]] = []
    end = 0.0
    for i, entry in enumerate(acceptance["plans"]):
        plan, curve = entry["plan"], entry["operating_characteristic"]
        defective = [100 * point["fraction_defective"] for point in curve]
        accepted = [100 * point["lot_acceptance_probability"] for point in curve]
        color = COLOURS[i % len(COLOURS)]
        axes.plot(
            defective,
            accepted,
            color=color,
            linestyle=DASHES[i % len(DASHES)],
            linewidth=2,
            label=f"{entry['name'].replace('_', ' ')}: {plan['sample_size']} pieces, "
            f"accepted with up to {plan['accept']} defective",
        )
        tenth = entry["risks"]["consumer_fraction_defective"]
        if tenth is not None:
            findings.append((tenth, entry["name"].replace("_", " ")))
            axes.plot(100 * tenth, 10, "o", color=color, markerfacecolor="white", markersize=7, zorder=3)
        if plan["aql_pct"] is not None:
            limits.add(plan["aql_pct"])
        end = max(end, *(x for x, y in zip(defective, accepted, strict=True) if y >= 1), 0.0)
    for limit in sorted(limits):
        axes.axvline(limit, color="0.3", linewidth=1, linestyle=":")
        axes.annotate(
            f"AQL {limit:g}%",
            (limit, 60),
            textcoords="offset points",
            xytext=(3, 0),
            rotation=90,
            va="center",
            fontsize=8,
        )
    axes.axhline(10, color="0.75", linewidth=1)
    axes.plot(
        [],
        [],
        "o",
        color="0.3",
        markerfacecolor="white",
        markersize=7,
        label="accepted with a probability of 10%",
    )
    strictest = ""
    if findings:
        tenth, name = min(findings)
        worst = f"{100 * tenth:.2g}% defective"
        strictest = f"With the strictest plan ({name}), a lot that is {worst} passes 1 time in 10"
    axes.set_xlim(0, min(max(end, 1.0), 100.0))
    axes.set_ylim(0, 101)
    axes.set_xlabel("defective pieces in the lot [%]")
    axes.set_ylabel("lots accepted [%]")
    axes.grid(color="0.92")
    figure.legend(fontsize=8, loc="outside lower center", frameon=False, handlelength=4)
    if strictest:
        titled(axes, strictest)
    return figure
