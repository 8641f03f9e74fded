"""Which values of a fact belong to a person, and how they are kept apart from the chain.

The chained body of a fact holds only a commitment to such a value: the SHA-256 of a random salt and the value. Salt and
value live beside the chain. Removing both leaves every hash as it was, and the commitment alone tells nothing: without
the salt even a short plate cannot be found by trying all of them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from assistant.facts import FactKind

SALT_BYTES = 32
COMMITMENT_KEY = "personal-sha256"
REMOVED = "removed on request"
"""What stands in place of a value that was removed."""


class Belonging(StrEnum):
    """What kind of personal value it is, so that a removal can name what goes."""

    OWNER = "owner"  # plate, VIN and whatever names the owner
    WORDS = "words"  # free words as dictated, which may name anybody, and the names of sound clips and photographs
    STAFF = "staff"  # who did the work: goes only where that is asked for, since a record is signed by somebody


OWNER_KEYS = frozenset(
    {"plate", "vin", "customer", "owner", "keeper", "driver", "contact", "phone", "email", "address", "person"}
)
STAFF_KEYS = frozenset({"technician"})
NAMING_KEYS = ("fact", "name", "key", "of")
"""Keys whose value says what the `value` beside it is: {"fact": "plate", "value": …}."""
DICTATED_KINDS = frozenset(
    {FactKind.NOTE_TAKEN.value, FactKind.WORDS_KEPT.value, FactKind.STEP_SKIPPED.value, FactKind.STRUCK.value}
)
"""Kinds whose words are free: a note, a complaint, the reason for a skip, and what was struck of them."""
CLIP_KEY = "clip"
"""Under which a fact names the sound that it was heard in: a voice is a person's, whatever it says."""
PICTURE_KEY = "picture"
"""Under which a fact names its photograph: whatever it shows may be a person's."""
FILE_KEYS = frozenset({CLIP_KEY, PICTURE_KEY})
"""Keys whose value is the name of a file that lies beside the record and goes with the value."""
DICTATED_KEYS = frozenset({"words", "text", "note", "value", "free_text", "said", "complaint", "reason"})
NOBODYS = {(FactKind.FINDING_REACHED.value, "customer")}
"""Kind and key of our own words that only sound like a person: what a finding says *for* the customer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """One personal value kept beside the chain. `place`: JSON pointer into the fact's data. `value`: JSON text.

    `salt` and `value` are None once they were removed; then `removed_utc` says when.
    """

    place: str
    belongs: Belonging
    salt: bytes | None
    value: str | None
    removed_utc: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """What a removal took out: how many values, whether there were sound clips, and which old backups went with it."""

    values: int
    clips: bool = False
    backups: tuple[str, ...] = ()


def goes(kind: str, one: Apart, belongs: frozenset[Belonging]) -> bool:
    """Whether a removal of these kinds takes this value of a fact of that kind out.

    Facts made before our words were told from the owner's hold a finding's diagnosis as if it were a name: it stays.
    """
    return one.value is not None and one.belongs in belongs and (kind, one.place.removeprefix("/")) not in NOBODYS


def without_values(apart: tuple[Apart, ...], places: frozenset[str], removed_utc: str) -> tuple[Apart, ...]:
    """The values with those at these places taken out."""
    return tuple(
        replace(one, salt=None, value=None, removed_utc=removed_utc) if one.place in places else one for one in apart
    )


def commitment(salt: bytes, value: str) -> str:
    """Hexadecimal SHA-256 of salt and JSON text."""
    return hashlib.sha256(salt + value.encode("utf-8")).hexdigest()


def set_apart(plain: Mapping[str, Any], new_salt: Callable[[], bytes]) -> tuple[dict[str, Any], tuple[Apart, ...]]:
    """The fact's plain form with a commitment in place of each personal value, and those values.

    Raises ValueError when the data already use the key that marks a commitment.
    """
    taken: list[Apart] = []
    kind = str(plain["kind"])

    def walk(value: Any, place: str, belongs: Belonging | None) -> Any:
        if isinstance(value, Mapping):
            if COMMITMENT_KEY in value:
                raise ValueError(f"a fact's data may not use the key {COMMITMENT_KEY!r}")
            named = _named(value)
            return {
                str(key): walk(inner, f"{place}/{_escaped(str(key))}", _belonging(str(key), kind, belongs, named))
                for key, inner in value.items()
            }
        if belongs is not None and value not in (None, "", [], ()):
            salt, text = new_salt(), _json(value)
            taken.append(Apart(place=place, belongs=belongs, salt=salt, value=text))
            return {COMMITMENT_KEY: commitment(salt, text)}
        if isinstance(value, list | tuple):
            return [walk(inner, f"{place}/{index}", None) for index, inner in enumerate(value)]
        return value

    public = dict(plain)
    public["data"] = walk(plain.get("data") or {}, "", None)
    return public, tuple(taken)


def put_back(public: Mapping[str, Any], apart: Mapping[str, Apart]) -> dict[str, Any]:
    """The fact's plain form with its personal values, or REMOVED where they are gone. `apart`: by place."""

    def walk(value: Any, place: str) -> Any:
        if isinstance(value, dict):
            if COMMITMENT_KEY in value:
                kept = apart.get(place)
                return REMOVED if kept is None or kept.value is None else json.loads(kept.value)
            return {key: walk(inner, f"{place}/{_escaped(key)}") for key, inner in value.items()}
        if isinstance(value, list):
            return [walk(inner, f"{place}/{index}") for index, inner in enumerate(value)]
        return value

    return {**public, "data": walk(public.get("data") or {}, "")}


