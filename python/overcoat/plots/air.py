"""The atmosphere of a site: growth of the loss, and months in which surfaces are wet and salted."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from overcoat import atmosphere
from overcoat._refusal import invalid, listed, number, one_of, whole_number
from overcoat.plots._look import COLOURS, HATCHES, plain_numbers, single, titled
from overcoat.plots._look import years as said_years

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
_CATEGORIES = ["C1", "C2", "C3", "C4", "C5"]


def _upper_bound_um(metal: str, category: str) -> float:
    """Upper bound of a category, found by halving on the core's own classification."""
    low, high = 1e-4, 1e4
    while high / low > 1 + 1e-9:
        middle = (low * high) ** 0.5
        if atmosphere.corrosivity(metal, middle) <= category:
            low = middle
        else:
            high = middle
    return low


def _above(name: str, value: Any, least: float) -> float:
    allowed, remedy = f"a finite number above {least:g}", "Pass a larger number."
    found = number(name, value, allowed, remedy)
    if found <= least:
        raise invalid(name, value, allowed, remedy)
    return found


def loss_growth(
    first_year_loss_um: float, metal: str = "steel", years: float = 50.0, *, ax: Axes | None = None
) -> Figure:
    """Loss of bare metal over the years, between the corrosivity categories grown by the same rule.

    The line is the loss by the average exponent, the dashed one by the conservative exponent of ISO 9224. The
    bands are the first-year bounds of ISO 9223 grown by the average exponent.

    Parameters
    ----------
    first_year_loss_um : float
        Loss in the first year [µm], above 0.
    metal : {"steel", "zinc", "copper", "aluminium"}
        Standard metal of ISO 9223.
    years : float
        End of the time axis [yr], above 1.
    ax : matplotlib.axes.Axes, optional
        Axes to draw into; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Years [yr] and loss [µm], both on logarithmic axes.

    Raises
    ------
    UnknownNameError, InvalidValueError
        Another metal; a loss that is not a positive number.

    Examples
    --------
    >>> from overcoat import plots
    >>> plots.loss_growth(48.0).axes[0].get_ylabel()
    'loss of bare steel [µm]'
    """
    import numpy as np

    first_year_loss_um = _above("first_year_loss_um", first_year_loss_um, 0.0)
    years = _above("years", years, 1.0)
    category = atmosphere.corrosivity(metal, first_year_loss_um)
    time = np.geomspace(0.5, years, 200)
    figure, axes = single(ax=ax)
    bounds = [_upper_bound_um(metal, name) for name in _CATEGORIES]
    grown = [atmosphere.long_term_loss(metal, bound, time) for bound in bounds]
    own = atmosphere.long_term_loss(metal, first_year_loss_um, time)
    safe = atmosphere.long_term_loss(metal, first_year_loss_um, time, conservative=True)
    floor = min(grown[0][0] / 4, own[0] / 2)
    roof = max(grown[-1][-1] * 3, safe[-1] * 1.5)
    edges = [np.full_like(time, floor), *grown, np.full_like(time, roof)]
    for i, name in enumerate([*_CATEGORIES, "CX"]):
        axes.fill_between(
            time,
            edges[i],
            edges[i + 1],
            facecolor=str(0.97 - 0.06 * i),
            edgecolor="0.6",
            linewidth=0.5,
        )
        middle = (max(edges[i][-1], floor) * edges[i + 1][-1]) ** 0.5
        axes.annotate(
            name,
            (years, middle),
            textcoords="offset points",
            xytext=(4, 0),
            va="center",
            fontsize=9,
            fontweight="bold" if name == category else "normal",
            annotation_clip=False,
        )
    axes.plot(
        time, own, color=COLOURS[0], linewidth=2.2, label=f"{first_year_loss_um:.3g} µm in year 1, average"
    )
    axes.plot(time, safe, color=COLOURS[1], linewidth=2, linestyle="--", label="conservative exponent")
    axes.set_xscale("log")
    axes.set_yscale("log")
    axes.set_xlim(time[0], years)
    axes.set_ylim(floor, roof)
    plain_numbers(axes.xaxis)
    plain_numbers(axes.yaxis)
    axes.set_xlabel("years outdoors [yr]; bands: categories of ISO 9223, grown by ISO 9224")
    axes.set_ylabel(f"loss of bare {metal} [µm]")
    after = 20.0 if years >= 20.0 else years
    average, most = (
        atmosphere.long_term_loss(metal, first_year_loss_um, after, conservative=careful)
        for careful in (False, True)
    )
    titled(
        axes,
        f"{category}: bare {metal} loses {average:.0f} µm in {said_years(after)} on average, "
        f"{most:.0f} µm by the conservative exponent",
    )
    axes.legend(fontsize=8, loc="upper left", framealpha=0.9, handlelength=4)
    return figure


