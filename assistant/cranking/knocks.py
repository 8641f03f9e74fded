"""Single knocks: a starter that only clicks."""

from __future__ import annotations

import numpy as np

from assistant.cranking.levels import Levels

_LOUD, _OVER_DB = 0.95, 10.0
"""Share of the sound around it that is less loud, and how far above that a knock stands: a lively shop is full of
knocks, and only one far above the loudest of them is told of. Source: of 78 clicks by the third maker
(`bench crank --odd`) 18, 9 and 3 dB above its shops 30 of 30, 22 of 24 and 11 of 24 stand out so, and six knocks in
16 minutes of its mixed sounds; of those that stood out 8 dB in a calm sound 12, 10 and 8, and 25. Of 60 clicks of
practice 45 and 16."""

_LONGEST = 50  # levels: 0.4 s, with the room's echo
_APART = 190  # levels: 1.5 s without another one; a rattle is no knock
_EACH, _WITHIN = 60, 500  # levels between two looks at a stream, and those looked at: 4 s
_OTHER = 62  # levels: half a second apart it is another knock
_TOGETHER = 15  # levels: blows that follow each other within 0.12 s are one


def find_knocks(levels: Levels, *, ended: bool = True) -> list[tuple[int, int]]:
    """First and last level of each knock that stands alone, far above what is around it.

    `ended`: nothing follows that could spoil it; else one so near the beginning or the end that something may stand
    beside it is left out.
    """
    if len(levels) < _APART:
        return []
    loud = levels.mean(axis=1, dtype=np.float64)
    limit = float(np.quantile(loud, _LOUD)) + _OVER_DB
    turns = np.flatnonzero(np.diff(np.concatenate([[False], loud > limit, [False]]).astype(np.int8)))
    runs = list[tuple[int, int]]()
    for first, last in zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True):
        begin = runs.pop()[0] if runs and first - runs[-1][1] <= _TOGETHER else first
        runs.append((begin, last))
    return [
        (first, last)
        for first, last in runs
        if last - first <= _LONGEST
        and (ended or (first >= _APART and last < len(levels) - _APART))
        and all(last + _APART < other or after + _APART < first for other, after in runs if other != first)
    ]


class KnockWatch:
    """Knocks in a stream, each told once. Times in levels of the stream."""

    def __init__(self) -> None:
        self._latest = self._next = 0

    def look(self, levels: Levels, now: int, told_to: int) -> list[int]:
        """Where each new one began. `levels`: the latest, up to `now`; what began by `told_to` was told of."""
        if now < self._next:
            return []
        self._next = now + _EACH
        first = now - min(len(levels), _WITHIN)
        found = [first + begin for begin, _ in find_knocks(levels[max(0, len(levels) - _WITHIN) :], ended=False)]
        new = [at for at in found if at > max(self._latest + _OTHER, told_to)]
        self._latest = max([self._latest, *new])
        return new
