"""The JSON Schema of the report, made from the record's types so that the two cannot drift apart."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Mapping
from typing import Any

from assistant.record.model import SCHEMA, JobRecord

SEAL = "Signed: that this is what was written, and where the job's chain and the store's log ended. See record/seal.py."
DIALECT = "https://json-schema.org/draft/2020-12/schema"
_PLAIN = {str: "string", int: "integer", float: "number", bool: "boolean", type(None): "null"}


def record_schema() -> dict[str, Any]:
    """The schema as JSON values; every field is required and no other is allowed."""
    definitions: dict[str, Any] = {}
    whole = _object(JobRecord, definitions)
    properties = {"schema": {"const": SCHEMA}, "statement": {"type": "string"}, **whole["properties"]}
    return {
        "$schema": DIALECT,
        "title": "The record of one job",
        **whole,
        "properties": {**properties, "seal": {"type": "object", "description": SEAL}},
        "required": list(properties),
        "$defs": dict(sorted(definitions.items())),
    }


def _object(kind: type[Any], definitions: dict[str, Any]) -> dict[str, Any]:
    hints = typing.get_type_hints(kind)
    properties = {one.name: _of(hints[one.name], definitions) for one in dataclasses.fields(kind)}
    return {
        "type": "object",
        "description": " ".join((kind.__doc__ or "").split()),
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _of(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    if hint is Any:
        return {}
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        if hint.__name__ not in definitions:
            definitions[hint.__name__] = {}  # holds the place while its own fields are read
            definitions[hint.__name__] = _object(hint, definitions)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    if hint in _PLAIN:
        return {"type": _PLAIN[hint]}
    origin, inside = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        return {"anyOf": [_of(one, definitions) for one in inside]}
    if origin is tuple and inside[-1] is Ellipsis:
        return {"type": "array", "items": _of(inside[0], definitions)}
    if origin is tuple:
        items = [_of(one, definitions) for one in inside]
        return {"type": "array", "prefixItems": items, "minItems": len(items), "maxItems": len(items)}
    if origin is Mapping:
        return {"type": "object", "additionalProperties": _of(inside[1], definitions)}
    raise TypeError(f"a record holds no {hint!r}")
