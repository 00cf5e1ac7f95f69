"""The command `overcoat`."""

from __future__ import annotations

import contextlib
import errno
import json
import shutil
import signal
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

import overcoat
from overcoat._core import OvercoatError
from overcoat._refusal import invalid
from overcoat.backtesting import backtest
from overcoat.files.whole import same_file, written_whole

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rich.console import Console

    from overcoat._core import Brief, Catalog, Option, Ranking


class _Refused(click.ClickException):
    """Input refused: one sentence with the mend, exit code 2."""

    exit_code = 2


class _Interrupted(click.ClickException):
    """Stopped by Ctrl-C: what shells report of it."""

    exit_code = 130


# What the system says of a file, and the mend.
_MENDS = {
    errno.ENOSPC: "Make room, or name a place on another disk.",
    errno.EDQUOT: "Make room, or name a place on another disk.",
    errno.EFBIG: "Raise the limit on the size of files (ulimit -f), or name a smaller task.",
    errno.EROFS: "Name a place that can be written to.",
    errno.EACCES: "Ask for the right to it, or name another place.",
    errno.EPERM: "Ask for the right to it, or name another place.",
}


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
            mend = f". {_MENDS[error.errno]}" if error.errno in _MENDS else ""
            raise _Refused(f"{where}{error.strerror or error}{mend}") from error
        except KeyboardInterrupt as error:
            raise _Interrupted("interrupted; every file is as it was before.") from error


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(overcoat.__version__, prog_name="overcoat")
def main() -> None:
    """Which black finish to order for a part in a place, why, and how sure that is.

    An inquiry is a brief, a JSON file: the part, its duty, the wants. `overcoat start` makes a first one.

    \b
    Examples:
      overcoat start deck.json                                   a first brief, from a few questions
      overcoat rank deck.json                                    the ranked finishes, in words
      overcoat rank deck.json --format html --out deck.html      a page to mail and to print
      overcoat papers deck.json                                  route, order note, acceptance plan
      overcoat sweep sites.csv --out finishes.csv                every place of a table
      overcoat COMMAND --help                                    examples of each command

    \b
    Exit codes:
      0  answered, whether or not a build meets the brief (`met` in the JSON says which)
      2  refused: wrong usage or input, no room; one sentence on standard error says what and the mend
      3  swept, but some rows are bad, where --strict asks to be told so
      1  a fault of the program
      130, 143  interrupted by Ctrl-C, told to stop: files are as they were before

    \b
    Completion of commands, options and files by the Tab key:
      bash  eval "$(_OVERCOAT_COMPLETE=bash_source overcoat)"     in ~/.bashrc
      zsh   eval "$(_OVERCOAT_COMPLETE=zsh_source overcoat)"      in ~/.zshrc
      fish  _OVERCOAT_COMPLETE=fish_source overcoat | source      in ~/.config/fish/completions/overcoat.fish

    Colours go to a terminal only, and not where NO_COLOR is set.

    Salt-spray hours are no service life. Hard and safety-critical joints, hot caustic and acid baths belong
    in the hands of qualified people; local codes go first.
    """


def _brief(text_or_path: str | Path) -> Brief:
    """A brief, its numbers plain or as text with units."""
    from overcoat.units import read_brief

    return read_brief(text_or_path)


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
    with written_whole(out) as file:
        file.write(text.encode())
    click.echo(f"written: {out}", err=True)


def _program() -> str:
    """How this command is called from where the user stands."""
    called = Path(sys.argv[0])
    by_path = called.stem == "overcoat" and shutil.which("overcoat") is None
    return str(called) if by_path else "overcoat"


def _in_terminal() -> bool:
    """Whether somebody can answer questions."""
    return sys.stdin.isatty()


_existing = click.Path(exists=True, dir_okay=False, path_type=Path)
main.add_command(backtest)


