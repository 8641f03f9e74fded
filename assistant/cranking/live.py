"""The ear on a stream: says within half a second that a starter seems to turn, and soon after its release what came."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.case import Case
from assistant.cranking.judge import TOLD, odds_of, to_burst, weigh
from assistant.cranking.layers import StarterLayers
from assistant.cranking.levels import BANDS, HOP, LEVEL_RATE_HZ, LevelMeter, Levels
from assistant.cranking.model import Burst, Kind
from assistant.cranking.stretches import Stretch, StretchFinder
from assistant.cranking.tail import Tail
from assistant.cranking.trace import Trace, trace_of
from assistant.cranking.traits import STEP
from assistant.cranking.trust import LONGEST_S
from assistant.cranking.whine import to_sound

RUN_TOLD_S = 4.0
"""An engine that has run this long is told of as running; how much longer no longer matters. Source: judgement."""

_KEPT = 55 * LEVEL_RATE_HZ  # levels kept to look back on
_ROOM = 2 * _KEPT
_BEFORE = 5 * LEVEL_RATE_HZ
_SLACK = 40  # levels by which a beginning may be told too late: 0.3 s
_SETTLE = 90  # levels after a release that the judgement looks at: 0.7 s
_CLEAR_RISE_DB = 2.5
_BROAD = 0.12
_LOOK_S = (0.6, 0.9, 1.3, 1.8, 2.4, 3.0)  # seconds into a stretch at which it is judged; then every second
_LOOK_AGAIN_S = 0.3
_TWO_STEPS = 38  # levels within which a louder beginning is the same one: the drive's clunk, then the starter: 0.3 s
_SPUN_UP, _AFTER, _USUAL = 25, 18, 190  # levels: of spinning up, of now, of what was usual until now
_CHANGED = 1.9  # spreads of the usual levels by which those of now differ where the starter may have let go
_CHANGED_EACH = 10  # levels between looks at a change: 0.08 s
_RESTLESS_DB2 = 2.0  # variance of a level that means nothing
_GONE = 8  # levels that a release must lie back to be told of
_LONG_GONE = 150  # levels after which what was released is judged whatever goes on: 1.2 s
_DOUBT_S = 3.2  # what has not shown a pulse by then is dropped


@dataclass(frozen=True, slots=True, kw_only=True)
class Began:
    """A starter seems to turn since `at_s`. May be taken back by `Dropped` within about three seconds."""

    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Dropped:
    """What seemed to be a starter was not: `kind` says what it was instead, as far as it could be told."""

    at_s: float
    kind: Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Caught:
    """The engine took over at `at_s` and runs; `Ended` follows when it stops, or after RUN_TOLD_S."""

    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Released:
    """The starter seems to have let go at `at_s`; `Ended`, `Caught` or `Dropped` follows once it can be judged."""

    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """A whole burst, with what came of it and how it sounded. `run_s` counts up to now where the engine still runs."""

    burst: Burst
    trace: Trace


Event = Began | Dropped | Caught | Released | Ended


class CrankEar:
    """Feed it sound; it tells of bursts. `cylinders` makes it tell rpm. Times are seconds since its first sample."""

    def __init__(self, layers: StarterLayers, cylinders: int | None = None) -> None:
        self.cylinders = cylinders
        self.expected = 0.0
        """Log-odds before anything is heard; more where the technician was just asked to turn the key."""
        self._layers = layers
        self._meter = LevelMeter()
        self._finder = StretchFinder()
        self._kept_levels = Tail(np.zeros((0, BANDS), dtype=np.float32), _ROOM)
        self._kept_pcm = Tail(np.zeros(0, dtype=np.int16), _ROOM * HOP)
        self._first = 0  # number of the oldest level kept
        self._current: Stretch | None = None
        self._sure = False
        self._caught: Case | None = None
        self._next_look_s = 0.0
        self._released = -_KEPT
        self._change_looked = 0

    def feed(self, pcm: NDArray[np.int16]) -> list[Event]:
        """What these samples brought. `pcm`: int16, mono, (frames,), 16 000 Hz."""
        levels = self._meter.feed(pcm)
        self._keep(levels, pcm)
        begun, ended = self._finder.feed(levels)
        events: list[Event] = []
        for stretch in begun:
            events += self._begin(stretch)
        if self._current is not None:
            stop = self._current.stop
            if stop is not None and any(one is self._current for one in ended):
                events += self._release(stop)
            if stop is not None and self._now >= stop + _SETTLE:
                events += self._end(stop)
            elif stop is not None:
                pass
            elif self._may_have_let_go():
                events += self._look_at_change()
            elif (self._now - self._current.start) / LEVEL_RATE_HZ >= self._next_look_s:
                events += self._look()
        return events

    def finish(self) -> list[Event]:
        """What the sound so far amounts to, as if it ended here."""
        self._finder.finish()
        return [] if self._current is None else self._end(self._current.stop or self._now)

    @property
    def _levels(self) -> Levels:
        return self._kept_levels.rows

    @property
    def _pcm(self) -> NDArray[np.int16]:
        return self._kept_pcm.rows

    @property
    def _now(self) -> int:
        return self._first + len(self._levels)

    def _keep(self, levels: NDArray[np.float32], pcm: NDArray[np.int16]) -> None:
        self._kept_levels.add(levels)
        self._kept_pcm.add(pcm)
        spare = len(self._levels) - _KEPT
        if spare > 0:
            self._kept_levels.forget(spare)
            self._kept_pcm.forget(spare * HOP)
            self._first += spare

    def _begin(self, stretch: Stretch) -> list[Event]:
        if stretch.start == 0 or stretch.rise_db < _CLEAR_RISE_DB or stretch.weights.mean() < _BROAD:
            return []
        if self._current is not None and (self._sure or self._caught is not None):
            # Something louder began on top of the starter: perhaps the engine, so it is looked at soon.
            since_s = (self._now - self._current.start) / LEVEL_RATE_HZ
            self._next_look_s = min(self._next_look_s, since_s + _LOOK_AGAIN_S)
            return []
        if self._current is not None and self._current.stop is not None:
            case = self._weigh(self._current.stop)
            if case is not None and case.confidence >= TOLD:
                return []  # it is judged once what follows it is known
        elif self._current is not None and stretch.start - self._current.start < LEVEL_RATE_HZ:
            louder = stretch.rise_db > self._current.rise_db + 3
            if louder and stretch.start - self._current.start < _TWO_STEPS:
                self._current = stretch
            if not louder or self._current is stretch:
                return []
        events: list[Event] = [] if self._current is None else [self._drop(self._current.start)]
        self._current, self._sure, self._caught, self._next_look_s = stretch, False, None, _LOOK_S[0]
        return [*events, Began(at_s=stretch.start / LEVEL_RATE_HZ)]

    def _release(self, at: int) -> list[Event]:
        """Tells of a release, once."""
        told, self._released = self._released, at
        return [] if abs(at - told) < LEVEL_RATE_HZ // 2 else [Released(at_s=at / LEVEL_RATE_HZ)]

    def _may_have_let_go(self) -> bool:
        """Whether the last moment differs from what was usual since the starter came up to speed."""
        assert self._current is not None
        if self._caught is not None or self._now < self._change_looked + _CHANGED_EACH:
            return False
        self._change_looked = self._now
        since = max(self._current.start + _SPUN_UP, self._now - _USUAL - _AFTER) - self._first
        levels = self._levels[max(0, since) :].astype(np.float64)
        if len(levels) < 2 * _AFTER + 5:
            return False
        total = np.cumsum(np.vstack([np.zeros(BANDS), levels]), axis=0)
        means = (total[_AFTER:] - total[:-_AFTER]) / _AFTER
        usual, now = means[:-_AFTER], means[-1]
        jump = np.abs(now - usual.mean(axis=0)) / np.sqrt(usual.var(axis=0) + _RESTLESS_DB2)
        return bool(np.sqrt(np.mean(np.sort(jump)[BANDS // 2 :] ** 2)) > _CHANGED)

    def _look_at_change(self) -> list[Event]:
        case = self._weigh(self._now)
        if case is None or case.confidence < TOLD:
            return []
        self._sure = True
        if caught := self._catch(case):
            return caught
        return self._release(case.stop) if case.stop < self._now - _GONE else []

    def _catch(self, case: Case) -> list[Event]:
        """Tells of an engine that took over, once it is heard running."""
        if case.rest_stop is None or not case.caught:
            return []
        self._caught = case
        return [Caught(at_s=case.stop / LEVEL_RATE_HZ)]

    def _weigh(self, stop: int) -> Case | None:
        """What most likely happened between the beginning and `stop`, as far as the sound goes by now."""
        assert self._current is not None
        first = max(self._first, self._current.start - _BEFORE)
        first += -(first - self._first) % STEP
        skip = first - self._first
        levels, pcm = self._levels[skip:], self._pcm[skip * HOP :]
        odds = odds_of(levels, pcm, self._layers)
        now = replace(self._current, start=max(0, self._current.start - first), stop=stop - first)
        found = weigh(levels, pcm, odds, [now], cylinders=self.cylinders, expected=self.expected)
        low, high = self._current.start - first - _SLACK, stop - first
        cases = [case for case in found if case.start < high and case.stop > low]
        best = max(cases, key=lambda case: min(case.stop, high) - max(case.start, low), default=None)
        return None if best is None else best.moved(first)

    def _look(self) -> list[Event]:
        assert self._current is not None
        seconds = (self._now - self._current.start) / LEVEL_RATE_HZ
        self._next_look_s = next((one for one in _LOOK_S if one > seconds), seconds + 1.0)
        if self._caught is not None:
            run_s = (self._now - self._caught.stop) / LEVEL_RATE_HZ
            if run_s < RUN_TOLD_S:
                return []
            again = self._judged_again(self._now)
            if again.caught:
                return self._tell(again, self._now)
            self._caught = None  # what seemed to take over did not: go on listening as if nothing had
        case = self._weigh(self._now)
        if case is not None and case.confidence >= TOLD:
            self._sure = True
            if caught := self._catch(case):
                return caught
            if case.caught is False and case.stop + _LONG_GONE < self._now:
                return [*self._release(case.stop), *self._tell(case, None)]
            return []
        if seconds > (LONGEST_S if self._sure else _DOUBT_S):
            return [self._drop(self._now)]
        return []

    def _judged_again(self, stop: int) -> Case:
        """What was taken for an engine that took over, in the light of all that came since: nothing is told unjudged.

        Where the whole tells nothing, what was found first stands.
        """
        assert self._caught is not None
        case = self._weigh(stop)
        return self._caught if case is None or case.confidence < TOLD else case

    def _end(self, stop: int) -> list[Event]:
        if self._caught is not None:
            again = self._judged_again(stop)
            return self._tell(again, stop if again.caught else again.rest_stop)
        case = self._weigh(stop)
        if case is None or case.confidence < TOLD:
            return [self._drop(stop)]
        return self._tell(case, case.rest_stop)

    def _tell(self, case: Case, rest_stop: int | None) -> list[Event]:
        self._current, self._caught, self._sure = None, None, False
        case = replace(case, rest_stop=rest_stop)
        near = case.moved(-self._first)
        hz = None if case.pulses is None else case.pulses.hz
        trace = trace_of(self._levels, near.start, near.stop, near.rest_stop, hz)
        return [Ended(burst=to_burst(case, self.cylinders), trace=trace)]

    def _drop(self, at: int) -> Dropped:
        assert self._current is not None
        stretch, self._current, self._caught, self._sure = self._current, None, None, False
        sound = to_sound(self._pcm[(stretch.start - self._first) * HOP : (at - self._first) * HOP], stretch)
        return Dropped(at_s=at / LEVEL_RATE_HZ, kind=sound)
