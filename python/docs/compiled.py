"""Gives the compiled classes, whose stubs hold types alone, the words that they have at run time."""

from __future__ import annotations

from typing import Any

import griffe

from overcoat import _core


class WordsOfTheCompiledModule(griffe.Extension):
    """Docstrings from the compiled module for what the stubs leave without."""

    def on_package(self, *, pkg: griffe.Module, **_: Any) -> None:
        """The whole package, its stubs read."""
        if "_core" in pkg.members:
            self.add_words(pkg.members["_core"], _core)

    def add_words(self, described: Any, found: Any) -> None:
        """Words of a class, a method or a property, and of all that is in it."""
        for name, member in described.members.items():
            true = getattr(found, name, None)
            if member.is_alias or name.startswith("_") or true is None:
                continue
            words = getattr(true, "__doc__", None)
            if member.docstring is None and words and not isinstance(true, (str, int)):
                member.docstring = griffe.Docstring(words, parent=member, parser="numpy")
            if member.is_class:
                self.add_words(member, true)
