"""Tables of places: every build at every row, by the engine that also serves `rank`."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._columns import as_column, table_error

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np

_AIR = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
_CATEGORIES = ("C1", "C2", "C3", "C4", "C5", "CX")
_PLAIN = """{"schema": "overcoat.brief.v1", "name": "sweep", "part": {"base_metal": "steel_4_6"},
    "duty": {"required_years": 5}}"""


def sweep(
    table: Any,
    builds: Iterable[_core.Build | str] | None = None,
    catalog: _core.Catalog | None = None,
    threads: int | None = None,
    *,
    brief: _core.Brief | None = None,
) -> Any:
    """The outlook and score of every build at every row of a table.

    Parameters
    ----------
    table : dict of columns, pandas.DataFrame, polars.DataFrame or pyarrow.Table
        Columns `temperature_c`, `relative_humidity_pct`, `so2_mg_m2_day`, `chloride_mg_m2_day` (units and
        ranges as in `first_year_loss`), and, where they differ by row, `required_years` [a] and `shelter`
        ("open", "sheltered", "indoor"). Other columns are left alone.
    builds : iterable of Build or str, optional
        The builds, as objects or as a ranking prints them; those that `rank` would try by default.
    catalog : Catalog, optional
        The built-in one by default.
    threads : int, optional
        Threads to use; all processors by default. The results are the same bits for any number.
    brief : Brief, optional
        Brings the part, the wants and everything of the duty that is no column; by default a plain part of
        low-carbon steel and five years.

    Returns
    -------
    table of the kind that came in
        One row per input row and build, rows one after the other: `row` (from 0), `build`,
        `first_year_loss_um`, `category`, `median_years`, `p10_years`, `p90_years`, `probability_ok`, `score`,
        `blocked` and `reason`, which says why a row has no result or a weaker one. A row with a missing or
        impossible value has NaN.

    Raises
    ------
    TableError
        A missing column, a column of another type, columns of unequal length.
    UnknownNameError, BuildError
        An unknown name, or films in an impossible order.

    Examples
    --------
    >>> found = sweep(
    ...     {
    ...         "temperature_c": [9.0, 12.0],
    ...         "relative_humidity_pct": [78.0, 80.0],
    ...         "so2_mg_m2_day": [3.0, 4.0],
    ...         "chloride_mg_m2_day": [2.0, 80.0],
    ...     },
    ...     builds=["steel_4_6 / hot_alkaline / hard_wax", "steel_4_6 / hot_alkaline / polyester_powder"],
    ... )
    >>> [str(category) for category in found["category"]]
    ['C2', 'C2', 'C4', 'C4']
    """
    names = _names(table)
    air = {}
    for name in _AIR:
        if name not in names:
            raise table_error(name, None, "missing", f"The table needs {', '.join(_AIR)}.")
        air[name] = as_column(name, table[name], gaps=True)
    years = None
    if "required_years" in names:
        years = as_column("required_years", table["required_years"], gaps=True)
    shelter = None
    if "shelter" in names:
        shelter = [word if isinstance(word, str) else None for word in _words(table["shelter"])]
    found = _core.sweep_columns(
        brief or _core.Brief.from_json(_PLAIN),
        air["temperature_c"],
        air["relative_humidity_pct"],
        air["so2_mg_m2_day"],
        air["chloride_mg_m2_day"],
        years,
        shelter,
        None if builds is None else [str(build) for build in builds],
        catalog,
        threads or os.cpu_count() or 1,
    )
    return _like(table, _columns(found))


def _names(table: Any) -> set[str]:
    if hasattr(table, "column_names"):
        return set(table.column_names)
    return set(table.columns) if hasattr(table, "columns") else set(table)


def _words(column: Any) -> list[Any]:
    for method in ("to_pylist", "to_list", "tolist"):
        if hasattr(column, method):
            return list(getattr(column, method)())
    return list(column)


def _columns(found: dict[str, Any]) -> dict[str, np.ndarray[Any, Any]]:
    import numpy as np

    builds = np.array(found.pop("builds"))
    reasons = np.array(found.pop("reasons"))
    codes = found["build"]
    rows = np.arange(len(codes)) // max(len(builds), 1)
    categories = np.array([*_CATEGORIES, ""])[found["category"]]
    return {
        "row": rows,
        **found,
        "build": builds[codes],
        "category": categories,
        "reason": reasons[found["reason"]],
    }


def _like(table: Any, columns: dict[str, np.ndarray[Any, Any]]) -> Any:
    """The answer in the kind of table that came in."""
    kind = type(table).__module__.partition(".")[0]
    if kind == "pandas":
        import pandas

        return pandas.DataFrame(columns)
    if kind == "polars":
        import polars

        return polars.DataFrame(columns)
    if kind == "pyarrow":
        import pyarrow

        return pyarrow.table(columns)
    return columns
