"""The ear for the starter: a whole sound to bursts, and to the whine or the click of a starter that turns nothing."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.case import Case
from assistant.cranking.judge import RAN_TOLD, TOLD, odds_of, to_burst, weigh
from assistant.cranking.knocks import find_knocks
from assistant.cranking.layers import StarterLayers
from assistant.cranking.levels import LEVEL_RATE_HZ, Levels, levels_of
from assistant.cranking.likely import Likely, likely_of
from assistant.cranking.model import Hearing, Kind, Sound
from assistant.cranking.running import unless_plain
from assistant.cranking.stretches import Stretch, StretchFinder
from assistant.cranking.trust import BRIEF_S, expected_in

_NEXT_TO = 50  # levels: what lies within 0.4 s of a burst belongs to it
_CLEAR_RISE_DB = 6.0
_ODD_LEAST = 60  # levels of a starter that turns nothing: 0.5 s


def listen(pcm: NDArray[np.int16], layers: StarterLayers, cylinders: int | None = None) -> Hearing:
    """All bursts in a whole sound. `pcm`: int16, mono, (frames,), 16 000 Hz."""
    levels = levels_of(pcm)
    finder = StretchFinder()
    stretches = sorted([*finder.feed(levels)[1], *finder.finish()], key=lambda one: one.start)
    odds, seconds = odds_of(levels, pcm, layers), len(pcm) / 16_000
    expected = expected_in(seconds)
    cases = weigh(
        levels,
        pcm,
        odds,
        stretches,
        cylinders=cylinders,
        expected=expected,
        brief=seconds < BRIEF_S,
    )
    cases = [case for case in cases if case.confidence >= TOLD]

    def likely_at(start: int, stop: int, case: Case | None = None) -> Likely:
        return likely_of(layers.kinds, levels, pcm, odds, (start, stop), case=case, expected=expected)

    told = [(case, likely_at(case.start, case.stop, case)) for case in cases]
    turned = [(case, likely) for case, likely in told if not (likely.nothing or likely.odd)]
    odd = [_sound(likely.kind, case.start, case.stop) for case, likely in told if likely.odd]

    least = 0 if seconds < BRIEF_S else RAN_TOLD
    if seconds >= BRIEF_S:
        turned = [(unless_plain(levels, pcm, case), likely) for case, likely in turned]

    def kind_of(start: int, stop: int) -> Kind:
        likely = likely_at(start, stop)
        return likely.kind if likely.odd else Kind.OTHER

    return Hearing(
        bursts=tuple(likely.told(to_burst(case, cylinders, least=least)) for case, likely in turned),
        others=_others(levels, kind_of, stretches, cases, odd),
        seconds=seconds,
    )


def _sound(kind: Kind, start: int, stop: int) -> Sound:
    return Sound(kind=kind, start_s=start / LEVEL_RATE_HZ, end_s=stop / LEVEL_RATE_HZ)


def _others(
    levels: Levels,
    kind_of: Callable[[int, int], Kind],
    stretches: list[Stretch],
    cases: list[Case],
    found: list[Sound],
) -> tuple[Sound, ...]:
    """Those `found` in place of bursts, and whines and chatter apart from all `cases`; single knocks where nothing else
    was heard."""
    for one in stretches:
        stop = one.stop or one.start
        near = any(
            one.start < (case.rest_stop or case.stop) + _NEXT_TO and case.start < stop + _NEXT_TO for case in cases
        )
        if one.rise_db < _CLEAR_RISE_DB or near or (found and one.start / LEVEL_RATE_HZ < found[-1].end_s):
            continue
        kind = kind_of(one.start, stop) if stop - one.start >= _ODD_LEAST else Kind.OTHER
        if kind is not Kind.OTHER:
            found.append(_sound(kind, one.start, stop))
    if not cases and not found:
        found += [_sound(Kind.CLUNK, first, last) for first, last in find_knocks(levels)]
    return tuple(sorted(found, key=lambda one: one.start_s))
