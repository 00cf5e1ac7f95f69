"""The documentation site builds without a warning, and what it says of the model is what is computed."""

import json
import math
import re
import subprocess
import sys
from pathlib import Path

import pytest
from browsing import WIDTHS, Opened

import overcoat

pytest.importorskip("mkdocs")
pytest.importorskip("mkdocstrings")

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "python" / "docs"
METHOD = (DOCS / "pages" / "method.md").read_text("utf-8")
METALS = ("steel", "zinc", "copper", "aluminium")
SPELLED = {"aluminium": "aluminum"}  # the interface keeps its own spelling


@pytest.fixture(scope="module")
def site(tmp_path_factory) -> Path:
    """The site, built as a user builds it; a warning is a failure."""
    folder = tmp_path_factory.mktemp("site")
    done = subprocess.run(
        [
            *(sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet"),
            *("--config-file", str(DOCS / "mkdocs.yml"), "--site-dir", str(folder)),
        ],
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        cwd=folder,
    )
    assert (done.returncode, done.stdout) == (0, ""), done.stderr
    return folder


def text_of(path: Path) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", path.read_text("utf-8")))


def with_a_source(entry: dict) -> list[dict]:
    """Everything in an entry of the catalog that has a source, at any depth."""
    found = [entry] if "source" in entry else []
    return found + [
        inner for value in entry.values() if isinstance(value, dict) for inner in with_a_source(value)
    ]


def test_each_entry_of_the_catalog_has_a_page_with_its_numbers_and_sources(site):
    catalog = json.loads(overcoat.Catalog.default().to_json())
    for kind in ("films", "base_metals", "treatments", "places"):
        for name, entry in catalog[kind].items():
            text = text_of(site / kind / f"{name}.html")
            for value in with_a_source(entry):
                source = catalog["sources"][value["source"]]
                assert source["firmness"].replace("_", " ") in text
                cited = " ".join(source["citation"].replace("&", "&amp;").replace("<", "&lt;").split())
                assert cited.replace(">", "&gt;") in text, (kind, name, cited)
                if "median" in value:
                    assert f"median {value['median']:.4g}" in text
                elif "high" in value:
                    assert f"{value['low']:.4g} to {value['high']:.4g}" in text
                elif isinstance(value.get("value"), (int, float)):
                    assert f"{value['value']:.4g}" in text
    wax = catalog["films"]["hard_wax"]
    page = text_of(site / "films" / "hard_wax.html")
    assert f"median {wax['capacity_h']['median']:.4g} h" in page
    assert f"{wax['ageing']['indoor_years']['value']:.4g} years" in page


def test_every_source_is_listed(site):
    text = text_of(site / "sources.html")
    assert [key for key in overcoat.Catalog.default().sources if key not in text] == []


def test_every_public_name_is_described(site):
    pages = {path.stem: path.read_text("utf-8") for path in (site / "api").glob("*.html")}
    missing = [
        name
        for name in overcoat.__all__
        if f'id="overcoat.{name}"' not in pages.get(name, "")
        and name not in ("__version__", "read_brief")  # another name of Brief.from_json
    ]
    assert missing == []
    # words of compiled classes, which the stubs do not have
    outlook = text_of(site / "api" / "Outlook.html")
    assert " ".join(overcoat.Outlook.median_years.__doc__.split()) in outlook


def test_every_page_of_a_public_name_has_an_example(site):
    pages = {path.stem: path.read_text("utf-8") for path in (site / "api").glob("*.html")}
    assert len(pages) > 50
    assert [
        name for name, text in pages.items() if "&gt;&gt;&gt;" not in text and 'id="example"' not in text
    ] == []


@pytest.mark.parametrize("word", ["galvanic", "hydrogen embrittlement", "torque", "hard wax"])
def test_the_search_knows_the_words_of_the_industry(site, word):
    pages = json.loads((site / "search" / "search_index.json").read_text("utf-8"))["docs"]
    assert any(word in f"{page['title']} {page['text']}".lower() for page in pages)


def test_notebooks_and_pictures_are_shown(site):
    for path in (ROOT / "notebooks").glob("*.ipynb"):
        assert (site / "notebooks" / f"{path.stem}.html").is_file(), path.stem
    gallery = (site / "gallery.html").read_text("utf-8")
    named = re.findall(r'src="(pictures/[^"]+)"', gallery)
    assert len(named) > 8
    assert all((site / name).stat().st_size > 5000 for name in named)


def test_the_examples_were_run(site):
    brief = overcoat.Brief.from_json(ROOT / "demo-data" / "briefs" / "deck-fitting.json")
    prices = overcoat.Catalog.from_json(ROOT / "demo-data" / "workshop_catalog.json")
    answered = overcoat.rank(brief, prices)
    for words in (*answered.verdict.split("'"), *answered.assumed[0].split("'")):
        assert words in text_of(site / "inquiry.html")
    assert "python run" not in text_of(site / "inquiry.html")


def test_nothing_is_fetched_from_elsewhere(site):
    for path in site.rglob("*.html"):
        for tag in re.findall(r"<(?:script|link|img|iframe)[^>]*>", path.read_text("utf-8")):
            assert not re.search(r"(?:src|href)=\"(?:https?:)?//", tag), (path.name, tag)


@pytest.mark.parametrize("width", WIDTHS.values(), ids=WIDTHS)
@pytest.mark.parametrize(
    "name",
    [
        "index",
        "method",
        "api",
        "api/rank",
        "gallery",
        "films/hard_wax",
        "base_metals/index",
        "treatments/hot_alkaline",
    ],
)
def test_axe_finds_nothing_on_a_page(name, width, site, browser):
    pytest.importorskip("axe_playwright_python.sync_playwright")
    page = Opened(browser, site / f"{name}.html", width)
    assert page.violations() == []
    # the search alone needs a server: from a folder its worker is refused
    assert [said for said in page.seen if said.startswith("request http")] == []
    assert not page.is_too_wide()
    page.page.close()


def rows_of(head: str) -> dict[str, list[float]]:
    """Rows of the table of the method whose head begins like this, by metal."""
    lines = METHOD[METHOD.index(head) :].splitlines()[2:]
    rows = {}
    for line in lines:
        if not line.startswith("|"):
            break
        name, *values = [cell.strip() for cell in line.strip("|").split("|")]
        rows[name] = [float(value) for value in values if re.fullmatch(r"-?[\d.]+", value)]
    return rows


@pytest.mark.parametrize("metal", METALS)
@pytest.mark.parametrize("temperature_c", [4.0, 16.0])
def test_the_equation_of_the_first_year_with_the_coefficients_printed_is_that_of_the_core(
    metal, temperature_c
):
    a_, a, b, k1, k2, b_, c, d, e = rows_of("| metal | A |")[SPELLED.get(metal, metal)]
    humidity, so2, chloride = 77.0, 12.0, 30.0
    f = (k1 if temperature_c <= 10 else k2) * (temperature_c - 10)
    loss = a_ * so2**a * math.exp(b * humidity + f) + b_ * chloride**c * math.exp(
        d * humidity + e * temperature_c
    )
    assert overcoat.first_year_loss(metal, temperature_c, humidity, so2, chloride) == pytest.approx(loss)


@pytest.mark.parametrize("metal", METALS)
def test_the_exponents_printed_are_those_of_the_core(metal):
    average, conservative = rows_of("| metal | b average |")[SPELLED.get(metal, metal)]
    for b, safe in ((average, False), (conservative, True)):
        assert overcoat.long_term_loss(metal, 10.0, 8.0, safe) == pytest.approx(10 * 8**b)
        late = 10 * (20**b + b * 20 ** (b - 1) * 15)
        assert overcoat.long_term_loss(metal, 10.0, 35.0, safe) == pytest.approx(late)


def test_the_bounds_printed_are_those_of_the_core():
    printed = re.search(r"For\s+steel ([\d., and]+) µm", METHOD)[1]
    bounds = [float(number) for number in re.findall(r"[\d.]+\d|\d+", printed)]
    assert len(bounds) == 5
    for bound, category in zip(bounds, ("C1", "C2", "C3", "C4", "C5"), strict=True):
        assert overcoat.corrosivity("steel", bound) == category
        assert overcoat.corrosivity("steel", bound * 1.001) != category


def test_the_weights_printed_are_those_of_the_core(demo):
    document = json.loads((demo / "briefs" / "gate-hinge.json").read_text("utf-8"))
    plain = overcoat.rank(overcoat.Brief.from_json(json.dumps(document)))
    table = METHOD[METHOD.index("| criterion |") :].split("\n\n")[0].splitlines()[2:]
    weights = {row.split("|")[1].strip(): float(row.split("|")[3]) for row in table}
    document.setdefault("wants", {})["weights"] = weights
    said = overcoat.rank(overcoat.Brief.from_json(json.dumps(document)))
    assert [option.score for option in said] == [option.score for option in plain]
