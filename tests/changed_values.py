"""Plain values with one of them changed, to hold a schema against what a reader refuses."""

from __future__ import annotations

import copy
from collections.abc import Collection, Iterator
from typing import Any

Path = tuple[str | int, ...]


def places(value: Any, whole: Collection[Path] = (), path: Path = ()) -> Iterator[Path]:
    """The path of every key and of the first item of each list; of the lists at `whole`, of every item."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in items:
        if isinstance(key, int) and key > 0 and path not in whole:
            continue  # further items are as the first
        yield (*path, key)
        yield from places(inner, whole, (*path, key))


def changed(value: Any, path: Path, to: object) -> Any:
    """A copy with one value changed, taken out where `to` is ..., or with one key too many where it is a key."""
    copied = copy.deepcopy(value)
    holder = copied
    for key in path[:-1]:
        holder = holder[key]
    if to is ...:
        del holder[path[-1]]
    elif to == "a-key-too-many" and isinstance(holder, dict):
        holder[to] = 1
    else:
        holder[path[-1]] = to
    return copied
