"""The page and the notebook fragments: nothing that a user wrote becomes markup, nothing is fetched."""

import json
import re
import sys
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

import overcoat
from overcoat._core import percent_in_words
from overcoat.pages import answer_page, papers_page

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
    return answer_page(overcoat.rank(overcoat.Brief.from_json(path)))


@cache
def harmless_page() -> Page:
    return Page(answer_page(overcoat.rank(hostile_brief("words"), hostile_catalog("words"))))


def assert_harmless(text: str) -> Page:
    page = Page(text)
    assert not {"script", "iframe", "img", "object", "embed", "link", "form", "base"} & set(page.tags)
    for tag, name, value in page.attributes:
        assert not name.startswith("on"), (tag, name)
        assert not value.strip().lower().startswith(("javascript:", "data:text")), (tag, name, value)
    return page


@pytest.mark.parametrize("words", HOSTILE)
def test_what_a_user_wrote_stays_text_in_the_page(words):
    ranking = overcoat.rank(hostile_brief(words), hostile_catalog(words))
    text = answer_page(ranking)
    page = assert_harmless(text)
    for written in ("deck", "remarks", "catalog", "film", "source"):
        assert f"{written} {' '.join(words.split())}" in page.text
    assert "49" not in re.findall(r"deck (\S+)", page.text)
    # the same tags as with harmless words: nothing was added, nothing swallowed
    assert page.tags == harmless_page().tags
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
    page = assert_harmless(papers_page(papers, ranking))
    assert page.tags == Page(papers_page(same, plain)).tags
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
    # XML namespaces and licence notes inside the pictures are names, not fetched; all else has no address
    addresses = set(
        re.findall(r"(?:https?:)?//[\w.-]+\.[a-z]+", re.sub(r"xmlns(:\w+)?=\"[^\"]*\"", "", text))
    )
    assert addresses <= {"http://purl.org", "https://matplotlib.org"}, addresses
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
    assert ranking.verdict in text
    for line in (*ranking.assumed, *ranking.cautions, *ranking.sources[:1]):
        assert " ".join(line.split(" (")[0].split()) in text
    heads = ["Answer", "Question", "Ranking", "Why the first", "What was assumed", "Why not the others"]
    after_links = text.index("Answer", text.index("Cautions Sources"))
    places = [text.index(f" {head} ", after_links - 1) for head in heads]
    assert places == sorted(places)


def test_the_same_answer_gives_the_same_page():
    assert answer_page(overcoat.rank(overcoat.Brief.from_json(BRIEFS[1]))) == page_of(BRIEFS[1])


def test_a_page_without_an_open_build_still_says_why():
    document = json.loads(BRIEFS[1].read_text("utf-8"))
    document["wants"] = {"builds": [{"treatment": "stainless_alkaline", "films": []}]}
    ranking = overcoat.rank(overcoat.Brief.from_json(json.dumps(document)))
    assert ranking.best is None
    page = assert_harmless(answer_page(ranking))
    assert ranking.verdict in page.text
    assert "svg" not in page.tags
    reason = next(f.message for f in ranking[0].findings if f.kind == "blocks")
    assert reason in page.text


def test_a_page_without_matplotlib_is_whole_in_words(monkeypatch):
    with_pictures = Page(page_of(BRIEFS[1]))
    monkeypatch.delattr(overcoat, "plots", raising=False)
    monkeypatch.setitem(sys.modules, "overcoat.plots", None)
    ranking = overcoat.rank(overcoat.Brief.from_json(BRIEFS[1]))
    page = assert_harmless(answer_page(ranking))
    assert "svg" in with_pictures.tags and "svg" not in page.tags
    sentence = re.search(r"half of such parts hold [^.]*\.", with_pictures.text)
    assert sentence[0] in page.text


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
    assert ranking.verdict in assert_harmless(answer_page(ranking)).text


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.0, "0 %"),
        (0.005, "under 1 %"),
        (0.0051, "1 %"),
        (0.9949, "99 %"),
        (0.995, "over 99 %"),
        (1.0, "100 %"),
    ],
)
def test_probabilities_are_never_a_flat_nothing_or_everything(probability: float, words: str) -> None:
    assert percent_in_words(probability) == words
