"""The ear for the starter: a whole sound to bursts, and to the whine or the click of a starter that turns nothing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.case import Case
from assistant.cranking.judge import TOLD, odds_of, to_burst, weigh
from assistant.cranking.knocks import find_knocks
from assistant.cranking.layers import StarterLayers
from assistant.cranking.levels import BANDS, HOP, LEVEL_RATE_HZ, LevelMeter, Levels
from assistant.cranking.model import Hearing, Kind, Sound
from assistant.cranking.stretches import Stretch, StretchFinder
from assistant.cranking.trust import BRIEF_S, expected_in
from assistant.cranking.whine import to_sound

_BLOCK = 16_000 * 60
_NEXT_TO = 50  # levels: what lies within 0.4 s of a burst belongs to it
_CLEAR_RISE_DB = 6.0


def listen(pcm: NDArray[np.int16], layers: StarterLayers, cylinders: int | None = None) -> Hearing:
    """All bursts in a whole sound. `pcm`: int16, mono, (frames,), 16 000 Hz."""
    meter = LevelMeter()
    parts = [meter.feed(pcm[first : first + _BLOCK]) for first in range(0, len(pcm), _BLOCK)]
    levels = np.concatenate(parts) if parts else np.zeros((0, BANDS), dtype=np.float32)
    finder = StretchFinder()
    stretches = sorted([*finder.feed(levels)[1], *finder.finish()], key=lambda one: one.start)
    odds, seconds = odds_of(levels, pcm, layers), len(pcm) / 16_000
    cases = weigh(
        levels,
        pcm,
        odds,
        stretches,
        cylinders=cylinders,
        expected=expected_in(seconds),
        brief=seconds < BRIEF_S,
    )
    cases = [case for case in cases if case.confidence >= TOLD]
    return Hearing(
        bursts=tuple(to_burst(case, cylinders) for case in cases),
        others=_others(levels, pcm, stretches, cases),
        seconds=seconds,
    )


def _others(levels: Levels, pcm: NDArray[np.int16], stretches: list[Stretch], cases: list[Case]) -> tuple[Sound, ...]:
    """Whines apart from the bursts; single knocks where nothing else was heard."""
    found: list[Sound] = []
    for one in stretches:
        stop = one.stop or one.start
        near = any(
            one.start < (case.rest_stop or case.stop) + _NEXT_TO and case.start < stop + _NEXT_TO for case in cases
        )
        if one.rise_db < _CLEAR_RISE_DB or near or (found and one.start / LEVEL_RATE_HZ < found[-1].end_s):
            continue
        if to_sound(pcm[one.start * HOP : stop * HOP], one) is Kind.WHINE:
            found.append(Sound(kind=Kind.WHINE, start_s=one.start / LEVEL_RATE_HZ, end_s=stop / LEVEL_RATE_HZ))
    if not cases and not found:
        found += [
            Sound(kind=Kind.CLUNK, start_s=first / LEVEL_RATE_HZ, end_s=last / LEVEL_RATE_HZ)
            for first, last in find_knocks(levels)
        ]
    return tuple(found)
