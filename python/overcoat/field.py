"""Parts in the field: what they teach of field factors, and how well the outlook foretold them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._log import header_and_rows, is_table

if TYPE_CHECKING:
    from overcoat._swept import CatalogLike


def _log(records: Any) -> _core.FieldLog:
    if is_table(records):
        return _core.field_log_rows(*header_and_rows(records))
    return _core.field_log_csv(records)


def update_field(
    records: Any,
    film: str,
    *,
    catalog: CatalogLike | None = None,
    capacity: _core.Estimate | None = None,
    part_log_sd: float = 0.5,
) -> list[_core.FieldUpdate]:
    """Field factors of a film, apart for each shelter, from years to first rust of parts in the field.

    Rows with this film alone are used. What is known before are the catalog's salt-spray hours and field
    factor; a surprise is shared out by how well each is known, mostly to the field factor. Parts of one
    site share its air, so a thousand of them show little more than ten.

    Parameters
    ----------
    records : table or path to a CSV file
        One row per part or per parts alike, with the columns base_metal, treatment, films (joined by "+");
        years [a] with failed or outcome (failed, intact, between) and until_years [a]; fields of a duty:
        place or first_year_steel_loss_um or the four inputs, shelter, rain_washed, sunlight, handling; and as
        wanted weight and site.
    film : str
        Catalog name of the film.
    catalog : Catalog, dict, str or path, optional
        What is known before; the built-in one by default.
    capacity : Estimate, optional
        What the shop's salt-spray records gave (`fit_records(...).estimate`), for a joint update: it
        replaces the catalog's salt-spray hours, with the standard error of its median as doubt.
    part_log_sd : float
        Spread of the logarithm of years between parts of one site (0.5 is an assumption).

    Returns
    -------
    list of FieldUpdate
        One for each shelter in the records, with `field_factor`, `capacity_h`, `correlation` and
        `catalog_entry()`; entries of several shelters or films extend each other (`Catalog.extended`).

    Raises
    ------
    TableError, InvalidValueError, UnknownNameError
        A bad row (named, from 1), no row with the film alone, more than one treatment under it.

    Examples
    --------
    >>> seen = {
    ...     "base_metal": ["steel_8_8"] * 2,
    ...     "treatment": ["hot_alkaline"] * 2,
    ...     "films": ["hard_wax"] * 2,
    ...     "first_year_steel_loss_um": [10.0, 10.0],
    ...     "shelter": ["sheltered"] * 2,
    ...     "years": [9.0, 10.0],
    ...     "failed": [True, False],
    ... }
    >>> [update] = update_field(seen, "hard_wax")
    >>> update.shelter, update.field_factor[0] > 1.2
    ('sheltered', True)
    """
    return _core.update_field_log(_log(records), film, catalog, capacity, part_log_sd)


def backtest(records: Any, *, catalog: CatalogLike | None = None) -> _core.Backtest:
    """What the outlook predicted against what became of parts in the field, beside two naive predictions.

    The naive ways: salt-spray hours at their face value (no field factor, no rain, sun or hands), and the
    corrosivity category alone (one life per category for all finishes).

    Parameters
    ----------
    records : table or path to a CSV file
        See `update_field`; any build of the catalog.
    catalog : Catalog, dict, str or path, optional
        The built-in one by default.

    Returns
    -------
    Backtest
        With `outlook`, `hours_at_face_value` and `category_alone`, each with `coverage_80` (0.8 is honest)
        and its standard error, `calibration`, and `log_score` (the higher the better); `remarks`; `to_json()`
        with every row.

    Raises
    ------
    TableError, InvalidValueError, UnknownNameError
        A bad row (named, from 1).

    Examples
    --------
    >>> judged = backtest(
    ...     [
    ...         {
    ...             "base_metal": "steel_8_8",
    ...             "treatment": "hot_alkaline",
    ...             "films": "hard_wax",
    ...             "place": "rural",
    ...             "years": 0.5,
    ...             "outcome": "between",
    ...             "until_years": 1.5,
    ...         }
    ...     ]
    ... )
    >>> judged.outlook.rows
    1
    """
    return _core.backtest_log(_log(records), catalog)
