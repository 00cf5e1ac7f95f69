"""Which build comes first in which air."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Literal

from overcoat._core import Brief, Catalog, rank
from overcoat._refusal import brief_of, catalog_of, invalid, listed, number, unknown, whole_number, wrong
from overcoat.plots._look import look_of_area, plain_numbers, short_name, single, titled, years

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat._swept import CatalogLike

_LABELS = {
    "temperature_c": "mean air temperature [°C]",
    "so2_mg_m2_day": "SO2 deposition [mg/(m²·d)]",
}
_NONE_LEFT = "every option is ruled out"
# share of the axes that a line reaches at least
_CRUMB = 0.1
_LEVELS = [10, 25, 50, 75, 90, 95, 99]
_USUAL = {"temperature_c": (-5.0, 28.0), "so2_mg_m2_day": (1.0, 150.0)}


def _question(
    brief: Brief, catalog: Catalog | None, builds: Sequence[dict[str, Any]] | None
) -> dict[str, Any]:
    """The brief with all four inputs of the atmosphere written out, so that each can be replaced."""
    question: dict[str, Any] = json.loads(brief_of(brief).to_json())
    duty = question["duty"]
    known = catalog or Catalog.default()
    places = json.loads(known.to_json())["places"]
    place = places.get(duty.get("place"), {})
    for name in ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day"):
        if name not in duty and name in place:
            duty[name] = place[name]["value"]
    for name in ("first_year_steel_loss_um", "corrosivity", "sea_distance_m"):
        duty.pop(name, None)
    if "road_salt" in duty:
        # the axis is the whole chloride; that the road is near still counts for stainless steel
        duty["road_salt"]["season_chloride_mg_m2_day"] = 0.0
    if builds is not None:
        allowed, remedy = (
            "a list of builds like that of a brief",
            'Write them like {"treatment": "hot_alkaline"}.',
        )
        asked = listed("builds", builds, allowed, remedy, 65_535)
        try:
            json.dumps(asked).encode()
        except (TypeError, ValueError, RecursionError) as error:
            raise wrong("builds", builds, allowed, remedy) from error
        question.setdefault("wants", {})["builds"] = asked
    return question


def _ends(name: str, given: Any, logarithmic: bool) -> tuple[float, float]:
    """The ends of an axis, from low to high; of a logarithmic one above 0."""
    allowed = "two finite numbers, the lower first" + (", both above 0" if logarithmic else "")
    remedy = "Write the ends like (1, 300)."
    ends = [number(name, end, allowed, remedy) for end in listed(name, given, allowed, remedy, 2)]
    if len(ends) != 2 or ends[0] >= ends[1] or (logarithmic and ends[0] <= 0):
        raise invalid(name, given, allowed, remedy)
    return ends[0], ends[1]


def environment_map(
    brief: Brief,
    catalog: CatalogLike | None = None,
    against: Literal["temperature_c", "so2_mg_m2_day"] = "temperature_c",
    *,
    chloride_mg_m2_day: tuple[float, float] = (1.0, 700.0),
    between: tuple[float, float] | None = None,
    builds: Sequence[dict[str, Any]] | None = None,
    steps: int = 12,
    ax: Axes | None = None,
) -> Figure:
    """Which build is first over chloride and temperature (or SO2), with lines of how sure the first one is.

    The brief is ranked once per cell of a grid, its chloride and one other input of the atmosphere replaced;
    all else stays. What the brief does not say of the atmosphere is taken from its place.

    Parameters
    ----------
    brief : Brief
        The inquiry; for open air, since the dose-response function does not hold indoors.
    catalog : Catalog, dict, str or path, optional
        A catalog of your own.
    against : {"temperature_c", "so2_mg_m2_day"}
        The vertical axis.
    chloride_mg_m2_day : tuple of float
        Ends of the chloride axis [mg/(m²·d)], logarithmic.
    between : tuple of float, optional
        Ends of the vertical axis [°C], or [mg/(m²·d)] on a logarithmic axis.
    builds : sequence of dict, optional
        Builds to choose from, in the form of `wants.builds`; all of the catalog where left out.
    steps : int
        Cells along each axis; the time grows with its square (12: about two seconds with all builds).
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Chloride deposition [mg/(m²·d)] against temperature [°C] or SO2 deposition [mg/(m²·d)].

    Raises
    ------
    InvalidValueError
        An indoor place, or a range that holds a physically impossible value.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> brief = overcoat.Brief.from_json('''{
    ...     "schema": "overcoat.brief.v1", "name": "gate",
    ...     "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5},
    ...     "duty": {"place": "rural", "required_years": 5}}''')
    >>> figure = plots.environment_map(brief, steps=3)
    >>> figure.axes[0].get_xlabel()
    'chloride deposition [mg/(m²·d)]'
    """
    import numpy as np
    from matplotlib.collections import PolyCollection
    from matplotlib.patches import Patch
    from matplotlib.patheffects import AbstractPathEffect, withStroke

    if not isinstance(against, str):
        raise wrong("against", against, f"one of {', '.join(_LABELS)}", "Name one of them.")
    if against not in _LABELS:
        raise unknown("against", against, _LABELS, "Name one of them.")
    steps = whole_number("steps", steps, 1, 500, "Each cell is ranked: the time grows with the square.")
    logarithmic = against != "temperature_c"
    low, high = _USUAL[against] if between is None else _ends("between", between, logarithmic)
    catalog = catalog_of(catalog)
    question = _question(brief, catalog, builds)
    here = (question["duty"].get("chloride_mg_m2_day"), question["duty"].get(against))
    x_edges = np.geomspace(*_ends("chloride_mg_m2_day", chloride_mg_m2_day, True), steps + 1)
    y_edges = np.geomspace(low, high, steps + 1) if logarithmic else np.linspace(low, high, steps + 1)
    x = np.sqrt(x_edges[:-1] * x_edges[1:])
    y = np.sqrt(y_edges[:-1] * y_edges[1:]) if logarithmic else (y_edges[:-1] + y_edges[1:]) / 2

    first = np.empty((steps, steps), dtype=object)
    cells: dict[str, list[list[tuple[float, float]]]] = {}
    sure = np.full((steps, steps), np.nan)
    for row in range(steps):
        for column in range(steps):
            question["duty"]["chloride_mg_m2_day"] = float(x[column])
            question["duty"][against] = float(y[row])
            best = rank(Brief.from_json(json.dumps(question)), catalog).best
            name = _NONE_LEFT if best is None else short_name(best)
            first[row, column] = name
            if best is not None:
                sure[row, column] = 100 * best.outlook.probability_ok
            left, right = float(x_edges[column]), float(x_edges[column + 1])
            below, above = float(y_edges[row]), float(y_edges[row + 1])
            cells.setdefault(name, []).append([(left, below), (right, below), (right, above), (left, above)])

    figure, axes = single(height=5.4, ax=ax)
    handles = []
    for i, (name, corners) in enumerate(sorted(cells.items(), key=lambda item: -len(item[1]))):
        look: dict[str, Any] = {
            "facecolor": (*_tint(look_of_area(i)["color"]), 1.0),
            "edgecolor": "0.35",
            "hatch": look_of_area(i)["hatch"],
        }
        axes.add_collection(PolyCollection(corners, linewidth=0, **look))
        handles.append(Patch(label=name, linewidth=0.5, **look))
    axes.set_xscale("log")
    if logarithmic:
        axes.set_yscale("log")
    axes.set_xlim(x_edges[0], x_edges[-1])
    axes.set_ylim(y_edges[0], y_edges[-1])
    halo: list[AbstractPathEffect] = [withStroke(linewidth=3, foreground="white")]
    # where words stand already, as shares of the axes: those of this brief come first
    taken = [] if None in here else [_share_of_axes(axes, here)]
    for name in cells:
        # within one build alone: across the border to the next the probability jumps
        within = np.where(first == name, sure, np.nan)
        inside = within[np.isfinite(within)]
        levels = [level for level in _LEVELS if inside.size and inside.min() < level < inside.max()]
        if not levels or steps < 2:
            continue
        lines = axes.contour(
            x, y, np.ma.masked_invalid(within), levels=levels, colors="black", linewidths=1.2
        )
        lines.set_paths([_without_crumbs(axes, path) for path in lines.get_paths()])
        lines.set_path_effects(halo)
        _label_apart(axes, lines, taken, halo)
    if None not in here:
        axes.plot(*here, marker="D", color="black", markeredgecolor="white", markersize=8, zorder=4)
        axes.annotate(
            "this brief",
            here,
            textcoords="offset points",
            xytext=(7, 5),
            fontsize=9,
            path_effects=halo,
        )
    plain_numbers(axes.xaxis)
    if logarithmic:
        plain_numbers(axes.yaxis)
    axes.set_xlabel("chloride deposition [mg/(m²·d)]")
    axes.set_ylabel(_LABELS[against])
    name, corners = max(cells.items(), key=lambda item: len(item[1]))
    part = f"{100 * len(corners) / steps**2:.0f}% of the map"
    lead = f"On {part} {name}" if name == _NONE_LEFT else f"{name.replace(chr(10), ', ')}: #1 on {part}"
    lasts = years(question["duty"]["required_years"])
    figure.legend(
        handles=handles, fontsize=7, loc="outside lower center", ncols=2, frameon=False, handleheight=2
    )
    titled(axes, lead, f"Areas: the option that is #1; lines: its probability of {lasts}.")
    return figure


def _share_of_axes(axes: Axes, point: Any) -> tuple[float, float]:
    """Where a point is in the axes, from 0 to 1 either way."""
    across, up = axes.transAxes.inverted().transform(axes.transData.transform(point))
    return float(across), float(up)


def _without_crumbs(axes: Axes, path: Any) -> Any:
    """The pieces of a line that are long enough to be followed."""
    import numpy as np
    from matplotlib.path import Path

    kept = []
    for piece in path.to_polygons(closed_only=False):
        across, up = zip(*(_share_of_axes(axes, point) for point in piece), strict=True)
        if max(max(across) - min(across), max(up) - min(up)) > _CRUMB:
            kept.append(Path(piece))
    return Path.make_compound_path(*kept) if kept else Path(np.empty((0, 2)))


def _label_apart(axes: Axes, lines: Any, taken: list[tuple[float, float]], halo: Any) -> None:
    """Writes each level once, far from what stands already, or not at all where all is close."""
    for level, path in zip(lines.levels, lines.get_paths(), strict=True):
        points = [_share_of_axes(axes, vertex) for vertex in path.vertices]
        inside = [p for p in points if 0.04 < p[0] < 0.96 and 0.04 < p[1] < 0.96]
        clear = {
            p: min((max(abs(p[0] - a) / 2, abs(p[1] - b)) for a, b in taken), default=1.0) for p in inside
        }
        if not clear:
            continue
        # the middle of the line where nothing is near
        best = max(clear, key=lambda p: (min(clear[p], 0.15), -abs(p[1] - 0.5)))
        if clear[best] < 0.05:
            continue
        taken.append(best)
        axes.text(
            *best,
            f"{level:g}%",
            transform=axes.transAxes,
            fontsize=8,
            ha="center",
            va="center",
            path_effects=halo,
        )


def _tint(color: str) -> tuple[float, float, float]:
    """A color mixed with white, so that lines and hatches stand out on it."""
    from matplotlib.colors import to_rgb

    red, green, blue = (0.45 * part + 0.55 for part in to_rgb(color))
    return red, green, blue
