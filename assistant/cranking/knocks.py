"""Single knocks: a starter that only clicks."""

from __future__ import annotations

import numpy as np

from assistant.cranking.levels import Levels

_CLEAR_DB = 8.0  # over the usual level around it, mean of all bands
_LONGEST = 50  # levels: 0.4 s, with the room's echo
_APART = 190  # levels: 1.5 s without another one; a rattle is no knock
_CALM_DB = 4.0  # spread of the sound around it: a lively shop is full of knocks, and none is told of


def find_knocks(levels: Levels, *, ended: bool = True) -> list[tuple[int, int]]:
    """First and last level of each knock that stands alone in a calm sound.

    `ended`: nothing follows that could spoil it; else one so near the beginning or the end that something may stand
    beside it is left out.
    """
    if len(levels) < _APART:
        return []
    loud = levels.mean(axis=1, dtype=np.float64)
    usual = float(np.median(loud))
    if float(np.median(np.abs(loud - usual))) > _CALM_DB:
        return []
    above = loud > usual + _CLEAR_DB
    turns = np.flatnonzero(np.diff(np.concatenate([[False], above, [False]]).astype(np.int8)))
    runs = [(int(first), int(last)) for first, last in zip(turns[::2], turns[1::2], strict=True)]
    return [
        (first, last)
        for first, last in runs
        if last - first <= _LONGEST
        and (ended or (first >= _APART and last < len(levels) - _APART))
        and all(last + _APART < other or after + _APART < first for other, after in runs if other != first)
    ]