@main.command()
@click.argument("brief", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--name", help="What the inquiry is called.")
@click.option("--form", help="Kind of part, as in bracket or socket_cap_screw.")
@click.option("--base-metal", help="A base metal of the catalog; without it, usual ones are compared.")
@click.option("--thread", help="As in M8, M10x1.25 or 1/4-20 UNC.")
@click.option("--place", help="A place of the catalog, as in coastal or indoor_heated.")
@click.option("--years", help="Years without rust, or text with a unit, as in '18 months'.")
@click.option("--catalog", type=_existing, help="A catalog of your own that extends the built-in one.")
def start(brief: Path, catalog: Path | None, **said: str | None) -> None:
    """Write a first BRIEF from a few answers, and answer it.

    In a terminal it asks what no option says. What you do not know stays out of the brief; the answer then
    says what it assumed instead, and each of these can be added to the file as a field.

    \b
    Examples:
      overcoat start deck.json
      overcoat start deck.json --form bracket --place coastal --years 5
    """
    from overcoat._start import starter

    if brief.exists():
        raise _Refused(f"{brief} is there already; give another name.")
    chosen = _catalog(catalog) or overcoat.Catalog.default()
    document = starter(said, chosen, ask=_in_terminal())
    text = json.dumps(document, indent=2, ensure_ascii=False)
    ranking = overcoat.rank(_brief(text), chosen)
    _write(text + "\n", brief)
    click.echo(f"\n{ranking.verdict}\n\nNot said, so assumed:")
    for line in ranking.assumed:
        click.echo(f"  {line}")
    rank_it = f"{_program()} rank {brief}" + ("" if catalog is None else f" --catalog {catalog}")
    click.echo(
        f"\nThe whole answer:  {rank_it}\n"
        f"As a page to mail: {rank_it} --format html --out {brief.with_suffix('.html')}\n"
        f"Fields to add:     {_program()} schema brief --fields"
    )


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

        try:
            from overcoat import plots  # noqa: F401
        except ImportError as error:
            click.echo(f"the page has no pictures: {error}", err=True)
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

    from overcoat._core import percent_in_words
    from overcoat._firmness import firmness_lines
    from overcoat.pages import amount_in_words, years_in_words

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
    help="Text to read, JSON (overcoat.papers.v2), or one self-contained page.  [default: text]",
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
@click.argument("sites", type=_existing)
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    help="File of results, .csv or .parquet; whole or not written.",
)
@click.option(
    "--brief",
    type=_existing,
    help="Brings the part, the wants and what is no column.  [default: plain steel, 5 years]",
)
@click.option(
    "--build",
    "builds",
    multiple=True,
    help="BASE_METAL / TREATMENT / FILM + FILM; may be given again.  [default: those that `rank` tries]",
)
@click.option("--catalog", type=_existing, help="A catalog of your own that extends the built-in one.")
@click.option("--best-only", is_flag=True, help="Keep the best build of each row.")
@click.option("--threads", type=click.IntRange(1), help="Threads to use.  [default: all processors]")
@click.option(
    "--batch-rows", type=click.IntRange(1), help="Rows at a time.  [default: half a million results]"
)
@click.option("--strict", is_flag=True, help="Exit code 3 where a row is bad or outside the validity.")
@click.option("--json", "as_json", is_flag=True, help="Print counts, time and files as JSON.")
@click.pass_context
def sweep(
    context: click.Context,
    sites: Path,
    out: Path,
    brief: Path | None,
    builds: tuple[str, ...],
    catalog: Path | None,
    best_only: bool,
    threads: int | None,
    batch_rows: int | None,
    strict: bool,
    as_json: bool,
) -> None:
    """Every build at every place of a table, however long.

    SITES is a .csv or .parquet file with the columns temperature_c, relative_humidity_pct, so2_mg_m2_day and
    chloride_mg_m2_day, and any other field of a duty that differs by row, such as required_years, shelter or
    handling. Other columns are carried over. OUT has a line for each place and build.

    Bad rows stop nothing. They are listed in OUT.bad-rows.csv with their row (from 0), the reason and their
    cells: mend them there, delete the columns row and reason, and sweep that file.

    Text that a spreadsheet would run as a formula gets an apostrophe before it in CSV. Needs the extra
    `frames`.

    \b
    Examples:
      overcoat sweep sites.csv --out finishes.csv --best-only    the finish for each place
      overcoat sweep sites.parquet --out all.parquet --brief deck.json --catalog mine.json
      overcoat sweep sites.csv --out two.csv --build "steel_4_6 / hot_alkaline / hard_wax"
      overcoat sweep sites.csv --out finishes.csv --strict --json | jq .bad_rows
    """
    for read in (brief, catalog):
        if read is not None and same_file(out, read):
            raise invalid("out", out, "a place of its own", f"{out.name} is a file to read: name another.")
    with _stopped_in_order(), _progress() as progress:
        done = overcoat.sweep_file(
            sites,
            out,
            None if brief is None else _brief(brief),
            builds=builds or None,
            catalog=_catalog(catalog),
            threads=threads,
            batch_rows=batch_rows,
            best_only=best_only,
            progress=progress,
        )
    if as_json:
        click.echo(json.dumps({**done._asdict(), "seconds": round(done.seconds, 3)}, default=str))
    bad = f"; {done.bad_rows} bad rows: {done.bad_rows_file}" if done.bad_rows else ""
    if done.extrapolated_rows:
        bad += f"; {done.extrapolated_rows} rows outside the validity of the dose-response function"
    click.echo(f"{done.rows} rows, {done.results} results in {done.seconds:.1f} s{bad}", err=True)
    click.echo(f"written: {out}", err=True)
    if strict and (done.bad_rows or done.extrapolated_rows):
        context.exit(3)


