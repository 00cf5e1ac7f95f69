"""A ranking as a table: one row per build."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from overcoat._extras import needs
from overcoat._refusal import ranking_of

if TYPE_CHECKING:
    import pandas as pd
    import polars as pl
    import pyarrow as pa

    from overcoat._core import Ranking


def rows(ranking: Ranking) -> dict[str, list[Any]]:
    """The columns of the table by name."""
    options = list(ranking_of(ranking))
    table: dict[str, list[Any]] = {
        "rank": list(range(1, len(options) + 1)),
        "base_metal": [o.build.base_metal for o in options],
        "treatment": [o.build.treatment for o in options],
        "films": [" + ".join(o.build.films) for o in options],
        "score": [o.score for o in options],
        "blocked": [o.blocked for o in options],
        "met": [o.met for o in options],
        "median_years": [o.outlook.median_years for o in options],
        "p10_years": [o.outlook.p10_years for o in options],
        "p90_years": [o.outlook.p90_years for o in options],
        "probability_ok": [o.outlook.probability_ok for o in options],
        "cost_per_thousand": [o.cost.per_thousand for o in options],
        "currency": [o.cost.currency for o in options],
        "on_pareto_front": [o.on_pareto_front for o in options],
        "trade_default": [o.trade_default for o in options],
        "first_reason": [o.first_reason for o in options],
    }
    shares = [o.shares for o in options]
    for criterion in ("durability", "cost", "appearance", "heat", "assembly", "confidence"):
        table[f"share_{criterion}"] = [share[criterion] for share in shares]
    return table


def to_arrow(ranking: Ranking) -> pa.Table:
    """The table as a pyarrow Table."""
    with needs("frames", "a table of a ranking"):
        import pyarrow

    return pyarrow.table(rows(ranking))


def to_pandas(ranking: Ranking) -> pd.DataFrame:
    """The table as a pandas DataFrame."""
    with needs("frames", "a table of a ranking"):
        import pandas

    return pandas.DataFrame(rows(ranking))


def to_polars(ranking: Ranking) -> pl.DataFrame:
    """The table as a polars DataFrame."""
    with needs("frames", "a table of a ranking"):
        import polars

    return polars.DataFrame(rows(ranking))
