"""What a stretch most likely was, by the layers of `kinds`, and what that makes of a burst."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.kinds import CLEAR, RISE, KindLayers, described, quickest_db
from assistant.cranking.layers import ELSE, STARTER, Odds
from assistant.cranking.levels import Levels
from assistant.cranking.model import Burst, Kind
from assistant.cranking.traits import STEP

STANDS = 0.7
"""How likely it must be that the engine stood where the layers heard no starter. Source: of four whines told
in 160 s of mixed sounds none was surer than 0.65, by layers that had learnt from less."""

EASY, LIGHT, CHATTERS = 0.6, 0.7, 0.65
"""How likely a whine or a light engine must be for each of the two, and a chatter, where the layers hold it for an
engine that turns as usual: the first two sound alike, in both the starter has too little to do. Source: of 5,400
made-up stretches not learnt from they take 1.6, 3 and 0.3 % of usual bursts, 1.8, 6.4 and 0.2 % the limits of before
with layers that had learnt from less, and 71, 33 and 72 % of what they mean in place of 55, 33 and 45."""

LIGHT_RISE_DB = 8.0
"""What stands out less may hide its pulses in the noise. Source: judgement."""

BLOWS_BEFORE, WIDE, BLOWS_DROWNED_DB = 0.8, 500, 12.0
"""Share of the quickness of its blows from which blows were there before, a tool's; levels looked at: 4 s; how far it
may stand above them at most, for what is so much softer explains no blows. Source: judgement."""

LEAST_BEFORE = 20  # levels before a stretch without which the layers know nothing: they learnt from none such

PULSES_CLEAR = 0.3
"""A pulse rate that stands out more is one of compressions; a ring out of true pulses, too. Source: of made-up starters
that turn an engine a quarter reaches 0.37, of those that turn one without compression a tenth 0.31."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """What a stretch most likely was, and how likely, 0 to 1.

    `easy`: how likely a whine or a light engine. `clear`: how far its pulse rate stands out. `rise_db`: how far it
    stands above what was there before. `blows_before`: how quick blows were there before, as a share of its own.
    """

    kind: Kind
    share: float
    easy: float = 0.0
    clear: float = 0.0
    rise_db: float = 0.0
    blows_before: float = 0.0

    @property
    def stands(self) -> bool:
        """Whether it was a starter and the engine stood, though the layers heard none."""
        return self._may_stand and self.share >= STANDS

    @property
    def stands_surely(self) -> bool:
        """Whether it was one where the layers are sure that an engine was turned."""
        return self._may_stand and (self.easy >= EASY if self.kind is Kind.WHINE else self.share >= CHATTERS)

    @property
    def _may_stand(self) -> bool:
        tools = self.blows_before >= BLOWS_BEFORE and self.rise_db < BLOWS_DROWNED_DB
        return self.kind is Kind.WHINE or (self.kind is Kind.CHATTER and not tools)

    def told(self, burst: Burst) -> Burst:
        """The burst, light and even where it sounded so: then no pulses tell how fast it turned."""
        plain = self.easy >= LIGHT and self.clear <= PULSES_CLEAR and self.rise_db >= LIGHT_RISE_DB
        if self.kind is not Kind.LIGHT or not plain or burst.caught:
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
    easy = shares[Kind.WHINE] + shares[Kind.LIGHT]
    blows = quickest_db(levels[max(0, start - WIDE) : start]) if kind is Kind.CHATTER else 0.0
    return Likely(
        kind=kind,
        share=shares[kind],
        easy=easy,
        clear=float(numbers[CLEAR]),
        rise_db=float(numbers[RISE]),
        blows_before=blows / max(1.0, quickest_db(levels[start:stop])),
    )
