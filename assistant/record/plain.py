"""The record as JSON values, by the published schema `record.schema.json`."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from typing import Any

from assistant.record.model import SCHEMA, STATEMENT, JobRecord


def plain_record(record: JobRecord) -> dict[str, Any]:
    """The record as JSON values; every name is the name of a field in `model`."""
    return {"schema": SCHEMA, "statement": STATEMENT, **_plain(record)}


def json_text(record: JobRecord) -> str:
    """The record as JSON text, ended by a newline."""
    return json.dumps(plain_record(record), indent=1, ensure_ascii=True, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name)) for one in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    return value
