"""The command `overcoat`: what it prints, what it writes, how it refuses."""

import json
import os
import re
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

    def no_room(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", no_room)
    message = refuse("rank", DECK, "--format", "json", "--out", out)
    assert f"{out}: No space left on device. Make room" in message
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
    keyed = [f"{key}: {citation} ({firmness})" for key, (firmness, citation) in known.items()]
    assert lines[: len(keyed)] == keyed
    # those of the code, and what was seen
    assert any(line.startswith("ISO 9223:2012, table 2") for line in lines[len(keyed) :])
    assert any(line.startswith("observed: ") and "6 to 12 months" in line for line in lines)
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


@pytest.mark.parametrize("name", main.commands)
def test_the_help_of_a_command_shows_it_at_work(name):
    text = succeed(name, "--help")
    examples = text[text.index("Examples:") :]
    lines = [line.strip() for line in examples.splitlines() if line.strip().startswith("overcoat ")]
    assert lines
    known = {option for parameter in main.commands[name].params for option in parameter.opts}
    for line in lines:
        words = line.split("  ")[0].split(" | ")[0].split(" > ")[0].split()
        assert words[1] == name
        assert {word for word in words if word.startswith("--")} <= known
    # what each option is for is said
    for parameter in main.commands[name].params:
        if parameter.param_type_name == "option":
            assert parameter.help, parameter.name
    assert max(map(len, text.splitlines())) <= 100


def test_the_first_help_tells_exit_codes_completion_and_colours():
    text = succeed("--help")
    for words in (
        "Exit codes:",
        "0  answered",
        "2  refused",
        "NO_COLOR",
        "_OVERCOAT_COMPLETE=bash_source",
    ):
        assert words in text


def test_the_brief_in_the_help_is_answered(tmp_path):
    text = succeed("rank", "--help")
    start = text.index("{")
    document, _ = json.JSONDecoder().raw_decode(text[start:])
    brief = tmp_path / "deck.json"
    brief.write_text(json.dumps(document), encoding="utf-8")
    assert "deck fitting" in succeed("rank", brief)
    read = json.loads(succeed("rank", brief, "--json"))["brief"]
    assert read["part"]["mass_g"] == pytest.approx(170.097139)
    assert "DECK FITTING" in succeed("papers", brief)


def test_text_with_units_is_refused_in_one_sentence(tmp_path, monkeypatch):
    brief = tmp_path / "brief.json"
    brief.write_text(Path(DECK).read_text("utf-8").replace('"mass_g": 180', '"mass_g": "1 ton"'), "utf-8")
    message = refuse("rank", brief)
    assert "`part.mass_g`" in message and "kg or lb" in message and message.count("\n") == 1

    from overcoat import units

    units._registry.cache_clear()
    monkeypatch.setitem(sys.modules, "pint", None)
    brief.write_text(Path(DECK).read_text("utf-8").replace('"mass_g": 180', '"mass_g": "1 kg"'), "utf-8")
    assert "overcoat[units]" in refuse("rank", brief)
    units._registry.cache_clear()


def test_json_for_short():
    assert succeed("rank", DECK, "--json") == succeed("rank", DECK, "--format", "json")
    assert succeed("papers", DECK, "--json") == succeed("papers", DECK, "--format", "json")
    assert succeed("rank", DECK, "--json", "--format", "json") == succeed("rank", DECK, "--json")
    assert "two forms" in refuse("rank", DECK, "--json", "--format", "html")
    known = overcoat.Catalog.default().sources
    assert {
        key: (entry["firmness"], entry["citation"])
        for key, entry in json.loads(succeed("sources", "--json"))["catalog"].items()
    } == known


def test_a_log_is_fitted_before_and_after(tmp_path):
    log = tmp_path / "cabinet.csv"
    rows = "".join(f"{hours},yes,Hard Wax\n" for hours in (80, 100, 120)) + "30,yes,displacing_oil\n"
    log.write_text(f"hours,failed,film\n{rows}", encoding="utf-8")
    assert "several films" in refuse("fit", log)
    mine = tmp_path / "mine.json"
    said = succeed("fit", log, "--film", "hard_wax", "--out", mine)
    assert "before: " in said and "after: " in said and "displacing_oil (1)" in said
    catalog = overcoat.Catalog.from_json(mine)
    assert catalog.overrides[0][0].startswith("films.hard_wax.capacity_h")


def test_an_answer_that_is_not_met_is_an_answer_too():
    brief = ROOT / "demo-data" / "briefs" / "trailer-bracket.json"
    assert json.loads(succeed("rank", brief, "--json"))["met"] is False


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_is_taught_to_complete(shell, monkeypatch):
    # bash is asked for its version; a fixed answer keeps the test off the machine's own shell
    monkeypatch.setattr("click.shell_completion.BashComplete._check_version", lambda *_: None)
    done = CliRunner().invoke(
        main, [], prog_name="overcoat", env={"_OVERCOAT_COMPLETE": f"{shell}_source"}, complete_var=None
    )
    assert done.exit_code == 0
    assert "_OVERCOAT_COMPLETE" in done.stdout


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


@pytest.mark.skipif(os.name == "nt", reason="no such terminal")
@pytest.mark.parametrize(("environment", "coloured"), [({}, True), ({"NO_COLOR": "1"}, False)])
def test_a_terminal_gets_colours_unless_told_not_to(environment, coloured):
    import pty

    ours, theirs = pty.openpty()
    inherited = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR")}
    with subprocess.Popen(
        [sys.executable, "-m", "overcoat", "rank", DECK, "--top", "1"],
        stdout=theirs,
        stderr=theirs,
        stdin=subprocess.DEVNULL,
        env={**inherited, "PYTHONUTF8": "1", "TERM": "xterm-256color", "COLUMNS": "100", **environment},
    ) as running:
        os.close(theirs)
        seen = b""
        try:
            while chunk := os.read(ours, 65536):
                seen += chunk
        except OSError:  # the other end is closed
            pass
        assert running.wait(timeout=120) == 0
    os.close(ours)
    assert b"Deck fitting" in seen
    assert bool(re.search(rb"\x1b\[[\d;]*3[0-7]", seen)) == coloured


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


START = ("--form", "bracket", "--place", "coastal", "--years", "5")


def test_a_first_brief_is_written_and_answered(tmp_path):
    brief = tmp_path / "mine.json"
    said = succeed("start", brief, "--name", "deck <b>", "--base-metal", "steel_5_8", *START)
    ranking = overcoat.rank(overcoat.Brief.from_json(brief))
    assert ranking.verdict in said and ranking.assumed
    for line in ranking.assumed:
        assert line in said
    read = json.loads(brief.read_text("utf-8"))
    assert read["name"] == "deck <b>"
    assert read["part"] == {"form": "bracket", "base_metal": "steel_5_8"}
    assert read["duty"] == {"place": "coastal", "required_years": 5.0}
    # the commands that it names run
    for line in re.findall(r"overcoat (.*)", said):
        assert run(*line.split()).exit_code == 0


def test_a_brief_that_is_there_is_left_alone(tmp_path):
    brief = tmp_path / "mine.json"
    brief.write_text("mine", "utf-8")
    assert "another name" in refuse("start", brief, *START)
    assert brief.read_text("utf-8") == "mine"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--place", "coastel", "--years", "5"), "coastal"),
        (("--place", "coastal", "--years", "-5"), "duty.required_years"),
        (("--place", "coastal", "--years", "5", "--form", "braket"), "bracket"),
        (("--place", "coastal", "--years", "5", "--base-metal", "steel_88"), "steel_8_8"),
        (("--years", "5"), "--place"),
    ],
)
def test_a_first_brief_that_cannot_be_is_refused_and_not_written(words, said, tmp_path):
    brief = tmp_path / "mine.json"
    assert said in refuse("start", brief, *words)
    assert not brief.exists()


