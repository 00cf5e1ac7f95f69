"""What the pictures share: colours, dashes, hatches and the short name of a build.

Colours after Okabe and Ito, Color Universal Design (2008).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat._refusal import how_many, ranking_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat._core import Build, Option, Ranking

COLOURS = ["#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9"]
DASHES: list[Any] = ["-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)), (0, (1, 3))]
HATCHES = ["", "///", "...", "xxx", "\\\\\\", "---"]


def single(width: float = 7.2, height: float = 4.6) -> tuple[Figure, Axes]:
    """A figure with one pair of axes that makes room for its labels."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width, height), layout="constrained")
    return figure, figure.subplots()


def plain_numbers(axis: Any) -> None:
    """Numbers of a logarithmic axis as one writes them: 1, 2, 5, 10; over many decades 1, 10, 100."""
    from matplotlib.ticker import LogLocator, NullFormatter

    low, high = sorted(axis.get_view_interval())
    if high / low < 3e3:
        axis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0), numticks=20))
    axis.set_major_formatter(lambda value, _: f"{value:g}")
    axis.set_minor_formatter(NullFormatter())


def short_name(build: Build) -> str:
    """A build in two lines."""
    films = " + ".join(build.films) or "no film"
    return f"{build.base_metal} / {build.treatment}\n{films}"


def open_options(ranking: Ranking, top: int) -> list[Option]:
    """The first builds that nothing blocks."""
    return [option for option in ranking_of(ranking) if not option.blocked][: how_many(top)]
