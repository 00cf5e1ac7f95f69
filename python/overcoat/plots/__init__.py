"""Pictures of an answer, of what-ifs, air, records and sampling, as matplotlib figures to restyle at will.

Each function gives a `matplotlib.figure.Figure`; nothing is shown or saved by itself. Every axis names its
unit. Colors are told apart by the color-blind, and in grey print each line or area also has its own
dash or hatch.

Needs matplotlib: `pip install "overcoat[plots]"`.
"""

from __future__ import annotations

from overcoat._extras import needs

with needs("plots", "a picture"):
    import matplotlib  # noqa: F401

from overcoat.plots.air import loss_growth, wetness_year
from overcoat.plots.answer import cost_probability, shares, survival, tornado
from overcoat.plots.environment import environment_map
from overcoat.plots.learning import calibration, probability_plot
from overcoat.plots.lot import operating_characteristic
from overcoat.plots.whatif import break_even_line, sobol_bars, tornado_bars

__all__ = [
    "break_even_line",
    "calibration",
    "cost_probability",
    "environment_map",
    "loss_growth",
    "operating_characteristic",
    "probability_plot",
    "shares",
    "sobol_bars",
    "survival",
    "tornado",
    "tornado_bars",
    "wetness_year",
]
