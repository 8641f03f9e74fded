"""What the ear on a stream keeps in mind of a starter that seems to turn. Times in levels of the stream."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.cranking.course import Span
from assistant.cranking.layers import ENGINE
from assistant.cranking.levels import LEVEL_RATE_HZ
from assistant.cranking.likely import Likely
from assistant.cranking.stretches import Stretch
from assistant.cranking.traits import STEP

SAME = LEVEL_RATE_HZ // 2
"""Levels by which an edge may move and still be the same. Source: judgement."""


@dataclass(slots=True, kw_only=True)
class Turning:
    """The starter as it turns. Times in levels of the stream. `gone`: looks since it was seen.
    `released`, `caught`: the ends that were told as such."""

    start: int
    stop: int = 0
    gone: int = 0
    began: bool = False
    released: int | None = None
    caught: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """From where to where the starter seems to turn, in levels of the stream. `ran_to`: up to where an engine ran after
    it, None where none did; `nats`: the evidence of that."""

    start: int
    stop: int
    ran_to: int | None = None
    nats: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A starter that turns nothing from level `start` on, at least to `stop`, and seems to go on."""

    likely: Likely
    start: int
    stop: int


def stay_of(span: Span, after: Span | None, first: int) -> Stay:
    """A starter and the engine after it, if it is one, from spans of the course. `first`: number of its first step."""
    start, stop = (first + span.start) * STEP, (first + span.stop) * STEP
    if after is None or after.part != ENGINE or after.start != span.stop:
        return Stay(start=start, stop=stop)
    nats = after.sure * (after.stop - after.start)
    return Stay(start=start, stop=stop, ran_to=(first + after.stop) * STEP, nats=nats)


def same(stay: Stay, rejected: Stay) -> bool:
    """Whether it is what was rejected, and no longer than it was then."""
    return abs(stay.start - rejected.start) <= SAME and stay.stop < rejected.stop + LEVEL_RATE_HZ


def meets(one: Stretch, stay: Stay, now: int) -> bool:
    """Whether it is the raised sound of it: not the shop, which was there from the first."""
    return 0 < one.start < stay.stop and (one.stop or now) > stay.start
