#!/usr/bin/env python3
"""Writes the address of the public repository into a checkout that is about to be packaged.

    python tests/public_address.py https://forge.example/owner/overcoat v0.2.0

The release workflow calls it on its own checkout, so that no address of one forge stands in the sources:
`repository` in `Cargo.toml`, `[project.urls]` in `pyproject.toml`, and absolute links and pictures in
`README.md`, which package indexes show away from the files beside it. Run twice it changes nothing.
"""

import argparse
import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# a link or a picture to a file of the repository: no scheme, no anchor
LOCAL_LINK = re.compile(r"(!?)\[([^\]]*)\]\((?![a-z]+:|#)([^)\s]+)\)")


def with_address(root: Path, address: str, tag: str) -> dict[Path, str]:
    """The three files with the address in them, by path."""
    cargo, project, readme = (root / name for name in ("Cargo.toml", "pyproject.toml", "README.md"))
    crate = cargo.read_text("utf-8")
    if not re.search(r"^repository = ", crate, re.MULTILINE):
        crate = crate.replace("\nreadme = ", f'\nrepository = "{address}"\nreadme = ', 1)
    package = project.read_text("utf-8")
    if "\n[project.urls]\n" not in package:
        urls = {
            "Repository": address,
            "Changelog": f"{address}/blob/{tag}/CHANGELOG.md",
            "Issues": f"{address}/issues",
        }
        table = "".join(f'{name} = "{url}"\n' for name, url in urls.items())
        after = "\n[project.optional-dependencies]"
        package = package.replace(after, f"\n[project.urls]\n{table}{after}", 1)

    def absolute(link: re.Match[str]) -> str:
        picture, words, path = link.groups()
        return f"{picture}[{words}]({address}/{'raw' if picture else 'blob'}/{tag}/{path})"

    return {
        cargo: crate,
        project: package,
        readme: LOCAL_LINK.sub(absolute, readme.read_text("utf-8")),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("address", help="address of the repository, https://...")
    parser.add_argument("tag", help="tag or branch that links point to")
    parser.add_argument("--root", type=Path, default=ROOT, help="checkout to change [default: this one]")
    asked = parser.parse_args()
    if not re.fullmatch(r"https://[^\s\"']+", asked.address):
        sys.exit(f"error: address is {asked.address!r}; enter one that starts with https://.")
    for path, text in with_address(asked.root, asked.address.rstrip("/"), asked.tag).items():
        path.write_text(text, "utf-8")
        print(f"written: {path}")


if __name__ == "__main__":
    main()
