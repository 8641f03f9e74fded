"""What the starter did between two moments: how fast it turned, what came of it, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.around import risen
from assistant.cranking.case import Case, joined, moved
from assistant.cranking.course import Span, follow
from assistant.cranking.evenness import weakest_share
from assistant.cranking.layers import ELSE, ENGINE, STARTER, Odds, StarterLayers
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, Levels
from assistant.cranking.model import Burst
from assistant.cranking.rate import HIGHEST_HZ, Pulses, find_pulses, rhythm, rpm_of, swings
from assistant.cranking.readings import MAY_HAVE_RUN, SURE_RAN, Reader
from assistant.cranking.stretches import Stretch
from assistant.cranking.traits import STEP, traits_of
from assistant.cranking.trust import LONGEST_S, SHORTEST_S, prove

TOLD = 0.5
"""Confidence from which a burst is told of."""

_PIECE, _MARGIN = 3750, 175  # steps judged at once, and what is looked at around them: five minutes, 14 s
_BEFORE, _EDGE = 625, 6  # levels before a burst whose rhythm is known already; levels next to an edge left out
_LEAST = 30  # levels; in less there is no pulse to count
_RAN_LEAST = 75  # levels; what runs on for less than 0.6 s may be the starter that slows down
_RAN_NATS, _RAN_NATS_BRIEF, RAN_TOLD = 15.0, 6.0, 200
"""Evidence of an engine, less in a brief sound, and levels of it (1.6 s), below which a burst leaves open whether it
ran: it may be the starter that runs out, or a tool. Source: of 434 made-up no-starts of three makers, in view, all four
that were told as running by the layers have less evidence. Of 302 engines told as running, in view, nine were heard for
1.2 to 1.6 s, seven of which died; so was one of nine no-starts."""
_LOW = 4  # bands below some 400 Hz
_SPUN_UP, _AFTER = 25, 12  # levels of spinning up; levels next to the end of the burst
_RISES_DB, _RISES_NOW_DB = (1.5, 2.0, 4.0), 1.0
"""How far low sounds come up at least when an engine takes over, by how much the two views doubt it; and at the moment
at which it does. Source: of 339 made-up runs by two makers 94 % come up by 1 dB; of 62 impact tools and other sounds
taken for one, 26 %. Of 117 engines told as running by both, in view, 2 % come up by less than 1.7; of 22 tools that
began as the starter let go six do."""
_NOW, _PLAINLY, _PLAINLY_LOUD = 3, 1.75, 1.0
"""Steps (0.24 s), and mean log-odds of an engine against all else in them, from which it takes over as it is heard now;
the latter where low sounds come up by the most that is asked. Source: of 143 made-up bursts, in view, 33 of 64
no-starts had the release called, 7 with this, and 15 and 9 of 79 engines too early; 57 and 62 % within 0.5 s."""
_DROWNED_DB = -3.0
"""What falls by so much over all bands, and is an engine for one view only, was there before and drowned by the
starter. Source: of 59 such made-up runs that were told none, in view, two compressors beside a no-start do."""
_MAY_HAVE_RUN = 0.3

_AROUND = 625  # levels before and after a stretch that its reading may look at: 5 s
_HELD = 15  # levels that the starter stays engaged after the engine takes over: 0.12 s; common practice, no source


def odds_of(levels: Levels, pcm: NDArray[np.int16], layers: StarterLayers) -> Odds:
    """What goes on in each step. `pcm`: the sound of `levels`, int16, mono, 16 000 Hz; any length."""
    steps = len(levels) // STEP
    parts = []
    for first in range(0, steps, _PIECE):
        low, high = max(0, first - _MARGIN), min(steps, first + _PIECE + _MARGIN)
        traits = traits_of(levels[low * STEP : high * STEP], pcm[low * STEP * HOP : high * STEP * HOP])
        parts.append(layers(traits[first - low : first - low + _PIECE]))
    return np.concatenate(parts) if parts else np.zeros((0, 3), dtype=np.float32)


def weigh(
    levels: Levels,
    pcm: NDArray[np.int16],
    odds: Odds,
    stretches: Sequence[Stretch],
    *,
    cylinders: int | None,
    expected: float,
    brief: bool = False,
    known: tuple[Reader, int] | None = None,
) -> list[Case]:
    """Every time that the starter may have turned, in order: by the course of the odds, and by stretches read.

    What both views found is one case; of other cases that overlap the surest stands. `pcm`: the sound of `levels`.
    `expected`: log-odds before it is heard. `brief`: whether it is a whole sound shorter than BRIEF_S. `known`: what
    was read of a stream before, and the number of the first of `levels` in it.
    """
    reader, origin = known or (Reader(), 0)
    room = _Room(
        levels=levels,
        odds=odds,
        cylinders=cylinders,
        expected=expected,
        brief=brief,
        reader=reader,
        origin=origin,
    )
    spans = follow(odds, levels)
    felt = [_felt(room, spans, at) for at, span in enumerate(spans) if span.part == STARTER]
    cases = [case for one in stretches if one.stop and (case := _read(room, pcm, one)) is not None]
    chosen: list[Case] = []
    found = joined(felt, cases)
    for case in sorted(found, key=lambda one: -one.confidence):
        if all(_after(case, other) or _after(other, case) for other in chosen):
            chosen.append(case)
    told = sorted((not_sure_over(one, found) for one in chosen), key=lambda one: one.start)
    # A clip is cut around a start and hardly ever around a tool: there the claim stands.
    return told if brief else [doubted(levels, case) for case in told]


def not_sure_over(case: Case, others: Sequence[Case]) -> Case:
    """The case, not sure that the engine ran where not both views say so and one hears a starter turn in that time."""
    if not case.caught or case.rest_stop is None or case.doubts == 0:
        return case
    turns_on = (
        min(one.stop, case.rest_stop) - max(one.start, case.stop) > _RAN_LEAST and one.confidence >= TOLD
        for one in others
    )
    return replace(case, caught=None) if any(turns_on) else case


def doubted(levels: Levels, case: Case) -> Case:
    """The case, not sure that the engine ran where its low sounds did not come up as an engine's do."""
    if not case.caught or case.rest_stop is None:
        return case
    crank, rest = levels[case.start + _SPUN_UP : case.stop - _AFTER], levels[case.stop + _AFTER : case.rest_stop]
    if not len(crank) or not len(rest):
        return case
    rises_db = np.median(rest, axis=0) - np.median(crank, axis=0)
    drowned = case.doubts > 0 and float(rises_db.mean()) < _DROWNED_DB
    grew = float(rises_db[:_LOW].mean()) >= _RISES_DB[case.doubts]
    sure = case.rest_stop - case.stop >= _RAN_LEAST and grew and not drowned
    return case if sure else replace(case, caught=None)


