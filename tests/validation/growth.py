"""Loss over the years against measured series."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from statistics_of_sites import read_rows

import overcoat

# Multiples of the first year of ISO 9224:2012, Table 3, for steel beyond 20 years, read in a transcription.
PRINTED = ((25.0, 5.384), (50.0, 7.737), (100.0, 11.117))


@dataclass(frozen=True)
class Series:
    """Losses of one steel at one site over the years."""

    site: str
    grade: str
    years: tuple[float, ...]
    losses_um: tuple[float, ...]

    @property
    def exponent(self) -> float:
        """Slope of ln loss on ln years, least squares."""
        return float(np.polyfit(np.log(self.years), np.log(self.losses_um), 1)[0])

    def log_ratios(self, conservative: bool) -> list[tuple[float, float]]:
        """(years, ln(measured / computed from the measured first year)) after the first year."""
        first = dict(zip(self.years, self.losses_um, strict=True))[1.0]
        return [
            (t, math.log(loss / overcoat.long_term_loss("steel", first, t, conservative)))
            for t, loss in zip(self.years, self.losses_um, strict=True)
            if t > 1.0
        ]


def read_series(folder: Path) -> list[Series]:
    """Series with a first year and at least two later ones; repeated panels of a year by geometric mean."""
    path = folder / "china_station_steel_longterm.csv"
    if not path.is_file():
        return []
    groups: dict[tuple[str, str], dict[float, list[float]]] = {}
    for row in read_rows(path):
        if row["loss_um"]:
            of_series = groups.setdefault((row["site"], row["steel_grade"]), {})
            of_series.setdefault(float(row["exposure_years"]), []).append(math.log(float(row["loss_um"])))
    return [
        Series(
            site, grade, tuple(sorted(losses)), tuple(math.exp(np.mean(losses[t])) for t in sorted(losses))
        )
        for (site, grade), losses in groups.items()
        if 1.0 in losses and len(losses) >= 3
    ]


def site_means(series: list[Series], conservative: bool) -> dict[float, list[float]]:
    """ln(measured / computed) by years, one mean per site: steels at one site share its weather."""
    cells: dict[tuple[str, float], list[float]] = {}
    for one in series:
        for t, ratio in one.log_ratios(conservative):
            cells.setdefault((one.site, t), []).append(ratio)
    by_years: dict[float, list[float]] = {}
    for (_, t), ratios in cells.items():
        by_years.setdefault(t, []).append(float(np.mean(ratios)))
    return dict(sorted(by_years.items()))
