"""Builds as a user lists them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from overcoat._core import Build, Option
from overcoat._refusal import listed, wrong

if TYPE_CHECKING:
    from collections.abc import Iterable

# as many as a sweep can count; a list may also be a generator that never ends
_MOST = 65_535
_IN_BRACKETS = "Put the build in brackets."


def build_texts(builds: Iterable[object] | None, allowed: str = "a list of builds") -> list[str] | None:
    """Each build as it is written; None stays None."""
    if builds is None:
        return None
    return [build_text(build) for build in listed("builds", builds, allowed, _IN_BRACKETS, _MOST)]


def build_text(build: object) -> str:
    """A build as it is written."""
    if isinstance(build, Option):
        build = build.build
    if isinstance(build, (Build, str)):
        return str(build)
    raise wrong("builds", build, "a build, an option, or its text as a ranking prints it", "Name one.")
