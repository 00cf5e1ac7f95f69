"""Black finishes for fasteners: from an inquiry to a ranked, explained and sourced finish to order.

Examples
--------
>>> import overcoat as oc
>>> brief = oc.Brief(
...     name="guard plates in a heated hall",
...     part={"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
...     duty={"place": "indoor_heated", "required_years": 10},
...     wants={"outside_blackening": False},
... )
>>> ranking = oc.rank(brief)
>>> ranking.best.build.treatment
'hot_alkaline'
>>> ranking.best.build in ranking, len(ranking[:3])
(True, 3)
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat import _objects
from overcoat._core import (
    Brief,
    Build,
    BuildError,
    Catalog,
    ClimateRecord,
    Cost,
    DocumentError,
    Finding,
    InvalidValueError,
    Option,
    Outlook,
    OvercoatError,
    Papers,
    Ranking,
    TableError,
    UnknownNameError,
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
from overcoat.choices import chart
from overcoat.field import backtest, update_field
from overcoat.files import sweep_batches, sweep_file
from overcoat.grids import grid, span
from overcoat.records import fit_records
from overcoat.sweeping import sweep
from overcoat.whatif import best, break_even, pareto, sensitivity

if TYPE_CHECKING:
    from overcoat import plots

# another name of it
read_brief = Brief.from_json

__all__ = [
    "Brief",
    "Build",
    "BuildError",
    "Catalog",
    "ClimateRecord",
    "Cost",
    "DocumentError",
    "ExtrapolationWarning",
    "Finding",
    "InvalidValueError",
    "Option",
    "Outlook",
    "OvercoatError",
    "Papers",
    "Ranking",
    "TableError",
    "UnknownNameError",
    "__version__",
    "backtest",
    "best",
    "break_even",
    "chart",
    "corrosivity",
    "first_year_loss",
    "first_year_losses",
    "fit_records",
    "grid",
    "long_term_loss",
    "pareto",
    "plots",
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


_objects.complete()

# what is documented under the name of its module
_DOCUMENTED = ("atmosphere", "records", "whatif")
# imported when they are first asked for: they need what not everyone has, or few
_MODULES = ("panels", "plots", "types")


def __dir__() -> list[str]:
    """The public names and modules, for completion."""
    return sorted([*__all__, *_DOCUMENTED, *(name for name in _MODULES if name not in __all__)])


def __getattr__(name: str) -> Any:
    """The modules that are imported when they are first asked for."""
    if name in _MODULES:
        import importlib

        return importlib.import_module(f"overcoat.{name}")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