def test_in_a_terminal_it_asks(tmp_path, monkeypatch):
    monkeypatch.setattr("overcoat.command._in_terminal", lambda: True)
    brief = tmp_path / "mine.json"
    answers = ["rail", "socket_cap_screw", "99", "1", "M6", "8", "18 months"]
    result = CliRunner().invoke(main, ["start", str(brief)], input="\n".join(answers) + "\n")
    assert result.exit_code == 0, result.output
    assert "neither a number from 1 to" in result.output  # 99
    read = json.loads(brief.read_text("utf-8"))
    assert read["part"] == {"form": "socket_cap_screw", "thread": "M6"}
    assert read["duty"] == {
        "place": sorted(overcoat.Catalog.default().places)[7],
        "required_years": "18 months",
    }

    defaults = tmp_path / "defaults.json"
    assert CliRunner().invoke(main, ["start", str(defaults)], input="\n" * 9).exit_code == 0
    assert json.loads(defaults.read_text("utf-8"))["part"] == {"form": "other"}


@pytest.mark.parametrize("document", ["brief", "catalog", "ranking", "papers"])
def test_the_fields_of_a_document_are_listed_once_each(document):
    listed = [line.partition(": ")[0] for line in succeed("schema", document, "--fields").splitlines()]
    assert len(listed) == len(set(listed)) > 10
    if document == "brief":
        assert {"duty.required_years", "part.thread", "wants.builds[].films", "wants.weights.cost"} <= set(
            listed
        )
