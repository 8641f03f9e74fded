"""Two knocks on the microphone: a stop for whoever has no word left and no key in reach.

A finger on a microphone's housing is dull, nearly as loud as the microphone can tell, there at once and gone at once.
What else is as loud in a shop either rings (a hammer), goes on (a tool, a starter, a voice), or comes in rows of more
than two. So exactly two such thumps count, with calm before, between and after them. Pure; takes sound as it comes.
Source of all numbers: judgement, on made-up sounds; nobody has knocked on a real microphone for it.
"""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

Pcm = NDArray[np.int16]

HOP = 128
"""Samples looked at together: 8 ms."""

HOP_S = HOP / 16_000
LOUD_DBFS = -4.0
"""Peak of a thump, at least: softer ones are anything."""

RISE_DB = 16.0
"""So much louder than the tenth of a second before; and so much softer again when it is over."""

BEFORE, LASTS, AFTER = 10, 12, 3
"""Hops: calm before a thump, how long one lasts at most, and calm after that."""

DULL_HZ, DULL = 500.0, 0.75
"""That share of a thump's power lies below so many hertz."""

APART_S = (0.13, 0.8)
"""From one knock to the next."""

SERIES_S = 1.5
"""Three loud ones within so long are work, and no sign."""

_QUIET_DB = -100.0
_DULL_BINS = int(DULL_HZ * 4 * HOP / 16_000) + 1


class KnockEar:
    """Give it all sound; it tells when somebody has knocked twice."""

    def __init__(self) -> None:
        self._loose: Pcm = np.zeros(0, np.int16)
        self._levels: deque[float] = deque(maxlen=BEFORE + LASTS + AFTER)
        self._peaks: deque[float] = deque(maxlen=BEFORE + LASTS + AFTER)
        self._sound: deque[Pcm] = deque(maxlen=BEFORE + LASTS + AFTER)
        self._thumps: list[float] = []  # when each began, seconds of sound
        self._spoiled_s = -SERIES_S  # when something as loud was heard last that was no thump
        self._thump_ends_s = 0.0
        self._hops = 0

    def feed(self, pcm: Pcm) -> bool:
        """Whether the second of two knocks has just ended in this sound: int16, mono, (frames,), 16 000 Hz."""
        sound = np.concatenate([self._loose, pcm])
        whole = len(sound) // HOP * HOP
        self._loose = sound[whole:]
        return any([self._hop(hop) for hop in sound[:whole].reshape(-1, HOP)])

    def _hop(self, hop: Pcm) -> bool:
        loud = np.abs(hop.astype(np.float64)) / 32_768
        self._levels.append(_db(float(np.sqrt((loud**2).mean()))))
        self._peaks.append(_db(float(loud.max())))
        self._sound.append(hop)
        self._hops += 1
        if len(self._levels) < BEFORE + LASTS + AFTER:
            return False
        at_s = (self._hops - LASTS - AFTER) * HOP_S
        self._thumps = [thump for thump in self._thumps if at_s - thump < SERIES_S]
        if self._peaks[BEFORE] >= LOUD_DBFS and at_s >= self._thump_ends_s:
            if self._is_thump():
                self._thumps.append(at_s)
                if len(self._thumps) > 2:
                    self._spoiled_s = at_s
                self._thump_ends_s = at_s + LASTS * HOP_S
            else:
                self._spoiled_s = at_s
        return self._told(at_s)

    def _is_thump(self) -> bool:
        levels = list(self._levels)
        height = max(levels[BEFORE : BEFORE + 3])
        calm = height - RISE_DB
        if max(levels[: BEFORE - 1]) > calm or max(levels[BEFORE + LASTS :]) > calm:
            return False
        sound = np.concatenate(list(self._sound)[BEFORE - 1 : BEFORE + 3]).astype(np.float64)
        power = np.abs(np.fft.rfft(sound * np.hanning(len(sound)))) ** 2
        return float(power[:_DULL_BINS].sum()) >= DULL * float(power.sum())

    def _told(self, at_s: float) -> bool:
        """Whether what was heard so far is two knocks, and no third follows at their pace."""
        if len(self._thumps) != 2 or at_s - self._spoiled_s < SERIES_S:
            return False
        first_s, second_s = self._thumps
        apart_s = second_s - first_s
        if not APART_S[0] <= apart_s <= APART_S[1] or at_s - second_s < apart_s + LASTS * HOP_S:
            return False
        self._thumps = []
        return True


def _db(share: float) -> float:
    return 20 * float(np.log10(share)) if share > 0 else _QUIET_DB
