"""What the ear on a stream keeps in mind of a starter that seems to turn. Times in levels of the stream."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from statistics import median

from assistant.cranking.course import Span
from assistant.cranking.events import Began, Caught, Event, Released
from assistant.cranking.layers import ENGINE
from assistant.cranking.levels import LEVEL_RATE_HZ
from assistant.cranking.likely import Likely
from assistant.cranking.moment import Moment
from assistant.cranking.stretches import Stretch
from assistant.cranking.traits import STEP

SAME = LEVEL_RATE_HZ // 2
"""Levels by which an edge may move and still be the same. Source: judgement."""

TOOK_OVER_NATS, READ_NATS = 4.0, 9.0
"""Evidence of an engine from which the release may be called; of one that the physical tests are sure of."""


_RUNS, _TOOK, _FELL = 10, 25, 15
"""Levels for which an engine must seem to run at each glance; levels by which it took over, and a starter let go,
before that is seen. Source: of 208 made-up bursts, in view, the release is called in 2 of 135 no-starts."""

_TURNS_ON = LEVEL_RATE_HZ
"""Levels for which no engine is heard while the starter turns on, from which none took over. Source: judgement."""

_OLDEST, _NEWEST, _FEWEST = 100, 8, 6
"""Glances that say what the odds of an engine usually are: of the last 4 s, without the last 0.3 s; the fewest."""

_LEAST = 40  # levels of a starter before its beginning may be told: 0.32 s


@dataclass(slots=True, kw_only=True)
class Turning:
    """The starter as it turns. Times in levels of the stream. `gone`: looks since it was seen. `released`,
    `took_over`: the ends that were told as such. `caught`: whether an engine was ever said to take over. `fallen`:
    whether it seems to have let go just now; `runs_since`: since when an engine seems to run, None while none does;
    `ran`: when one seemed to last; `odds`: of an engine at the latest glances."""

    start: int
    stop: int = 0
    gone: int = 0
    began: bool = False
    released: int | None = None
    took_over: int | None = None
    caught: bool = False
    fallen: bool = False
    runs_since: int | None = None
    ran: int = 0
    odds: deque[float] = field(default_factory=lambda: deque(maxlen=_OLDEST))

    def begin(self, stay: Stay) -> list[Event]:
        """That it turns, once it is heard for long enough, unless that was told."""
        if self.began or stay.stop - stay.start < _LEAST:
            return []
        self.began = True
        return [Began(at_s=stay.start / LEVEL_RATE_HZ)]

    def glanced(self, moment: Moment | None, now: int) -> list[Event]:
        """What the moment up to level `now` brings; nothing where too little was heard yet."""
        if moment is None:
            return []
        runs = moment.runs(self._usual())
        self.odds.append(moment.latest)
        self.runs_since = (now if self.runs_since is None else self.runs_since) if runs else None
        self.ran = now if runs else self.ran
        if self.took_over is not None:
            turns_on = self.stop >= self.took_over + _TURNS_ON and now >= self.ran + _TURNS_ON
            self.took_over = None if turns_on else self.took_over  # it did not, and may do so yet
            return []
        if self.runs_since is not None and now >= self.runs_since + _RUNS:
            return self.take_over(now - _TOOK)
        fell, self.fallen = moment.fallen and not self.fallen, moment.fallen
        return self.let_go(now - _FELL) if fell else []

    def _usual(self) -> float | None:
        """The odds of an engine at glances before the latest, None where there were few."""
        known = list(self.odds)[:-_NEWEST]
        return median(known) if len(known) >= _FEWEST else None

    def let_go(self, stop: int) -> list[Event]:
        """That the starter let go at level `stop`, unless that was told, or a later end."""
        if self.released is not None and stop <= self.released + SAME:
            return []
        self.released = stop
        return [Released(at_s=stop / LEVEL_RATE_HZ)]

    def take_over(self, stop: int) -> list[Event]:
        """That an engine took over at level `stop`."""
        self.took_over = self.released = stop
        self.ran, self.caught = max(self.ran, stop), True
        return [Caught(at_s=stop / LEVEL_RATE_HZ)]


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
