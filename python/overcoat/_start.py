"""A first brief from a few answers; what nobody said is left out, for the answer to assume and to say so."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

import overcoat

if TYPE_CHECKING:
    from overcoat._core import Catalog

_OPEN = "open"


def starter(said: dict[str, str | None], catalog: Catalog, ask: bool) -> dict[str, Any]:
    """A brief of what was said by option and, where `ask` says so, by answers to questions.

    Raises
    ------
    click.UsageError
        A thing without which there is no brief was neither said nor asked.
    """
    if not ask and (said["place"] is None or said["years"] is None):
        raise click.UsageError("Give --place and --years, or run it in a terminal, where it asks.")
    document = json.loads(catalog.to_json())
    forms = {
        entry["const"]: entry["description"].rstrip(".")
        for entry in json.loads(overcoat.schema("brief"))["$defs"]["Form"]["oneOf"]
    }
    metals = {name: metal["name"] for name, metal in document["base_metals"].items()}
    places = {name: place["name"] for name, place in document["places"].items()}
    found = dict(said)
    if ask:
        if said["name"] is None:
            found["name"] = click.prompt("What is the inquiry called", default="first inquiry")
        if said["form"] is None:
            found["form"] = _choose("What kind of part", forms, "other")
        if said["base_metal"] is None:
            usual = {_OPEN: "not decided: usual ones are compared"}
            found["base_metal"] = _choose("Which base metal", {**usual, **metals}, _OPEN)
        if said["thread"] is None and str(found["form"]).endswith(("_screw", "_nut")):
            found["thread"] = click.prompt("Which thread, as in M8 or 1/4-20 UNC", default="M8")
        if said["place"] is None:
            found["place"] = _choose("Where does it serve", places, "urban")
        if said["years"] is None:
            found["years"] = click.prompt("How many years shall it show no rust", default="5")
    if found["base_metal"] == _OPEN:
        found["base_metal"] = None
    part = {name: found[name] for name in ("form", "base_metal", "thread") if found[name]}
    return {
        "schema": "overcoat.brief.v1",
        "name": found["name"] or "first inquiry",
        "part": part,
        "duty": {"place": found["place"], "required_years": _number_or_text(str(found["years"]))},
        "wants": {},
    }


def _number_or_text(text: str) -> float | str:
    """A number, or text that may be a number with a unit."""
    try:
        return float(text)
    except ValueError:
        return text


def _choose(question: str, names: dict[str, str], default: str) -> str:
    """One of the names, which may be given by its number in the list."""
    listed = list(names)
    click.echo(f"{question}? A number or a name:")
    for number, name in enumerate(listed, 1):
        click.echo(f"{number:>4}  {name}: {names[name]}")

    def read(text: str) -> str:
        text = text.strip()
        if text.isdecimal() and 1 <= int(text) <= len(listed):
            return listed[int(text) - 1]
        if text in names:
            return text
        raise click.BadParameter(
            f"{text!r} is neither a number from 1 to {len(listed)} nor one of the names."
        )

    chosen: str = click.prompt(question, default=default, value_proc=read)
    return chosen