def takes_over(levels: Levels, odds: Odds, start: int, stop: int, *, by_layers: bool = True) -> bool:
    """Whether an engine plainly runs now, after a starter from level `start` to `stop`. `odds`: of `levels`.

    `by_layers`: whether the trained layers must say so; not where only the physical tests know of the starter.
    """
    crank, rest, late = levels[start + _SPUN_UP : stop - _AFTER], levels[stop + _AFTER // 2 :], odds[-_NOW:]
    rise_db = _low_rise_db(crank, rest) if len(crank) and len(rest) else 0.0
    plain = float(np.mean(late[:, ENGINE] - np.maximum(late[:, ELSE], late[:, STARTER])))
    return rise_db >= _RISES_NOW_DB and (
        not by_layers or plain > (_PLAINLY_LOUD if rise_db >= _RISES_DB[2] else _PLAINLY)
    )


def _low_rise_db(crank: Levels, rest: Levels) -> float:
    """How far low sounds came up from the one to the other, dB."""
    return float((np.median(rest[:, :_LOW], axis=0) - np.median(crank[:, :_LOW], axis=0)).mean())


def _after(case: Case, other: Case) -> bool:
    return case.start >= (other.rest_stop or other.stop)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """What every case is judged by."""

    levels: Levels
    odds: Odds
    cylinders: int | None
    expected: float
    brief: bool
    reader: Reader
    origin: int

    def confidence(self, start: int, stop: int, pulses: Pulses | None, *, votes: float | None, engine: bool) -> float:
        if not SHORTEST_S <= (stop - start) / LEVEL_RATE_HZ <= LONGEST_S:
            return 0.0
        within = self.odds[start // STEP : max(start // STEP + 1, stop // STEP)]
        sure = float(np.mean(within[:, STARTER] - within[:, ELSE])) if len(within) else 0.0
        proof = prove(
            self.levels,
            start,
            stop,
            sure=sure,
            votes=votes,
            pulses=pulses,
            engine=engine,
            expected=self.expected,
            brief=self.brief,
        )
        return proof.confidence


def _felt(room: _Room, spans: Sequence[Span], at: int) -> Case:
    """The case of a span that the trained layers found."""
    span = spans[at]
    after = spans[at + 1] if at + 1 < len(spans) and spans[at + 1].part == ENGINE else None
    start, stop = span.start * STEP, span.stop * STEP
    pulses, uneven = _turning(room.levels, start, stop, room.cylinders)
    tail = np.exp(room.odds[span.stop : span.stop + 12, ENGINE])
    may_have_run = float(tail.mean()) > _MAY_HAVE_RUN if len(tail) else False
    least = _RAN_NATS_BRIEF if room.brief else _RAN_NATS
    ran = None if after is None else after.sure * (after.stop - after.start) > least
    return Case(
        start=start,
        stop=stop,
        pulses=pulses,
        uneven=uneven,
        confidence=room.confidence(start, stop, pulses, votes=None, engine=after is not None),
        rest_stop=None if after is None else after.stop * STEP,
        caught=(None if may_have_run else False) if after is None else (True if ran else None),
    )


def _read(room: _Room, pcm: NDArray[np.int16], one: Stretch) -> Case | None:
    """The case of a stretch of raised sound, as the physical tests read it."""
    stop = one.stop or one.start
    first, last = max(0, one.start - _AROUND), min(len(room.levels), stop + _AROUND)
    near = pcm[first * HOP : last * HOP]
    found = room.reader.read(
        room.levels[first:last],
        near,
        one.start - first,
        stop - first,
        cylinders=room.cylinders,
        origin=room.origin + first,
    )
    if found is None or found.score <= 0:
        return None
    found = moved(found, first)
    ran = found.rest_stop is not None
    confidence = room.confidence(found.start, found.stop, found.pulses, votes=found.score, engine=ran)
    caught: bool | None = None
    if not found.cut and (found.rest_stop is None or found.ran < MAY_HAVE_RUN):
        caught = False
    elif not found.cut and found.ran >= SURE_RAN:
        caught = True
    return Case(
        start=found.start,
        stop=found.stop + (_HELD if ran else 0),
        pulses=found.pulses,
        uneven=_uneven(room, found.start, found.stop, found.pulses),
        confidence=confidence,
        rest_stop=found.rest_stop,
        caught=caught,
    )


def _uneven(room: _Room, start: int, stop: int, pulses: Pulses) -> float | None:
    if room.cylinders is None:
        return None
    inside = room.levels[start + _EDGE : stop - _EDGE]
    if len(inside) < _LEAST:
        return None
    return weakest_share(inside, risen(room.levels, start, stop), pulses.hz, room.cylinders)


def _turning(levels: Levels, start: int, stop: int, cylinders: int | None) -> tuple[Pulses | None, float | None]:
    inside = levels[start + _EDGE : stop - _EDGE]
    if len(inside) < _LEAST:
        return None, None
    weights = risen(levels, start, stop)
    known = rhythm(swings(levels[max(0, start - _BEFORE) : start - _EDGE])) if start > 300 else None
    pulses = find_pulses(inside, weights, known=known, cylinders=cylinders)
    return pulses, None if pulses is None or cylinders is None else weakest_share(inside, weights, pulses.hz, cylinders)


def to_burst(case: Case, cylinders: int | None, *, least: int = RAN_TOLD) -> Burst:
    """The case in seconds and turns a minute. `least`: levels for which an engine must have run to be told of."""
    hz = None if case.pulses is None else case.pulses.hz
    if cylinders is None and hz is not None and hz > HIGHEST_HZ:
        hz = None  # no starter turns that fast: it is not known
    ran = 0 if case.rest_stop is None else case.rest_stop - case.stop
    caught = None if case.caught and ran < least else case.caught
    return Burst(
        start_s=case.start / LEVEL_RATE_HZ,
        end_s=case.stop / LEVEL_RATE_HZ,
        pulse_hz=hz,
        rpm=None if cylinders is None or hz is None else rpm_of(hz, cylinders),
        caught=caught,
        run_s=None if case.rest_stop is None or not caught else (case.rest_stop - case.stop) / LEVEL_RATE_HZ,
        uneven=case.uneven,
        confidence=case.confidence,
    )
