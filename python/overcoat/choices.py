"""The chart of choices: finishes times places for given years, as one table of probabilities."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._builds import builds_and_catalog
from overcoat._refusal import listed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from overcoat._swept import BuildLike, CatalogLike

NAMES = ("build", "place", "category", "probability_ok", "median_years", "blocked", "beyond_evidence")


def chart(
    brief: _core.Brief | None = None,
    *,
    required_years: float | None = None,
    builds: Iterable[BuildLike] | None = None,
    places: Iterable[str] | None = None,
    catalog: CatalogLike | None = None,
) -> dict[str, list[Any]]:
    """Probability [0 to 1] of each finish at each place for given years, in columns of equal length.

    Parameters
    ----------
    brief : Brief, optional
        Brings the part, the wants and the years; without it, it is about no part in particular.
    required_years : float, optional
        Years; those of the brief by default, 5 without one.
    builds : iterable of Build, Option or str, optional
        The finishes; by default every coat system over the usual black oxide of the part's metal, and
        blackened stainless steel without a coat.
    places : iterable of str, optional
        Places of the catalog; all, mildest first, by default.
    catalog : Catalog, dict, str or path, optional
        By default that of the options among the builds, else the built-in one.

    Returns
    -------
    dict of lists
        Columns `build`, `place`, `category`, `probability_ok`, `median_years`, `blocked` and
        `beyond_evidence` (the years are beyond what was observed of such a finish, so that the probability
        must not be stated), a row per finish and place. The table to pin to the wall is
        `pandas.DataFrame(chart()).pivot(index="build", columns="place", values="probability_ok")`.

    Raises
    ------
    UnknownNameError, InvalidValueError
        An unknown build or place; years out of range.

    Examples
    --------
    >>> found = chart(required_years=5, places=["indoor_heated", "splash"])
    >>> len(found["build"]) == len(found["probability_ok"]) > 20
    True
    """
    texts, catalog = builds_and_catalog(builds, catalog)
    columns = _core.chart_columns(
        brief,
        required_years,
        texts,
        None
        if places is None
        else listed("places", places, "a list of places", "Put them in brackets.", 10_000),
        catalog,
    )
    return dict(zip(NAMES, columns, strict=True))
