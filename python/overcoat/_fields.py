"""A JSON Schema as a list to read."""

from __future__ import annotations

import json
from typing import Any


def fields_in_words(schema: dict[str, Any]) -> list[tuple[str, str]]:
    """Path and meaning of each field of a document, with the words that it takes where these are fixed."""
    found: list[tuple[str, str]] = []

    def resolved(node: dict[str, Any]) -> dict[str, Any]:
        for one in (node, *node.get("anyOf", [])):
            if "$ref" in one:
                kind: dict[str, Any] = schema["$defs"][one["$ref"].rpartition("/")[2]]
                return kind
        return node

    def words_of(kind: dict[str, Any]) -> list[str]:
        one_of = kind.get("oneOf", [])
        return [
            *kind.get("enum", []),
            *(word for one in one_of for word in (*one.get("enum", []), *filter(None, [one.get("const")]))),
            *(json.dumps({name: 0}) for one in one_of for name in one.get("properties", {})),
        ]

    def walk(node: dict[str, Any], path: str) -> None:
        for name, field in node.get("properties", {}).items():
            kind = resolved(field)
            here = f"{path}{name}"
            words = words_of(kind)
            meaning = " ".join(str(field.get("description", kind.get("description", ""))).split())
            found.append((here, meaning + (f" One of {', '.join(map(str, words))}." if words else "")))
            walk(kind, f"{here}.")
            walk(resolved(kind.get("items", {})), f"{here}[].")
            if isinstance(kind.get("additionalProperties"), dict):
                walk(resolved(kind["additionalProperties"]), f"{here}.NAME.")

    walk(schema, "")
    return found
