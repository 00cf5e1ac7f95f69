"""What records taught: a probability plot of a salt-spray log, the calibration of a backtest."""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import TYPE_CHECKING

from overcoat._core import Backtest, BacktestScore, FittedRecords
from overcoat._refusal import invalid, one_of
from overcoat.plots._look import COLOURS, DASHES, plain_numbers, single, titled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_TICKS = [1, 2, 5, 10, 20, 30, 50, 70, 80, 90, 95, 98, 99]


def _straightened(distribution: str, share: float) -> float:
    """The scale on which the distribution is a straight line over the logarithm of hours."""
    return math.log(-math.log1p(-share)) if distribution == "weibull" else NormalDist().inv_cdf(share)


def probability_plot(fitted: FittedRecords, *, ax: Axes | None = None) -> Figure:
    """Share of the panels failed over hours, on the paper of the fitted distribution, with its bounds.

    Parameters
    ----------
    fitted : FittedRecords
        Fitted records of which some failed.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Hours to first red rust [h], share failed [%]. The marks are the steps of the estimate without a
        model; where the rust came between two inspections, a bar spans them. The line is the fit, the band
        its profile-likelihood bounds.

    Raises
    ------
    InvalidValueError
        Records of which none failed: there is nothing to draw.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> fitted = overcoat.fit_records([48.0, 60.0, 72.0, 96.0], [True, True, True, False])
    >>> plots.probability_plot(fitted).axes[0].get_xlabel()
    'salt spray to first red rust [h]'
    """
    one_of("fitted", fitted, FittedRecords, "Make them with `fit_records`.")
    if fitted.kind != "estimate":
        remedy = "There is no distribution to draw; see `bounds_hours`."
        raise invalid("fitted", "records of which none failed", "records of which some failed", remedy)
    name = fitted.distribution
    shares = [0.01 * step for step in range(2, 99, 4)]
    figure, axes = single(ax=ax)
    y = [_straightened(name, share) for share in shares]
    line = [hours for share in shares if (hours := fitted.quantile_hours(share)) is not None]
    bounds = [fitted.quantile_bounds_hours(share) for share in shares]
    points = [point for point in fitted.probability_plot() if 0.015 < point[2] < 0.985]
    ends = [*line, *(hours for _, hours, _ in points)]
    low, high = 0.5 * min(ends), 2 * max(ends)
    axes.fill_betweenx(
        y,
        [lower if lower is not None else low for lower, _ in bounds],
        [upper if upper is not None else high for _, upper in bounds],
        color=COLOURS[0],
        alpha=0.18,
        linewidth=0,
        label=f"{100 * fitted.confidence:.0f}% bounds",
    )
    axes.plot(line, y, color=COLOURS[0], linewidth=2, label=f"{name}, median {fitted.median_hours:.0f} h")
    between = [(start, end, share) for start, end, share in points if end > start * (1 + 1e-9)]
    exact = [(end, share) for start, end, share in points if end <= start * (1 + 1e-9)]
    records = f"{fitted.rows} records, {fitted.failed} failed"
    if between:
        middles = [(max(start, low) * end) ** 0.5 for start, end, _ in between]
        heights = [_straightened(name, share) for *_, share in between]
        reach = [
            [middle - max(start, low) for middle, (start, _, _) in zip(middles, between, strict=True)],
            [end - middle for middle, (_, end, _) in zip(middles, between, strict=True)],
        ]
        axes.errorbar(
            middles,
            heights,
            xerr=reach,
            fmt="none",
            ecolor="black",
            elinewidth=1.6,
            capsize=3,
            label=f"{records}: rust came between two inspections",
        )
    if exact:
        axes.plot(
            [hours for hours, _ in exact],
            [_straightened(name, share) for _, share in exact],
            "o",
            color="black",
            markersize=5,
            label=records,
        )
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    plain_numbers(axes.xaxis)
    axes.set_yticks([_straightened(name, tick / 100) for tick in _TICKS], [f"{tick}" for tick in _TICKS])
    axes.set_ylim(_straightened(name, 0.015), _straightened(name, 0.985))
    axes.set_xlabel("salt spray to first red rust [h]")
    axes.set_ylabel("panels failed [%]")
    axes.grid(color="0.92")
    lower, upper = fitted.bounds_hours
    sure = f"{100 * fitted.confidence:.0f}% bounds"
    within = (
        f"{lower:.0f} to {upper:.0f} h" if lower is not None and upper is not None else "open to one side"
    )
    figure.legend(fontsize=8, loc="outside lower center", frameon=False, ncols=2)
    titled(axes, f"Half of the panels rust by {fitted.median_hours:.0f} h ({sure}: {within})")
    return figure


