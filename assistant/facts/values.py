"""Between a field's type and JSON: how a value is written, how it is read, and how it is read as far as it goes.

Read strictly, a value is of its field's type or it is refused. Read as far as it goes (`legible`), words are also made
of numbers and of lists of words, and what fits nothing becomes the blank of its type: no words, no number, nothing in
it. The record shows facts of any make in this way.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

Read = Callable[[Any], Any]
"""From a JSON value. Raises ValueError, or for a legible one never."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A field of a class. `key`: under which it is written. `required`: it has no default, so it is always written."""

    name: str
    key: str
    required: bool
    default: Any
    strict: Read
    legible: Read


def fields_of(kind: type) -> tuple[Field, ...]:
    """The fields in the order in which they are written: the class's own, then those of each class above it."""
    found = _FIELDS.get(kind)
    if found is None:
        found = _FIELDS[kind] = _made_of(kind)
    return found


_FIELDS: dict[type, tuple[Field, ...]] = {}
"""What was worked out once of each class."""


def _made_of(kind: type) -> tuple[Field, ...]:
    hints = get_type_hints(kind)
    shared = [
        field for above in kind.__bases__ if dataclasses.is_dataclass(above) for field in dataclasses.fields(above)
    ]
    names = {field.name for field in shared}
    own = [field for field in dataclasses.fields(kind) if field.name not in names]
    return tuple(
        Field(
            name=field.name,
            key=field.metadata.get("key", field.name),
            required=field.default is dataclasses.MISSING,
            default=field.default,
            strict=_strict(hints[field.name]),
            legible=_legible(hints[field.name]),
        )
        for field in (*own, *shared)
    )


def plain_value(value: Any) -> Any:
    """The value as JSON holds it."""
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, tuple):
        return [plain_value(one) for one in value]
    if isinstance(value, Mapping):
        return {name: plain_value(one) for name, one in value.items()}
    kept = ((field, getattr(value, field.name)) for field in fields_of(type(value)))
    return {field.key: plain_value(one) for field, one in kept if field.required or one != field.default}


def _strict(hint: Any) -> Read:
    if hint in _STRICT:
        return _STRICT[hint]
    inner = get_args(hint)
    if get_origin(hint) in (Union, UnionType):
        return _one_of([_strict(one) for one in inner])
    if get_origin(hint) is tuple:
        return _row(_strict(inner[0])) if inner[-1] is Ellipsis else _fixed(_strict(inner[0]), len(inner))
    if get_origin(hint) is Mapping:
        return _table(_strict(inner[1]))
    return hint if issubclass(hint, Enum) else _part(hint)


def _nothing(value: Any) -> None:
    if value is not None:
        raise ValueError(f"expected nothing, found {value!r:.60}")


def _words(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError(f"expected words, found {value!r:.60}")
    return value


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"expected true or false, found {value!r:.60}")
    return value


def _whole(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise ValueError(f"expected a whole number, found {value!r:.60}")
    return value


def _number(value: Any) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise ValueError(f"expected a number, found {value!r:.60}")
    try:
        number = float(value)
    except OverflowError as reason:  # an integer beyond every float
        raise ValueError("expected a number that can be reckoned with") from reason
    if not math.isfinite(number):
        raise ValueError(f"expected a finite number, found {number}")
    return number


def _one_of(readers: list[Read]) -> Read:
    def read(value: Any) -> Any:
        for reader in readers:
            try:
                return reader(value)
            except ValueError as reason:
                last = reason
        raise last

    return read


def _row(one: Read) -> Read:
    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list | tuple):
            raise ValueError(f"expected a list, found {value!r:.60}")
        return tuple(one(each) for each in value)

    return read


def _fixed(one: Read, length: int) -> Read:
    row = _row(one)

    def read(value: Any) -> tuple[Any, ...]:
        found: tuple[Any, ...] = row(value)
        if len(found) != length:
            raise ValueError(f"expected {length} of a kind, found {len(found)}")
        return found

    return read


