"""What travels between a bay and the shop's server, and how far a bay's outbox is: frozen types only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from assistant.record.chain import Entry
from assistant.record.summary import Summary


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """A job on its way to the shop's server: its whole chain as kept here, and the line that searches read."""

    entries: tuple[Entry, ...]
    summary: Summary
    told: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A removal that the server knows of. `place`: in the server's log. `job`: the job's key. `places`: what goes."""

    place: int
    job: str
    places: tuple[tuple[int, str], ...]
    utc: str
    key: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopRepairs:
    """What other bays repaired, by procedure and fault. `fetched_utc`: when that was told, empty where it never was."""

    fetched_utc: str = ""
    counts: Mapping[str, Mapping[str, int]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class OutboxState:
    """`store`: of which server. `sent`: the place of our own log before which everything was sent, or refused.

    `seen`: how long the server's log was last. `asked`: the place of the server's log before which removals were
    followed. `refused`: why the server would not take a job, by its name. `last_utc`, `trouble`: when it was last
    reached, and why it could not be since; empty where all is well.
    """

    store: str = ""
    sent: int = 0
    seen: int = 0
    asked: int = 0
    refused: dict[str, str] = field(default_factory=dict)
    last_utc: str = ""
    trouble: str = ""
