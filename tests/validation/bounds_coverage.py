"""How often the bounds of a median enclose it: simulated logs of known truth."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

import overcoat

LOGS = 1000
MEDIAN_HOURS, SCALE = 80.0, 0.5
CONFIDENCE = 0.9


class Design(NamedTuple):
    """How a log comes about."""

    words: str
    panels: int
    end_hours: float
    inspection_hours: float | None = None


DESIGNS = [
    Design("until all have failed", 5, math.inf),
    Design("until all have failed", 10, math.inf),
    Design("ended at 90 h", 10, 90.0),
    Design("ended at 60 h", 20, 60.0),
    Design("looked at once a day, ended at 120 h", 20, 120.0, 24.0),
]


class Coverage(NamedTuple):
    """Share of the logs with an estimate whose bounds enclose the truth."""

    distribution: str
    design: Design
    logs: int
    share: float
    error: float
    without_estimate: int


def simulate(distribution: str, design: Design, seed: int) -> Coverage:
    rng = np.random.default_rng(seed)
    enclosed = logs = without = 0
    for _ in range(LOGS):
        even = rng.random(design.panels)
        if distribution == "weibull":
            # quantiles of the smallest extreme value, about its median
            z = np.log(-np.log1p(-even)) - math.log(math.log(2))
        else:
            z = rng.standard_normal(design.panels)
        hours = MEDIAN_HOURS * np.exp(SCALE * z)
        intact = hours > design.end_hours
        until = None
        if design.inspection_hours is not None:
            last = np.floor(hours / design.inspection_hours) * design.inspection_hours
            until = np.where(intact, np.nan, last + design.inspection_hours)
            hours = last
        hours = np.where(intact, design.end_hours, hours)
        try:
            fitted = overcoat.fit_records(
                hours, ~intact, until, distribution=distribution, confidence=CONFIDENCE
            )
        except overcoat.OvercoatError:
            without += 1
            continue
        if fitted.kind != "estimate":
            without += 1
            continue
        low, high = fitted.bounds_hours
        logs += 1
        enclosed += (low is None or low <= MEDIAN_HOURS) and (high is None or high >= MEDIAN_HOURS)
    share = enclosed / logs
    return Coverage(distribution, design, logs, share, math.sqrt(share * (1 - share) / logs), without)


def all_designs() -> list[Coverage]:
    return [
        simulate(distribution, design, 100 * i + j)
        for i, distribution in enumerate(("lognormal", "weibull"))
        for j, design in enumerate(DESIGNS)
    ]
