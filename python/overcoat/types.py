"""The kinds of objects that functions of overcoat give, for annotations and `isinstance`."""

from __future__ import annotations

from overcoat._core import (
    Backtest,
    BacktestScore,
    CabinetCheck,
    Estimate,
    FieldLog,
    FieldUpdate,
    FirstShare,
    FittedRecords,
    Measurement,
    MeasureNext,
    Wetness,
)
from overcoat._documents import Section as Section
from overcoat.files import SweptFile
from overcoat.grids import Grid
from overcoat.whatif import BreakEven, BreakEvenLine, Crossing, Sensitivity, SobolIndex, Stretch, TornadoBar

__all__ = [
    "Backtest",
    "BacktestScore",
    "BreakEven",
    "BreakEvenLine",
    "CabinetCheck",
    "Crossing",
    "Estimate",
    "FieldLog",
    "FieldUpdate",
    "FirstShare",
    "FittedRecords",
    "Grid",
    "MeasureNext",
    "Measurement",
    "Sensitivity",
    "SobolIndex",
    "Stretch",
    "SweptFile",
    "TornadoBar",
    "Wetness",
]
