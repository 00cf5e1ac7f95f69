"""What the pictures share: colors, dashes, hatches and the short name of a build.

Colors after Okabe and Ito, Color Universal Design (2008).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from overcoat._refusal import invalid, one_of, ranking_of, whole_number

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat._core import Build, Option, Ranking

COLOURS = ["#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9"]
DASHES: list[Any] = ["-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)), (0, (1, 3))]
# what a page shows apart
MOST_LINES = 24
MOST_BARS = 60
_LONGEST_NAME = 56
HATCHES = ["", "///", "...", "xxx", "\\\\\\", "---"]


def single(width: float = 7.2, height: float = 4.6, *, ax: Axes | None = None) -> tuple[Figure, Axes]:
    """The axes to draw into with their figure: those given, or new ones that fit their labels."""
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    if ax is None:
        figure = Figure(figsize=(width, height), layout="constrained")
        return figure, figure.subplots()
    one_of("ax", ax, Axes, "Make some with `matplotlib.pyplot.subplots()`.")
    whole = ax.get_figure(root=True)
    if whole is None:
        raise invalid("ax", ax, "axes of a figure", "Make some with `matplotlib.pyplot.subplots()`.")
    # whoever brings axes has set the size of the figure
    ax._overcoat_guest = True  # type: ignore[attr-defined]
    return whole, ax


def plain_numbers(axis: Any) -> None:
    """Numbers of a logarithmic axis as one writes them: 1, 2, 5, 10; over many decades 1, 10, 100."""
    from matplotlib.ticker import LogLocator, NullFormatter

    low, high = sorted(axis.get_view_interval())
    if high / low < 3e3:
        axis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0), numticks=20))
    axis.set_major_formatter(lambda value, _: f"{value:g}")
    axis.set_minor_formatter(NullFormatter())


def plain_text(text: str) -> str:
    """A name as a picture shows it: in one line, cut where it is long, dollar signs as such, no formula."""
    shown = "".join(c if c.isprintable() else " " for c in text[: 2 * _LONGEST_NAME])
    shown = " ".join(shown.split())
    shown = shown if len(shown) <= _LONGEST_NAME else f"{shown[:_LONGEST_NAME]}…"
    return shown.replace("$", r"\$")


def short_name(build: Build) -> str:
    """A build in two lines."""
    films = " + ".join(build.films) or "no film"
    return f"{plain_text(f'{build.base_metal} / {build.treatment}')}\n{plain_text(films)}"


def dash(i: int) -> Any:
    """The dashes of line `i`; with its color they come again after 36 lines only."""
    return DASHES[(i + i // len(COLOURS)) % len(DASHES)]


def open_options(ranking: Ranking, top: int, most: int) -> list[Option]:
    """The first builds that nothing blocks, no more than a picture can show apart."""
    top = whole_number("top", top, 1, most, "Draw the first ones; `Ranking.to_pandas` has all.")
    return [option for option in ranking_of(ranking) if not option.blocked][:top]


def name_rows(axes: Axes, names: Sequence[str], fontsize: int = 8) -> None:
    """Names bars from above to below, and widens the figure where long names would squeeze them."""
    axes.set_yticks(range(len(names)), names, fontsize=fontsize)
    axes.invert_yaxis()
    longest = max((len(line) for name in names for line in name.splitlines()), default=0)
    figure = axes.get_figure(root=True)
    if figure is not None and not hasattr(axes, "_overcoat_guest"):
        figure.set_figwidth(figure.get_figwidth() + 0.07 * max(longest - 48, 0))


def check_finite(field: str, numbers: Iterable[float]) -> None:
    """Refuses numbers that have no place on an axis."""
    for value in numbers:
        if not math.isfinite(value):
            raise invalid(field, value, "finite numbers", "Make it again with other ranges.")


def check_bars(field: str, bars: int) -> None:
    """Refuses more bars than fit a page."""
    if bars > MOST_BARS:
        raise invalid(field, f"{bars} bars", f"at most {MOST_BARS}", "Raise `least`.")
