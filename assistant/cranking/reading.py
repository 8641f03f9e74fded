"""One reading of a stretch of raised sound, and what every reading looks at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.firing import Beat, find_beat
from assistant.cranking.levels import HOP, Levels
from assistant.cranking.rate import Curve, Pulses

BEAT = 0.12
"""Strength of the quick beat above which an engine runs; starters stay below 0.1."""

MOST_BY_ENGINE = 0.33
"""A running engine adds no more than this to a score."""

QUICK_HZ = 13.0
"""A beat below this is no engine's or tool's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A stretch, measured. `score`: above 0 it is taken for cranking. Times in levels (8 ms).

    `votes`: what spoke for it and against it. `rest_stop`: where the engine stopped that ran after the starter;
    `ran`: how surely it was one, 0 to 1. `cut`: something loud went on that is neither starter nor engine.
    """

    start: int
    stop: int
    pulses: Pulses
    weights: Curve
    score: float
    rise_db: float
    fall_db: float
    votes: Mapping[str, float]
    rest_stop: int | None = None
    ran: float = 0.0
    cut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """What a judgement looks at: levels and the sound they come from, the rhythm that was there before, cylinders."""

    levels: Levels
    pcm: NDArray[np.int16]
    known: Curve | None
    cylinders: int | None
    _beats: dict[tuple[int, int], Beat | None] = field(default_factory=dict, init=False, repr=False)

    def beat(self, start: int, stop: int) -> Beat | None:
        """The quick beat between two levels."""
        if (start, stop) not in self._beats:
            self._beats[start, stop] = find_beat(self.pcm[start * HOP : stop * HOP])
        return self._beats[start, stop]

    def was_there(self, start: int, beat: Beat | None) -> bool:
        """Whether the beat is another engine's, or a tool's, that ran before the starter turned at `start`."""
        before = self.beat(max(0, start - 250), max(0, start - 12))
        if before is None or beat is None or before.strength < BEAT:
            return False
        return abs(float(np.log(before.hz / beat.hz))) < 0.15
