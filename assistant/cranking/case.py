"""One time that the starter may have turned, and how two views of the same time become one."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TypeVar

from assistant.cranking.rate import Pulses
from assistant.cranking.reading import Reading

_SAME = 0.5  # share of their time that two views of one burst have in common
_HEEDED = 0.9  # confidence of the layers from which their edges and outcome stand


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One time that the starter may have turned. Times in levels (8 ms).

    `confidence`: 0 to 1, that it was a starter. `rest_stop`: where the engine stopped that ran after it. `caught`:
    whether one did, None where not sure. `doubts`: how much the two views doubt that: 0 both say so, 1 one does
    not know, 2 one denies it.
    """

    start: int
    stop: int
    pulses: Pulses | None
    uneven: float | None
    confidence: float
    rest_stop: int | None
    caught: bool | None
    doubts: int = 1

    @property
    def believed(self) -> float:
        """Log-odds that it was a starter."""
        return math.log(max(1e-9, self.confidence) / max(1e-9, 1 - self.confidence))


_Timed = TypeVar("_Timed", Case, Reading)


def moved(one: _Timed, by: int) -> _Timed:
    """The same, its times counted from `by` levels earlier."""
    rest = None if one.rest_stop is None else one.rest_stop + by
    return replace(one, start=one.start + by, stop=one.stop + by, rest_stop=rest)


def joined(felt: list[Case], read: list[Case]) -> list[Case]:
    """All cases, those of one burst as one: as sure as the surer view, with the edges and the outcome of the better.

    `felt`: by the trained layers, which are the better where they are sure. `read`: by the physical tests. An outcome
    that the better view does not know is the other's.
    """
    alone, cases = list(felt), []
    for case in sorted(read, key=lambda one: -one.confidence):
        own = max(alone, key=lambda one: _shared(one, case), default=None)
        if own is None or _shared(own, case) < _SAME:
            cases.append(case)
            continue
        alone.remove(own)
        cases.append(_of_both(own, case))
    return cases + alone


def _of_both(felt: Case, read: Case) -> Case:
    surer = max(felt, read, key=lambda one: one.confidence)
    better, other = (felt, read) if felt.confidence >= _HEEDED else (read, felt)
    told = other if better.caught is None and other.caught is not None else better
    if better.rest_stop is not None and better.caught is None:
        told = better  # it heard an engine, too little of one to be sure: so was the other's
    rest = None if told.rest_stop is None else max(told.rest_stop, better.stop)
    doubts = min(2, sum(2 if one.caught is False else int(one.caught is None) for one in (felt, read)))
    return replace(surer, start=better.start, stop=better.stop, rest_stop=rest, caught=told.caught, doubts=doubts)


def _shared(case: Case, other: Case) -> float:
    """Share of the time of both that they have in common; 0 or less where they lie apart."""
    whole = max(case.stop, other.stop) - min(case.start, other.start)
    return (min(case.stop, other.stop) - max(case.start, other.start)) / whole
