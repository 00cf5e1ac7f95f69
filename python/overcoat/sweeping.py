"""Tables of places: every build at every row, or the best build of each row."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar, overload

from overcoat._builds import builds_and_catalog
from overcoat._refusal import threads_of, truth
from overcoat._swept import Remarks, brief_or_plain, result_names, swept_of
from overcoat._table import Given

if TYPE_CHECKING:
    import pandas as pd
    import polars as pl
    from numpy.typing import NDArray

    from overcoat._swept import BriefLike, BuildLike, CatalogLike

    Frame = TypeVar("Frame", pd.DataFrame, pl.DataFrame, pl.LazyFrame)


@overload
def sweep(
    table: Frame,
    brief: BriefLike | None = None,
    *,
    builds: Iterable[BuildLike] | None = None,
    catalog: CatalogLike | None = None,
    threads: int | None = None,
    best_only: bool = False,
    columns: Sequence[str] | None = None,
) -> Frame: ...


@overload
def sweep(
    table: Mapping[str, Any],
    brief: BriefLike | None = None,
    *,
    builds: Iterable[BuildLike] | None = None,
    catalog: CatalogLike | None = None,
    threads: int | None = None,
    best_only: bool = False,
    columns: Sequence[str] | None = None,
) -> dict[str, NDArray[Any]]: ...


@overload
def sweep(
    table: Any,
    brief: BriefLike | None = None,
    *,
    builds: Iterable[BuildLike] | None = None,
    catalog: CatalogLike | None = None,
    threads: int | None = None,
    best_only: bool = False,
    columns: Sequence[str] | None = None,
) -> Any: ...


def sweep(
    table: Any,
    brief: BriefLike | None = None,
    *,
    builds: Iterable[BuildLike] | None = None,
    catalog: CatalogLike | None = None,
    threads: int | None = None,
    best_only: bool = False,
    columns: Sequence[str] | None = None,
) -> Any:
    """The years, cost and score of every build at every row of a table, or of the best build of each row.

    Parameters
    ----------
    table : pandas.DataFrame, polars.DataFrame or LazyFrame, pyarrow.Table, dict of columns, DuckDB relation
        Or any object that exports an Arrow stream. Each column that is a field of the duty is obeyed, with or
        without `duty.` before its name: the four inputs `temperature_c` [°C], `relative_humidity_pct` [%],
        `so2_mg_m2_day` and `chloride_mg_m2_day` [mg/(m²·d)] with the ranges of `first_year_loss`, or `place`,
        or `first_year_steel_loss_um` [µm]; `required_years` [a], `shelter`, `handling`, `heat_continuous_c`
        [°C] and so on (`overcoat.schema("brief")` lists them). What is a list or an object in a brief is its
        JSON. A null or empty cell of one of the four inputs, of `required_years` or of `shelter` leaves its
        row without a result, and `row_status` says which, unless the row names a place, a measured loss or a
        category instead, or `sea_distance_m` brings the chloride; in any other column it means that nothing
        is said, so the brief speaks for that row. A column that is nearly such a field is rejected with the
        nearest name, and one that is a field of the part or the wants, which a sweep does not vary; all
        others are carried along.
    brief : Brief, dict, str or path, optional
        Brings the part, the wants and everything of the duty that is not a column; by default a plain part of
        low-carbon steel and five years. Where the table has all four inputs of the atmosphere, they replace
        those of the brief.
    builds : iterable of Build, Option or str, optional
        The builds; those that `rank` would try by default.
    catalog : Catalog, dict, str or path, optional
        By default that of the options among the builds, else the built-in one.
    threads : int, optional
        Threads to use; all processors by default. The results are the same bits for any number.
    best_only : bool
        Keep the best build of each row, in the order of a ranking; blocked ones stand behind. A row without a
        result keeps its line, with its status and no build.
    columns : sequence of str, optional
        Columns of results to compute and return; all of those below by default. `burden` is given where it is
        named: what settles ties of the score, the lowest first: 100 for each finding that warns or needs a
        step, 1 more for each step, 100,000 more for each danger, 1,000,000 for a bath of hexavalent chromium.
        `dangers` too: how many findings say that the part can break, its joint open or a welder be harmed.
        Input columns are carried in any case.

    Returns
    -------
    table of the kind that came in
        The rows that came in with their columns and index, each as often as it has results, rows in their
        order; then `build`, `base_metal`, `treatment`, `films`, `category`, `first_year_loss_um` [µm],
        `median_years`, `p10_years`, `p90_years` [a], `probability_ok`, `cost_per_thousand`, `currency`,
        `score`, `met`, `blocked`, `blocked_by` (the rules that block it) and `row_status` ("ok",
        "extrapolated" outside the validity of the dose-response function, either with "_beyond_evidence"
        where the required years exceed the longest life observed of the build, whose probability then must
        not be quoted and which is not `met`; or why the row has no result).

        Where a row has no result, numbers are null (NaN in pandas and dictionaries). Dictionaries give arrays
        of NumPy; a DuckDB relation or another exporter of Arrow gives a pyarrow.Table.

    Raises
    ------
    TableError
        Rows whose air nothing says; a column of another type, of another length, or named like a result. It
        names the column.
    UnknownNameError
        A column that is nearly a field of the duty; an unknown name in the brief or the builds.
    BuildError
        Films in an impossible order.

    Warns
    -----
    UserWarning
        What a ranking of a row remarks and the results do not say, such as a field that is given and not
        used: one warning for all rows.

    Examples
    --------
    >>> found = sweep(
    ...     {
    ...         "site": ["valley", "quay"],
    ...         "temperature_c": [9.0, 12.0],
    ...         "relative_humidity_pct": [78.0, 80.0],
    ...         "so2_mg_m2_day": [3.0, 4.0],
    ...         "chloride_mg_m2_day": [2.0, 80.0],
    ...     },
    ...     builds=["steel_4_6 / hot_alkaline / hard_wax", "steel_4_6 / hot_alkaline / polyester_powder"],
    ... )
    >>> [f"{site} {category}" for site, category in zip(found["site"], found["category"])]
    ['valley C2', 'valley C2', 'quay C4', 'quay C4']
    """
    given = Given.of(table)
    texts, catalog = builds_and_catalog(builds, catalog)
    swept = swept_of(
        given,
        brief_or_plain(brief),
        texts,
        catalog,
        threads_of(threads),
        truth("best_only", best_only),
        result_names(columns),
    )
    remarks = Remarks()
    remarks.warn(remarks.add(swept), stacklevel=2)
    return given.answer(swept)
