"""Briefs and catalogs as Python has them: dictionaries in, objects with attributes out."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from overcoat import _core
from overcoat._refusal import invalid, wrong

_CATEGORIES = ("C1", "C2", "C3", "C4", "C5", "CX")
_NESTED = {"Brief": {}, "Duty": {"road_salt": "RoadSalt"}, "Wants": {"weights": "Weights"}}


@cache
def _names(title: str) -> tuple[str, ...]:
    """The fields of a section in the order of its schema; none for what is not a section of a brief."""
    definitions = json.loads(_core.schema("brief"))["$defs"]
    return tuple(definitions[title]["properties"]) if title in definitions else ()


class Section(Mapping[str, Any]):
    """Part, duty or wants of a brief, or the atmosphere of a ranking: an attribute for each field.

    A field that is left out is None. As a mapping it has the fields that are given, so that
    `dict(brief.duty)` is what `Brief(duty=...)` takes. It does not change; `Brief.replace` makes a brief with
    other values.
    """

    __slots__ = ("_title", "_values")

    def __init__(self, title: str, values: Mapping[str, Any]) -> None:
        object.__setattr__(self, "_title", title)
        object.__setattr__(self, "_values", dict(values))

    def __getattr__(self, name: str) -> Any:
        values: dict[str, Any] = object.__getattribute__(self, "_values")
        title: str = object.__getattribute__(self, "_title")
        if name in values:
            value = values[name]
            inner = _NESTED.get(title, {}).get(name, name)
            return Section(inner, value) if isinstance(value, dict) else value
        if name in _names(title):
            return None
        import difflib

        near = difflib.get_close_matches(name, self.__dir__(), n=1, cutoff=0.75)
        guess = f"; did you mean `{near[0]}`?" if near else ""
        raise AttributeError(f"{title} has no field `{name}`{guess}")

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{self._title} does not change: make a brief with `replace({name}=...)`")

    def __dir__(self) -> list[str]:
        return list(dict.fromkeys([*_names(self._title), *self._values]))

    def __getitem__(self, name: str) -> Any:
        return self._values[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mapping) and self._values == dict(other)

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        inside = ", ".join(f"{name}={value!r}" for name, value in self._values.items())
        return f"{self._title}({inside})"

    def __reduce__(self) -> tuple[Any, ...]:
        return Section, (self._title, self._values)


def section(title: str, text: str) -> Section:
    """The section that a JSON text holds."""
    return Section(title, json.loads(text))


def json_of(given: Mapping[str, Any], document: str) -> str:
    """A dictionary as JSON text, quantities in the units of their fields."""
    plain: dict[str, Any] = _plain(given, "")
    if document == "fields" and "builds" in plain:
        allowed, remedy = "the wants as a whole", 'Write `replace(wants={**brief.wants, "builds": [...]})`.'
        raise invalid("builds", "given alone", allowed, remedy)
    if document == "brief":
        usual: dict[str, Any] = {"schema": "overcoat.brief.v1", "name": "inquiry", "part": {}}
        plain = {**usual, **plain}
    try:
        return json.dumps(plain)
    except (TypeError, ValueError, RecursionError) as error:
        remedy = f"Pass numbers, text, lists and dictionaries ({error})."
        raise wrong(document, given, "what JSON can hold", remedy) from error


def _plain(value: Any, name: str) -> Any:
    """A value as JSON has it; a quantity in the unit that the name of its field ends in."""
    from overcoat._quantities import in_unit_of, is_quantity

    if isinstance(value, Mapping):
        return {str(key): _plain(entry, str(key)) for key, entry in value.items()}
    if name in ("corrosivity", "duty.corrosivity") and isinstance(value, str):
        word = value.strip().upper()
        # another word as it was written, for the error that quotes it
        return word if word in _CATEGORIES else value
    if name in ("builds", "wants.builds") and isinstance(value, (list, tuple, _core.Ranking)):
        # a build of the wants is an object with base metal, treatment and films, or its text
        return [_plain(_core.Build(one) if isinstance(one, str) else one, "") for one in value]
    if isinstance(value, (list, tuple)):
        return [_plain(entry, name) for entry in value]
    if is_quantity(value):
        return _plain(in_unit_of(name, value), name)
    if isinstance(value, _core.Option):
        value = value.build
    if isinstance(value, _core.Build):
        return {"base_metal": value.base_metal, "treatment": value.treatment, "films": value.films}
    # numbers of NumPy, and lists of them
    if hasattr(value, "tolist") and hasattr(value, "dtype"):
        return value.tolist()
    return value


def what_differs(own: str, theirs: str, name: str) -> str:
    """What a catalog has otherwise than another, as a user catalog that extends the other."""
    before, after = json.loads(own), json.loads(theirs)
    found: dict[str, Any] = {"schema": after["schema"], "name": name}
    for title, content in after.items():
        if isinstance(content, dict):
            known = before.get(title, {})
            changed = {key: value for key, value in content.items() if known.get(key) != value}
            if changed:
                found[title] = changed
    return json.dumps(found)


def entry_of(learned: Any) -> str:
    """What records taught, as a user catalog; whoever wants its dates said calls `catalog_entry`."""
    entry: str = learned.catalog_entry("own records", "not dated", "not dated")
    return entry
