"""The command `overcoat`."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

import overcoat
from overcoat._core import OvercoatError
from overcoat.backtesting import backtest

if TYPE_CHECKING:
    from rich.console import Console

    from overcoat._core import Brief, Catalog, Option, Ranking


class _Refused(click.ClickException):
    """Input refused: one sentence with the mend, exit code 2."""

    exit_code = 2


class _Commands(click.Group):
    """Turns refusals of the core and unreadable files into one sentence and an exit code."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except OvercoatError as error:
            raise _Refused(str(error)) from error
        except ImportError as error:
            # an extra is not installed; the message says which
            raise _Refused(str(error)) from error
        except BrokenPipeError:
            raise  # the reader has seen enough: click ends quietly
        except OSError as error:
            where = f"{error.filename}: " if error.filename else ""
            raise _Refused(f"{where}{error.strerror or error}") from error


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(overcoat.__version__, prog_name="overcoat")
def main() -> None:
    """Which black finish to order for a part in a place, why, and how sure that is.

    An inquiry is a brief, a JSON file: the part, its duty, the wants. Start with `overcoat rank`.

    \b
    Examples:
      overcoat rank deck.json                                    the ranked finishes, in words
      overcoat rank deck.json --format html --out deck.html      a page to mail and to print
      overcoat papers deck.json                                  route, order note, acceptance plan
      overcoat COMMAND --help                                    examples of each command

    \b
    Exit codes:
      0  answered, whether or not a build meets the brief (`met` in the JSON says which)
      2  refused: wrong usage or input; one sentence on standard error says what and the mend
      1  a fault of the program

    \b
    Completion of commands, options and files by the Tab key:
      bash  eval "$(_OVERCOAT_COMPLETE=bash_source overcoat)"     in ~/.bashrc
      zsh   eval "$(_OVERCOAT_COMPLETE=zsh_source overcoat)"      in ~/.zshrc
      fish  _OVERCOAT_COMPLETE=fish_source overcoat | source      in ~/.config/fish/completions/overcoat.fish

    Colours go to a terminal only, and not where NO_COLOR is set.

    Salt-spray hours are no service life. Hard and safety-critical joints, hot caustic and acid baths belong
    in the hands of qualified people; local codes go first.
    """


def _brief(path: Path) -> Brief:
    """A brief, its numbers plain or as text with units."""
    from overcoat.units import read_brief

    return read_brief(path)


def _form(form: str | None, as_json: bool, usual: str) -> str:
    """The one form that was asked for."""
    if as_json and form not in (None, "json"):
        raise click.UsageError(f"--json and --format {form} ask for two forms; give one of them.")
    return "json" if as_json else form or usual


def _catalog(path: Path | None) -> Catalog | None:
    return None if path is None else overcoat.Catalog.from_json(path)


def _write(text: str, out: Path | None) -> None:
    """To standard output, or to a file that is whole or absent."""
    if out is None:
        click.echo(text)
        return
    beside = out.with_name(f".{out.name}.part")
    try:
        beside.write_text(text, encoding="utf-8")
        beside.replace(out)
    finally:
        beside.unlink(missing_ok=True)
    click.echo(f"written: {out}", err=True)


_existing = click.Path(exists=True, dir_okay=False, path_type=Path)
main.add_command(backtest)


@main.command()
@click.argument("brief", type=_existing)
@click.option("--catalog", type=_existing, help="A catalog of your own that extends the built-in one.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json", "html"]),
    help="A table to read, JSON (overcoat.ranking.v1), or one self-contained page.  [default: table]",
)
@click.option("--json", "as_json", is_flag=True, help="Short for --format json.")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write to this file.")
@click.option("--top", type=click.IntRange(1), default=10, show_default=True, help="Builds to show.")
@click.option("--why-not", is_flag=True, help="List the blocked builds too, each with its reason.")
def rank(
    brief: Path,
    catalog: Path | None,
    form: str | None,
    as_json: bool,
    out: Path | None,
    top: int,
    why_not: bool,
) -> None:
    """Rank the finishes for the inquiry in BRIEF.

    BRIEF is a JSON file in the form of `overcoat schema brief`. Numbers are in the unit that ends the name of
    their field. With the extra `units` they may also be text with a unit of its own, such as "285 °F",
    "0.4 mil", "1 1/2 in" or "18 months".

    \b
    A small brief, deck.json:
      {"schema": "overcoat.brief.v1", "name": "deck fitting",
       "part": {"form": "bracket", "mass_g": "6 oz", "surface_dm2": 1.3},
       "duty": {"place": "coastal", "required_years": 5}}

    \b
    Examples:
      overcoat rank deck.json
      overcoat rank deck.json --why-not                          the blocked builds too, with reasons
      overcoat rank deck.json --catalog mine.json                with prices and records of your own
      overcoat rank deck.json --format html --out deck.html
      overcoat rank deck.json --json | jq .verdict
    """
    form = _form(form, as_json, "table")
    ranking = overcoat.rank(_brief(brief), _catalog(catalog))
    if form == "json":
        _write(ranking.to_json(), out)
    elif form == "html":
        from overcoat.pages import answer_page

        _write(answer_page(ranking, top), out)
    else:
        from rich.console import Console

        if out is None:
            _print_table(ranking, Console(highlight=False), top, why_not)
        else:
            import io

            buffer = io.StringIO()
            _print_table(ranking, Console(file=buffer, width=110, highlight=False), top, why_not)
            _write(buffer.getvalue(), out)


