"""What a shop's own salt-spray records say of a film's capacity."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._columns import as_column, is_column, table_error

if TYPE_CHECKING:
    from os import PathLike


def fit_records(
    hours: Any,
    failed: Any = None,
    until_hours: Any = None,
    lot: Any = None,
    *,
    distribution: str = "lognormal",
    film: str | None = None,
    catalog: _core.Catalog | None = None,
    confidence: float = 0.9,
) -> _core.FittedRecords:
    """Hours to first red rust of a film, fitted to records of panels that failed or were still intact.

    Maximum likelihood with right, left and interval censoring; profile-likelihood bounds. Where nothing
    failed, a one-sided lower bound, and `kind` says so. With `film`, the catalog's capacity is the prior, so
    that three panels do not overturn it and thirty do.

    Parameters
    ----------
    hours : column, or a path to a CSV file
        Hours at failure, or at the last inspection that found the panel intact [h], above 0. A CSV file has
        the columns hours, failed (or outcome), until_hours, lot, film and stands for all columns at once.
    failed : column of bool
        Whether rust was seen.
    until_hours : column, optional
        For panels found rusty at an inspection: the hours of that inspection, `hours` being those of the
        last one that found them intact (0 for none). NaN or null elsewhere.
    lot : column of str, optional
        Lots; from four named lots on, the spread between lots is fitted.
    distribution : {"lognormal", "weibull"}
        The distribution to fit.
    film : str, optional
        Catalog name of the film, for the prior and `catalog_entry`.
    catalog : Catalog, optional
        The catalog of the prior; the built-in one by default.
    confidence : float
        Confidence of the bounds, 0 to 1.

    Returns
    -------
    FittedRecords
        With `median_hours`, `bounds_hours`, `log_sd`, `posterior_median_hours`, `catalog_entry()` and more.

    Raises
    ------
    TableError, InvalidValueError, UnknownNameError
        Columns of unequal length, a bad row, too few failures for a fit, an unknown film.

    Examples
    --------
    >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    >>> fitted.kind, fitted.failed
    ('estimate', 3)
    """
    if not is_column(hours):
        return _from_file(hours, distribution, film, catalog, confidence)
    if failed is None:
        raise table_error("failed", None, "missing", "Say of each record whether rust was seen.")
    column = as_column("hours", hours)
    until = None if until_hours is None else as_column("until_hours", until_hours, gaps=True)
    lots = [] if lot is None else ["" if name is None else str(name) for name in lot]
    return _core.fit_records_columns(
        column, _truths(failed), until, lots, distribution, film, catalog, confidence
    )


def _from_file(
    path: str | PathLike[str],
    distribution: str,
    film: str | None,
    catalog: _core.Catalog | None,
    confidence: float,
) -> _core.FittedRecords:
    return _core.fit_records_csv(path, distribution, film, catalog, confidence)


def _truths(failed: Any) -> list[bool]:
    import numpy as np

    remedy = "Give True for rust, False for none."
    try:
        column = np.asarray(failed)
    except ValueError as error:
        raise table_error("failed", None, f"no column: {error}", remedy) from error
    if column.dtype.kind == "b":
        return [bool(value) for value in column]
    if column.dtype.kind in "iu" and set(np.unique(column)) <= {0, 1}:
        return [bool(value) for value in column]
    raise table_error("failed", None, f"expected truth values, found {column.dtype}", remedy)
