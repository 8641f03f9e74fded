"""What the starter did between two moments: how fast it turned, what came of it, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.around import risen
from assistant.cranking.course import Span, follow
from assistant.cranking.evenness import weakest_share
from assistant.cranking.layers import ENGINE, STARTER, Odds, StarterLayers
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, Levels
from assistant.cranking.model import Burst
from assistant.cranking.rate import Pulses, find_pulses, rhythm, rpm_of, swings
from assistant.cranking.traits import STEP, traits_of
from assistant.cranking.trust import LONGEST_S, SHORTEST_S, prove

TOLD = 0.5
"""Confidence from which a burst is told of."""

_PIECE, _MARGIN = 3750, 175  # steps judged at once, and what is looked at around them: five minutes, 14 s
_BEFORE, _EDGE = 625, 6  # levels before a burst whose rhythm is known already; levels next to an edge left out
_LEAST = 30  # levels; in less there is no pulse to count
_RAN_NATS = 6.0
_MAY_HAVE_RUN = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One time that the starter may have turned. Times in levels (8 ms).

    `sure`: mean log-odds of the starter against anything else; `confidence`: with all else that speaks for it, 0 to 1.
    `rest_stop`: where the engine stopped that ran after
    it; `ran`: log-odds of that, in all. `may_have_run`: chance that one ran where none was found.
    """

    start: int
    stop: int
    sure: float
    pulses: Pulses | None
    uneven: float | None
    confidence: float
    rest_stop: int | None = None
    ran: float = 0.0
    may_have_run: float = 0.0

    def moved(self, by: int) -> Case:
        """The same case, its times counted from `by` levels earlier."""
        rest = None if self.rest_stop is None else self.rest_stop + by
        return replace(self, start=self.start + by, stop=self.stop + by, rest_stop=rest)

    @property
    def seconds(self) -> float:
        """How long the starter turned."""
        return (self.stop - self.start) / LEVEL_RATE_HZ

    @property
    def caught(self) -> bool | None:
        """Whether the engine ran after it, None where not sure."""
        if self.rest_stop is None:
            return None if self.may_have_run > _MAY_HAVE_RUN else False
        return True if self.ran > _RAN_NATS else None


def odds_of(levels: Levels, pcm: NDArray[np.int16], layers: StarterLayers) -> Odds:
    """What goes on in each step. `pcm`: the sound of `levels`, int16, mono, 16 000 Hz; any length."""
    steps = len(levels) // STEP
    parts = []
    for first in range(0, steps, _PIECE):
        low, high = max(0, first - _MARGIN), min(steps, first + _PIECE + _MARGIN)
        traits = traits_of(levels[low * STEP : high * STEP], pcm[low * STEP * HOP : high * STEP * HOP])
        parts.append(layers(traits[first - low : first - low + _PIECE]))
    return np.concatenate(parts) if parts else np.zeros((0, 3), dtype=np.float32)


def weigh(levels: Levels, odds: Odds, cylinders: int | None, expected: float = 0.0) -> list[Case]:
    """Every time that the starter may have turned, in order. `expected`: log-odds before anything is heard."""
    spans = follow(odds, levels)
    return [
        _case(levels, odds, spans, at, cylinders=cylinders, expected=expected)
        for at, span in enumerate(spans)
        if span.part == STARTER
    ]


def _case(
    levels: Levels, odds: Odds, spans: Sequence[Span], at: int, *, cylinders: int | None, expected: float
) -> Case:
    span = spans[at]
    after = spans[at + 1] if at + 1 < len(spans) and spans[at + 1].part == ENGINE else None
    start, stop = span.start * STEP, span.stop * STEP
    pulses, uneven = _turning(levels, start, stop, cylinders)
    tail = odds[span.stop : span.stop + 12, ENGINE]
    proof = prove(levels, start, stop, sure=span.sure, pulses=pulses, engine=after is not None, expected=expected)
    plausible = SHORTEST_S <= (stop - start) / LEVEL_RATE_HZ <= LONGEST_S
    return Case(
        start=start,
        stop=stop,
        sure=span.sure,
        pulses=pulses,
        uneven=uneven,
        confidence=proof.confidence if plausible else 0.0,
        rest_stop=None if after is None else after.stop * STEP,
        ran=0.0 if after is None else after.sure * (after.stop - after.start),
        may_have_run=float(np.exp(tail).mean()) if len(tail) else 0.0,
    )


def _turning(levels: Levels, start: int, stop: int, cylinders: int | None) -> tuple[Pulses | None, float | None]:
    inside = levels[start + _EDGE : stop - _EDGE]
    if len(inside) < _LEAST:
        return None, None
    weights = risen(levels, start, stop)
    known = rhythm(swings(levels[max(0, start - _BEFORE) : start - _EDGE])) if start > 300 else None
    pulses = find_pulses(inside, weights, known=known, cylinders=cylinders)
    return pulses, None if pulses is None or cylinders is None else weakest_share(inside, weights, pulses.hz, cylinders)


def to_burst(case: Case, cylinders: int | None) -> Burst:
    """The case in seconds and turns a minute."""
    hz = None if case.pulses is None else case.pulses.hz
    caught = case.caught
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
