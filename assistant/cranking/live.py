"""The ear on a stream: that a starter turns, that it let go or the engine took over, and what came of it.

The course of things is followed as it goes on (`track`, `course`); a burst is told as a whole only after it was judged
again over all that was heard of it, as `ear.listen` judges a whole sound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.case import Case, moved
from assistant.cranking.course import Span, follow
from assistant.cranking.events import Dropped, Ended, Event, Knocked
from assistant.cranking.judge import TOLD, takes_over, to_burst, weigh
from assistant.cranking.knocks import KnockWatch
from assistant.cranking.layers import ELSE, STARTER, StarterLayers
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, LevelMeter
from assistant.cranking.likely import ODD_LEAST, ODD_RISE_DB, Likely, likely_of
from assistant.cranking.model import Burst, Kind
from assistant.cranking.moment import moment_of
from assistant.cranking.readings import Reader
from assistant.cranking.running import unless_plain
from assistant.cranking.stay import READ_NATS, SAME, TOOK_OVER_NATS, Standing, Stay, Turning, meets, same, stay_of
from assistant.cranking.stretches import Stretch, StretchFinder
from assistant.cranking.trace import trace_of
from assistant.cranking.track import OddsTrack
from assistant.cranking.traits import STEP
from assistant.cranking.trust import LONGEST_S

RUN_TOLD_S = 4.0
"""An engine that has run this long is told of as running; how much longer no longer matters. Source: judgement."""

_BUSY_EACH, _IDLE_EACH = STEP, 3 * STEP  # levels between looks: 0.08 s while something turns, else 0.24 s
_GLANCE_EACH = 5  # levels between glances at what turns: 0.04 s
_BEFORE = 13 * LEVEL_RATE_HZ  # levels before a burst that its judgement looks at
_WINDOW = 30 * LEVEL_RATE_HZ  # levels of which the course is followed, more where a burst is longer
_SETTLE = 70  # levels after an end that its judgement looks at: 0.56 s
_SETTLE_ENGINE = 250  # the same where an engine was heard, which may be hidden for a moment: 2 s
_GONE_LOOKS = 8  # looks for which a starter may be out of sight: 0.64 s
_GONE, _UNSEEN, _PAST = 8, 60, 88  # levels that an end must lie back to be read, an engine that no glance saw, at most
_CLEAR_RISE_DB = 2.5
_HARDLY = -3.0  # mean log-odds of a starter below which no stretch is read as one
_READ_EACH = LEVEL_RATE_HZ  # levels between two readings of what goes on: 1 s
_READ_SOONER = 90  # levels by which one is read sooner that was seen to turn
_SHORTEST = 40  # levels of a stretch that may be a burst
_STANDS_FOR = 1250  # levels for which the end of a starter that turns nothing is waited for: 10 s


class CrankEar:
    """Feed it sound; it tells of bursts. `cylinders` makes it tell rpm. Times are seconds since its first sample."""

    def __init__(self, layers: StarterLayers, cylinders: int | None = None) -> None:
        self.cylinders = cylinders
        self.expected = 0.0
        """Log-odds before anything is heard; more where the technician was just asked to turn the key."""
        self._meter = LevelMeter()
        self._waiting: list[NDArray[np.int16]] = []  # sound that waits for the next look
        self._frames = 0  # heard
        self._finder = StretchFinder()
        self._track = OddsTrack(layers)
        self._kinds, self._one_core = layers.kinds, layers.one_core
        self._reader = Reader()
        self._aside: list[Stretch] = []  # ended, and no burst by the layers
        self._knocked = KnockWatch()
        self._stretches: list[Stretch] = []  # that ended
        self._by_reading: Stay | None = None  # a starter that only the physical tests know of
        self._read_next = 0
        self._read_to = 0  # stretches that ended before were looked at
        self._turning: Turning | None = None
        self._told_to = 0  # what began before was told of
        self._standing: Standing | None = None
        self._took_over = -LEVEL_RATE_HZ  # where an engine was said to take over last: what begins there is no starter
        self._rejected: list[Stay] = []  # were no starters as far as they went
        self._next_look = self._next_glance = self._judged_again = 0  # the last: what still reads as one is judged
        self._followed: tuple[int, Sequence[Span]] | None = None  # the course from a step on, as of the latest look

    def feed(self, pcm: NDArray[np.int16]) -> list[Event]:
        """What these samples brought. `pcm`: int16, mono, (frames,), 16 000 Hz."""
        self._waiting.append(pcm)
        self._frames += len(pcm)
        now = self._frames // HOP
        if now < min(self._next_look, self._next_glance):
            return []
        with self._one_core():
            self._take_in()
            if now < self._next_look:
                return self._glance()
            self._next_look = self._track.now + (_BUSY_EACH if self._turning else _IDLE_EACH)
            return [*self._look(over=False), *self._news(), *self._knocks(), *self._glance()]

    def _take_in(self) -> None:
        """The sound that waited."""
        sound = np.concatenate(self._waiting) if self._waiting else np.zeros(0, np.int16)
        self._waiting = []
        levels = self._meter.feed(sound)
        self._track.feed(levels, sound)
        self._stretches += self._finder.feed(levels)[1]

    @property
    def turns(self) -> bool:
        """Whether what began still goes on."""
        turning = self._turning
        return turning is not None and not turning.gone and self._frames // HOP < turning.stop + 3 * STEP

    @property
    def took_over(self) -> bool:
        """Whether an engine seems to have taken over from what began."""
        return self._turning is not None and self._turning.took_over is not None

    def judged(self) -> float:
        """How likely what turns now is a starter, 0 to 1: judged as a whole burst is, over what was heard of it."""
        with self._one_core():
            case = None if (stay := self._stay()) is None else self._weigh(stay)
            if case is None or case.confidence < TOLD or case.start < self._told_to:
                return 0.0
            likely = self._likely(case.start, case.stop, case)
            return 0.0 if likely.nothing else likely.sure

    def finish(self) -> list[Event]:
        """What the sound so far amounts to, as if it ended here."""
        self._take_in()
        self._stretches += self._finder.finish()
        return self._look(over=True)

    def _look(self, *, over: bool) -> list[Event]:
        """All whole bursts that can be judged by now. `over`: nothing more will be heard."""
        self._track.look()
        self._followed = None
        now, events = self._track.now, list[Event]()
        self._read_open()
        while (due := self._due(over=over)) is not None:
            events += self._judge(due)
        events += [event for one in self._aside for event in self._oddly(one.start, one.stop or one.start)]
        events += self._stands(over=over)
        self._aside = []
        self._stretches = [one for one in self._stretches if (one.stop or 0) >= now - _WINDOW]
        self._rejected = [one for one in self._rejected if one.stop >= now - _WINDOW]
        return events

    def _due(self, *, over: bool) -> Stay | None:
        """The next that is over: a stretch of raised sound that may have been a starter, or one by the course."""
        stay, now = self._stay(), self._track.now
        for one in self._stretches:
            stop = one.stop or one.start
            if stop < self._read_to or (now < stop + _SETTLE and not over):
                continue
            self._read_to = stop + 1
            apart = stay is None or stop <= stay.start or one.start >= stay.stop
            if apart and one.start >= self._told_to:
                if self._may_be(one):
                    return Stay(start=one.start, stop=stop)
                if self.expected > 0 and one.rise_db >= ODD_RISE_DB and stop - one.start >= ODD_LEAST:
                    self._aside.append(one)
        return stay if stay is not None and (over or not self._goes_on(stay)) else None

    def _may_be(self, one: Stretch) -> bool:
        """Whether a stretch is worth reading."""
        stop = one.stop or self._track.now
        if stop - one.start < _SHORTEST or one.rise_db < _CLEAR_RISE_DB or not one.start:
            return False
        first, last = (max(0, at - self._track.first) // STEP for at in (one.start, stop))
        within = self._track.odds[first : max(first + 1, last)]
        return bool(len(within)) and float(np.mean(within[:, STARTER:].max(axis=1) - within[:, ELSE])) > _HARDLY

    def _read_open(self) -> None:
        """Where the course knows of no starter, whether the raised sound that goes on reads as one."""
        if self._stay_by_course() is not None:
            self._by_reading = None
            return
        now, turning = self._track.now, self._turning
        soon = turning is not None and turning.began
        if now < self._read_next - (_READ_SOONER if soon else 0):
            return
        self._read_next = now + _READ_EACH
        self._by_reading = None
        for one in self._finder.open:
            if one.start >= self._told_to and self._may_be(one):
                case = self._weigh(Stay(start=one.start, stop=now))
                if case is not None and case.confidence >= TOLD and case.start >= self._told_to:
                    ran_to = case.rest_stop if case.caught else None
                    self._by_reading = Stay(start=case.start, stop=case.stop, ran_to=ran_to, nats=READ_NATS)
                    return

    def _stay(self) -> Stay | None:
        """The starter that turns now or turned last, as far as it was not told of. What is there from the very first is
        the shop: nobody turns a key before we listen."""
        stay = self._stay_by_course() or self._by_reading
        return None if stay is None or any(same(stay, one) for one in self._rejected) else stay

    def _stay_by_course(self) -> Stay | None:
        track = self._track
        low = track.now - _WINDOW if self._turning is None else min(track.now - _WINDOW, self._turning.start - _SETTLE)
        skip = max(0, low - track.first) // STEP
        if self._followed is None or self._followed[0] != skip:
            self._followed = skip, follow(track.odds[skip:], track.levels[skip * STEP :])
        spans = self._followed[1]
        for place, span in enumerate(spans):
            if span.part != STARTER:
                continue
            stay = stay_of(span, spans[place + 1] if place + 1 < len(spans) else None, track.first // STEP + skip)
            if stay.start >= max(self._told_to - STEP, STEP) and not any(same(stay, one) for one in self._rejected):
                return stay
        return None

    def _goes_on(self, stay: Stay) -> bool:
        """Whether it is too soon to judge it."""
        now = self._track.now
        if stay.ran_to is None:
            turning = self._turning
            settle = _SETTLE_ENGINE if turning is not None and turning.caught else _SETTLE
            still = now < max(stay.stop + settle, self._judged_again) or self._still_turns(stay)
            return still and stay.stop - stay.start < LONGEST_S * LEVEL_RATE_HZ
        return now < stay.ran_to + _SETTLE and stay.ran_to - stay.stop < RUN_TOLD_S * LEVEL_RATE_HZ

    def _still_turns(self, stay: Stay) -> bool:
        """Whether it is heard up to now as one burst: the course lost sight of it, and its end is not known yet."""
        case, now = self._weigh(stay), self._track.now
        if case is None or case.confidence < TOLD or case.rest_stop is not None or case.stop < now - _GONE:
            return False
        self._judged_again = now + _SETTLE
        return True

    def _judge(self, stay: Stay) -> list[Event]:
        """The whole burst, or that it was none, in the light of all that was heard."""
        turning, self._turning, self._by_reading = self._turning, None, None
        case = self._weigh(stay)
        if case is None or case.confidence < TOLD or case.start < self._told_to:
            self._rejected.append(stay)
            odd = self._oddly(stay.start, stay.stop) if self.expected > 0 else []
            if odd or turning is None or not turning.began:
                return odd
            return [Dropped(at_s=_s(stay.stop), kind=self._likely(stay.start, stay.stop).kind)]
        runs_out = self._standing is not None and abs(case.start - self._standing.start) <= SAME
        if case.caught and runs_out:
            case = replace(case, caught=None, rest_stop=None)  # what ran out afterwards is no engine
        likely, span = self._likely(case.start, case.stop, case), (case.start, case.stop)
        may_have_run = case.caught or (case.caught is None and not runs_out)
        longer = None if may_have_run or likely.odd else self._longer(case)
        if longer is not None:
            most = 2 * (case.stop - case.start) > longer[1] - longer[0]
            whole = likely.over(self._likely(*longer), case.confidence, most=most)
            likely, span = (whole, longer) if whole.odd else (likely, span)
        if likely.nothing or likely.odd:
            self._rejected.append(stay)
            told = list[Event]()
            if self.expected > 0:
                told = self._told_odd(likely, *span) if likely.odd else self._oddly(stay.start, stay.stop)
            return told or ([Dropped(at_s=_s(stay.stop), kind=likely.kind)] if turning and turning.began else [])
        self._told_to = max(stay.stop, case.stop, (case.rest_stop or 0) if case.caught else 0)
        near = unless_plain(self._track.levels, self._track.pcm, moved(case, -self._track.first))
        hz = None if case.pulses is None else case.pulses.hz
        trace = trace_of(self._track.levels, near.start, near.stop, near.rest_stop, hz)
        burst = likely.told(to_burst(replace(case, caught=near.caught), self.cylinders))
        # An engine that was told of must not be denied now, nor where what rose with the starter went on without it.
        went_on = longer is not None and burst.kind is Kind.CRANK
        if burst.caught is False and (went_on or (turning is not None and turning.caught)):
            burst = replace(burst, caught=None)
        return [Ended(burst=burst, trace=trace)]

    def _weigh(self, stay: Stay) -> Case | None:
        """The likeliest case of it, by the course and by the physical tests, in all that is heard by now."""
        track = self._track
        skip = max(0, stay.start - _BEFORE - track.first) // STEP
        first = track.first + skip * STEP
        near = [one for one in (*self._stretches, *self._finder.open) if meets(one, stay, track.now)]
        heard = [replace(one, start=max(0, one.start - first), stop=(one.stop or track.now) - first) for one in near]
        there = track.levels[skip * STEP :], track.pcm[skip * STEP * HOP :], track.odds[skip:], heard
        found = weigh(*there, cylinders=self.cylinders, expected=self.expected, known=(self._reader, first))
        low, high = stay.start - first, stay.stop - first
        cases = [case for case in found if case.start < high and case.stop > low and case.start + first >= STEP]
        best = max(cases, key=lambda case: min(case.stop, high) - max(case.start, low), default=None)
        return None if best is None else moved(best, first)

    def _news(self) -> list[Event]:
        """What is new of a starter that turns, or just did. What is gone for a moment is not yet taken back."""
        stay, turning = self._stay(), self._turning
        if turning is not None and (stay is None or abs(turning.start - stay.start) > SAME):
            turning.gone += 1
            if turning.began and turning.gone < _GONE_LOOKS:
                return []
            self._turning = None
            if turning.began:
                return [Dropped(at_s=_s(self._track.now), kind=Kind.OTHER)]
        if stay is None:
            return []
        turning = self._turning = self._turning or Turning(start=stay.start)
        turning.gone, turning.stop = 0, stay.stop
        return [*turning.begin(stay), *self._end(stay, turning)]

    def _glance(self) -> list[Event]:
        """What happens just now to what turns, before the course of things is sure of it."""
        track, turning = self._track, self._turning
        if turning is None or not turning.began:
            self._next_glance = self._next_look
            return []
        self._next_glance = track.now + _GLANCE_EACH
        moment = moment_of(track.levels, track.odds, turning.start - track.first)
        told = turning.glanced(moment, track.now)
        self._took_over = turning.took_over or self._took_over
        return told

    def _end(self, stay: Stay, turning: Turning) -> list[Event]:
        """That the engine took over, by the course, where no glance saw it. That the starter let go is for glances."""
        track, read = self._track, stay is self._by_reading
        if not turning.began or turning.took_over is not None or stay.nats <= TOOK_OVER_NATS:
            return []
        edges = stay.start - track.first, stay.stop - track.first
        settled = _UNSEEN if not read else _GONE if stay.ran_to else _SETTLE  # a reading ends with what was heard
        # What the course makes of it later is mostly of a starter that turns on: a glance would have seen an engine.
        in_time = stay.stop + settled <= track.now <= stay.stop + _PAST
        runs = in_time and takes_over(track.levels, track.odds, *edges, by_layers=not read)
        return turning.take_over(stay.stop) if runs else []

    def _begun_at(self, start: int) -> list[Stretch]:
        """Raised sound that began there: what ended, then what goes on."""
        return [one for one in (*self._stretches, *self._finder.open) if abs(one.start - start) <= SAME]

    def _likely(self, start: int, stop: int, case: Case | None = None) -> Likely:
        """What it sounded like between two levels of the stream. `case`: what the two views made of it."""
        track = self._track
        span = max(0, start - track.first), max(1, stop - track.first)
        near = None if case is None else moved(case, -track.first)
        return likely_of(self._kinds, track.levels, track.pcm, track.odds, span, case=near, expected=self.expected)

    def _stands(self, *, over: bool) -> list[Event]:
        """A starter that turns nothing and seemed to go on, once it does not, or for long enough."""
        one, self._standing = self._standing, None
        if one is None or one.start < self._told_to:
            return []
        if self._raised_since(one.start) and not over:
            self._standing = one
            return []
        return self._ended_odd(one.likely, one.start, one.stop)

    def _raised_since(self, start: int) -> bool:
        """Whether raised sound that began there goes on, or ended too lately to be judged."""
        now = self._track.now
        still = (one.stop is None or now < one.stop + _SETTLE for one in self._begun_at(start))
        return now < start + _STANDS_FOR and any(still)

    def _longer(self, case: Case) -> tuple[int, int] | None:
        """The raised sound that began with it and went on after it, as far as it was heard."""
        stop = max((one.stop or self._track.now for one in self._begun_at(case.start)), default=0)
        return (case.start, stop) if stop > case.stop + SAME else None

    def _oddly(self, start: int, stop: int) -> list[Event]:
        """That the starter spun or chattered and turned nothing, where it sounded so and nobody heard one."""
        if start < self._told_to or abs(start - self._took_over) <= SAME:
            return []
        likely = self._likely(start, stop)
        return self._told_odd(likely, start, stop) if likely.odd else []

    def _told_odd(self, likely: Likely, start: int, stop: int) -> list[Event]:
        """A starter that turned nothing, over all of the raised sound that began with it; once that is over."""
        ended = [one.stop for one in self._begun_at(start) if one.stop]
        if not ended and self._raised_since(start):
            self._standing = Standing(likely=likely, start=start, stop=stop)
            return []
        return self._ended_odd(likely, start, max([stop, *ended]))

    def _ended_odd(self, likely: Likely, start: int, stop: int) -> list[Event]:
        self._standing = None
        self._told_to, first = stop, max(0, start - self._track.first)
        sure, kind = likely.sure, likely.kind
        burst = Burst(start_s=_s(start), end_s=_s(stop), pulse_hz=None, caught=False, kind=kind, confidence=sure)
        return [Ended(burst=burst, trace=trace_of(self._track.levels, first, stop - self._track.first, None, None))]

    def _knocks(self) -> list[Event]:
        """A knock that stands alone where a starter was asked for, once it is known that nothing follows."""
        if self.expected <= 0 or self._turning is not None:
            return []
        return [Knocked(at_s=_s(at)) for at in self._knocked.look(self._track.levels, self._track.now, self._told_to)]


def _s(level: int) -> float:
    return level / LEVEL_RATE_HZ
