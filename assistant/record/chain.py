"""The chain of facts: each entry of a job is bound by its hash to the one before it.

Numbered rules:
1. The body of an entry is the fact's plain form as JSON text: keys sorted, no blanks, ASCII only, no NaN; in place of
   personal values it holds commitments (see `personal`).
2. The hash is SHA-256 over a fixed prefix, the hash before it (32 zero bytes before the first entry), the time it was
   recorded, and the body. Whoever checks it hashes the text as kept and need not make JSON the same way.
3. A job's head is the number and hash of its last entry. A report carries it, so a tail that was cut off, or a chain
   that was made anew, shows against any report that left the shop.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assistant.errors import RecordError
from assistant.facts import Fact, fact_from_plain
from assistant.record.personal import (
    COMMITMENT_KEY,
    SALT_BYTES,
    Apart,
    Belonging,
    commitment,
    commitments,
    goes,
    put_back,
    set_apart,
    with_values_masked,
)

PREFIX = b"hoodside chained fact 1\n"
UNREADABLE = (KeyError, ValueError, TypeError, AttributeError, OverflowError, RecursionError)
"""What reading a damaged or made-up fact may raise."""
NO_HASH = bytes(32)
"""What stands before the first entry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One fact as it is kept. `body`: JSON text by rule 1. `recorded_utc`: ISO 8601. `hash`: 32 bytes by rule 2."""

    job: str
    number: int
    id: str
    body: str
    recorded_utc: str
    hash: bytes
    apart: tuple[Apart, ...] = ()

    def fact(self) -> Fact:
        """The fact, with personal values put back where they still exist. Raises KeyError or ValueError."""
        return fact_from_plain(put_back(json.loads(self.body), {one.place: one for one in self.apart}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """Where a job's chain ends: number and hash of its last entry; 0 and zeros for a job without facts."""

    number: int = 0
    hash: bytes = NO_HASH


def fresh_salt() -> bytes:
    """Random bytes, 32 of them."""
    return secrets.token_bytes(SALT_BYTES)


def canonical(plain: Mapping[str, Any]) -> str:
    """JSON text by rule 1. Raises ValueError or TypeError for what JSON cannot hold."""
    return json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)


def link(before: bytes, recorded_utc: str, body: str) -> bytes:
    """The hash of an entry by rule 2."""
    return hashlib.sha256(PREFIX + before + recorded_utc.encode() + b"\n" + body.encode()).digest()


def entry_after(before: Head, fact: Fact, recorded_utc: str, new_salt: Callable[[], bytes] = fresh_salt) -> Entry:
    """The entry that keeps `fact` after `before`. Raises ValueError: a gap, or data that JSON cannot hold."""
    if fact.number != before.number + 1:
        raise ValueError(f"fact {fact.number} of job '{fact.job}' came after {before.number}: a gap in the numbers")
    public, apart = set_apart(fact.plain(), new_salt)
    body = canonical(public)
    return Entry(
        job=fact.job,
        number=fact.number,
        id=fact.id,
        body=body,
        recorded_utc=recorded_utc,
        hash=link(before.hash, recorded_utc, body),
        apart=apart,
    )


def same_fact(entry: Entry, fact: Fact) -> bool:
    """Whether `entry` keeps this very fact. A personal value that was removed is taken to be the same."""
    try:
        public = json.loads(entry.body)
        masked, taken = with_values_masked(fact.plain(), commitments(public))
        same = canonical(masked) == canonical(_without_commitments(public))
    except (ValueError, TypeError):
        return False
    return same and all(taken.get(one.place) == one.value for one in entry.apart if one.value is not None)


def faults(entries: Sequence[Entry]) -> tuple[str, ...]:
    """One sentence for each thing wrong with a job's chain, in order; empty when it holds."""
    found: list[str] = []
    before = Head()
    for entry in entries:
        found.extend(_entry_faults(before, entry))
        before = Head(number=entry.number, hash=entry.hash)
    return tuple(found)


def to_remove(entries: Sequence[Entry], belongs: Iterable[Belonging]) -> tuple[tuple[int, str], ...]:
    """Number and place of each value that a removal of these kinds takes out of the job."""
    kinds, found = frozenset(belongs), []
    for entry in entries:
        if entry.apart:
            try:
                kind = str(json.loads(entry.body)["kind"])
            except UNREADABLE:  # a damaged fact keeps no value from its removal
                kind = ""
            found += [(entry.number, one.place) for one in entry.apart if goes(kind, one, kinds)]
    return tuple(found)


def facts_of(entries: Sequence[Entry]) -> tuple[Fact, ...]:
    """The facts that `entries` keep. Raises RecordError when one can no longer be read."""
    found: list[Fact] = []
    for entry in entries:
        try:
            found.append(entry.fact())
        except UNREADABLE as reason:
            raise RecordError(
                f"Fact {entry.number} of job '{entry.job}' is damaged and cannot be read; "
                "nothing was changed; run `hoodside jobs verify`.",
                spoken="The record of this job is damaged. Stopping.",
            ) from reason
    return tuple(found)


def head_of(entries: Sequence[Entry]) -> Head:
    """The head of a job's chain."""
    return Head(number=entries[-1].number, hash=entries[-1].hash) if entries else Head()


def against(entries: Sequence[Entry], head: Head) -> str | None:
    """What is wrong with the chain in the light of a head that was reported earlier, or None."""
    if head.number == 0:
        return None
    if len(entries) < head.number:
        return f"the report ends with fact {head.number}, but only {len(entries)} are kept: the end was cut off"
    if entries[head.number - 1].hash != head.hash:
        return f"fact {head.number} is not the one that the report ends with: the chain was made anew"
    return None


def _entry_faults(before: Head, entry: Entry) -> Iterable[str]:
    where = f"fact {entry.number} of job '{entry.job}'"
    if entry.number != before.number + 1:
        yield f"{where}: expected number {before.number + 1}, so facts are missing"
    if link(before.hash, entry.recorded_utc, entry.body) != entry.hash:
        yield f"{where}: its hash does not follow from the fact before it and its own words"
    try:
        public = json.loads(entry.body)
        if (public["id"], public["job"], public["number"]) != (entry.id, entry.job, entry.number):
            yield f"{where}: it is kept under another id, job or number than it states"
        entry.fact()
        promised = commitments(public)
        if canonical(public) != entry.body:
            yield f"{where}: its text is not written as facts are"
    except UNREADABLE:
        yield f"{where}: it is not a fact"
        return
    places = {one.place for one in entry.apart}
    for place in promised:
        if place not in places:
            yield f"{where}: the personal value at {place} is gone, and nothing says that it was removed"
    for one in entry.apart:
        if one.place not in promised:
            yield f"{where}: a personal value at {one.place} belongs to no place in the fact"
        elif one.value is not None and commitment(one.salt or b"", one.value) != promised[one.place]:
            yield f"{where}: the personal value at {one.place} was changed"


def _without_commitments(value: Any) -> Any:
    if isinstance(value, dict):
        if COMMITMENT_KEY in value:
            return {COMMITMENT_KEY: ""}
        return {key: _without_commitments(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_without_commitments(inner) for inner in value]
    return value
