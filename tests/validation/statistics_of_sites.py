"""Reading reference tables, and statistics that count a site once."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np


def read_rows(path: Path) -> list[dict[str, str]]:
    """Rows of a table by column; lines that start with # are comments."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def number(text: str | None) -> float | None:
    """A cell as a number; none where it is empty."""
    return float(text) if text not in (None, "") else None


@dataclass(frozen=True)
class Exposure:
    """One measured first-year loss beside the one computed for it."""

    programme: str
    site: str
    metal: str
    temperature_c: float
    relative_humidity_pct: float
    so2_mg_m2_day: float
    chloride_mg_m2_day: float
    measured_um: float
    computed_um: float
    # ln of what an outlook multiplies the computed loss by
    bias_ln: float = 0.0

    @property
    def log_ratio(self) -> float:
        """ln(measured / computed): above 0 the model promises too little attack."""
        return math.log(self.measured_um / self.computed_um)


@dataclass(frozen=True)
class Agreement:
    """How computed losses compare with measured ones; `ours` with the bias that an outlook takes."""

    rows: int
    sites: int
    bias: float
    standard_error: float
    spread: float
    within_standard: float
    within_ours: float
    above_80: float
    below_80: float
    hits: float
    hits_or_next: float

    @property
    def within_80(self) -> float:
        """Share of sites in the 80 % band of an outlook."""
        return 1.0 - self.above_80 - self.below_80


CATEGORIES = ["C1", "C2", "C3", "C4", "C5", "CX"]


def agreement(
    exposures: list[Exposure], standard_log_sd: float, our_log_sd: float, category
) -> Agreement | None:
    """Statistics of site means: the years of one site are not independent, so a site counts once.

    Means are taken of logarithms. Fewer than three sites say nothing.
    """
    by_site: dict[tuple[str, str], list[Exposure]] = {}
    for exposure in exposures:
        by_site.setdefault((exposure.programme, exposure.site), []).append(exposure)
    if len(by_site) < 3:
        return None
    measured = np.array([np.mean([math.log(e.measured_um) for e in s]) for s in by_site.values()])
    computed = np.array([np.mean([math.log(e.computed_um) for e in s]) for s in by_site.values()])
    ratios = measured - computed
    of_outlook = ratios - np.array([np.mean([e.bias_ln for e in s]) for s in by_site.values()])
    metal = exposures[0].metal
    steps = [
        abs(CATEGORIES.index(category(metal, math.exp(m))) - CATEGORIES.index(category(metal, math.exp(c))))
        for m, c in zip(measured, computed, strict=True)
    ]
    spread = float(np.std(ratios, ddof=1))
    return Agreement(
        rows=len(exposures),
        sites=len(by_site),
        bias=float(np.mean(ratios)),
        standard_error=spread / math.sqrt(len(by_site)),
        spread=spread,
        within_standard=float(np.mean(np.abs(ratios) <= standard_log_sd)),
        within_ours=float(np.mean(np.abs(of_outlook) <= our_log_sd)),
        above_80=float(np.mean(of_outlook > 1.2816 * our_log_sd)),
        below_80=float(np.mean(of_outlook < -1.2816 * our_log_sd)),
        hits=float(np.mean([step == 0 for step in steps])),
        hits_or_next=float(np.mean([step <= 1 for step in steps])),
    )
