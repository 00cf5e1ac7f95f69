#!/usr/bin/env python3
"""Compares what the Rust crate offers to its users with the committed list `tests/public_api.txt`.

    python tests/public_api.py            # exit code 1 and the difference, where there is one
    python tests/public_api.py --write    # accept what there is now

One line per public item: its shortest path and its declaration as the source has it, then other paths to it.
A line that goes or changes breaks users (a new major version, or 0.x to the next), a new line does not.
The items come from rustdoc's JSON, which is made by the stable compiler with `RUSTC_BOOTSTRAP=1`; where a
later rustdoc writes another form than those known here, the check says so and does not judge.
"""

import argparse
import difflib
import json
import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LIST = ROOT / "tests" / "public_api.txt"
FEATURES = "schema,arrow,threads,command"
KNOWN_FORMATS = range(39, 60)
COMMAND = ["cargo", "rustdoc", "--lib", "--features", FEATURES, "--", "-Zunstable-options"]


class Crate:
    """The items of rustdoc's JSON."""

    def __init__(self, document: dict) -> None:
        self.index = document["index"]
        self.root = str(document["root"])
        self.lines: list[str] = []
        self.paths: dict[int, list[str]] = {}
        self.sources: dict[str, list[str]] = {}

    def item(self, reference: object) -> dict | None:
        return self.index.get(str(reference))

    def declaration(self, item: dict) -> str:
        """The source of an item in one line, without its body, documentation, attributes and blanks."""
        span = item["span"]
        lines = self.sources.setdefault(
            span["filename"], (ROOT / span["filename"]).read_text("utf-8").split("\n")
        )
        (first, start), (last, end) = span["begin"], span["end"]
        taken = lines[first - 1 : last]
        taken[-1] = taken[-1][:end]
        taken[0] = taken[0][start - 1 :]
        text = "\n".join(line for line in taken if not re.match(r"\s*(//|#\[)", line))
        text = re.sub(r"#\[[^\]]*\]\s*", "", text)
        return " ".join(text.split()).rstrip(",;")

    def public(self, item: dict) -> bool:
        return item["visibility"] == "public"

    def find(self, path: str, item: dict) -> None:
        """Notes each path to an item of a module."""
        kind, inner = next(iter(item["inner"].items()))
        self.paths.setdefault(item["id"], []).append(path)
        if kind == "module":
            for reference in inner["items"]:
                self.member(path, reference)

    def list(self) -> None:
        """Lists every item found, at its shortest path."""
        for identity, paths in self.paths.items():
            shortest = min(paths, key=lambda path: (path.count("::"), path))
            self.show(shortest, self.index[str(identity)])
            self.lines += [f"{path} = {shortest}" for path in set(paths) - {shortest}]

    def show(self, path: str, item: dict) -> None:
        kind, inner = next(iter(item["inner"].items()))
        if kind == "module":
            self.lines.append(f"{path}: mod")
        elif kind in ("function", "constant", "static", "type_alias"):
            text = self.declaration(item)
            # a function without its body; a constant with its type, not its value
            text = text.partition(" {")[0] if kind == "function" else text.partition(" = ")[0]
            self.lines.append(f"{path}: {text}")
        elif kind in ("struct", "enum", "union", "trait"):
            # who writes one in full, or matches on all of it, breaks where this comes
            closed = " non_exhaustive" if "non_exhaustive" in json.dumps(item.get("attrs", [])) else ""
            self.lines.append(f"{path}: {kind}{closed}")
            self.parts(path, kind, inner)
        elif kind in ("struct_field", "variant", "assoc_const", "assoc_type"):
            self.lines.append(f"{path}: {self.declaration(item).partition(' = ')[0]}")

    def member(self, path: str, reference: object) -> None:
        """An item of a module, reached by its own name or by `pub use`."""
        item = self.item(reference)
        if item is None or not self.public(item):
            return
        if use := item["inner"].get("use"):
            target = self.item(use["id"])
            if target is None:
                self.lines.append(f"{path}::{use['name']}: use {use['source']}")
            elif use["is_glob"]:
                for inner in next(iter(target["inner"].values()))["items"]:
                    self.member(path, inner)
            else:
                self.find(f"{path}::{use['name']}", target)
        else:
            self.find(f"{path}::{item['name']}", item)

    def parts(self, path: str, kind: str, inner: dict) -> None:
        references = list(inner.get("variants", [])) + list(inner.get("items", []))
        shape = inner.get("kind")
        if isinstance(shape, dict):
            for fields in shape.values():
                references += fields["fields"] if isinstance(fields, dict) else [f for f in fields if f]
        for reference in references:
            part = self.item(reference)
            if part and (kind in ("enum", "trait") or self.public(part)):
                self.show(f"{path}::{part['name']}", part)
        blocks = [self.index[str(one)]["inner"]["impl"] for one in inner.get("impls", [])]
        written = [block for block in blocks if not (block["is_synthetic"] or block["blanket_impl"])]
        traits = sorted(block["trait"]["path"].rpartition("::")[2] for block in written if block["trait"])
        if traits:
            self.lines.append(f"{path}: impl {', '.join(traits)}")
        for block in written:
            for reference in [] if block["trait"] else block["items"]:
                part = self.item(reference)
                if part and self.public(part):
                    self.show(f"{path}::{part['name']}", part)


def rustdoc_json() -> dict:
    target = os.environ.get("CARGO_TARGET_DIR", str(ROOT / "target"))
    subprocess.run(
        [*COMMAND, "--output-format", "json"],
        cwd=ROOT,
        env=os.environ | {"RUSTC_BOOTSTRAP": "1"},
        check=True,
    )
    return json.loads((Path(target) / "doc" / "overcoat.json").read_text("utf-8"))


def public_api(document: dict) -> list[str]:
    crate = Crate(document)
    root = crate.item(crate.root)
    assert root is not None
    crate.find("overcoat", root)
    crate.list()
    return sorted(crate.lines)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--write", action="store_true", help="write the list instead of comparing with it")
    options = parser.parse_args()
    document = rustdoc_json()
    if document["format_version"] not in KNOWN_FORMATS:
        print(f"skipped: rustdoc writes format {document['format_version']}, which this check does not know")
        return 0
    found = public_api(document)
    if options.write:
        LIST.write_text("\n".join(found) + "\n", encoding="utf-8")
        print(f"{LIST}: {len(found)} lines")
        return 0
    known = LIST.read_text("utf-8").splitlines()
    difference = list(difflib.unified_diff(known, found, "committed", "now", n=0, lineterm=""))
    print("\n".join(difference) or f"{len(found)} public items, as committed")
    if difference:
        print("error: accept it with --write, and say in CHANGELOG.md what changes.", file=sys.stderr)
    return 1 if difference else 0


if __name__ == "__main__":
    sys.exit(main())
