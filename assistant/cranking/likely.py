"""What a stretch most likely was, by the layers of `kinds`, and what that makes of a burst."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.kinds import CLEAR, KindLayers, described
from assistant.cranking.layers import ELSE, STARTER, Odds
from assistant.cranking.levels import Levels
from assistant.cranking.model import Burst, Kind
from assistant.cranking.traits import STEP

STANDS, STANDS_SURELY, LIGHT = 0.5, 0.6, 0.7
"""How likely it must be that the engine stood, also where the layers say that it turned; and that it turned lightly.
Source: judgement."""

LEAST_BEFORE = 20  # levels before a stretch without which the layers know nothing: they learnt from none such

PULSES_CLEAR = 0.15
"""A pulse rate that stands out more is one of compressions. Source: of made-up starters that turn an engine half reach
0.1, of those that turn one without compression a quarter 0.18."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """What a stretch most likely was, and how likely, 0 to 1. `clear`: how far its pulse rate stands out."""

    kind: Kind
    share: float
    clear: float = 0.0

    @property
    def stands(self) -> bool:
        """Whether it was a starter and the engine stood."""
        return self.kind in (Kind.WHINE, Kind.CHATTER) and self.share >= STANDS

    @property
    def stands_surely(self) -> bool:
        """Whether it was one even where the layers are sure that an engine was turned."""
        return self.stands and self.share >= STANDS_SURELY

    def told(self, burst: Burst) -> Burst:
        """The burst, light and even where it sounded so: then no pulses tell how fast it turned."""
        if self.kind is not Kind.LIGHT or self.share < LIGHT or self.clear > PULSES_CLEAR or burst.caught:
            return burst
        return replace(burst, kind=Kind.LIGHT, pulse_hz=None, rpm=None, uneven=None)


def likely_kinds(
    layers: KindLayers | None, levels: Levels, pcm: NDArray[np.int16], odds: Odds, span: tuple[int, int]
) -> Likely:
    """What the stretch between the levels of `span` was; a starter that turns an engine where there are
    no layers, or nothing was heard before."""
    start, stop = span
    if layers is None or start < LEAST_BEFORE:
        return Likely(kind=Kind.CRANK, share=1.0)
    within = odds[start // STEP : max(start // STEP + 1, stop // STEP)]
    sure = float(np.mean(within[:, STARTER] - within[:, ELSE])) if len(within) else 0.0
    numbers = described(levels, pcm, start, stop, sure)
    shares = layers(numbers)
    kind = max(shares, key=lambda one: shares[one])
    return Likely(kind=kind, share=shares[kind], clear=float(numbers[CLEAR]))
