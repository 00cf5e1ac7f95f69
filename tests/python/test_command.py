"""The command `overcoat`: what it prints, what it writes, how it refuses."""

import json
import os
import shutil
import subprocess
import sys
from importlib.metadata import entry_points
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import overcoat
from overcoat.command import main

ROOT = Path(__file__).resolve().parents[2]
DECK = str(ROOT / "demo-data" / "briefs" / "deck-fitting.json")
CATALOG = str(ROOT / "demo-data" / "workshop_catalog.json")
RECORD = str(ROOT / "demo-data" / "climate_hourly.csv")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def succeed(*words: str) -> str:
    result = run(*words)
    assert result.exit_code == 0, result.output
    return result.stdout


def refuse(*words: str) -> str:
    """Standard error of a refusal: exit code 2, nothing on standard output, no traceback."""
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    return result.stderr


@pytest.fixture(scope="module")
def ranking() -> overcoat.Ranking:
    return overcoat.rank(overcoat.Brief.from_json(DECK))


def in_one_line(text: str) -> str:
    return " ".join(text.split())


def test_the_table_tells_the_answer_and_what_it_rests_on(ranking):
    text = in_one_line(succeed("rank", DECK))
    assert "Deck fitting for a small leisure boat" in text
    assert in_one_line(ranking.verdict) in text
    assert str(ranking.best.build) in text
    for line in (*ranking.assumed, *ranking.cautions, ranking.weakest_link):
        assert in_one_line(line) in text
    blocked = sum(option.blocked for option in ranking)
    assert (
        f"{len(ranking) - blocked} builds can be used, {blocked} are blocked (--why-not lists them)" in text
    )


def test_the_first_of_the_table_may_be_chosen(ranking):
    one, three = (succeed("rank", DECK, "--top", n) for n in (1, 3))
    builds = [str(option.build) for option in list(ranking)[:4]]
    assert [build in in_one_line(one) for build in builds] == [True, False, False, False]
    assert [build in in_one_line(three) for build in builds] == [True, True, True, False]
    assert refuse("rank", DECK, "--top", 0)


def test_why_not_lists_every_blocked_build(ranking):
    text = in_one_line(succeed("rank", DECK, "--why-not"))
    blocked = [option for option in ranking if option.blocked]
    assert blocked
    for option in blocked:
        assert f"{option.build}: {in_one_line(option.first_reason)}" in text


def test_an_own_catalog_is_named():
    text = in_one_line(succeed("rank", DECK, "--catalog", CATALOG))
    assert "30 values are those of the catalog 'Zethwick Works price list'" in text
    assert "EUR" in text


def test_json_is_the_ranking(ranking):
    assert succeed("rank", DECK, "--format", "json") == ranking.to_json() + "\n"
    answer = json.loads(succeed("rank", DECK, "--format", "json", "--catalog", CATALOG))
    assert answer["schema"] == "overcoat.ranking.v1"
    assert answer["catalog"] == "Zethwick Works price list"


def test_html_is_one_page():
    text = succeed("rank", DECK, "--format", "html")
    assert text.startswith("<!doctype html>")
    assert text.rstrip().endswith("</html>")
    assert text.count("<svg") == 2


