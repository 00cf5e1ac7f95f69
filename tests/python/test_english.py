"""What a person reads is American technical English: words to avoid, each with what to write."""

from __future__ import annotations

import ast
import csv
import json
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
AVOIDED = Path(__file__).with_name("avoided_words.tsv")

STRING = re.compile(r'(?<![\w\'\\])(?:b|c|br|r)?(#*)"((?:[^"\\]|\\.)*?)"\1', re.DOTALL)
TESTS = re.compile(r"^#\[cfg\(test\)\][^{;]*\bmod tests? \{.*", re.MULTILINE | re.DOTALL)
# code, formulas, and the value of the interface that keeps its spelling
CODE = re.compile(r"```.*?```|`[^`\n]*`|\$[^$\n]*\$|[\"']aluminium[\"']", re.DOTALL)
KEY = re.compile(r"[\w./:{}\[\]-]*")


def patterns() -> list[tuple[re.Pattern[str], str]]:
    with AVOIDED.open(encoding="utf-8", newline="") as lines:
        rows = csv.reader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)
        return [(re.compile(pattern, re.IGNORECASE), instead) for pattern, instead in rows]


def rust_texts(text: str) -> Iterator[str]:
    """Strings and documentation of a Rust file, its unit tests left out."""
    text = TESTS.sub("", text)
    block: list[str] = []
    code: list[str] = []
    for line in text.splitlines():
        comment = re.match(r"\s*//[/!] ?(.*)", line)
        if comment:
            block.append(comment[1])
            continue
        if block:
            yield "\n".join(block)
            block = []
        if not re.match(r"\s*//", line):
            code.append(line)
    for match in STRING.finditer("\n".join(code)):
        yield re.sub(r"\\\n\s*", "", match[2])


def python_texts(text: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            # examples of a docstring are code
            yield re.sub(r"^\s*(>>>|\.\.\.).*$", "", node.value, flags=re.MULTILINE)


def json_texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for each in value:
            yield from json_texts(each)
    elif isinstance(value, dict):
        for each in value.values():
            yield from json_texts(each)


def notebook_texts(text: str) -> Iterator[str]:
    for cell in json.loads(text)["cells"]:
        whole = "".join(cell["source"])
        if cell["cell_type"] == "markdown":
            yield whole
        else:
            yield from re.findall(r'"([^"\n]*)"', whole)


def texts() -> Iterator[tuple[Path, str]]:
    """Everything that a person reads, file by file."""
    for folder in ("src", "python/bindings/src"):
        for path in sorted((ROOT / folder).rglob("*.rs")):
            yield from ((path, each) for each in rust_texts(path.read_text("utf-8")))
    for path in sorted((ROOT / "python").rglob("*.py*")):
        if path.suffix in (".py", ".pyi"):
            yield from ((path, each) for each in python_texts(path.read_text("utf-8")))
    for folder in ("src", "demo-data"):
        for path in sorted((ROOT / folder).rglob("*.json")):
            if "answers" not in path.parts:
                yield from ((path, each) for each in json_texts(json.loads(path.read_text("utf-8"))))
    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        yield from ((path, each) for each in notebook_texts(path.read_text("utf-8")))
    pages = [
        *ROOT.glob("*.md"),
        *(ROOT / "python" / "docs").rglob("*.md"),
        *(ROOT / "demo-data").rglob("*.md"),
    ]
    pages += [*(ROOT / "tests").glob("*.md"), *(ROOT / "benches").glob("*.md")]
    pages += [path for path in (ROOT / "src").rglob("*") if path.suffix in (".html", ".txt", ".js", ".jinja")]
    for path in sorted(pages):
        yield path, path.read_text("utf-8")


def hits() -> Iterator[str]:
    avoided = patterns()
    for path, text in texts():
        if KEY.fullmatch(text):
            continue
        prose = CODE.sub("``", text)
        for pattern, instead in avoided:
            if path.name == "method.md" and "method page" in instead:
                continue
            for match in pattern.finditer(prose):
                around = prose[max(0, match.start() - 40) : match.end() + 40].replace("\n", " ")
                yield f"{path.relative_to(ROOT)}: {match[0]!r} in {around!r}: {instead}"


def test_words_to_avoid_are_not_written() -> None:
    found = list(hits())
    assert not found, f"{len(found)} hits\n" + "\n".join(found)


def test_the_reader_of_texts_sees_what_is_written() -> None:
    assert list(
        rust_texts('/// The colour.\nlet a = "one \\\n   two";\n#[cfg(test)]\nmod tests { "no" }')
    ) == [
        "The colour.",
        "one two",
    ]
    assert "shade" in list(python_texts('def f():\n    """shade"""'))
    assert list(json_texts({"a": ["b", {"c": "d"}]})) == ["b", "d"]
