"""Small readers of a fact's data, forgiving about what an older or newer version left out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

Data = Mapping[str, Any]


def text(data: Data, *keys: str) -> str | None:
    """The first of these keys that holds words; lists of words are joined."""
    for key in keys:
        value = data.get(key)
        if isinstance(value, str) and value.strip():
            return value
        if isinstance(value, list | tuple) and value and all(isinstance(one, str) for one in value):
            return ", ".join(value)
        if isinstance(value, int | float) and not isinstance(value, bool) and _is_finite(value):
            return f"{value:.15g}"
    return None


def number(data: Data, *keys: str) -> float | None:
    """The first of these keys that holds a finite number."""
    for key in keys:
        value = data.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool) and _is_finite(value):
            return float(value)
    return None


def _is_finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:  # an integer beyond every float
        return False


def flag(data: Data, *keys: str) -> bool | None:
    """The first of these keys that holds true or false, or yes or no."""
    for key in keys:
        value = data.get(key)
        if isinstance(value, bool):
            return value
        if value in ("yes", "no"):
            return bool(value == "yes")
    return None


def words(data: Data, *keys: str) -> tuple[str, ...]:
    """The first of these keys that holds a list of words, or one."""
    for key in keys:
        value = data.get(key)
        if isinstance(value, str) and value.strip():
            return (value,)
        if isinstance(value, list | tuple) and value:
            return tuple(str(one) for one in value)
    return ()


def mapping(data: Data, *keys: str) -> Data:
    """The first of these keys that holds a mapping, else an empty one."""
    for key in keys:
        value = data.get(key)
        if isinstance(value, Mapping):
            return value
    return {}


def plain_words(name: str) -> str:
    """An id as words: `no-spark` becomes `no spark`."""
    return name.replace("-", " ").replace("_", " ").strip()
