"""The page in a real browser: reads well for eye, keyboard, screen reader and printer, and runs nothing.

Skips where playwright, axe or Chromium is not there.
"""

import json
import re
from pathlib import Path

import pytest
from browsing import WIDTHS, Opened

import overcoat

pytest.importorskip("axe_playwright_python.sync_playwright")

BRIEFS = sorted((Path(__file__).resolve().parents[2] / "demo-data" / "briefs").glob("*.json"))
HOSTILE = {
    "script": "<script>window.hit = 1; alert(1)</script>",
    "image": '"><img src=x onerror="window.hit = 1">',
    "attribute": "' autofocus onfocus='window.hit = 1' x='",
    "frame": "</title></style></svg><iframe srcdoc='<script>parent.hit = 1</script>'></iframe>",
    "template": "{{ 7 * 7 }} {% raw %} {{ config }} ${7*7}",
    "long_word": "x" * 10_000,
    "long_text": "black screws for the boat " * 400,
}


@pytest.fixture
def opened(browser, tmp_path):
    pages = []

    def open_text(text: str, width: int = WIDTHS["desktop"]) -> Opened:
        path = tmp_path / f"page-{len(pages)}.html"
        path.write_text(text, encoding="utf-8")
        pages.append(Opened(browser, path, width))
        return pages[-1]

    yield open_text
    for page in pages:
        page.page.close()


def page_of(path: Path) -> str:
    return overcoat.rank(overcoat.Brief.from_json(path)).page()


def hostile_ranking(words: str) -> overcoat.Ranking:
    document = json.loads(next(path for path in BRIEFS if path.stem == "deck-fitting").read_text("utf-8"))
    document |= {"name": words, "remarks": words}
    return overcoat.rank(overcoat.Brief.from_json(json.dumps(document)))


@pytest.mark.parametrize("width", WIDTHS.values(), ids=WIDTHS)
@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_axe_finds_nothing_and_nothing_is_fetched(path, width, opened):
    page = opened(page_of(path), width)
    assert page.violations() == []
    assert page.seen == []
    assert not page.is_too_wide()


@pytest.mark.parametrize("words", HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_brief_is_read_as_it_was_written(words, opened):
    ranking = hostile_ranking(words)
    for text in (ranking.page(), ranking.best.papers().page()):
        page = opened(text, WIDTHS["phone"])
        assert page.page.evaluate("window.hit") is None
        assert page.page.locator("img, iframe, [onerror], [onfocus]").count() == 0
        # its own two scripts: the tables and what looks them up
        assert page.page.locator("script").count() == (2 if text == ranking.page() else 0)
        assert page.page.locator("h1").text_content().strip() == words.strip()
        assert page.violations() == []
        assert page.seen == []
        assert not page.is_too_wide()


def test_a_page_without_an_open_build_is_sound_too(opened):
    document = json.loads(BRIEFS[0].read_text("utf-8"))
    document["part"]["base_metal"] = "steel_8_8"
    document["wants"] = {"builds": [{"treatment": "stainless_alkaline", "films": []}]}
    ranking = overcoat.rank(overcoat.Brief.from_json(json.dumps(document)))
    assert ranking.best is None
    page = opened(ranking.page(), WIDTHS["phone"])
    assert page.violations() == []
    assert page.page.locator("svg, script").count() == 0


REACHED = "a, summary, [tabindex], select, input"


def test_every_link_and_list_is_reached_and_worked_by_keyboard(opened):
    page = opened(page_of(BRIEFS[0])).page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    assert page.locator(".skip").bounding_box()["y"] >= 0
    page.keyboard.press("Enter")
    assert page.url.endswith("#answer")

    wanted = page.locator(REACHED).count()
    page.evaluate("document.body.focus(); window.scrollTo(0, 0); history.replaceState(null, '', ' ')")
    page.reload()
    reached = set()
    for _ in range(wanted):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(f"[...document.querySelectorAll('{REACHED}')].indexOf(document.activeElement)")
        )
        # whoever has the focus sees it
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"
    assert reached == set(range(wanted))

    summary = page.locator("summary").first
    summary.focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.querySelector('details').open")


