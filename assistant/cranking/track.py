"""The odds of what goes on, step by step, on a stream: a step is judged again as more of what follows it is heard."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.layers import PARTS, Odds, StarterLayers
from assistant.cranking.levels import BANDS, HOP, Levels
from assistant.cranking.tail import Tail
from assistant.cranking.traits import LONG, LONG_HOP, STEP, Moments, moments_of, traits_around

KEPT = 720
"""Steps looked back on: 58 s."""

AGAIN, ALL_AGAIN = 52, LONG + 50
"""Steps judged again at each look: 4.2 s, for as far do the traits of a step look ahead but for what is usual over many
seconds; and steps judged again each ALL_EACH steps, when that may have changed."""

ALL_EACH = 24

_EDGE = 12  # steps at the end whose pulses and beats hang on what follows: 1 s
_FORGET = 20 * LONG_HOP  # steps forgotten at once; a multiple of LONG_HOP, so that the same steps stand for the usual


class OddsTrack:
    """Feed it levels and their sound; `look` brings the odds up to date. Steps count from the oldest kept."""

    def __init__(self, layers: StarterLayers) -> None:
        self._layers = layers
        self._levels = Tail(np.zeros((0, BANDS), dtype=np.float32), 2 * KEPT * STEP)
        self._pcm = Tail(np.zeros(0, dtype=np.int16), 2 * KEPT * STEP * HOP)
        self._moments: Moments = moments_of(np.zeros((0, BANDS), np.float32), np.zeros(0, np.int16))
        self.odds: Odds = np.zeros((0, PARTS), dtype=np.float32)
        self._all_at = 0  # steps when all that may change was judged again
        self.first = 0
        """Number of the oldest level kept, in levels of the stream."""

    def feed(self, levels: Levels, pcm: NDArray[np.int16]) -> None:
        """More of the stream. `pcm`: int16, mono, (frames,), 16 000 Hz."""
        self._levels.add(levels)
        self._pcm.add(pcm)
        if len(self._levels.rows) > (KEPT + _FORGET) * STEP and len(self.odds) > _FORGET + ALL_AGAIN:
            self._levels.forget(_FORGET * STEP)
            self._pcm.forget(_FORGET * STEP * HOP)
            self._moments, self.odds = self._moments.part(_FORGET), self.odds[_FORGET:]
            self.first += _FORGET * STEP
            self._all_at -= _FORGET

    @property
    def levels(self) -> Levels:
        """The levels kept."""
        return self._levels.rows

    @property
    def pcm(self) -> NDArray[np.int16]:
        """Their sound."""
        return self._pcm.rows

    @property
    def now(self) -> int:
        """Number of the level that comes next, in levels of the stream."""
        return self.first + len(self._levels.rows)

    def look(self) -> None:
        """Bring the odds up to date."""
        steps = len(self.levels) // STEP
        settled = max(0, len(self._moments) - _EDGE)
        low = max(0, settled - _EDGE)
        sound = self.pcm[low * STEP * HOP : steps * STEP * HOP]
        new = moments_of(self.levels[low * STEP : steps * STEP], sound, settled - low)
        self._moments = self._moments.part(0, settled).then(new)
        due = steps >= self._all_at + ALL_EACH
        self._all_at = steps if due else self._all_at
        begin = max(0, len(self.odds) - (ALL_AGAIN if due else AGAIN))
        around = max(0, begin - LONG - LONG_HOP)
        around -= around % LONG_HOP
        traits = traits_around(self._moments.part(around), begin - around, heard=self.first // STEP + around)
        self.odds = np.concatenate([self.odds[:begin], self._layers(traits)])
