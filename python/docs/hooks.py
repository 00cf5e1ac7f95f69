"""Pages of the site that are made when it is built, so that they cannot lag behind the code.

- a page for each film, metal, treatment and place of the built-in catalog, with the evidence of each number;
- a page of all sources by grade of evidence;
- a page for each public name of the Python package, listed by pages/api.md;
- the notebooks, with their outputs;
- what the command says of itself;
- formulas between dollar signs as MathML, which browsers typeset without any script;
- blocks fenced as ```python picture NAME: run too, their `figure` shown beneath with the text `alt`;
- blocks fenced as ```python run: run in the order of the page, their output printed beneath, a table as one;
- blocks fenced as ```python file PATH: the file of the repository.
"""

from __future__ import annotations

import contextlib
import importlib
import inspect
import io
import json
import math
import os
import re
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import nbformat
import observed
from examples import EXAMPLES
from latex2mathml.converter import convert
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page
from nbconvert import MarkdownExporter

import overcoat

ROOT = Path(__file__).resolve().parents[2]
# letters of a row of columns, beyond which a line is a sentence
LONGEST_ROW = 120
KINDS = {
    "films": ("Films", "film"),
    "base_metals": ("Metals", "base metal"),
    "treatments": ("Treatments", "treatment"),
    "places": ("Places", "place"),
}
UNITS = {
    "um": "µm",
    "h": "h",
    "c": "°C",
    "hv": "HV",
    "pct": "%",
    "kg": "relative price per kg",
    "dm2": "relative price per dm²",
    "minutes": "min",
    "mg_m2_day": "mg/(m²·d)",
    "months": "months",
    "years": "years",
    "hours": "h",
    "mpa": "MPa",
}
# words of a reader for names of fields
WORDS = {
    "ageing": "age",
    "indoor": "indoors",
    "sun": "in full sun",
    "weather": "in the weather",
    "rain": "in rain",
    "handling": "under daily hands",
    "log_sd": "spread of the ages (standard deviation of ln)",
    "capacity": "salt-spray hours",
    "continuous_limit": "lasting heat limit",
    "short_limit": "short heat limit",
    "horizon": "longest life observed",
    "friction": "coefficient of friction",
    "colour_change": "color changes from",
    "darkness": "darkness [0 to 1]",
    "so2": "SO2 deposition",
    "chloride": "chloride deposition",
    "film_hold_factor": "hold on oil, wax and lacquer",
    "paint_hold_factor": "hold on paint",
    "fastener_strength": "strength of fasteners",
    "part_strength": "strength of parts",
}
FIRMNESS = {
    "standard": "read in the standard or a reprint of it",
    "own_records": "own test records",
    "paper": "published paper or patent",
    "handbook": "handbook",
    "derived": "worked out from other sources",
    "common_practice": "usual in the industry, no single source",
    "from_memory": "known, but not checked against the text",
    "assumption": "an estimate of the project: nothing published was found",
}