@pytest.mark.parametrize("form", ["table", "json", "html"])
def test_a_file_is_written_as_it_would_be_printed(form, tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", "110")
    out = tmp_path / f"answer.{form}"
    result = run("rank", DECK, "--format", form, "--out", out)
    assert (result.exit_code, result.stdout) == (0, "")
    assert str(out) in in_one_line(result.stderr)
    assert out.read_text("utf-8").strip() == succeed("rank", DECK, "--format", form).strip()
    assert [path.name for path in tmp_path.iterdir()] == [out.name]
    run("rank", DECK, "--format", form, "--out", out)  # over an existing file
    assert [path.name for path in tmp_path.iterdir()] == [out.name]


def test_a_file_is_whole_or_absent(tmp_path, monkeypatch):
    out = tmp_path / "answer.json"
    assert refuse("rank", "absent.json", "--format", "json", "--out", out)
    assert not any(tmp_path.iterdir())

    out.write_text("of yesterday", encoding="utf-8")

    def stop_in_the_middle(path, text, **_):
        with open(path, "w", encoding="utf-8") as file:
            file.write(text[:100])
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr(Path, "write_text", stop_in_the_middle)
    assert "No space left on device" in refuse("rank", DECK, "--format", "json", "--out", out)
    monkeypatch.undo()
    assert out.read_text("utf-8") == "of yesterday"
    assert [path.name for path in tmp_path.iterdir()] == ["answer.json"]


def test_a_folder_that_is_not_there_is_named(tmp_path):
    assert "absent" in refuse("rank", DECK, "--out", tmp_path / "absent" / "answer.txt")
    assert refuse("rank", DECK, "--out", tmp_path)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "brief"),
        ("{", "brief"),
        ('{"schema": "overcoat.brief.v1", "name": "x", "colour": 1}', "colour"),
        ('{"schema": "overcoat.brief.v1", "name": "x", "part": {"form": "brackett"}}', "bracket"),
        (Path(DECK).read_text("utf-8").replace('"coastal"', '"costal"'), 'did you mean "coastal"?'),
        (Path(DECK).read_text("utf-8").replace('"required_years": 5', '"required_years": -5'), "-5"),
    ],
)
def test_bad_briefs_are_refused_in_one_paragraph(text, words, tmp_path):
    path = tmp_path / "brief.json"
    path.write_text(text, encoding="utf-8")
    message = refuse("rank", path)
    assert message.startswith("Error: ")
    assert words in message
    assert message.count("\n") == 1 and message.endswith("\n")


def test_bad_files_are_refused_by_name(tmp_path):
    assert "absent.json" in refuse("rank", tmp_path / "absent.json")
    assert "absent.json" in refuse("rank", DECK, "--catalog", tmp_path / "absent.json")
    assert refuse("rank", tmp_path)
    latin = tmp_path / "latin.json"
    latin.write_bytes('{\n"name": "Öse"}'.encode("latin-1"))
    assert "UTF-8" in refuse("rank", latin)
    assert "latin.json" in refuse("rank", latin)
    assert refuse("rank", DECK, "--format", "pdf")
    assert refuse("rank")
    assert refuse("rnak", DECK)


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="everything is readable here")
def test_an_unreadable_file_is_named(tmp_path):
    secret = tmp_path / "secret.json"
    shutil.copy(DECK, secret)
    secret.chmod(0)
    assert "secret.json" in refuse("rank", secret)


def test_papers_of_the_best_and_of_a_build_by_name(ranking):
    best = ranking.best.papers()
    assert succeed("papers", DECK).strip() == best.to_text().strip()
    assert json.loads(succeed("papers", DECK, "--format", "json")) == json.loads(best.to_json())
    page = succeed("papers", DECK, "--format", "html")
    assert page.startswith("<!doctype html>") and best.to_html() in page
    third = ranking[2]
    for name in (str(third.build), str(third.build).replace(" ", "")):
        assert succeed("papers", DECK, "--build", name).strip() == third.papers().to_text().strip()
    inch = succeed("papers", DECK, "--units", "inch").strip()
    assert inch == ranking.best.papers("inch").to_text().strip()
    assert "Did you mean" in refuse("papers", DECK, "--build", str(third.build)[:-1])


def test_wetness_of_the_demo_record():
    found = overcoat.ClimateRecord.from_csv(RECORD).wetness()
    text = succeed("wetness", RECORD)
    assert f"wet hours a year (T > 0 °C, RH > 80 %): {found.hours_per_year:.0f}\n" in text
    assert f"wetness class: {found.wetness_class}\n" in text
    assert "longest gap, h: 30\n" in text
    assert f"gaps: {found.gaps}\n" in text
    answer = json.loads(succeed("wetness", RECORD, "--json"))
    assert answer["hours_per_year"] == found.hours_per_year
    assert answer["longest_gap_hours"] == 30
    assert answer["findings"] == found.findings


