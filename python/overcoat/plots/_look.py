"""What the pictures share: colors, dashes, hatches, the heading and the short name of a build.

The first two colors are those of Okabe and Ito, Color Universal Design (2008); the others are darker, since
their orange and sky blue stand out too little from white paper: each here has a contrast of 3:1 or more.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from overcoat._core import percent_in_words
from overcoat._refusal import invalid, one_of, ranking_of, whole_number

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat._core import Option, Ranking

COLOURS = ["#0072B2", "#D55E00", "#00785A", "#A83E8C", "#8A6A00", "#4A4A4A"]
WORSE, BETTER = (COLOURS[1], "///"), (COLOURS[0], "")
DASHES: list[Any] = ["-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)), (0, (1, 3))]
# what a page shows apart
MOST_LINES = 24
MOST_BARS = 60
_LONGEST_NAME = 62
_LONGEST_HEADING = 180
_HEADING_PT = 10
_NARROWEST_HEADING_PT = 250.0
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
    from matplotlib.ticker import LogLocator, MaxNLocator, NullFormatter

    low, high = sorted(axis.get_view_interval())
    if high / low < 4:
        axis.set_major_locator(MaxNLocator(6))
    elif high / low < 20:
        axis.set_major_locator(LogLocator(subs=(1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0), numticks=20))
    elif high / low < 60:
        axis.set_major_locator(LogLocator(subs=(1.0, 2.0, 3.0, 5.0, 7.0), numticks=20))
    elif high / low < 3e3:
        axis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0), numticks=20))
    axis.set_major_formatter(lambda value, _: f"{value:g}" if value < 1000 else f"{value:,.0f}")
    axis.set_minor_formatter(NullFormatter())


def plain_text(text: str) -> str:
    """A name as a picture shows it: in one line, cut where it is long, dollar signs as such, no formula."""
    shown = "".join(c if c.isprintable() else " " for c in text[: 2 * _LONGEST_NAME])
    shown = " ".join(shown.split())
    shown = shown if len(shown) <= _LONGEST_NAME else f"{shown[:_LONGEST_NAME]}…"
    return shown.replace("$", r"\$")


def two_lines(words: str) -> str:
    """The short words of a build in two lines: base metal and process, coats."""
    return "\n".join(plain_text(part) for part in words.rsplit(", ", 1))


def short_name(option: Option) -> str:
    """The build of an option in two lines."""
    return two_lines(option.short_name)


def percent(probability: float) -> str:
    """A probability as the answer prints it."""
    return percent_in_words(probability)


def years(count: float) -> str:
    """A number of years as one says it: "1 year", "7.5 years"."""
    return f"{short_number(count)} year{'' if short_number(count) == '1' else 's'}"


def short_number(value: float) -> str:
    """A number in two digits, from 100 on without decimals."""
    return f"{value:.2g}" if abs(value) < 99.5 else f"{value:,.0f}"


def long_number(value: float) -> str:
    """A number in three digits, from 1,000 on without decimals."""
    return f"{value:.3g}" if abs(value) < 999.5 else f"{value:,.0f}"


def titled(axes: Axes, finding: str, of: str = "") -> None:
    """Heads the axes with what the picture shows, and below it of what, in lines no longer than the axes.

    Called last, when labels, ticks and legend have given the axes their width.
    """
    figure = axes.get_figure(root=True)
    if figure is not None:
        figure.draw_without_rendering()
    pixels = axes.get_window_extent().width
    # letters are rounded to pixels when they are drawn
    width = max(0.95 * 72 * pixels / (100.0 if figure is None else figure.dpi), _NARROWEST_HEADING_PT)
    finding = finding[:1].upper() + finding[1:]
    # a dollar sign is one, whether or not a name came with it escaped
    texts = [
        "".join(c if c.isprintable() else " " for c in text).replace(r"\$", "$") for text in (finding, of)
    ]
    cut = [text if len(text) <= _LONGEST_HEADING else f"{text[:_LONGEST_HEADING]}…" for text in texts]
    lines = [line for text in cut for line in _wrapped(text, width)]
    axes.set_title("\n".join(lines).replace("$", r"\$"), fontsize=_HEADING_PT, loc="left")


def _wrapped(text: str, width_pt: float) -> list[str]:
    """A sentence in lines of at most this many points, cut between words where it can be."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextToPath

    font, measured = FontProperties(size=_HEADING_PT), TextToPath()

    def fits(line: str) -> bool:
        return bool(measured.get_text_width_height_descent(line, font, ismath=False)[0] <= width_pt)

    lines: list[str] = []
    for word in text.split():
        if lines and fits(f"{lines[-1]} {word}"):
            lines[-1] += f" {word}"
            continue
        while len(word) > 1 and not fits(word):
            kept = next(end for end in range(len(word) - 1, 0, -1) if end == 1 or fits(word[:end]))
            lines.append(word[:kept])
            word = word[kept:]
        lines.append(word)
    return lines


def dash(i: int) -> Any:
    """The dashes of line `i`; with its color they come again after 36 lines only."""
    return DASHES[(i + i // len(COLOURS)) % len(DASHES)]


def look_of_area(i: int) -> dict[str, Any]:
    """Color and hatch of area `i`; together they come again after 36 areas only."""
    return {"color": COLOURS[i % len(COLOURS)], "hatch": HATCHES[(i + i // len(COLOURS)) % len(HATCHES)]}


def open_options(ranking: Ranking, top: int, most: int) -> list[Option]:
    """The first builds that nothing blocks, no more than a picture can show apart."""
    top = whole_number("top", top, 1, most, "Draw the first ones; `Ranking.to_pandas` has all.")
    return [option for option in ranking_of(ranking) if not option.blocked][:top]


def name_rows(axes: Axes, names: Sequence[str], fontsize: float = 8) -> None:
    """Names bars from above to below, and widens the figure where long names would squeeze them."""
    axes.set_yticks(range(len(names)), names, fontsize=fontsize)
    axes.invert_yaxis()
    longest = max((len(line) for name in names for line in name.splitlines()), default=0)
    figure = axes.get_figure(root=True)
    if figure is not None and not hasattr(axes, "_overcoat_guest"):
        figure.set_figwidth(figure.get_figwidth() + 0.075 * max(longest - 44, 0))


def check_finite(field: str, numbers: Iterable[float]) -> None:
    """Rejects numbers that have no place on an axis."""
    for value in numbers:
        if not math.isfinite(value):
            raise invalid(field, value, "finite numbers", "Make it again with other ranges.")


def check_bars(field: str, bars: int) -> None:
    """Rejects more bars than fit a page."""
    if bars > MOST_BARS:
        raise invalid(field, f"{bars} bars", f"at most {MOST_BARS}", "Raise `least`.")
