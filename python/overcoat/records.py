"""What a shop's own salt-spray records say of a film's salt-spray hours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._columns import as_array, as_column, check_indexes, is_column, table_error
from overcoat._log import header_and_rows, is_table
from overcoat._refusal import listed, mapped

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from overcoat._swept import CatalogLike

__all__ = ["check_cabinet", "fit_records", "merge_estimates"]


def fit_records(
    hours: Any,
    failed: Any = None,
    until_hours: Any = None,
    lot: Any = None,
    *,
    cabinets: Mapping[str, Sequence[float]] | None = None,
    distribution: str = "lognormal",
    film: str | None = None,
    catalog: CatalogLike | None = None,
    confidence: float = 0.9,
) -> _core.FittedRecords:
    """Hours to first red rust of a film, fitted to records of panels that failed or were still intact.

    Maximum likelihood with right, left and interval censoring; profile-likelihood bounds. Where nothing
    failed, a one-sided lower bound, and `kind` says so. With `film`, the catalog's value is the prior, so
    that three panels do not overturn it and thirty do.

    Parameters
    ----------
    hours : column; or a table; or a path to a CSV file
        Hours at failure, or at the last inspection that found the panel intact [h], above 0. A table (dict of
        columns, list of dicts, pandas, polars or pyarrow) or a CSV file has the columns hours, failed (or
        outcome: failed, intact, between), until_hours, lot, film, treatment, cabinet, weight and stands for
        all columns at once. A row of another film than `film` is left out.
    failed : column of bool
        Whether rust was seen.
    until_hours : column, optional
        For panels found rusty at an inspection: the hours of that inspection, `hours` being those of the
        last one that found them intact (0 for none). NaN or null elsewhere.
    lot : column of str, optional
        Lots; from four named lots on, the spread between lots is fitted.
    cabinets : dict, optional
        Losses of reference specimens [g/m² in 48 h] by cabinet, for example `{"2": [83, 85]}`: hours of a
        cabinet are corrected to 70 g/m², and records of one outside 70 ± 20 g/m² count half.
    distribution : {"lognormal", "weibull"}
        The distribution to fit.
    film : str, optional
        Catalog name of the film, for the prior and `catalog_entry`.
    catalog : Catalog, dict, str or path, optional
        The catalog of the prior; the built-in one by default.
    confidence : float
        Confidence of the bounds, 0 to 1.

    Returns
    -------
    FittedRecords
        With `median_hours`, `bounds_hours`, `log_sd`, `posterior_median_hours`, `estimate`,
        `catalog_entry()` and more.

    Raises
    ------
    TableError, InvalidValueError, UnknownNameError
        Columns of unequal length, a bad row (named, from 1), too few failures for a fit, an unknown film.

    Examples
    --------
    >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    >>> fitted.kind, fitted.failed
    ('estimate', 3)
    >>> fit_records([{"hours": 48, "failed": True}, {"hours": 72, "failed": True}]).rows
    2
    """
    runs = list(mapped("cabinets", cabinets, "losses by cabinet", 'Write them like {"2": [83, 85]}.').items())
    if is_table(hours):
        header, rows = header_and_rows(hours)
        return _core.fit_records_rows(header, rows, runs, distribution, film, catalog, confidence)
    if not is_column(hours):
        return _core.fit_records_csv(hours, runs, distribution, film, catalog, confidence)
    if failed is None:
        raise table_error("failed", None, "missing", "Say of each record whether rust was seen.")
    check_indexes({"hours": hours, "failed": failed, "until_hours": until_hours, "lot": lot})
    table: dict[str, Any] = {"hours": as_column("hours", hours), "failed": _truths(failed)}
    if until_hours is not None:
        table["until_hours"] = as_column("until_hours", until_hours, gaps=True)
    if lot is not None:
        most = len(table["hours"]) + 1
        table["lot"] = listed("lot", lot, "a column of lots", "Name the lot of each record.", most)
    header, rows = header_and_rows(table)
    return _core.fit_records_rows(header, rows, runs, distribution, film, catalog, confidence)


def merge_estimates(estimates: Iterable[_core.Estimate]) -> _core.Estimate:
    """The estimates of several shops of the same film and number, merged by precision.

    A shop hands on `FittedRecords.estimate` (as JSON: `to_json`, `Estimate.from_json`), since a catalog entry
    no longer tells how well its median is known. Each median weighs 1/(se² + τ²), with τ² the variance
    between shops by the moments of DerSimonian and Laird (1986, from memory): 0 while they agree within their
    errors. Merge all shops at once: where they disagree, the order of merging would matter.

    Parameters
    ----------
    estimates : iterable of Estimate
        Two or more.

    Returns
    -------
    Estimate
        Its `catalog_entry(film, name, first_date, last_date)` is the entry of all of them.

    Raises
    ------
    InvalidValueError
        Fewer than two estimates.

    Examples
    --------
    >>> ours = fit_records([48.0, 60.0, 72.0], [True] * 3, film="hard_wax").estimate
    >>> theirs = fit_records([60.0, 75.0, 90.0], [True] * 3, film="hard_wax").estimate
    >>> ours.median < merge_estimates([ours, theirs]).median < theirs.median
    True
    """
    return _core.merge_estimates(
        listed("estimates", estimates, "estimates of shops", "Put the estimates in brackets.")
    )


def check_cabinet(mass_losses_g_m2: Sequence[float], cabinet: str = "") -> _core.CabinetCheck:
    """What reference specimens say of a salt-spray cabinet, against 70 ± 20 g/m² in 48 h (ISO 9227).

    Parameters
    ----------
    mass_losses_g_m2 : sequence of float
        Mass loss of each specimen in 48 h of neutral salt spray [g/m²], 1 to 1000.
    cabinet : str
        How the records call it.

    Returns
    -------
    CabinetCheck
        With `in_window`, `mass_loss_g_m2` (mean), `rate_g_m2_h`, and `hours_factor`, by which the hours of
        its records are corrected.

    Raises
    ------
    InvalidValueError
        No specimen, an impossible loss.

    Examples
    --------
    >>> check_cabinet([83.0, 85.0]).hours_factor
    1.2
    """
    return _core.check_cabinet(mass_losses_g_m2, cabinet)


def _truths(failed: Any) -> list[bool]:
    import numpy as np

    remedy = "Give True for rust, False for none."
    column = as_array("failed", failed, remedy)
    if column.dtype.kind == "b":
        return [bool(value) for value in column]
    if column.dtype.kind in "iu" and set(np.unique(column)) <= {0, 1}:
        return [bool(value) for value in column]
    raise table_error("failed", None, f"expected truth values, found {column.dtype}", remedy)
