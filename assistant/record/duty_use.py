"""What the starter was asked, in all and on each day: frozen types only."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class DayUse:
    """What the starter was asked on one day. `day`: ISO 8601, in UTC."""

    day: str
    bursts: int
    total_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyUse:
    """What the starter was asked in all and on each day, and the limits it was held to."""

    bursts: int = 0
    total_s: float = 0.0
    longest_s: float = 0.0
    shortest_rest_s: float | None = None
    burst_limit_s: float = 0.0
    stop_limit_s: float = 0.0
    rest_limit_s: float = 0.0
    source: str | None = None
    days: tuple[DayUse, ...] = ()