def _table(one: Read) -> Read:
    def read(value: Any) -> dict[str, Any]:
        if not isinstance(value, Mapping):
            raise ValueError(f"expected a table, found {value!r:.60}")
        return {str(name): one(each) for name, each in value.items()}

    return read


def _part(kind: type) -> Read:
    def read(value: Any) -> Any:
        if not isinstance(value, Mapping):
            raise ValueError(f"expected a table, found {value!r:.60}")
        missing = [field.key for field in fields_of(kind) if field.required and field.key not in value]
        if missing:
            raise ValueError(f"lacks {', '.join(missing)}")
        there = (field for field in fields_of(kind) if field.key in value)
        return kind(**{field.name: field.strict(value[field.key]) for field in there})

    return read


_STRICT: Mapping[Any, Read] = {NoneType: _nothing, str: _words, bool: _flag, int: _whole, float: _number}


def _legible(hint: Any) -> Read:
    if hint in _LEGIBLE:
        return _LEGIBLE[hint]
    inner = get_args(hint)
    if get_origin(hint) in (Union, UnionType):
        return _legible_union(inner)
    if get_origin(hint) is tuple:
        return _legible_words if inner == (str, Ellipsis) else _or(_strict(hint), ())
    if get_origin(hint) is Mapping:
        return _legible_table(_legible(inner[1]))
    return _or(hint, None) if issubclass(hint, Enum) else _legible_part(hint)


def _or(read: Read, blank: Any) -> Read:
    def legible(value: Any) -> Any:
        try:
            return read(value)
        except ValueError:
            return blank

    return legible


def text(value: Any) -> str | None:
    """What it holds in words: lists of words are joined, numbers written out; None for anything else."""
    if isinstance(value, str):
        return value if value.strip() else None
    if isinstance(value, list | tuple) and value and all(isinstance(one, str) for one in value):
        return ", ".join(value)
    try:
        return f"{_number(value):.15g}"
    except ValueError:
        return None


def _legible_words(value: Any) -> tuple[str, ...]:
    if isinstance(value, str):
        return (value,) if value.strip() else ()
    return tuple(str(one) for one in value) if isinstance(value, list | tuple) else ()


def _legible_union(inner: tuple[Any, ...]) -> Read:
    """Words where the union has them, for a number can be written out; else None for what fits nothing."""
    if NoneType not in inner:
        return _LEGIBLE[str]
    if str in inner:
        return text
    (one,) = (each for each in inner if each is not NoneType)
    rows = isinstance(one, type) and dataclasses.is_dataclass(one) and _has_rows(one)
    if not rows and (get_origin(one) is Mapping or dataclasses.is_dataclass(one)):
        legible = _legible(one)
        return lambda value: legible(value) if isinstance(value, Mapping) else None
    return _or(_strict(one), None)


def _has_rows(kind: type) -> bool:
    """Such a part is read whole or not at all: a row with a hole in it says something else."""
    return any(get_origin(hint) is tuple for hint in get_type_hints(kind).values())


def _legible_table(one: Read) -> Read:
    def read(value: Any) -> dict[str, Any]:
        if not isinstance(value, Mapping):
            return {}
        found = {str(name): one(each) for name, each in value.items()}
        return {name: each for name, each in found.items() if each == each}  # noqa: PLR0124 - no number is none

    return read


def _legible_part(kind: type) -> Read:
    def read(value: Any) -> Any:
        told = value if isinstance(value, Mapping) else {}
        return kind(**{field.name: legible_field(field, told) for field in fields_of(kind)})

    return read


def legible_field(field: Field, told: Mapping[str, Any]) -> Any:
    """What is told of this field, as far as it can be read: else its default, or the blank of its type."""
    if field.key not in told and not field.required:
        return field.default
    return field.legible(told.get(field.key))


_LEGIBLE: Mapping[Any, Read] = {
    NoneType: lambda value: None,
    str: lambda value: text(value) or "",
    bool: _or(_flag, False),
    int: _or(_whole, 0),
    float: _or(_number, math.nan),
}
