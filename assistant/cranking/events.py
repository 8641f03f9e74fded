"""What the ear tells of on a stream. Times are seconds since its first sample."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.cranking.model import Burst, Kind
from assistant.cranking.trace import Trace


@dataclass(frozen=True, slots=True, kw_only=True)
class Began:
    """A starter seems to turn since `at_s`; how likely, the ear says when asked. May be taken back by `Dropped`."""

    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Dropped:
    """What seemed to be a starter was not: `kind` says what it was instead, as far as it could be told."""

    at_s: float
    kind: Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Caught:
    """The engine seems to take over at `at_s`; `Ended`, which knows, follows when it stops, or after RUN_TOLD_S."""

    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Released:
    """The starter seems to have let go at `at_s`; `Ended`, `Caught` or `Dropped` follows once it can be judged."""

    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Knocked:
    """One knock at `at_s` and no starter after it."""

    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """A whole burst, with what came of it and how it sounded. `run_s` counts up to now where the engine still runs."""

    burst: Burst
    trace: Trace


Event = Began | Dropped | Caught | Released | Knocked | Ended
