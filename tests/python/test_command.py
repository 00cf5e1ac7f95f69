"""The command in the Python package: the native program, which `src/command` tests in detail."""

import json
import os
import re
import subprocess
import sys
from importlib.metadata import entry_points
from pathlib import Path

import pytest
from commanding import in_a_terminal, ran, refuses, succeeds

import overcoat

ROOT = Path(__file__).resolve().parents[2]
DECK = ROOT / "demo-data" / "briefs" / "deck-fitting.json"
CATALOG = ROOT / "demo-data" / "workshop_catalog.json"


@pytest.fixture(scope="module")
def ranking() -> overcoat.Ranking:
    return overcoat.rank(overcoat.Brief.from_json(DECK))


def test_the_table_is_the_text_of_the_ranking(ranking):
    printed = succeeds("rank", DECK).splitlines()
    own = ranking.to_text().splitlines()
    assert str(ranking) == ranking.to_text()
    # the command adds what to type next, and has so many rows less
    heading = next(place for place, line in enumerate(own) if line.lstrip().startswith("# prob."))
    assert heading > 5 and printed[: heading + 1] == own[: heading + 1]
    row = re.compile(r" *\d+ +[<>\d]")
    rows, all_rows = ([line for line in lines if row.match(line)] for lines in (printed, own))
    assert len(rows) >= 3 and set(rows) <= set(all_rows)
    assert [any(line.startswith("Next") for line in lines) for lines in (printed, own)] == [True, False]
    for lines in (printed, own):
        assert len(lines) <= 30 and max(map(len, lines)) <= 80


def test_json_is_the_ranking(ranking):
    assert succeeds("rank", DECK, "--json") == ranking.to_json() + "\n"
    answer = json.loads(succeeds("rank", DECK, "--format", "json", "--catalog", CATALOG))
    assert (answer["schema"], answer["catalog"]) == ("overcoat.ranking.v1", "Zethwick Works price list")


def test_pages_are_those_of_python(ranking):
    page = succeeds("rank", DECK, "--format", "html", "--date", "2026-11-27", "--revision", "B")
    # the command knows the file of the brief, and names it in the command to type next
    named = str(DECK).replace("/", "&#x2f;")
    assert page.replace(f"overcoat papers {named}", "overcoat papers BRIEF") == ranking.page(
        date="2026-11-27", revision="B"
    )
    papers = succeeds("papers", DECK, "--format", "html", "--date", "2026-11-27")
    assert papers == ranking.best.papers().page(date="2026-11-27")


def test_papers_are_those_of_python(ranking):
    assert succeeds("papers", DECK).strip() == ranking.best.papers().to_text().strip()
    third = ranking[2]
    assert succeeds("papers", DECK, "--build", third.build).strip() == third.papers().to_text().strip()
    inch = succeeds("papers", DECK, "--units", "inch").strip()
    assert inch == ranking.best.papers("inch").to_text().strip()
    assert "Did you mean" in refuses("papers", DECK, "--build", str(third.build)[:-1])


def test_a_chart_is_that_of_python():
    rows = json.loads(succeeds("chart", DECK, "--json", "--place", "coastal", "--place", "urban"))
    columns = overcoat.chart(overcoat.Brief.from_json(DECK), places=["coastal", "urban"])
    for name, values in columns.items():
        assert [row[name] for row in rows] == values


@pytest.mark.parametrize("document", ["brief", "catalog", "ranking", "papers"])
def test_schemas_are_those_of_python(document):
    assert succeeds("schema", document) == overcoat.schema(document)


def test_it_refuses_in_one_line_with_exit_code_2(tmp_path):
    assert "absent.json" in refuses("rank", tmp_path / "absent.json")
    assert "--help" in refuses("rnak", DECK)
    brief = tmp_path / "brief.json"
    brief.write_text(DECK.read_text("utf-8").replace("Deck fitting", "\\u001b[31mDeck\\u0007"), "utf-8")
    assert not {"\x1b", "\x07"} & set(refuses("rank", brief))


def test_an_answer_that_is_not_met_is_an_answer_too():
    brief = ROOT / "demo-data" / "briefs" / "trailer-bracket.json"
    assert json.loads(succeeds("rank", brief, "--json"))["met"] is False


def test_piped_output_has_no_escape_codes():
    done = ran("rank", DECK, TERM="xterm-256color")
    assert done.returncode == 0 and "\x1b" not in done.stdout + done.stderr


@pytest.mark.skipif(os.name == "nt", reason="no such terminal")
@pytest.mark.parametrize(("environment", "colored"), [({}, True), ({"NO_COLOR": "1"}, False)])
def test_a_terminal_gets_colors_unless_told_not_to(environment, colored):
    seen = in_a_terminal(["rank", DECK], **environment)
    assert "Deck fitting" in seen
    assert ("\x1b[1" in seen) == colored


@pytest.mark.skipif(os.name == "nt", reason="no such pipe")
def test_a_reader_that_stops_early_ends_it_quietly():
    script = f"set -o pipefail; '{sys.executable}' -m overcoat schema catalog | head -n 1"
    done = subprocess.run(["bash", "-c", script], capture_output=True, encoding="utf-8", timeout=120)
    assert (done.returncode, done.stdout, done.stderr) == (0, "{\n", "")


@pytest.mark.skipif(os.name == "nt", reason="no such terminal")
def test_in_a_terminal_it_asks_in_the_words_of_the_industry(tmp_path):
    brief = tmp_path / "mine.json"
    answers = [
        "?",
        "hinge",
        "A4",
        "6 oz",
        "1 ton",
        "130 cm²",
        "a few",
        "1500",
        "sea",
        "",
        "",
        "18 months",
        "",
        "",
        "rail",
    ]
    said = in_a_terminal(["start", brief], "\n".join([*answers, ""]), seconds=60)
    assert "kg or lb" in said and "stainless 316" in said
    read = json.loads(brief.read_text("utf-8"))
    assert read["part"] == {
        "form": "bracket",
        "base_metal": "A4",
        "mass_g": "6 oz",
        "surface_dm2": "130 cm²",
        "lot_pieces": 1500,
    }
    assert read["duty"] == {"place": "coastal", "required_years": "18 months"}


def test_the_command_is_installed_under_its_name():
    (entry,) = entry_points(group="console_scripts", name="overcoat")
    assert entry.load()