@contextlib.contextmanager
def _stopped_in_order() -> Iterator[None]:
    """Turns the signals that end a program into an exit, so that files under way are taken away."""

    def stop(number: int, _: object) -> None:
        raise SystemExit(128 + number)

    numbers = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    before = {number: signal.signal(number, stop) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@contextlib.contextmanager
def _progress() -> Iterator[Callable[[float, int], None] | None]:
    """A bar on standard error, where that is a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    with Progress(
        BarColumn(),
        TextColumn("{task.percentage:.0f} %, {task.fields[rows]} rows"),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        task = bar.add_task("", total=1.0, rows=0)
        yield lambda share, rows: bar.update(task, completed=share, rows=rows)


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
    """Print every source that answers rest on: those of the catalog by key, those of the code, the observations.

    \b
    Examples:
      overcoat sources
      overcoat sources --catalog mine.json | grep assumption     what rests on no text
      overcoat sources | grep "salt spray"                       what was seen in the cabinet
    """
    chosen = _catalog(catalog) or overcoat.Catalog.default()
    keyed = chosen.sources
    known = set(keyed.values())
    in_code = [source for source in chosen.all_sources() if source not in known]
    if as_json:
        table = {
            key: {"citation": citation, "firmness": firmness} for key, (firmness, citation) in keyed.items()
        }
        beside = [{"citation": citation, "firmness": firmness} for firmness, citation in in_code]
        found = {"catalog": table, "code": beside, "observations": chosen.observations()}
        click.echo(json.dumps(found, ensure_ascii=False, indent=2))
        return
    for key, (firmness, citation) in keyed.items():
        click.echo(f"{key}: {citation} ({firmness})")
    for firmness, citation in in_code:
        click.echo(f"{citation} ({firmness})")
    for observation in chosen.observations():
        click.echo(f"observed: {observation}")


@main.command()
@click.argument("log", type=_existing)
@click.option("--film", help="The film of the log, where it names several.")
@click.option("--catalog", type=_existing, help="A catalog of your own that extends the built-in one.")
@click.option("--out", type=click.Path(path_type=Path), help="Write a user catalog with the value learned.")
@click.option("--name", default="own records", help="Name of that catalog.")
@click.option("--from", "first", default="not dated", help="First date of the records.")
@click.option("--to", "last", default="not dated", help="Last date of the records.")
def fit(
    log: Path, film: str | None, catalog: Path | None, out: Path | None, name: str, first: str, last: str
) -> None:
    """Fit a salt-spray LOG (CSV): the catalog's value before, the records alone, and the value after.

    \b
    Examples:
      overcoat fit cabinet.csv --film hard_wax
      overcoat fit cabinet.csv --film hard_wax --out mine.json --from 2026-01 --to 2026-06
    """
    fitted = overcoat.fit_records(log, film=film, catalog=_catalog(catalog))
    click.echo(str(fitted), nl=False)
    if out is not None:
        with written_whole(out) as file:
            file.write(fitted.catalog_entry(name, first, last).encode())
        click.echo(f"written: {out}")


@main.command()
@click.argument("document", type=click.Choice(["brief", "catalog", "ranking", "papers"]))
@click.option("--fields", is_flag=True, help="A list of the fields in words instead.")
def schema(document: str, fields: bool) -> None:
    """Print the JSON Schema of a DOCUMENT, or its fields in words.

    \b
    Examples:
      overcoat schema brief --fields                             what a brief may say
      overcoat schema brief > brief.schema.json                  for an editor that checks as you type
    """
    text = overcoat.schema(document)
    if not fields:
        click.echo(text, nl=False)
        return
    from overcoat._fields import fields_in_words

    for path, meaning in fields_in_words(json.loads(text)):
        click.echo(f"{path}: {meaning}")


if __name__ == "__main__":
    sys.exit(main())
