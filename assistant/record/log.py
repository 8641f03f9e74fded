"""The store's one log: what was kept, in the order in which it was kept, under one root that leaves the shop.

Numbered rules:
1. Each append to the store adds a leaf for each job that it lengthened: the id, number and hash of the job's last fact,
   and the moment by a clock that nobody can set. What was removed, taken from another machine or signed with another
   key is a leaf as well. A leaf is JSON text by rule 1 of `chain`; the tree over the leaves is that of `merkle`.
2. The first leaf names the store by random bytes, so that two stores are never taken for one another.
3. After each append the size and root of the log are signed with this installation's key (Ed25519, RFC 8032); the key
   lies apart from the store. A later key is a leaf, signed by the one before it.
4. A report, and an export, carry size and root: any one of them binds everything that was in the store when it was
   made, jobs of others included.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Protocol

from assistant.record.chain import Entry, canonical
from assistant.record.merkle import EMPTY_ROOT, leaf_hash

PREFIX = b"hoodside signed log 1\n"
KEY_PREFIX = b"hoodside next key 1\n"


class LeafKind(StrEnum):
    """What a leaf of the log tells."""

    STORE = "store"  # the first: which store this is
    KEY = "key"  # from here on another key signs
    HEAD = "head"  # a job was begun or lengthened here
    TAKEN = "taken"  # a job, or more of it, came from another machine
    REMOVED = "removed"  # personal values were removed on request
    HANDED = "handed"  # on the shop's server: another bay may lengthen the job from here on
    FOUND = "found"  # what lay in the store when its log began


LENGTHENING = (LeafKind.HEAD, LeafKind.TAKEN)
"""Leaves that tell of facts that came."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """A reading of a clock that nobody can set: `boot` names the run of the machine, `ms` counts from its start."""

    boot: str
    ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """What was kept. `job`: of which job, empty for the store's own. `number`: the job's last fact then.

    `told`: everything else, JSON values only.
    """

    kind: LeafKind
    job: str = ""
    number: int = 0
    told: Mapping[str, Any]

    def text(self) -> str:
        """The leaf as it is hashed."""
        return canonical({"leaf": self.kind.value, **self.told})


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """A leaf as the store keeps it. `text` is None where the fact that it speaks of is gone. `hash`: the leaf's."""

    place: int
    kind: str
    job: str | None
    number: int
    text: str | None
    hash: bytes
    moment: Moment | None = None

    @property
    def holds(self) -> bool:
        """Whether the hash is that of the text."""
        return self.text is not None and leaf_hash(self.text.encode()) == self.hash

    def told(self) -> Mapping[str, Any]:
        """What the leaf says. Raises ValueError where it cannot be read."""
        told = json.loads(self.text or "")
        if not isinstance(told, dict):
            raise ValueError("a leaf is a JSON object")
        return told


@dataclass(frozen=True, slots=True, kw_only=True)
class LogHead:
    """Where the log ends. `key` and `signature` are empty where the installation could not sign."""

    store: str = ""
    size: int = 0
    root: bytes = EMPTY_ROOT
    utc: str = ""
    key: bytes = b""
    signature: bytes = b""

    def message(self) -> bytes:
        """What is signed."""
        told = {"store": self.store, "size": self.size, "root": self.root.hex(), "utc": self.utc, "key": self.key.hex()}
        return PREFIX + canonical(told).encode()


class Signer(Protocol):
    """This installation's key."""

    @property
    def key(self) -> bytes:
        """The public half, 32 bytes."""

    def sign(self, message: bytes) -> bytes:
        """64 bytes."""

    def since(self, key: bytes) -> Sequence[tuple[bytes, bytes]]:
        """The keys that followed this one, each with the signature of the one before; empty where it is unknown."""


Signed = Callable[[bytes, bytes, bytes], bool]
"""Key, message and signature -> whether the key signed the message."""


def head_leaf(entry: Entry, moment: Moment | None) -> Leaf:
    """The leaf for a job whose last fact is now this one."""
    told = {"id": entry.id, "number": entry.number, "hash": entry.hash.hex()} | _moment(moment)
    return Leaf(kind=LeafKind.HEAD, job=entry.job, number=entry.number, told=told)


def found_leaf(job: str, number: int, fact_id: str, fact_hash: bytes, absent: Sequence[tuple[int, str]]) -> Leaf:
    """The leaf for a job that lay in the store before it had a log; `absent`: personal values already gone."""
    told = {
        "job": job,
        "id": fact_id,
        "number": number,
        "hash": fact_hash.hex(),
        "absent": [list(one) for one in absent],
    }
    return Leaf(kind=LeafKind.FOUND, job=job, number=number, told=told)


def taken_leaf(entry: Entry, absent: Sequence[tuple[int, str]], key: bytes, utc: str) -> Leaf:
    """The leaf for a job that came from elsewhere. `absent`: which personal values did not come with it. `key`: who
    signed the export; empty where nobody did."""
    told = {"job": entry.job, "id": entry.id, "number": entry.number, "hash": entry.hash.hex(), "utc": utc}
    told |= {"absent": [list(one) for one in absent], "key": key.hex()}
    return Leaf(kind=LeafKind.TAKEN, job=entry.job, number=entry.number, told=told)


def removed_leaf(job: str, number: int, places: Iterable[tuple[int, str]], key: bytes, utc: str) -> Leaf:
    """The leaf for values that were removed on request: the number of each one's fact and its place there.

    `number`: the job's last fact. `key`: of the installation where it was asked for; empty where it cannot sign.
    """
    told = {"job": job, "removed": [list(one) for one in places], "utc": utc, "key": key.hex()}
    return Leaf(kind=LeafKind.REMOVED, job=job, number=number, told=told)


def key_leaf(key: bytes, before: bytes, signature: bytes) -> Leaf:
    """The leaf from which on another key signs; `signature`: the former key's over it, empty where it could not."""
    told = {"key": key.hex(), "before": before.hex(), "signature": signature.hex()}
    return Leaf(kind=LeafKind.KEY, told=told)


def store_leaf(store: str) -> Leaf:
    """The first leaf."""
    return Leaf(kind=LeafKind.STORE, told={"store": store})


def introduces(before: bytes, key: bytes) -> bytes:
    """What the former key signs so that the next one is known to be its owner's."""
    return KEY_PREFIX + before + key


def absent_of(entries: Iterable[Entry]) -> tuple[tuple[int, str], ...]:
    """Number and place of each personal value that is not there."""
    return tuple((entry.number, one.place) for entry in entries for one in entry.apart if one.value is None)


def _moment(moment: Moment | None) -> dict[str, Any]:
    return {} if moment is None else {"boot": moment.boot, "ms": moment.ms}
