"""What JSON Schemas of our files are put together from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

Schema = dict[str, Any]

MOST = 1e9
TEXT: Schema = {"type": "string", "pattern": r"\S"}
ID: Schema = {"type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$"}


def table(properties: Mapping[str, Schema], optional: Iterable[str] = ()) -> Schema:
    left_out = set(optional)
    return {
        "type": "object",
        "properties": dict(properties),
        "required": [key for key in properties if key not in left_out],
        "additionalProperties": False,
    }


def listing(items: Schema, least: int = 0) -> Schema:
    return {"type": "array", "items": items} | ({"minItems": least} if least else {})


def closed_set(values: Iterable[str]) -> Schema:
    return {"type": "array", "items": {"enum": [str(value) for value in values]}, "uniqueItems": True}


def number(least: float, most: float = MOST, *, above: bool = False) -> Schema:
    return {
        "type": "number",
        "exclusiveMinimum" if above else "minimum": least,
        "exclusiveMaximum" if most == MOST else "maximum": most,
    }


def about(part: Schema, description: str) -> Schema:
    return part | {"description": description}
