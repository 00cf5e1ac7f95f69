"""The command `overcoat backtest`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from overcoat._core import Backtest

_existing = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command()
@click.argument("records", type=_existing)
@click.option("--catalog", type=_existing, help="A catalog of your own that extends the built-in one.")
@click.option("--picture", type=click.Path(dir_okay=False, path_type=Path), help="Calibration, to this file.")
@click.option("--json", "as_json", is_flag=True, help="For machines, with every row.")
def backtest(records: Path, catalog: Path | None, picture: Path | None, as_json: bool) -> None:
    """Judge the outlook by parts in the field in RECORDS.

    RECORDS is a CSV file, a row per part: base_metal, treatment, films (joined by "+"); years with outcome
    (failed, intact, between) and until_years; fields of a duty, such as place, shelter, rain_washed or
    first_year_steel_loss_um; and as wanted weight and site.

    Beside it two naive ways: salt-spray hours at face value, and the corrosivity category alone.

    \b
    Examples:
      overcoat backtest returns.csv
      overcoat backtest returns.csv --catalog mine.json          with your own records in the catalog
      overcoat backtest returns.csv --picture calibration.png
    """
    import overcoat

    known = None if catalog is None else overcoat.Catalog.from_json(catalog)
    judged = overcoat.backtest(records, catalog=known)
    if picture is not None:
        from overcoat import plots

        plots.calibration(judged).savefig(picture, dpi=150)
        click.echo(f"written: {picture}", err=True)
    if as_json:
        click.echo(judged.to_json())
    else:
        _print(judged)


def _print(judged: Backtest) -> None:
    from rich import box
    from rich.console import Console
    from rich.markup import escape
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1))
    table.add_column("predicted by")
    for heading in ("in the 80 % range", "log score"):
        table.add_column(heading, justify="right")
    ways = [
        ("outlook", judged.outlook),
        ("salt-spray hours at face value", judged.hours_at_face_value),
        ("corrosivity category alone", judged.category_alone),
    ]
    for name, score in ways:
        coverage = f"{100 * score.coverage_80:.0f} ± {100 * score.coverage_80_se:.0f} %"
        table.add_row(name, coverage, f"{score.log_score:.2f}")
    console = Console(highlight=False)
    rows = judged.outlook
    console.print(f"{rows.rows} rows from {judged.sites} sites, {rows.failed} failed.")
    console.print(table)
    console.print(
        "80 % in the range is honest, less is rash, more is timid; the higher log score foretells better.",
        style="dim",
    )
    best = max(ways, key=lambda way: way[1].log_score)
    console.print(f"Best by log score: {best[0]}.")
    for line in judged.remarks:
        console.print(escape(f"Note: {line}"))
