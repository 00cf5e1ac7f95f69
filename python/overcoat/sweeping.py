"""Tables of places: every build at every row, by the engine that also serves `rank`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._builds import build_texts
from overcoat._refusal import threads_of
from overcoat._tables import like, source

if TYPE_CHECKING:
    from collections.abc import Iterable

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
    table : dict of columns, pandas.DataFrame, polars.DataFrame, pyarrow.Table, DuckDB relation
        Or any object that exports an Arrow stream, in one chunk or many. Columns `temperature_c`,
        `relative_humidity_pct`, `so2_mg_m2_day`, `chloride_mg_m2_day` (units and ranges as in
        `first_year_loss`), and, where they differ by row, `required_years` [a] and `shelter` ("open",
        "sheltered", "indoor"). Other columns are left alone. Numbers may be of any floating-point, integer or
        decimal type. Contiguous columns are read where they lie.
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
        One row per input row and build, rows one after the other: `row` (from 0, to join by), `build`,
        `first_year_loss_um`, `category`, `median_years`, `p10_years`, `p90_years`, `probability_ok`, `score`,
        `blocked` and `reason`, which says why a row has no result or a weaker one.

        A row with a missing or impossible value has no result: null, in pandas NaN and NA, in dictionaries
        NaN, "" and False. Texts are categories, in dictionaries arrays of objects. A pyarrow.RecordBatch
        gives a pyarrow.RecordBatch. A pyarrow.RecordBatchReader and a DuckDB relation give a pyarrow.Table,
        which DuckDB queries by the name of its variable. An object of an unknown library gives a
        `SweptTable`, which exports an Arrow stream.

    Raises
    ------
    TableError
        A missing column, a column of another type, columns of unequal length. It names the column, the type
        found and the type wanted.
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
    swept = _core.sweep_table(
        _core.Brief.from_json(_PLAIN) if brief is None else brief,
        source(table),
        build_texts(builds),
        catalog,
        threads_of(threads),
    )
    return like(table, swept)