def test_a_screen_reader_finds_the_parts_by_name(opened):
    deck = next(path for path in BRIEFS if path.stem == "deck-fitting")
    tree = opened(page_of(deck)).page.locator("body").aria_snapshot()
    for part in (
        'region "Answer"',
        'region "Options"',
        'region "What would change this answer"',
        'columnheader "Coats"',
        'combobox "Required years"',
        'spinbutton "Target probability, %"',
    ):
        assert part in tree, part
    assert len(re.findall(r"- '?img \"", tree)) == 2
    assert len(re.findall(r"heading .*\[level=1\]", tree)) == 1


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_controls_look_up_what_the_core_computed(path, opened):
    """For other years, targets and budgets the page names the cheapest option of a ranking of that brief."""
    page = opened(page_of(path)).page
    brief = json.loads(path.read_text("utf-8"))
    for years, target in ((1, 50), (2, 80), (10, 90)):
        page.select_option("#years", label=f"{years} year{'s' if years > 1 else ''}")
        page.fill("#target", str(target))
        page.fill("#budget", "")
        found = page.text_content("#found")
        brief["duty"]["required_years"] = years
        ranking = overcoat.rank(overcoat.Brief.from_json(json.dumps(brief)))
        usable = [option for option in ranking if not option.blocked]
        reaching = [o for o in usable if o.outlook.probability_ok >= target / 100]
        if not reaching:
            assert found.startswith("Target not met"), found
            continue
        least = min(option.cost.per_thousand for option in reaching)
        digits = f"{least:,.2f}" if least < 100 else f"{least:,.0f}"
        assert found.startswith(f"Lowest cost that reaches {target}%"), found
        assert digits in found, (found, digits)
        # a budget below it leaves what costs less
        page.fill("#budget", str(least * 0.999))
        found = page.text_content("#found")
        assert not found.startswith("Lowest cost") or digits not in found


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS.values(), ids=WIDTHS)
def test_light_and_dark_have_contrast(width, scheme, opened):
    deck = next(path for path in BRIEFS if path.stem == "deck-fitting")
    page = opened(page_of(deck), width)
    page.page.emulate_media(color_scheme=scheme)
    for summary in page.page.locator("summary").all():
        summary.click()
    assert page.violations() == []
    assert not page.is_too_wide()


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_it_prints_whole(paper, size, opened):
    page = opened(page_of(BRIEFS[0])).page
    page.emulate_media(media="print")
    assert not page.locator("#controls").is_visible()
    assert page.locator("details").count() > 1
    for item in page.locator("details li").all()[::40]:
        assert item.is_visible()
    printed = page.pdf(format=paper)
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", printed)
    assert 2 <= len(boxes) <= 8
    for width, height in boxes:
        assert (float(width), float(height)) == pytest.approx(size, abs=1)
    # nothing stands out of the paper on the right (margins of 15 mm)
    page.set_viewport_size({"width": round((size[0] - 2 * 42.5) * 96 / 72), "height": 900})
    outside = page.evaluate(
        """[...document.querySelectorAll('td, th, p, li, svg')]
            .filter(e => e.getBoundingClientRect().right > window.innerWidth + 1).length"""
    )
    assert outside == 0


def test_notebook_fragments_are_sound(opened):
    ranking = overcoat.rank(overcoat.Brief.from_json(BRIEFS[0]))
    brief = overcoat.Brief.from_json(BRIEFS[0])
    parts = [brief, ranking, ranking.best, ranking.best.outlook, ranking.best.papers()]
    body = "".join(part._repr_html_() for part in parts)
    page = opened(
        f'<!doctype html><html lang="en"><title>x</title><main><h1>x</h1>{body}</main></html>',
        WIDTHS["phone"],
    )
    assert page.violations() == []
    assert page.seen == []
