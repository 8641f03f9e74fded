"""Small readers of a fact's data, forgiving about what an older or newer version left out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

Data = Mapping[str, Any]


def text(data: Data, key: str) -> str | None:
    """What it holds in words: lists of words are joined, numbers written out."""
    value = data.get(key)
    if isinstance(value, str) and value.strip():
        return value
    if isinstance(value, list | tuple) and value and all(isinstance(one, str) for one in value):
        return ", ".join(value)
    found = number(data, key)
    return None if found is None else f"{value:.15g}"


def number(data: Data, key: str) -> float | None:
    """The finite number that it holds."""
    value = data.get(key)
    if isinstance(value, int | float) and not isinstance(value, bool) and _is_finite(value):
        return float(value)
    return None


def _is_finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:  # an integer beyond every float
        return False


def flag(data: Data, key: str) -> bool | None:
    """Whether it holds true or false; None for anything else."""
    value = data.get(key)
    return value if isinstance(value, bool) else None


def words(data: Data, key: str) -> tuple[str, ...]:
    """The list of words that it holds, or one; empty where it holds neither."""
    value = data.get(key)
    if isinstance(value, str) and value.strip():
        return (value,)
    return tuple(str(one) for one in value) if isinstance(value, list | tuple) else ()


def mapping(data: Data, key: str) -> Data:
    """The mapping that it holds, else an empty one."""
    value = data.get(key)
    return value if isinstance(value, Mapping) else {}


def plain_words(name: str) -> str:
    """An id as words: `no-spark` becomes `no spark`."""
    return name.replace("-", " ").replace("_", " ").strip()