def _print_table(ranking: Ranking, console: Console, top: int, why_not: bool) -> None:
    from rich import box
    from rich.markup import escape
    from rich.table import Table

    from overcoat._firmness import firmness_lines
    from overcoat.pages import amount_in_words, percent_in_words, years_in_words

    answer = json.loads(ranking.to_json())
    duty = answer["brief"]["duty"]
    air = answer["atmosphere"]
    console.print(f"[bold]{escape(answer['brief']['name'])}[/bold]")
    console.print(escape(ranking.verdict), style="bold green" if ranking.met else "bold yellow")
    chloride = air["chloride_mg_m2_day"]
    console.print(
        escape(
            f"Air: {air['category']} for steel, {air['first_year_steel_loss_um']:.3g} µm in the first year, "
            f"by {air['determination'].replace('_', ' ')}"
            + ("" if chloride is None else f"; chloride {chloride:.3g} mg/(m²·d)")
            + ("; outside the validity of the formula" if air["extrapolated"] else "")
        )
    )
    open_options = [option for option in ranking if not option.blocked]
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1))
    currency = answer["options"][0]["cost"]["currency"]
    for name in ("#", "score", "sure", "median", currency):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("build, and the first thing to know of it", ratio=1)
    for position, option in enumerate(open_options[:top], 1):
        build = str(option.build) + (" (trade default)" if option.trade_default else "")
        table.add_row(
            str(position),
            f"{option.score:.2f}",
            percent_in_words(option.outlook.probability_ok),
            years_in_words(option.outlook.median_years),
            amount_in_words(option.cost.per_thousand),
            f"[bold]{escape(build)}[/bold]\n{escape(option.first_reason)}",
        )
    console.print(table)
    console.print(
        f"sure: probability of no failure in {duty['required_years']:g} years; {currency}: per 1000 pieces "
        "over these years, replacements included.",
        style="dim",
    )
    blocked = [option for option in ranking if option.blocked]
    console.print(
        f"{len(open_options)} builds can be used, {len(blocked)} are blocked"
        + ("." if why_not or not blocked else " (--why-not lists them).")
    )
    if why_not:
        for option in blocked:
            console.print(escape(f"  {option.build}: {option.first_reason}"), style="dim")
    if ranking.references:
        console.print("For reference, outside this ranking:")
        for option in ranking.references:
            state = f"blocked, {option.first_reason}" if option.blocked else option.first_reason
            console.print(
                escape(
                    f"  {option.build}: {percent_in_words(option.outlook.probability_ok)} sure, median "
                    f"{years_in_words(option.outlook.median_years)}, "
                    f"{amount_in_words(option.cost.per_thousand)} {currency}; {state}"
                )
            )
    if ranking.stability is not None:
        console.print(
            f"The first place holds in {percent_in_words(ranking.stability)} of cases when weights and "
            "spreads move between half and twice their value."
        )
    for line in firmness_lines(ranking):
        console.print(escape(line))
    if ranking.weakest_link:
        console.print(escape(f"Weakest link: {ranking.weakest_link}"))
    for line in ranking.remarks:
        console.print(escape(f"Note: {line}"))
    for line in ranking.assumed:
        console.print(escape(f"Assumed: {line}"), style="dim")
    if ranking.overrides:
        console.print(
            escape(f"{len(ranking.overrides)} values are those of the catalog {answer['catalog']!r}."),
            style="dim",
        )
    for line in ranking.cautions:
        console.print(escape(f"Caution: {line}"), style="dim")