def wetness_year(
    time: Iterable[Any] | None,
    temperature_c: Any,
    relative_humidity_pct: Any,
    salt_months: Iterable[int] = (),
    chloride_mg_m2_day: Sequence[float] | None = None,
    *,
    ax: Axes | Sequence[Axes] | None = None,
) -> Figure:
    """Wet hours by month, with the months of salted roads and the chloride deposition.

    Corrosion needs water and salt at once: a place whose salt falls into its wet months is harder than the
    yearly means say. Hours are counted by `time_of_wetness` (T > 0 °C and RH > 80%); where readings of a
    month are missing, its count is scaled over the gaps.

    Parameters
    ----------
    time : column of dates and times, or of months
        Of each reading: datetimes, text like 2023-01-01T00:00, or the month, 1 to 12.
    temperature_c, relative_humidity_pct : column
        Hourly air temperature [°C] and relative humidity [%]; NaN or null is a gap.
    salt_months : iterable of int
        Months in which roads are salted, 1 to 12.
    chloride_mg_m2_day : sequence of 12 floats, optional
        Chloride deposition by month [mg/(m²·d)], January first.
    ax : matplotlib.axes.Axes or two of them, optional
        Axes to draw into, the second for the chloride where it is given; a new figure by default.

    Returns
    -------
    matplotlib.figure.Figure
        Share of wet hours [%] by month, and below it chloride [mg/(m²·d)] where given.

    Raises
    ------
    TableError, InvalidValueError
        Columns of unequal length, no reading, a value out of range, or what is not a month.

    Examples
    --------
    >>> import overcoat
    >>> from overcoat import plots
    >>> time = ["2023-01-01T00:00", "2023-01-01T01:00", "2023-07-01T00:00"]
    >>> figure = plots.wetness_year(time, [3.0, 4.0, 18.0], [92.0, 70.0, 60.0], salt_months=[12, 1, 2])
    >>> figure.axes[0].get_ylabel()
    'share of hours wet [%]'

    Of a record that was read from a file:

    >>> record = overcoat.ClimateRecord.from_csv('''time,temperature_c,relative_humidity_pct
    ... 2023-01-01T00:00,3.0,92
    ... 2023-01-01T01:00,4.0,70
    ... ''')
    >>> figure = plots.wetness_year(record.month, record.temperature_c, record.relative_humidity_pct)
    """
    import numpy as np
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from overcoat._columns import as_column, table_error

    temperature = as_column("temperature_c", temperature_c, gaps=True)
    humidity = as_column("relative_humidity_pct", relative_humidity_pct, gaps=True)
    if time is None:
        raise table_error("time", None, "the record has no times", "Give its file a column `time`.")
    most = len(temperature) + 1
    stamps = listed("time", time, "a column of times", "Give as many as there are readings.", most)
    if all(isinstance(stamp, (int, np.integer)) for stamp in stamps):
        if not all(1 <= stamp <= 12 for stamp in stamps):
            raise table_error(
                "time", None, "numbers that are not months", "Give months from 1 to 12, or times."
            )
        month_of = np.array(stamps, dtype=int) - 1
    else:
        try:
            times = np.asarray(stamps, dtype="datetime64[M]")
        except (TypeError, ValueError, OverflowError) as error:
            raise table_error(
                "time", None, f"no times: {error}", "Write them as 2023-01-01T00:00."
            ) from error
        if times.ndim != 1:
            raise table_error("time", None, f"expected one dimension, found {times.ndim}", "Give times.")
        if np.isnat(times).any():
            row = int(np.flatnonzero(np.isnat(times))[0]) + 1
            raise table_error("time", row, "no time", "Fill or drop the row first.")
        month_of = times.astype(int) % 12
    for name, column in (("temperature_c", temperature), ("relative_humidity_pct", humidity)):
        if len(column) != len(stamps):
            raise table_error(
                name, None, f"{len(column)} rows, where `time` has {len(stamps)}", "Give equal lengths."
            )
    months_given = listed("salt_months", salt_months, "a list of months", "Give months from 1 to 12.", 1000)
    salted = sorted(
        {whole_number("salt_months", month, 1, 12, "Give months from 1 to 12.") for month in months_given}
    )
    if chloride_mg_m2_day is not None:
        salt = as_column("chloride_mg_m2_day", chloride_mg_m2_day)
        if len(salt) != 12:
            raise table_error("chloride_mg_m2_day", None, f"{len(salt)} values", "Pass one value per month.")
        if not (np.isfinite(salt) & (salt >= 0)).all():
            month = int(np.flatnonzero(~(np.isfinite(salt) & (salt >= 0)))[0]) + 1
            raise table_error("chloride_mg_m2_day", month, "negative or infinite", "Pass a deposition.")

    wet = np.full(12, np.nan)
    for month in range(12):
        here = month_of == month
        if (~np.isnan(temperature[here]) & ~np.isnan(humidity[here])).any():
            found = atmosphere.time_of_wetness(temperature[here], humidity[here])
            wet[month] = 100 * found.counted_wet_hours / found.valid_hours

    if np.isnan(wet).all():
        raise table_error("temperature_c", None, "no reading", "Give temperature and humidity of some hour.")

    panels = 1 if chloride_mg_m2_day is None else 2
    if ax is None:
        figure = Figure(figsize=(7.2, 3.4 + 1.6 * (panels - 1)), layout="constrained")
        grid = list(
            figure.subplots(panels, 1, sharex=True, squeeze=False, height_ratios=[2, 1][:panels])[:, 0]
        )
    else:
        remedy = "Enter one for the wet hours, and one for the chloride where it is given."
        grid = [ax] if isinstance(ax, Axes) else listed("ax", ax, "axes of matplotlib", remedy, 100)
        if len(grid) != panels:
            raise invalid("ax", f"{len(grid)} axes", f"{panels} axes", remedy)
        for one in grid:
            figure, _ = single(ax=one_of("ax", one, Axes, remedy))
    rows = [(grid[0], wet, "share of hours wet [%]", COLOURS[0], HATCHES[0])]
    if chloride_mg_m2_day is not None:
        rows.append((grid[1], salt, "chloride\n[mg/(m²·d)]", COLOURS[1], HATCHES[1]))
    for axes, values, label, color, hatch in rows:
        for month in salted:
            axes.axvspan(
                month - 1.5,
                month - 0.5,
                facecolor="0.9",
                label="roads salted" if month == salted[0] and axes is grid[0] else None,
            )
        axes.bar(range(12), values, width=0.7, color=color, hatch=hatch, edgecolor="white", zorder=2)
        axes.set_ylabel(label)
        axes.grid(axis="y", color="0.85", zorder=0)
        axes.set_axisbelow(True)
        axes.set_xlim(-0.5, 11.5)
    for month in np.flatnonzero(np.isnan(wet)).tolist():
        grid[0].text(month, 1, "no\nreading", ha="center", va="bottom", fontsize=7)
    grid[0].set_ylim(0, 100)
    grid[-1].set_xticks(range(12), _MONTHS)
    grid[-1].set_xlabel("wet: above 0 °C and 80% relative humidity")
    wettest = int(np.nanargmax(wet))
    head = f"Wettest in {month_name[wettest + 1]}: {wet[wettest]:.0f}% of the hours"
    if salted and wettest + 1 in salted:
        head += ", while roads are salted"
    titled(grid[0], head, f"{np.nanmean(wet):.0f}% on average over the months.")
    if salted:
        grid[0].legend(fontsize=8, loc="upper center", frameon=False)
    return figure