def test_wetness_of_an_epw_file_and_of_a_bad_one(tmp_path):
    epw = tmp_path / "place.EPW"
    head = "LOCATION,Nowhere\n-\n-\n-\n-\n-\n-\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n"
    epw.write_text(f"{head}2001,1,1,1,60,?,4.0,3.0,93\n2001,1,1,2,60,?,4.0,3.0,50\n", encoding="utf-8")
    assert json.loads(succeed("wetness", epw, "--json"))["hours_per_year"] == 4380
    bad = tmp_path / "bad.csv"
    bad.write_text("temperature_c,relative_humidity_pct\n5,90\n68,90\n", encoding="utf-8")
    message = refuse("wetness", bad)
    assert "`temperature_c`, row 2" in message and "°F" in message


def test_every_source_is_printed_with_its_firmness():
    known = overcoat.Catalog.default().sources
    lines = succeed("sources").splitlines()
    assert lines == [f"{key}: {citation} ({firmness})" for key, (firmness, citation) in known.items()]
    assert "price_list: invented price list of the demo scenario" in succeed("sources", "--catalog", CATALOG)


@pytest.mark.parametrize("document", ["brief", "catalog", "ranking", "papers"])
def test_schemas_are_printed(document):
    assert succeed("schema", document) == overcoat.schema(document)
    json.loads(succeed("schema", document))


def test_unknown_schemas_are_refused():
    assert "'briefs'" in refuse("schema", "briefs")


def test_version_and_help():
    assert overcoat.__version__ in succeed("--version")
    for words in (["--help"], ["-h"], ["rank", "-h"], ["wetness", "--help"]):
        assert "Usage:" in succeed(*words)
    for name in main.commands:
        assert name in succeed("--help")
        assert main.commands[name].help


def test_the_command_is_installed_under_its_name():
    (entry,) = entry_points(group="console_scripts", name="overcoat")
    assert entry.load() is main


def module(*words: str, **environment: str) -> subprocess.CompletedProcess:
    """`python -m overcoat` with both streams piped."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-m", "overcoat", *words],
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONUTF8": "1", "TERM": "xterm-256color", "COLUMNS": "100", **environment},
        timeout=120,
    )


def test_as_a_module_with_piped_output_it_prints_no_escape_codes(ranking):
    done = module("rank", DECK)
    assert (done.returncode, done.stderr) == (0, "")
    assert "\x1b" not in done.stdout
    assert in_one_line(ranking.verdict) in in_one_line(done.stdout)
    # for programs the whole of standard output is the document
    assert module("rank", DECK, "--format", "json").stdout == ranking.to_json() + "\n"


def test_as_a_module_it_refuses_with_exit_code_2():
    done = module("rank", "absent.json")
    assert (done.returncode, done.stdout) == (2, "")
    assert "absent.json" in done.stderr
    assert "\x1b" not in done.stderr


def test_a_brief_cannot_steer_the_terminal(tmp_path):
    brief = tmp_path / "brief.json"
    brief.write_text(
        Path(DECK).read_text("utf-8").replace("Deck fitting", "\\u001b[31mDeck fitting\\u0007"),
        encoding="utf-8",
    )
    done = module("rank", str(brief))
    assert done.returncode == 2
    assert "control character" in done.stderr
    assert not {"\x1b", "\x07"} & set(done.stdout + done.stderr)


def test_markup_in_a_brief_is_printed_as_it_is(tmp_path):
    brief = tmp_path / "brief.json"
    brief.write_text(
        Path(DECK).read_text("utf-8").replace("Deck fitting", "[bold]Deck[/] [/red] fitting"),
        encoding="utf-8",
    )
    assert "[bold]Deck[/] [/red] fitting" in succeed("rank", brief)


@pytest.mark.skipif(os.name == "nt", reason="no such pipe")
def test_a_reader_that_stops_early_sees_no_traceback():
    done = subprocess.run(
        f"'{sys.executable}' -m overcoat schema catalog | head -n 1",
        shell=True,
        capture_output=True,
        encoding="utf-8",
        timeout=120,
    )
    assert done.stdout == "{\n"
    assert "Traceback" not in done.stderr
