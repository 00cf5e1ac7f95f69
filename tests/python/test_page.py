"""The page and the notebook fragments: nothing that a user wrote becomes markup, nothing is fetched."""

import json
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

import overcoat
from overcoat._core import percent_in_words

HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(2)>',
    "' onmouseover='alert(3)",
    "{{7*7}} {% raw %} ${7*7}",
    "</title></style></svg><iframe src=//example.org>",
    "&lt;b&gt; & <!-- ",
]
BRIEFS = sorted((Path(__file__).resolve().parents[2] / "demo-data" / "briefs").glob("*.json"))

VOID = {"meta", "br", "hr", "img", "input", "link", "wbr", "area", "base", "col", "embed", "source", "track"}


class Page(HTMLParser):
    """Collects tags, attributes and text; fails where tags do not balance."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.words: list[str] = []
        self.comments = 0
        self.feed(text)
        self.close()
        assert self.open == [], f"never closed: {self.open}"

    def handle_starttag(self, tag, attributes):
        self.handle_startendtag(tag, attributes)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attributes]

    def handle_endtag(self, tag):
        assert self.open and self.open[-1] == tag, (
            f"</{tag}> closes {self.open[-3:]}, line {self.getpos()[0]}"
        )
        self.open.pop()

    def handle_data(self, data):
        self.words.append(data)

    def handle_comment(self, data):
        self.comments += 1

    @property
    def text(self) -> str:
        return " ".join("".join(self.words).split())


def hostile_brief(words: str) -> overcoat.Brief:
    document = json.loads(BRIEFS[1].read_text("utf-8"))
    document["name"] = f"deck {words}"
    document["remarks"] = f"remarks {words}"
    return overcoat.Brief.from_json(json.dumps(document))


def hostile_catalog(words: str) -> overcoat.Catalog:
    document = {
        "schema": "overcoat.catalog.v1",
        "name": f"catalog {words}",
        "sources": {"s": {"firmness": "own_records", "citation": f"source {words}"}},
        "films": {
            "epoxy_electrocoat": {
                "name": f"film {words}",
                "capacity_h": {"median": 900, "log_sd": 0.3, "source": "s"},
            }
        },
    }
    return overcoat.Catalog.from_json(json.dumps(document))


@cache
def page_of(path: Path) -> str:
    return overcoat.rank(overcoat.Brief.from_json(path)).page()


@cache
def harmless_page() -> Page:
    return Page(overcoat.rank(hostile_brief("words"), hostile_catalog("words")).page())


def assert_harmless(text: str) -> Page:
    page = Page(text)
    # its own two scripts: the tables that the core computed, and what looks them up
    assert page.tags.count("script") in (0, 2)
    assert not {"iframe", "img", "object", "embed", "link", "base"} & set(page.tags)
    for tag, name, value in page.attributes:
        assert not name.startswith("on"), (tag, name)
        assert not value.strip().lower().startswith(("javascript:", "data:text")), (tag, name, value)
    return page


@pytest.mark.parametrize("words", HOSTILE)
def test_what_a_user_wrote_stays_text_in_the_page(words):
    ranking = overcoat.rank(hostile_brief(words), hostile_catalog(words))
    page = assert_harmless(ranking.page())
    for written in ("deck", "remarks", "catalog"):
        assert f"{written} {' '.join(words.split())}" in page.text
    assert "49" not in re.findall(r"deck (\S+)", page.text)
    # the same tags as with harmless words: nothing was added, nothing swallowed
    # a longer name goes on in further lines of a picture
    without_lines = [[tag for tag in tags if tag != "text"] for tags in (page.tags, harmless_page().tags)]
    assert without_lines[0] == without_lines[1]
    assert page.comments == harmless_page().comments


@pytest.mark.parametrize("words", HOSTILE)
def test_what_a_user_wrote_stays_text_in_notebooks(words):
    brief = hostile_brief(words)
    ranking = overcoat.rank(brief, hostile_catalog(words))
    option = next(o for o in ranking if "epoxy_electrocoat" in o.build.films and not o.blocked)
    said = " ".join(words.split())
    assert f"deck {said}" in assert_harmless(brief._repr_html_()).text
    assert f"deck {said}" in assert_harmless(ranking._repr_html_()).text
    assert f"film {said}" in assert_harmless(option._repr_html_()).text
    assert f"source {said}" in assert_harmless(option.outlook._repr_html_()).text


@pytest.mark.parametrize("words", HOSTILE)
def test_what_a_user_wrote_stays_text_in_papers(words):
    ranking = overcoat.rank(hostile_brief(words), hostile_catalog(words))
    option = next(o for o in ranking if "epoxy_electrocoat" in o.build.films and not o.blocked)
    papers = option.papers()
    plain = overcoat.rank(hostile_brief("words"), hostile_catalog("words"))
    same = next(o for o in plain if o.build == option.build).papers()
    said = " ".join(words.split())
    fragment = assert_harmless(papers.to_html())
    assert fragment.tags == Page(same.to_html()).tags
    assert f"film {said}" in fragment.text
    page = assert_harmless(papers.page())
    assert page.tags == Page(same.page()).tags
    assert f"deck {said}" in page.text


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_a_page_is_self_contained_and_balanced(path):
    text = page_of(path)
    page = assert_harmless(text)
    for tag, name, value in page.attributes:
        if name in {"src", "href", "xlink:href", "srcset", "poster", "action", "data", "background"}:
            assert value.startswith("#"), (tag, name, value)
    assert "@import" not in text
    for target in re.findall(r"url\(([^)]*)\)", text):
        assert target.strip("'\" ").startswith("#"), target
    # the name space of the pictures is a name, not fetched; all else has no address
    addresses = re.findall(r"(?:https?:)?//[\w.-]+\.[a-z]+", re.sub(r"xmlns=\"[^\"]*\"", "", text))
    assert addresses == []
    assert "default-src 'none'" in text
    assert "\x1b" not in text


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_headings_that_regions_name_are_there_once(path):
    page = Page(page_of(path))
    names = [value for _, name, value in page.attributes if name == "id"]
    referred = [value for _, name, value in page.attributes if name == "aria-labelledby"]
    assert referred
    assert all(names.count(name) == 1 for name in referred)


def test_every_identifier_of_a_page_is_given_once():
    page = Page(page_of(BRIEFS[1]))
    names = [value for _, name, value in page.attributes if name == "id"]
    assert sorted(set(names)) == sorted(names)


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_a_page_answers_in_this_order(path):
    ranking = overcoat.rank(overcoat.Brief.from_json(path))
    text = Page(page_of(path)).text
    for line in ranking.assumed:
        assert " ".join(line.split()) in text
    heads = ["Options", "Assumed", "What would change this answer", "Details", "Why not the others"]
    if any(finding.kind in ("needs", "warns") for finding in ranking.best.findings):
        heads.insert(0, "Before you order #1")
        for finding in ranking.best.findings:
            if finding.kind in ("needs", "warns"):
                assert finding.message.rstrip(".")[1:] in text
    places = [text.index(f" {head} ") for head in heads]
    assert places == sorted(places)
    assert text.index("Target") < places[0]


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_a_page_is_read_in_a_few_minutes(path):
    text = re.sub(r"<script.*?</script>|<style>.*?</style>", "", page_of(path), flags=re.DOTALL)
    assert len(Page(text).text.split()) <= 2500


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_no_catalog_key_is_read(path):
    text = re.sub(r"<script.*?</script>|<style>.*?</style>", "", page_of(path), flags=re.DOTALL)
    assert re.findall(r"\b[a-z]+_[a-z0-9_]+", Page(text).text) == []


def test_date_and_revision_are_those_given():
    ranking = overcoat.rank(overcoat.Brief.from_json(BRIEFS[1]))
    text = Page(ranking.page(date="2026-11-27", revision="B <2>")).text
    assert "2026-11-27" in text and "revision B <2>" in text


def test_the_same_answer_gives_the_same_page():
    assert overcoat.rank(overcoat.Brief.from_json(BRIEFS[1])).page() == page_of(BRIEFS[1])


def test_a_page_without_an_open_build_still_says_why():
    document = json.loads(BRIEFS[1].read_text("utf-8"))
    document["wants"] = {"builds": [{"treatment": "stainless_alkaline", "films": []}]}
    ranking = overcoat.rank(overcoat.Brief.from_json(json.dumps(document)))
    assert ranking.best is None
    page = assert_harmless(ranking.page())
    assert "No option is usable" in page.text
    assert "svg" not in page.tags
    reason = next(f.message for f in ranking[0].findings if f.kind == "blocks")
    assert reason.rstrip(".")[1:] in page.text


@pytest.mark.parametrize(
    "part",
    [{}, {"form": "lock_nut", "thread": "1/4-20 UNC"}, {"base_metal": "titanium"}],
    ids=["nothing", "nut", "titanium"],
)
@pytest.mark.parametrize("place", ["indoor_heated", "splash"])
def test_a_page_of_a_brief_that_says_little(part, place):
    document = {
        "schema": "overcoat.brief.v1",
        "name": "little said",
        "part": part,
        "duty": {"place": place, "required_years": 3},
    }
    ranking = overcoat.rank(overcoat.Brief.from_json(json.dumps(document)))
    assert "little said" in assert_harmless(ranking.page()).text


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.0, "<1%"),
        (0.0099, "<1%"),
        (0.01, "1%"),
        (0.9949, "99%"),
        (0.995, ">99%"),
        (1.0, ">99%"),
    ],
)
def test_probabilities_are_never_a_flat_nothing_or_everything(probability: float, words: str) -> None:
    assert percent_in_words(probability) == words


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_limits_sites_and_costs_are_those_of_the_core(path):
    brief = overcoat.Brief.from_json(path)
    ranking = overcoat.rank(brief)
    best = ranking.best
    words = " ".join(" ".join(Page(ranking.page()).words).split())

    films = json.loads(overcoat.Catalog.default().to_json())["films"]
    limits = [films[film]["continuous_limit_c"]["value"] for film in best.build.films]
    if limits:
        assert f"Part at most {min(limits):.0f} °C for long" in words
    for years in (10, 20):
        later = overcoat.rank(brief.replace(required_years=years))[best.build]
        if not later.blocked and 100 <= later.cost.per_thousand < 999_950:
            cost = later.cost.per_thousand
            assert f"{cost:,.{0 if cost >= 100 else 2}f} over {years} years" in words
    order = json.loads(best.papers().to_json())["order"]
    assert order["drawing_note"] in words
    asked = [clause for clause in order["clauses"] if clause["subject"] in ("tests", "acceptance")]
    asked += [one for one in order["open"] if one["subject"] in ("tests", "acceptance")]
    assert asked
    for one in asked:
        assert " ".join(one.get("text", one.get("proposed")).split()) in words
    for left_out in range(len(best.build.films)):
        films_left = [film for i, film in enumerate(best.build.films) if i != left_out]
        without = overcoat.Build(best.build.base_metal, best.build.treatment, films_left)
        if without in ranking and not ranking[without].blocked:
            left = percent_in_words(ranking[without].outlook.probability_ok)
            same = left == percent_in_words(best.outlook.probability_ok)
            said = f"the probability is the same: {left}" if same else f"{left} probability instead of"
            beyond = any(finding.rule == "outlook.horizon" for finding in ranking[without].findings)
            if beyond and ranking[without].outlook.probability_ok >= 0.01:
                said = "no probability can be stated"
            assert said in words


def test_the_page_says_what_a_site_farther_from_the_sea_changes(demo):
    brief = overcoat.Brief.from_json(demo / "briefs" / "deck-fitting.json")
    ranking = overcoat.rank(brief)
    page = Page(ranking.page())
    words = [" ".join(word.split()) for word in page.words if word.strip()]
    inland = overcoat.rank(brief.replace(sea_distance_m=3000))
    row = words.index(f"this site, but 3 km inland ({inland.category})")
    chance = percent_in_words(inland[ranking.best.build].outlook.probability_ok)
    leader = "#1" if inland.best.build == ranking.best.build else inland.best.short_name
    assert words[row + 1] == chance and words[row + 2] in (leader, "as above")
    there = overcoat.rank(brief.replace(place="rural"))
    row = words.index(f"rural ({there.category})")
    assert words[row + 1] == percent_in_words(there[ranking.best.build].outlook.probability_ok)