def _within(score: BacktestScore) -> str:
    """The share of the outcomes within the range of 8 in 10, with its error."""
    return f"{100 * score.coverage_80:.0f} ± {100 * score.coverage_80_se:.0f}%"


def calibration(judged: Backtest, *, ax: Axes | None = None) -> Figure:
    """Share of parts that had failed when a share was predicted, for the outlook and the two naive ways.

    Parameters
    ----------
    judged : Backtest
        From `overcoat.backtest`.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Predicted and observed share failed [%]; the diagonal is perfect calibration. Above it parts fail
        sooner than predicted, below it later. The band has 8 of 10 curves of a perfectly calibrated
        prediction at each share, if parts of one site count as one (normal approximation).

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> row = {"base_metal": "steel_8_8", "treatment": "hot_alkaline", "films": "hard_wax", "place": "rural"}
    >>> judged = overcoat.backtest([row | {"years": 1.0, "failed": True}])
    >>> plots.calibration(judged).axes[0].get_ylabel()
    'failed by then [%]'
    """
    one_of("judged", judged, Backtest, "Make it with `backtest`.")
    figure, axes = single(6.0, 6.2, ax=ax)
    share = [0.01 * step for step in range(101)]
    reach = [NormalDist().inv_cdf(0.9) * math.sqrt(p * (1 - p) / max(judged.sites, 1)) for p in share]
    axes.fill_between(
        [100 * p for p in share],
        [100 * max(p - r, 0) for p, r in zip(share, reach, strict=True)],
        [100 * min(p + r, 1) for p, r in zip(share, reach, strict=True)],
        color="0.88",
        linewidth=0,
        label=f"80% range if perfectly calibrated, {judged.sites} sites",
    )
    axes.plot(
        [0, 100], [0, 100], color="0.45", linewidth=1, linestyle=(0, (1, 1)), label="perfect calibration"
    )
    ways = [
        ("outlook", judged.outlook),
        ("salt-spray hours at face value", judged.hours_at_face_value),
        ("corrosivity category alone", judged.category_alone),
    ]
    for i, (name, score) in enumerate(ways):
        curve = [(0.0, 0.0), *score.calibration, (1.0, 1.0)]
        axes.plot(
            [100 * predicted for predicted, _ in curve],
            [100 * observed for _, observed in curve],
            color=COLOURS[i],
            linestyle=DASHES[i],
            linewidth=2,
            label=f"{name}: {_within(score)} in its 80% range, log score {score.log_score:.2f}",
        )
    axes.set_xlim(0, 100)
    axes.set_ylim(0, 100)
    axes.set_aspect("equal")
    axes.set_xlabel("predicted to have failed [%]")
    axes.set_ylabel("failed by then [%]")
    axes.grid(color="0.92")
    figure.legend(fontsize=8, loc="outside lower center", frameon=False, handlelength=4)
    titled(
        axes,
        f"Outlook: {_within(judged.outlook)} of the outcomes fall in its 80% range",
        f"{judged.outlook.rows} parts, {judged.outlook.failed} failed, {judged.sites} sites",
    )
    return figure