@cache
def catalog() -> dict[str, Any]:
    """The built-in catalog."""
    content: dict[str, Any] = json.loads(overcoat.Catalog.default().to_json())
    return content


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Lists the pages of the catalog in the navigation."""
    assert config.nav is not None
    entries = [
        {
            title: [
                {"Overview": f"{kind}/index.md"},
                *({short_name(kind, n): f"{kind}/{n}.md"} for n in catalog()[kind]),
            ]
        }
        for kind, (title, _) in KINDS.items()
    ]
    entries.append({"Sources": "sources.md"})
    after = next(i for i, entry in enumerate(config.nav) if "Where this model is weak" in entry)
    config.nav = [*config.nav[:after], {"Catalog": entries}, *config.nav[after:]]
    for entry in config.nav:
        if "Python" in entry:
            described = {group: [{n: page_of(n)} for n in names] for group, names in public_names().items()}
            entry["Python"] = [
                {"All names": "api.md"},
                *({g: pages} for g, pages in described.items() if pages),
            ]
    config.nav.insert(-1, {"Notebooks": [{title: f"notebooks/{p.stem}.md"} for p, title in notebooks()]})
    return config


def short_name(kind: str, name: str) -> str:
    """An entry of the catalog in the words of an answer, for the navigation."""
    if kind == "base_metals":
        return overcoat.Catalog.default().in_words(f"{name} / none / no film").split(", ")[0]
    return name.replace("_", " ") if kind == "places" else str(catalog()[kind][name]["name"])


@cache
def public_names() -> dict[str, dict[str, str]]:
    """Group, name and directive of each public name that pages/api.md lists."""
    groups: dict[str, dict[str, str]] = {}
    text = (Path(__file__).parent / "pages" / "api.md").read_text("utf-8")
    for part in re.split(r"^## ", text, flags=re.MULTILINE)[1:]:
        title, _, body = part.partition("\n")
        directives = re.findall(r"^::: (\S+)\n((?:    .*\n?)*)", body, flags=re.MULTILINE)
        groups[title] = {name: f"::: {name}\n{options}" for name, options in directives}
    return groups


def page_of(name: str) -> str:
    """Path of the page of a public name."""
    return f"api/{name.removeprefix('overcoat.')}.md"


def example_of(name: str) -> str:
    """The example of a public name whose own words have none."""
    return f"\n## Example\n\n```python run\n{EXAMPLES[name]}```\n" if name in EXAMPLES else ""


def first_sentence(name: str) -> str:
    """What a public name is, in the first sentence of its documentation."""
    module, _, attribute = name.rpartition(".")
    try:
        thing = importlib.import_module(name)
    except ImportError:
        thing = getattr(importlib.import_module(module), attribute)
    return said((inspect.getdoc(thing) or "").partition("\n\n")[0].replace("\n", " "))


@cache
def notebooks() -> list[tuple[Path, str]]:
    """The notebooks, each with its title."""
    found = []
    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        first = json.loads(path.read_text("utf-8"))["cells"][0]["source"]
        found.append((path, "".join(first).partition("\n")[0].lstrip("# ")))
    return found


def notebook_page(path: Path, files: Files, config: MkDocsConfig) -> str:
    """A notebook with its stored outputs; its pictures become files."""
    exporter = MarkdownExporter()
    body, resources = exporter.from_notebook_node(nbformat.read(path, as_version=4))
    for name, content in resources["outputs"].items():
        files.append(File.generated(config, f"notebooks/{path.stem}-{name}", content=content))
        body = body.replace(f"]({name})", f"]({path.stem}-{name})")
    # styles of a table for a notebook's own page; the site has its own, and scrolls a table without a class
    body = re.sub(r"<style.*?</style>", "", body, flags=re.DOTALL)
    return str(body.replace('<table border="1" class="dataframe">', "<table>"))


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Adds the pages that are made."""
    pages = {"sources.md": sources_page(), "command.md": command_page()}
    for name, directive in (pair for group in public_names().values() for pair in group.items()):
        pages[page_of(name)] = f"# {name}\n\n{directive}" + example_of(name)
    for path, _ in notebooks():
        pages[f"notebooks/{path.stem}.md"] = notebook_page(path, files, config)
    for kind in KINDS:
        pages[f"{kind}/index.md"] = overview(kind)
        for name in catalog()[kind]:
            pages[f"{kind}/{name}.md"] = entry_page(kind, name)
    for path, text in pages.items():
        files.append(File.generated(config, path, content=text))
    return files


