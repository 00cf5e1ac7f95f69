"""The page of what changed: figures of today are computed, observations cited as they stand."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

import overcoat

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "python" / "docs" / "pages" / "changed.md").read_text("utf-8")
# name of the brief's file, and what the page says of it
SECTIONS = re.findall(r"^`(\S+)\.json`, (.*?)(?=^## |\Z)", PAGE, flags=re.MULTILINE | re.DOTALL)


def named(build: dict) -> str:
    """The words of the page for a build."""
    text = f"{build['base_metal']} / {build['treatment']} / {' + '.join(build['films']) or 'no film'}"
    return overcoat.Catalog.default().in_words(text).replace(" (outside blackening)", "")


def years(outlook: dict) -> str:
    """Median with the 10 and 90% points, none beyond the horizon."""
    horizon = outlook["horizon_years"]

    def said(value: float) -> str:
        beyond = "more than " if value >= horizon else ""
        value = min(value, horizon)
        return beyond + (f"{value:.2g}" if value < 9.95 else f"{value:.0f}")

    if outlook["median_years"] >= horizon:
        return said(horizon)
    ends = (said(outlook[f"p{point}_years"]) for point in (10, 90))
    return f"{said(outlook['median_years'])} ({' to '.join(ends)})"


def probability(share: float) -> str:
    percent = round(100 * share)
    return {0: "under 1%", 100: "over 99%"}.get(percent, f"{percent}%")


def ranked(brief: dict) -> list[dict]:
    return json.loads(overcoat.rank(overcoat.Brief.from_json(json.dumps(brief))).to_json())["options"]


def test_the_page_has_every_demo_brief(demo):
    assert sorted(name for name, _ in SECTIONS) == sorted(p.stem for p in (demo / "briefs").glob("*.json"))


@pytest.mark.parametrize(("name", "text"), SECTIONS, ids=[name for name, _ in SECTIONS])
def test_figures_of_today(demo, name, text):
    brief = json.loads((demo / "briefs" / f"{name}.json").read_text("utf-8"))
    assert text.startswith(f"{brief['duty']['required_years']} years.")
    options = ranked(brief)
    first = re.search(r"^- First now: (.*)$", text, flags=re.MULTILINE)
    assert first and first[1] == named(options[0]["build"])
    rows = re.findall(r"^\| (\w+ .*?) \| .* \| (.*) \| (.*) \|$", text, flags=re.MULTILINE)
    rows = [row for row in rows if not row[1].startswith("now: ")]
    assert len(rows) > 2
    assert first[1] in [finish for finish, *_ in rows]
    for finish, life, chance in rows:
        (option,) = [option for option in options if named(option["build"]) == finish]
        outlook, ruled_out = option["outlook"], ", ruled out" if option["blocked"] else ""
        assert (life, chance) == (years(outlook), probability(outlook["probability_ok"]) + ruled_out), finish


def test_sentences_of_today(demo):
    """What the text says of today beside its tables."""
    said = {name: " ".join(text.split()) for name, text in SECTIONS}
    brief = {name: json.loads((demo / "briefs" / f"{name}.json").read_text("utf-8")) for name in said}
    for name in ("gate-hinge", "trailer-bracket"):
        found = overcoat.rank(overcoat.Brief.from_json(json.dumps(brief[name])))
        bias = json.loads(found.to_json())["atmosphere"]["measured_over_computed"]
        assert f"lose {bias:.2f} times the computed" in said[name] or f"lose {bias:.2f} of the" in said[name]
    assert "No build reaches 90% here any more" in said["trailer-bracket"]
    open_ones = [option for option in ranked(brief["trailer-bracket"]) if not option["blocked"]]
    assert open_ones and max(option["outlook"]["probability_ok"] for option in open_ones) < 0.9
    assert "no oil, wax or lacquer on black oxide comes near ten years" in said["indoor-machine"]
    films = json.loads(overcoat.Catalog.default().to_json())["films"]
    thin = [
        option
        for option in ranked(brief["indoor-machine"])
        if option["build"]["treatment"] == "hot_alkaline"
        and all(films[name]["kind"] in ("oil", "wax", "lacquer") for name in option["build"]["films"])
    ]
    assert len(thin) > 8 and max(option["outlook"]["median_years"] for option in thin) < 6


def test_observations_are_cited_as_they_stand(monkeypatch):
    monkeypatch.syspath_prepend(str(ROOT / "python" / "docs"))
    from observed import sentence

    words = (sys.executable, "-m", "overcoat", "sources", "--json")
    done = subprocess.run(words, capture_output=True, encoding="utf-8", check=True)
    known = {o["key"]: o for o in json.loads(done.stdout)["observations"]}
    cited = re.findall(r"^- (.*) <!-- (\w+) -->$", PAGE, flags=re.MULTILINE)
    assert len(cited) > 20
    for text, key in cited:
        assert text == sentence(known[key]), key
    # each inquiry names what moved it
    assert all(re.search(r"^- .* <!-- \w+ -->$", text, flags=re.MULTILINE) for _, text in SECTIONS)


@pytest.mark.parametrize(
    ("low", "high", "unit", "said"),
    [
        (None, 0.4, "share", "what: at most 40% (s)"),
        (6.0, 12.0, "months", "what: 6 to 12 months (s)"),
        (50.0, 140.0, "C", "what: 50 to 140 °C (s)"),
        (2.0, None, "a", "what: at least 2 years (s)"),
    ],
)
def test_an_observation_in_a_sentence(monkeypatch, low, high, unit, said):
    monkeypatch.syspath_prepend(str(ROOT / "python" / "docs"))
    from observed import sentence

    seen = {"what": "what", "low": low, "high": high, "unit": unit, "source": {"citation": "s"}}
    assert sentence(seen) == said
    # a figure that the words have is not said twice
    within = said.removesuffix(" (s)")
    assert sentence(seen | {"what": within}) == said
