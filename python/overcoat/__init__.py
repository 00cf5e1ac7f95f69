"""Black finishes for fasteners: from an inquiry to a ranked, explained and sourced finish to order.

Examples
--------
>>> import overcoat
>>> brief = overcoat.Brief.from_json('''{
...     "schema": "overcoat.brief.v1",
...     "name": "guard plates in a heated hall",
...     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
...     "duty": {"place": "indoor_heated", "required_years": 10}
... }''')
>>> best = overcoat.rank(brief).best
>>> best.build.treatment
'hot_alkaline'
"""

from __future__ import annotations

from overcoat._core import (
    Backtest,
    BacktestScore,
    Brief,
    Build,
    BuildError,
    CabinetCheck,
    Catalog,
    ClimateRecord,
    Cost,
    DocumentError,
    Estimate,
    FieldLog,
    FieldUpdate,
    Finding,
    FirstShare,
    FittedRecords,
    InvalidValueError,
    Measurement,
    MeasureNext,
    Option,
    Outlook,
    OvercoatError,
    Papers,
    Ranking,
    SweptTable,
    TableError,
    UnknownNameError,
    Wetness,
    __version__,
    rank,
    schema,
)
from overcoat.atmosphere import (
    ExtrapolationWarning,
    corrosivity,
    first_year_loss,
    first_year_losses,
    long_term_loss,
    time_of_wetness,
)
from overcoat.field import backtest, update_field
from overcoat.files import SweptFile, sweep_batches, sweep_file
from overcoat.grids import Grid, grid, span
from overcoat.panels import panel
from overcoat.records import check_cabinet, fit_records, merge_estimates
from overcoat.sweeping import sweep
from overcoat.units import read_brief
from overcoat.whatif import (
    BreakEven,
    BreakEvenLine,
    Sensitivity,
    best,
    break_even,
    category_up,
    pareto,
    sensitivity,
)

__all__ = [
    "Backtest",
    "BacktestScore",
    "BreakEven",
    "BreakEvenLine",
    "Brief",
    "Build",
    "BuildError",
    "CabinetCheck",
    "Catalog",
    "ClimateRecord",
    "Cost",
    "DocumentError",
    "Estimate",
    "ExtrapolationWarning",
    "FieldLog",
    "FieldUpdate",
    "Finding",
    "FirstShare",
    "FittedRecords",
    "Grid",
    "InvalidValueError",
    "MeasureNext",
    "Measurement",
    "Option",
    "Outlook",
    "OvercoatError",
    "Papers",
    "Ranking",
    "Sensitivity",
    "SweptFile",
    "SweptTable",
    "TableError",
    "UnknownNameError",
    "Wetness",
    "__version__",
    "backtest",
    "best",
    "break_even",
    "category_up",
    "check_cabinet",
    "corrosivity",
    "first_year_loss",
    "first_year_losses",
    "fit_records",
    "grid",
    "long_term_loss",
    "merge_estimates",
    "panel",
    "pareto",
    "rank",
    "read_brief",
    "schema",
    "sensitivity",
    "span",
    "sweep",
    "sweep_batches",
    "sweep_file",
    "time_of_wetness",
    "update_field",
]
