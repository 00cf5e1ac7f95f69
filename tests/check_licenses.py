#!/usr/bin/env python3
"""Checks that everything overcoat is made from or needs to run is under a license on the list below.

    python tests/check_licenses.py

Rust: every package that `cargo metadata` knows, with all features, for all platforms, tests included; of what
ships, no package in two versions.
Python: what the installed `overcoat` requires, with the extras that users install, and what that requires.
Prints a table; exit code 1 names each offender.
"""

import doctest
import json
import re
import subprocess
import sys
from collections import Counter
from importlib import metadata
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent

ALLOWED = {
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "MIT-CMU",
    "PSF-2.0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
}

# Python packages from before license expressions say it in a classifier
CLASSIFIERS = {
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD-3-Clause",
    "ISC License (ISCL)": "ISC",
    "MIT License": "MIT",
    "Python Software Foundation License": "PSF-2.0",
}

# extras of what users run; the others are tools of this repository
EXTRAS = ("plots", "frames", "units")


class Package(NamedTuple):
    """One package and the license expression that it names, empty if none."""

    kind: str
    name: str
    version: str
    license: str


def satisfiable(expression: str) -> bool:
    """Tell whether a choice within the SPDX `expression` leaves only allowed licenses.

    >>> satisfiable("MIT OR GPL-3.0-only"), satisfiable("MIT AND GPL-3.0-only")
    (True, False)
    >>> satisfiable("MIT/Apache-2.0")  # an old way of writing OR
    True
    >>> satisfiable("(MIT OR GPL-3.0-only) AND Unicode-3.0")
    True
    >>> satisfiable("GPL-3.0-only OR MIT AND LGPL-3.0-only")  # AND binds closer
    False
    >>> satisfiable("Apache-2.0 WITH LLVM-exception"), satisfiable("MIT WITH Some-exception")
    (True, False)
    >>> [satisfiable(malformed) for malformed in ("", "MIT OR", "MIT OR (MIT", "MIT MIT", "MIT WITH")]
    [False, False, False, False, False]
    """
    words = re.findall(r"[()/]|[^\s()/]+", expression)
    words.reverse()  # the next word is the last one

    def next_is(*choices: str) -> bool:
        if words and words[-1].upper() in choices:
            words.pop()
            return True
        return False

    def any_of() -> bool:
        value = all_of()
        while next_is("OR", "/"):
            value = all_of() or value
        return value

    def all_of() -> bool:
        value = one()
        while next_is("AND"):
            value = one() and value
        return value

    def one() -> bool:
        if next_is("("):
            value = any_of()
            if words.pop() != ")":
                raise IndexError
            return value
        name = words.pop()
        if next_is("WITH"):
            name += " WITH " + words.pop()
        return name in ALLOWED

    try:
        return any_of() and not words
    except IndexError:  # it ends too early
        return False


def rust_packages() -> list[Package]:
    """Every package of the build, this one included."""
    command = ["cargo", "metadata", "--format-version", "1", "--all-features"]
    done = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, check=True)
    packages = json.loads(done.stdout)["packages"]
    return [Package("rust", one["name"], one["version"], one["license"] or "") for one in packages]


def license_of(about: metadata.PackageMetadata) -> str:
    """The license expression of an installed package: its own, or by classifiers or the license's name."""
    if expression := about.get("License-Expression"):
        return expression
    start = "License :: OSI Approved :: "
    classifiers = [line for line in about.get_all("Classifier", []) if line.startswith(start)]
    names = [line.removeprefix(start) for line in classifiers]
    if not names and re.fullmatch(r"[\w. -]{1,30}", field := about.get("License") or ""):
        return field
    return " AND ".join(CLASSIFIERS.get(name, name.replace(" ", "-")) for name in names)


def shipped_rust_packages() -> list[dict]:
    """Packages that become part of the Python module on this platform, as `cargo metadata` describes them."""
    told = subprocess.run(["rustc", "-vV"], stdout=subprocess.PIPE, check=True, text=True).stdout
    platform = re.search(r"^host: (\S+)$", told, re.MULTILINE)
    command = ["cargo", "metadata", "--format-version", "1", "--filter-platform"]
    done = subprocess.run(
        [*command, platform[1] if platform else ""], cwd=ROOT, stdout=subprocess.PIPE, check=True
    )
    found = json.loads(done.stdout)
    nodes = {node["id"]: node for node in found["resolve"]["nodes"]}
    # a macro runs in the compiler and leaves only what it writes
    macros = {
        package["id"]
        for package in found["packages"]
        if any("proc-macro" in target["kind"] for target in package["targets"])
    }
    # the module is a member of the workspace, and depends on the core
    module = next(package["id"] for package in found["packages"] if package["name"] == "overcoat-python")
    waiting, shipped = [module], set()
    while waiting:
        if (one := waiting.pop()) not in shipped | macros:
            shipped.add(one)
            waiting += [
                dependency["pkg"]
                for dependency in nodes[one]["deps"]
                if any(kind["kind"] is None for kind in dependency["dep_kinds"])
            ]
    return [package for package in found["packages"] if package["id"] in shipped]


def doubled(packages: list[dict]) -> list[str]:
    """Names that come in several versions."""
    count = Counter(package["name"] for package in packages)
    return sorted(name for name, times in count.items() if times > 1)


def python_packages(root: str = "overcoat", extras: tuple[str, ...] = EXTRAS) -> list[Package]:
    """What `root` requires at run time with these extras, directly or through others."""
    found: dict[str, Package] = {}
    waiting = [(requirement, extras) for requirement in metadata.requires(root) or []]
    while waiting:
        text, asked = waiting.pop()
        requirement, _, marker = text.partition(";")
        name = re.split(r"[^\w.-]", requirement.strip())[0]
        key = re.sub(r"[-_.]+", "-", name).lower()
        extra = re.search(r"extra == ['\"]([\w.-]+)", marker)
        if (extra and extra[1] not in asked) or key in found:
            continue
        try:
            package = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            if marker:  # for another platform or Python
                continue
            raise
        found[key] = Package("python", name, package.version, license_of(package.metadata))
        waiting += [(further, ()) for further in package.requires or []]
    return [found[key] for key in sorted(found)]


def main() -> int:
    if doctest.testmod().failed:
        return 1
    packages = rust_packages() + python_packages()
    offenders = [package for package in packages if not satisfiable(package.license)]
    for package in packages:
        mark = "NOT ALLOWED" if package in offenders else ""
        name = f"{package.name} {package.version}"
        print(f"{package.kind:<7} {name:<36} {package.license or '(none named)'} {mark}".rstrip())
    for package in offenders:
        print(
            f"error: {package.kind} package {package.name} {package.version} is under "
            f"{package.license or 'no named license'}: replace it, or allow that license in this script.",
            file=sys.stderr,
        )
    twice = doubled(shipped_rust_packages())
    if twice:
        print(f"error: in several versions: {', '.join(twice)}; see `cargo tree -d`.", file=sys.stderr)
    print(f"{len(packages)} packages, {len(offenders)} under a license that is not allowed")
    return 1 if offenders or twice else 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except metadata.PackageNotFoundError as missing:
        sys.exit(f"error: Python package {missing.name} is not installed: run `python3 tests/run.py` first.")
    except subprocess.CalledProcessError:
        sys.exit("error: `cargo metadata` failed; the lines above say why.")
