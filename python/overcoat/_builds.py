"""Builds as a user lists them."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING

from overcoat._refusal import invalid

if TYPE_CHECKING:
    from collections.abc import Iterable

# as many as a sweep can count; a list may also be a generator that never ends
_MOST = 65_535


def build_texts(builds: Iterable[object] | None) -> list[str] | None:
    """Each build as it is written; None stays None."""
    if builds is None:
        return None
    if isinstance(builds, str):
        raise invalid("builds", builds, "a list of builds", "Put the build in brackets.")
    texts = [str(build) for build in islice(builds, _MOST + 1)]
    if len(texts) > _MOST:
        raise invalid("builds", f"a list of more than {_MOST}", f"at most {_MOST}", "Ask in parts.")
    return texts