@main.command()
@click.argument("brief", type=_existing)
@click.option(
    "--build", help="BASE_METAL / TREATMENT / FILM + FILM, as `overcoat rank` prints it; else the best."
)
@click.option("--catalog", type=_existing, help="A catalog of your own that extends the built-in one.")
@click.option(
    "--units",
    type=click.Choice(["metric", "inch"]),
    default="metric",
    show_default=True,
    help="Units of the papers.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "html"]),
    help="Text to read, JSON (overcoat.papers.v1), or one self-contained page.  [default: text]",
)
@click.option("--json", "as_json", is_flag=True, help="Short for --format json.")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write to this file.")
def papers(
    brief: Path,
    build: str | None,
    catalog: Path | None,
    units: str,
    form: str | None,
    as_json: bool,
    out: Path | None,
) -> None:
    """Print route, order note and acceptance plan of a build.

    \b
    Examples:
      overcoat papers deck.json                                  of the first build
      overcoat papers deck.json --build "steel_5_8 / hot_alkaline / hard_wax"
      overcoat papers deck.json --units inch --out order.txt
      overcoat papers deck.json --format html --out order.html
    """
    form = _form(form, as_json, "text")
    ranking = overcoat.rank(_brief(brief), _catalog(catalog))
    written = _chosen(ranking, build).papers(units)
    if form == "json":
        _write(written.to_json(), out)
    elif form == "html":
        from overcoat.pages import papers_page

        _write(papers_page(written, ranking), out)
    else:
        _write(written.to_text(), out)


def _chosen(ranking: Ranking, build: str | None) -> Option:
    """The build that the user named, the spaces between its parts being free, or the best."""
    if build is None:
        if ranking.best is None:
            raise _Refused("every build is blocked; name one with --build to read why.")
        return ranking.best
    wanted = "".join(build.split())
    everything: list[Option] = [*ranking, *ranking.references]
    for option in everything:
        if wanted == "".join(str(option.build).split()):
            return option
    import difflib

    names = [str(option.build) for option in everything]
    near = difflib.get_close_matches(build, names, 1)
    hint = f" Did you mean {near[0]!r}?" if near else ""
    raise _Refused(f"--build {build!r} is none of the {len(names)} builds of this brief.{hint}")


@main.command()
@click.argument("record", type=_existing)
@click.option("--json", "as_json", is_flag=True, help="For machines.")
def wetness(record: Path, as_json: bool) -> None:
    """Time of wetness, means and gaps of an hourly RECORD.

    RECORD is a .csv or an .epw file. A CSV file has the columns temperature_c and relative_humidity_pct, one
    row an hour; empty fields are gaps. A column `time` lets missing rows be found.

    \b
    Examples:
      overcoat wetness site.csv
      overcoat wetness station.epw --json
    """
    read = (
        overcoat.ClimateRecord.from_epw
        if record.suffix.lower() == ".epw"
        else overcoat.ClimateRecord.from_csv
    )
    found = read(record).wetness()
    fields = [
        ("hours_per_year", "wet hours a year (T > 0 °C, RH > 80 %)", ".0f"),
        ("wetness_class", "wetness class", ""),
        ("coverage", "share of hours with both readings", ".3f"),
        ("gaps", "gaps", "d"),
        ("longest_gap_hours", "longest gap, h", ".0f"),
        ("mean_temperature_c", "mean temperature, °C", ".2f"),
        ("mean_relative_humidity_pct", "mean relative humidity, %", ".1f"),
    ]
    if as_json:
        values = {name: getattr(found, name) for name, _, _ in fields}
        click.echo(json.dumps({**values, "findings": found.findings}))
        return
    for name, words, form in fields:
        click.echo(f"{words}: {format(getattr(found, name), form)}")
    for line in found.findings:
        click.echo(f"note: {line}")


@main.command()
@click.option("--catalog", type=_existing, help="A catalog of your own that extends the built-in one.")
@click.option("--json", "as_json", is_flag=True, help="For machines.")
def sources(catalog: Path | None, as_json: bool) -> None:
    """Print every source of the catalog with how firm it is.

    \b
    Examples:
      overcoat sources
      overcoat sources --catalog mine.json | grep assumption     what rests on no text
    """
    chosen = _catalog(catalog) or overcoat.Catalog.default()
    if as_json:
        table = {
            key: {"citation": citation, "firmness": firmness}
            for key, (firmness, citation) in chosen.sources.items()
        }
        click.echo(json.dumps(table, ensure_ascii=False, indent=2))
        return
    for key, (firmness, citation) in chosen.sources.items():
        click.echo(f"{key}: {citation} ({firmness})")


@main.command()
@click.argument("document", type=click.Choice(["brief", "catalog", "ranking", "papers"]))
def schema(document: str) -> None:
    """Print the JSON Schema of a DOCUMENT.

    \b
    Examples:
      overcoat schema brief > brief.schema.json                  for an editor that checks as you type
    """
    click.echo(overcoat.schema(document), nl=False)


if __name__ == "__main__":
    sys.exit(main())