def on_page_markdown(markdown: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    """Runs the blocks that say so; one that fails stops the build."""
    space: dict[str, Any] = {}

    def run(code: str) -> str:
        printed = io.StringIO()
        before = Path.cwd()
        os.chdir(ROOT)
        try:
            with contextlib.redirect_stdout(printed):
                exec(compile(code, page.file.src_uri, "exec"), space)
        finally:
            os.chdir(before)
        text = printed.getvalue().rstrip()
        output = f"\n\n{text if text.startswith('| ') else printed_text(text)}" if text else ""
        return f"```python\n{code}```{output}"

    def content(block: re.Match[str]) -> str:
        return f"```python\n{(ROOT / block[1]).read_text('utf-8')}```"

    def picture(name: str, code: str) -> str:
        here = Path.cwd()
        os.chdir(ROOT)
        try:
            exec(compile(code, page.file.src_uri, "exec"), space)
        finally:
            os.chdir(here)
        drawn = io.BytesIO()
        space["figure"].savefig(drawn, format="png", dpi=120, bbox_inches="tight")
        files.append(File.generated(config, f"pictures/{name}.png", content=drawn.getvalue()))
        alt = space.get("alt", name.replace("-", " "))
        shown = re.sub(r"^alt = .*\n", "", code, flags=re.MULTILINE)
        return f"```python\n{shown}```\n\n![{alt}](pictures/{name}.png){{ .picture }}"

    def listed(directive: re.Match[str]) -> str:
        name = directive[1]
        return f"- [`{name}`]({page_of(name)}): {first_sentence(name)}\n"

    if page.file.src_uri == "api.md":
        return re.sub(r"^::: (\S+)\n(?:    .*\n?)*", listed, markdown, flags=re.MULTILINE)
    markdown = typeset(markdown)
    markdown = re.sub(r"^```python file (\S+)\n```$", content, markdown, flags=re.MULTILINE)
    return re.sub(
        r"^```python (run|picture (\S+))\n(.*?)^```$",
        lambda block: picture(block[2], block[3]) if block[2] else run(block[3]),
        markdown,
        flags=re.MULTILINE | re.DOTALL,
    )


def printed_text(text: str) -> str:
    """What a program printed; columns keep their lines and scroll, sentences are broken into lines."""
    columns = re.search(r"\S {2,}\S", text) and max(map(len, text.splitlines())) <= LONGEST_ROW
    return f"```{{ .text .columns }}\n{text}\n```" if columns else f"```text\n{text}\n```"


def typeset(markdown: str) -> str:
    """Formulas outside code as MathML."""
    parts = re.split(r"(^```.*?^```$|`[^`\n]*`)", markdown, flags=re.MULTILINE | re.DOTALL)
    for i in range(0, len(parts), 2):
        parts[i] = re.sub(
            r"\$\$(.+?)\$\$", lambda m: convert(m[1], display="block"), parts[i], flags=re.DOTALL
        )
        parts[i] = re.sub(r"(?<![\\$\w])\$([^$\n]+)\$(?![\d$])", lambda m: convert(m[1]), parts[i])
    return "".join(parts)


def on_page_content(html: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    """A corner of a table without a word is not a heading."""
    html = html.replace("<th></th>", "<td></td>")
    html = html.replace('alt="png"', 'alt="The picture that the code above draws"')
    # a picture opens in its whole size
    html = re.sub(r'<img[^>]*src="([^"]+\.png)"[^>]*>', r'<a href="\1">\g<0></a>', html)
    html = html.replace('display="block">', 'display="block" tabindex="0">')
    return html.replace("<pre>", '<pre tabindex="0">')


def said(text: str) -> str:
    """Text of the catalog for a cell of a table."""
    return text.replace("|", "\\|").replace("<", "&lt;").replace("*", "\\*").replace("_", "\\_")


def cited(key: str) -> tuple[str, str]:
    """Firmness and citation of a source."""
    source = catalog()["sources"][key]
    return source["firmness"], source["citation"]


def words(name: str) -> tuple[str, str]:
    """Name of a field in words, and its unit."""
    parts = name.split("_")
    for length in (3, 1):
        unit = UNITS.get("_".join(parts[-length:]))
        if unit and len(parts) > length:
            rest = spoken("_".join(parts[:-length]).removesuffix("_per"))
            return (f"{rest} time" if unit == "min" else rest), unit
    return spoken(name), ""


def spoken(name: str) -> str:
    """A name of a field as a reader says it."""
    return WORDS.get(name, name.replace("_", " "))


def number(value: Any) -> str:
    """A value as one would write it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.4g}"
    if isinstance(value, list):
        return ", ".join(map(number, value)) or "none"
    return said(str(value).replace("_", " ") if not isinstance(value, int) else str(value))


def value_of(entry: dict[str, Any], unit: str) -> str:
    """What an entry with a source says."""
    if unit:
        unit = f" {unit}"
    if "median" in entry:
        low, high = (entry["median"] * math.exp(z * 1.2816 * entry["log_sd"]) for z in (-1, 1))
        return (
            f"median {entry['median']:.4g}{unit}, 80% of cases {low:.3g} to {high:.3g}{unit} "
            f"(spread ×/÷ {math.exp(entry['log_sd']):.3g})"
        )
    if "low" in entry:
        return f"{number(entry['low'])} to {number(entry['high'])}{unit}"
    if "elements" in entry:
        return ", ".join(f"{element} {share:g}" for element, share in entry["elements"].items())
    if "value" in entry:
        return f"{number(entry['value'])}{unit}"
    # several numbers of one source, such as the hours to white and to red rust or the strengths of a class
    said_of = []
    for name, value in entry.items():
        if name != "source":
            field, own_unit = words(name)
            own_unit = f" {own_unit}" if own_unit else unit if isinstance(value, (int, float)) else ""
            said_of.append(f"{field} {number(value)}{own_unit}")
    return ", ".join(said_of)


def rows_of(entry: dict[str, Any], within: str = "") -> list[tuple[str, str, str, str]]:
    """Field, value with unit, evidence and citation of everything in an entry that has a source."""
    rows = []
    for name, value in entry.items():
        if not isinstance(value, dict) or name == "substrates":
            continue
        field, unit = words(name)
        if "source" in value:
            rows.append((f"{within}{field}", value_of(value, unit), *cited(value["source"])))
        else:
            rows += rows_of(value, f"{within}{field}: ")
    for name, key in (("gloss", "gloss_source"), ("specifications", "specification_source")):
        if entry.get(name) and key in entry:
            rows.append((name, number(entry[name]), *cited(entry[key])))
    return rows


def entry_page(kind: str, name: str) -> str:
    """One film, metal, treatment or place."""
    entry = catalog()[kind][name]
    rows = rows_of(entry)
    plain = [
        (words(field)[0], number(value))
        for field, value in entry.items()
        if isinstance(value, (bool, str, int))
        and field not in ("name", "gloss", "gloss_source", "specification_source")
    ]
    lines = [
        f"# {said(entry['name'])}",
        "",
        f"The {KINDS[kind][1]} `{name}` of the built-in catalog. {firmness_sentence(rows)}",
        "",
        "| number | value | evidence | source |",
        "| --- | --- | --- | --- |",
        *(f"| {said(f)} | {v} | {firm.replace('_', ' ')} | {said(cite)} |" for f, v, firm, cite in rows),
        "",
    ]
    if plain:
        lines += ["## What it is", "", "| field | value |", "| --- | --- |"]
        lines += [f"| {said(field)} | {value} |" for field, value in plain] + [""]
    if "substrates" in entry:
        lines += [
            "## On which metals",
            "",
            "| family | verdict | why | evidence | source |",
            "| --- | --- | --- | --- | --- |",
        ]
        for family, verdict in entry["substrates"].items():
            firm, cite = cited(verdict["source"])
            lines.append(
                f"| {family.replace('_', ' ')} | {verdict['verdict']} | {said(verdict['why'])} "
                f"| {firm.replace('_', ' ')} | {said(cite)} |"
            )
        lines += ["", "A family that is not in this table is rejected.", ""]
    if kind == "films":
        stacks = [
            " + ".join(f"[{said(catalog()[kind][film]['name'])}]({film}.md)" for film in stack["films"])
            for stack in catalog()["stacks"].values()
            if name in stack["films"]
        ]
        lines += [
            "## Stacks that are tried for every brief",
            "",
            *(f"- {stack}" for stack in stacks or ["none"]),
            "",
        ]
    if kind != "places":
        lines += observed.section(kind, name, lambda field: words(field)[0])
    lines += [
        "What each grade of evidence means: [Sources](../sources.md). How to replace a number by your own: "
        "[Your own data](../own-data.md). What the numbers do: [The method](../method.md).",
        "",
    ]
    return "\n".join(lines)


def firmness_sentence(rows: list[tuple[str, str, str, str]]) -> str:
    """How many numbers are how well supported."""
    if not rows:
        return "It has no numbers with a source."
    counts = Counter(row[2] for row in rows)
    listed = ", ".join(f"{counts[f]} {f.replace('_', ' ')}" for f in FIRMNESS if counts[f])
    return f"Evidence of its {len(rows)} numbers: {listed}."


def overview(kind: str) -> str:
    """All entries of a kind, with the share of their numbers that are published."""
    title, one = KINDS[kind]
    lines = [
        f"# {title}",
        "",
        f"Every {one} of the built-in catalog, and how well supported its numbers are.",
        "",
    ]
    lines += [f"| {one} | in a brief | numbers | assumed | from memory |", "| --- | --- | --- | --- | --- |"]
    for name, entry in catalog()[kind].items():
        counts = Counter(row[2] for row in rows_of(entry))
        lines.append(
            f"| [{said(entry['name'])}]({name}.md) | `{name}` | {counts.total()} "
            f"| {counts['assumption']} | {counts['from_memory']} |"
        )
    return "\n".join([*lines, ""])


def sources_page() -> str:
    """All sources, the best supported first."""
    known = catalog()["sources"]
    lines = [
        "# Sources",
        "",
        "Every number carries one of these. Standards are cited, never quoted.",
        "",
    ]
    lines += ["| evidence | meaning | sources |", "| --- | --- | --- |"]
    counts = Counter(source["firmness"] for source in known.values())
    lines += [f"| {f.replace('_', ' ')} | {meaning} | {counts[f]} |" for f, meaning in FIRMNESS.items()]
    for firmness in FIRMNESS:
        here = {key: source["citation"] for key, source in known.items() if source["firmness"] == firmness}
        if here:
            lines += ["", f"## {firmness.replace('_', ' ').capitalize()}", ""]
            lines += [f"- `{key}`: {said(citation)}" for key, citation in here.items()]
    return "\n".join([*lines, ""])


def command_page() -> str:
    """The help of each command."""

    def help_of(*words: str) -> str:
        words = (sys.executable, "-m", "overcoat", *words, "--help")
        done = subprocess.run(words, capture_output=True, encoding="utf-8", check=True)
        return printed_text(done.stdout.rstrip())

    general = help_of()
    listed = general.partition("Commands:\n")[2].partition("\n\n")[0]
    names = [line.split()[0] for line in listed.splitlines() if line.startswith("  ") and line[2] != " "]
    lines = ["# Command line", "", general, ""]
    for name in names:
        if name != "help":
            lines += [f"## overcoat {name}", "", help_of(name), ""]
    return "\n".join(lines)
