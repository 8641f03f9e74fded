"""Whether what goes on after a starter is plainly its own engine, so that it may be told as running.

A tool that begins as the starter lets go sounds like an engine to both views, and a technician who is told that a dead
engine runs is led astray. But an engine that caught beats, since its cylinders fire one after another; it takes over
while the starter still turns, so that the sound never pauses; nothing in the shop sounded like it before; and it is not
at its own speed from the first: it flares and falls to its idle, or dies (common practice, no source). What lacks one
of these may still be an engine, and is asked about.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.case import Case
from assistant.cranking.firing import Beat, find_beat
from assistant.cranking.levels import HOP, Levels
from assistant.cranking.smooth import running_mean

BEATS, PLAIN_BEAT = 0.1, 0.3
"""Strength of the quick beat that an engine has, and from which its rate can be relied on."""

PAUSES_DB, HEARD_DB = -3.0, 2.0
"""How far the sound falls, as the starter's becomes another, below the least that it fell to while that turned, and
below what follows, that no engine does; how near a sound from before may come to it, mean over the bands, without being
the same.

Source of these four, all in view: 22 no-starts of the third maker that were told as running (seed 84115, heard live),
beside a tool or a machine that begins 0.25 s before to 0.35 s after the end, -6 to 10 dB against the starter: three are
left, with `judge`'s low sounds. Of 25 engines of it beside such a tool two are asked about in place, of 89 engines of
three makers in natural scenes five."""

_FIRST, _THEN = (12, 112), (87, 212)  # levels of it, from its beginning, whose rates are compared: 0.8 s and the next
_SAME_RATE = 0.015  # logarithm; less than `find_beat` tells apart
_BESIDE, _SPUN_UP = 12, 25  # levels next to an edge, and of spinning up, that say nothing
_BEFORE, _WINDOW, _EACH = 375, 50, 12  # levels of the shop that are looked at: 3 s, by 0.4 s, each 0.1 s
_AROUND, _PAUSE = (50, 75), 20  # levels before and after the change in which a pause is sought; its length: 0.16 s


def unless_plain(levels: Levels, pcm: NDArray[np.int16], case: Case) -> Case:
    """The case, not sure that the engine ran where what follows the starter is not plainly its engine.

    `pcm`: the sound of `levels`, int16, mono, 16 000 Hz."""
    if not case.caught or case.rest_stop is None:
        return case
    rest = levels[case.stop + _BESIDE : case.rest_stop]
    if not len(rest):
        return case
    usual = np.median(rest, axis=0)
    plain = (
        _pause_db(levels, case.start, case.stop, float(usual.mean())) > PAUSES_DB
        and _nearest_db(levels[max(0, case.start - _BEFORE) : max(0, case.start - _BESIDE)], usual) >= HEARD_DB
        and _beats_as_an_engine(pcm, case.stop, case.rest_stop)
    )
    return case if plain else replace(case, caught=None)


def _pause_db(levels: Levels, start: int, stop: int, after_db: float) -> float:
    """How far it falls at most about level `stop`, against the least while the starter turned, and what comes after."""
    turned, change = levels[start + _SPUN_UP : stop - _AROUND[0]], levels[max(0, stop - _AROUND[0]) : stop + _AROUND[1]]
    return _least_db(change) - min(after_db, _least_db(turned))


def _least_db(levels: Levels) -> float:
    """The least that the sound falls to for a moment; no least where it is shorter than one."""
    if len(levels) < _PAUSE:
        return math.inf
    loud = levels.mean(axis=1, dtype=np.float64)
    return float(np.convolve(loud, np.full(_PAUSE, 1 / _PAUSE), "valid").min())


def _nearest_db(before: Levels, usual: NDArray[np.float32]) -> float:
    """How far what was there before is from it, where it comes nearest; far where too little was heard."""
    if len(before) < _WINDOW:
        return math.inf
    means = running_mean(before.astype(np.float64), _WINDOW)[_WINDOW // 2 : len(before) - _WINDOW // 2 + 1 : _EACH]
    return float(np.abs(means - usual).mean(axis=1).min())


def _beats_as_an_engine(pcm: NDArray[np.int16], stop: int, rest_stop: int) -> bool:
    """Whether it beats, at a rate that changes: only a machine is at its own speed from the first."""

    def beat(first: int, last: int) -> Beat | None:
        return find_beat(pcm[first * HOP : last * HOP])

    whole = beat(stop + _SPUN_UP, rest_stop - _BESIDE // 2)
    parts = [beat(stop + first, min(rest_stop, stop + last)) for first, last in (_FIRST, _THEN)]
    known = [one for one in parts if one is not None]
    if whole is None or len(known) < len(parts):
        return True
    rates = [math.log(one.hz) for one in (whole, *known)]
    plain = min(one.strength for one in known) >= PLAIN_BEAT
    return whole.strength >= BEATS and not (plain and max(rates) - min(rates) < _SAME_RATE)
