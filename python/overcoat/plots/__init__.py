"""Pictures of answers, the air, records and sampling plans, as matplotlib figures that users restyle at will.

Each function gives a `matplotlib.figure.Figure`; nothing is shown or saved by itself. Every axis names its
unit. Colours are told apart by the colour-blind, and in grey print each line or area also has a dash or hatch
of its own.

Needs matplotlib: `pip install "overcoat[plots]"`.
"""

from __future__ import annotations

from overcoat.plots.air import loss_growth, wetness_year
from overcoat.plots.answer import shares, survival, tornado
from overcoat.plots.environment import environment_map
from overcoat.plots.learning import calibration, probability_plot
from overcoat.plots.lot import operating_characteristic

__all__ = [
    "calibration",
    "environment_map",
    "loss_growth",
    "operating_characteristic",
    "probability_plot",
    "shares",
    "survival",
    "tornado",
    "wetness_year",
]
