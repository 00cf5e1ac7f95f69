"""Figures of the validation report; they show measured points and so are never committed."""

from __future__ import annotations

import math
from pathlib import Path

import first_year
import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

MARKS = {
    "ICP Materials": ("o", "#0072B2"),
    "MICAT": ("s", "#D55E00"),
    "ISO CORRAG": ("^", "#009E73"),
    "Russian sites": ("D", "#CC79A7"),
}


def _save(figure, path: Path) -> None:
    figure.savefig(path, dpi=130, metadata={"Software": None})
    plt.close(figure)


def measured_against_computed(found, path: Path) -> None:
    """Losses of steel, measured over computed, with the standard's band and ours."""
    figure, axes = plt.subplots(figsize=(6.4, 5.6), layout="constrained")
    line = np.array([0.1, 300.0])
    axes.plot(line, line, color="black", lw=1)
    axes.fill_between(line, line / 1.5, line * 1.5, color="0.75", label="-33 to +50 % (ISO 9223)")
    for sign in (-1, 1):
        axes.plot(
            line,
            line * math.exp(sign * 1.2816 * 0.41),
            color="0.3",
            ls="--",
            lw=1,
            label="80 % of cases, overcoat" if sign == 1 else None,
        )
    for name in first_year.PRIMARY:
        points = [e for e in found.get(name, []) if e.metal == "steel"]
        mark, colour = MARKS[name]
        axes.plot(
            [e.computed_um * math.exp(e.bias_ln) for e in points],
            [e.measured_um for e in points],
            ls="",
            marker=mark,
            ms=4,
            mfc="none",
            color=colour,
            label=name,
        )
    axes.set(
        xscale="log",
        yscale="log",
        xlim=line,
        ylim=line,
        xlabel="computed first-year loss of steel, µm",
        ylabel="measured first-year loss of steel, µm",
    )
    axes.legend(frameon=False, fontsize=8)
    _save(figure, path)


def ratio_by_climate(found, path: Path) -> None:
    """Measured over computed against temperature and against SO2, to show where the function bends."""
    figure, panels = plt.subplots(1, 2, figsize=(9.2, 4.2), sharey=True, layout="constrained")
    for axes, field, label in (
        (panels[0], "temperature_c", "annual mean temperature, °C"),
        (panels[1], "so2_mg_m2_day", "SO2 deposition, mg/(m²·d)"),
    ):
        axes.axhspan(1 / 1.5, 1.5, color="0.88")
        axes.axhline(1.0, color="black", lw=1)
        for name in first_year.PRIMARY:
            points = [e for e in found.get(name, []) if e.metal == "steel"]
            mark, colour = MARKS[name]
            axes.plot(
                [getattr(e, field) for e in points],
                [math.exp(e.log_ratio) for e in points],
                ls="",
                marker=mark,
                ms=4,
                mfc="none",
                color=colour,
                label=name,
            )
        axes.set(xlabel=label, yscale="log")
    panels[1].set_xscale("log")
    panels[0].set_ylabel("measured / computed loss of steel")
    panels[0].legend(frameon=False, fontsize=8)
    _save(figure, path)


def growth_of_series(series, path: Path) -> None:
    """Measured loss over the years beside t^b from the measured first year."""
    figure, axes = plt.subplots(figsize=(6.4, 4.6), layout="constrained")
    years = np.geomspace(1, 16, 50)
    axes.plot(years, years**0.523, color="black", label="average exponent 0.523")
    axes.plot(years, years**0.575, color="black", ls="--", label="conservative exponent 0.575")
    styles = ["-", "--", ":", "-."]
    for i, site in enumerate(sorted({one.site for one in series})):
        for j, one in enumerate([one for one in series if one.site == site]):
            first = one.losses_um[0]
            axes.plot(
                one.years,
                np.array(one.losses_um) / first,
                color=plt.cm.viridis(i / 4),
                ls=styles[i % 4],
                lw=0.9,
                marker="o",
                ms=3,
                label=site if j == 0 else None,
            )
    axes.set(xscale="log", yscale="log", xlabel="years", ylabel="loss / loss of the first year")
    axes.legend(frameon=False, fontsize=8)
    _save(figure, path)


def residuals(found, path: Path) -> None:
    """Site means of ln(measured over what an outlook takes), beside the normal curve that is assumed."""
    figure, axes = plt.subplots(figsize=(6.4, 4.0), layout="constrained")
    sites: dict[tuple[str, str], list[float]] = {}
    for exposure in first_year.primary(found):
        sites.setdefault((exposure.programme, exposure.site), []).append(
            exposure.log_ratio - exposure.bias_ln
        )
    means = [float(np.mean(ratios)) for ratios in sites.values()]
    axes.hist(means, bins=np.arange(-3, 2.01, 0.2), density=True, color="0.7", label=f"{len(means)} sites")
    x = np.linspace(-3, 2, 200)
    axes.plot(x, np.exp(-0.5 * (x / 0.41) ** 2) / (0.41 * math.sqrt(2 * math.pi)), "k--", label="log sd 0.41")
    axes.set(
        xlabel="ln(measured / first-year loss of steel that an outlook takes)", ylabel="density of sites"
    )
    axes.legend(frameon=False)
    _save(figure, path)
