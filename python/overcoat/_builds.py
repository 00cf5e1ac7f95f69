"""Builds as a user lists them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from overcoat._core import Build, Option
from overcoat._refusal import invalid, listed, wrong

if TYPE_CHECKING:
    from collections.abc import Iterable

    from overcoat._swept import CatalogLike

# as many as a sweep can count; a list may also be a generator that never ends
_MOST = 65_535
_IN_BRACKETS = "Put the build in brackets."


def builds_and_catalog(
    builds: Iterable[object] | None, catalog: CatalogLike | None, allowed: str = "a list of builds"
) -> tuple[list[str] | None, CatalogLike | None]:
    """Each build as it is written, and the catalog: options bring that of their ranking, where none is named.

    None stays None.
    """
    if builds is None:
        return None, catalog
    given = listed("builds", builds, allowed, _IN_BRACKETS, _MOST)
    if catalog is None:
        own = [build._catalog for build in given if isinstance(build, Option)]
        if any(not one._is(own[0]) and one != own[0] for one in own):
            allowed = "the catalog to compute all of them with"
            raise invalid("catalog", "options of rankings with different catalogs", allowed, "Name one.")
        catalog = own[0] if own else None
    return [build_text(build) for build in given], catalog


def build_text(build: object) -> str:
    """A build as it is written."""
    if isinstance(build, Option):
        build = build.build
    if isinstance(build, (Build, str)):
        return str(build)
    raise wrong("builds", build, "a build, an option, or its text as a ranking prints it", "Name one.")
