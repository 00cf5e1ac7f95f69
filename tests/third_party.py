#!/usr/bin/env python3
"""Compares `THIRD_PARTY_LICENSES.txt` with the Rust packages that become part of the Python module.

    python tests/third_party.py            # exit code 1 where a package is missing or gone
    python tests/third_party.py --write    # write it from the packages in cargo's registry

The file goes into wheel, source distribution and crate: licenses ask for their text and the copyright lines
where the code is handed on. A package offers a choice of licenses more often than not; the texts of all
that it brings are listed, each text once, with the packages that carry it.
"""

import argparse
import re
import sys
from pathlib import Path

from check_licenses import ROOT, shipped_rust_packages

FILE = ROOT / "THIRD_PARTY_LICENSES.txt"
NAMES = re.compile(r"(licen[sc]e|copying|notice|copyright|unlicense)", re.IGNORECASE)
HEAD = """Licenses of the Rust packages that are compiled into overcoat's Python module.

A package that names several licenses joined by OR is used under one of them, MIT where that is offered.
"""


def texts_of(package: dict) -> list[str]:
    """The license texts that a package brings, blanks at the ends of lines removed."""
    folder = Path(package["manifest_path"]).parent
    files = sorted(path for path in folder.iterdir() if path.is_file() and NAMES.match(path.name))
    # of a choice, the text that is used: MIT where it is offered
    chosen = [path for path in files if "MIT" in path.name.upper()] or files
    if "AND" in (package["license"] or ""):
        chosen = files
    notices = [path for path in files if path.name.upper().startswith(("NOTICE", "COPYRIGHT"))]
    found = dict.fromkeys([*chosen, *notices])
    return [
        "\n".join(line.rstrip() for line in path.read_text("utf-8").splitlines()).strip() for path in found
    ]


def packages() -> list[dict]:
    """What is compiled in, without overcoat itself."""
    shipped = [one for one in shipped_rust_packages() if not one["name"].startswith("overcoat")]
    return sorted(shipped, key=lambda one: one["name"])


def line_of(package: dict) -> str:
    return f"{package['name']} {package['version']}: {package['license']}"


def whole(found: list[dict]) -> tuple[str, list[str]]:
    """The file, and the packages that bring no text."""
    carriers: dict[str, list[str]] = {}
    silent = []
    for package in found:
        texts = texts_of(package)
        if not texts:
            silent.append(package["name"])
        for text in texts:
            carriers.setdefault(text, []).append(package["name"])
    parts = [HEAD, "\n".join(line_of(package) for package in found) + "\n"]
    if silent:
        parts.append(f"These packages bring no text of their license: {', '.join(silent)}.\n")
    for text, names in carriers.items():
        parts.append(f"{'-' * 80}\n{', '.join(names)}\n\n{text}\n")
    return "\n".join(parts), silent


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--write", action="store_true", help="write the file instead of comparing with it")
    options = parser.parse_args()
    found = packages()
    if options.write:
        text, silent = whole(found)
        FILE.write_text(text, "utf-8")
        print(f"{FILE.name}: {len(found)} packages, {len(silent)} without a text of their own: {silent}")
        return 0
    listed = re.findall(r"^(\S+ \S+: .+)$", FILE.read_text("utf-8").partition("-" * 80)[0], re.MULTILINE)
    expected = [line_of(package) for package in found]
    missing, gone = sorted({*expected} - {*listed}), sorted({*listed} - {*expected})
    for problem, lines in (("missing", missing), ("no longer compiled in", gone)):
        for line in lines:
            print(f"{problem}: {line}")
    if missing or gone:
        print(
            f"error: {FILE.name} is out of date: run `python tests/third_party.py --write`.", file=sys.stderr
        )
        return 1
    print(f"{len(expected)} packages, all in {FILE.name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