def commitments(public: Mapping[str, Any]) -> dict[str, str]:
    """Place -> commitment of every personal value of the fact."""
    found: dict[str, str] = {}

    def walk(value: Any, place: str) -> None:
        if isinstance(value, dict):
            if COMMITMENT_KEY in value:
                found[place] = str(value[COMMITMENT_KEY])
                return
            for key, inner in value.items():
                walk(inner, f"{place}/{_escaped(key)}")
        elif isinstance(value, list):
            for index, inner in enumerate(value):
                walk(inner, f"{place}/{index}")

    walk(public.get("data") or {}, "")
    return found


def with_values_masked(plain: Mapping[str, Any], places: Collection[str]) -> tuple[dict[str, Any], dict[str, str]]:
    """The fact's plain form with a blank commitment at each of these places, and the values there as JSON text."""
    taken: dict[str, str] = {}

    def walk(value: Any, place: str) -> Any:
        if place in places:
            taken[place] = _json(value)
            return {COMMITMENT_KEY: ""}
        if isinstance(value, Mapping):
            return {str(key): walk(inner, f"{place}/{_escaped(str(key))}") for key, inner in value.items()}
        if isinstance(value, list | tuple):
            return [walk(inner, f"{place}/{index}") for index, inner in enumerate(value)]
        return value

    return {**plain, "data": walk(plain.get("data") or {}, "")}, taken


def _named(value: Mapping[str, Any]) -> Belonging | None:
    """Whose value stands beside these keys."""
    names = {str(value.get(key, "")).lower() for key in NAMING_KEYS}
    return Belonging.OWNER if names & OWNER_KEYS else Belonging.STAFF if names & STAFF_KEYS else None


def _belonging(key: str, kind: str, above: Belonging | None, named: Belonging | None) -> Belonging | None:
    lower = key.lower()
    if above is not None:
        return above
    if (kind, lower) in NOBODYS:
        return None
    if lower in OWNER_KEYS or lower in STAFF_KEYS:
        return Belonging.OWNER if lower in OWNER_KEYS else Belonging.STAFF
    if named is not None and lower in {"value", "words", "heard", "said", "text"}:
        return named
    if lower in FILE_KEYS or (kind in DICTATED_KINDS and lower in DICTATED_KEYS):
        return Belonging.WORDS
    return None


def _escaped(key: str) -> str:
    return key.replace("~", "~0").replace("/", "~1")


def _json(value: Any) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)
