"""What a stretch most likely was, judged again over its whole time, and what that makes of a burst."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.around import risen
from assistant.cranking.case import Case
from assistant.cranking.description import RISE, WOBBLE, described, quickest_db
from assistant.cranking.kinds import KINDS, KindLayers
from assistant.cranking.layers import Odds
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, Levels
from assistant.cranking.model import Burst, Kind
from assistant.cranking.rate import Pulses
from assistant.cranking.turning import NONE, steady_turn

NOTHING = 0.5
"""How likely something else must be for a stretch that the two views took for a starter to be none. Source: of made-up
stretches not learnt from 25 of 118 that were none fall to it, and 5 of 328 that were starters."""

WHINES, CHATTERS, ALONE, THOUGH_CLIPPED = 0.4, 0.75, 0.6, 0.85
"""How likely a whine and a chatter must be to be told as such; where the two views took the stretch for nothing; where
it is clipped. Source: of the same 1 of 79 usual bursts falls to the first two, of a maker not learnt
from, in view while they were chosen, none of 67; the others are judgement."""

BELIEVED, YET_WHINES = 0.75, 0.55
"""Where the two views are so sure of a starter that turns an engine, and it may well be a usual one, a whine must be
likelier than usual. Source: at most 2 of 16 free spins at 9 dB are lost by it."""

FULL_SCALE, CLIPPED = 32_700, 0.05
"""From so much on a sample is clipped; share of clipped samples from which a stretch has lost its pulses, and is no
whine against two views that are sure. Source: of a made-up usual burst, 4, 5 and 6 times too loud, 0.23, 0.32 and 0.40
are clipped, and a whine is likely with 0.36, 0.48 and 0.55; with the loudest at full scale 0.002 and 0.05."""

EASY = 0.7
"""How likely it must be that the starter had little to do, for a burst that is likeliest a light engine to be told as
one: with one weak cylinder a usual engine comes near. Source: of the same 28 of 80 are told, and 1 of 79 usual bursts;
of that maker 20 of 46 and 1 of 67."""

PLAIN_RHYTHM, EVEN_BLOWS, LEARNT_LIGHT_S = 0.15, 0.75, 10.5
"""How clear a rhythm must be to speak against what the nets say; strength of pulses from which a flywheel keeps them
even, as nothing does the blows of a solenoid; the longest light engine that the nets learnt from, s. Source: of a maker
not learnt from, in view while they were chosen, 12 of 35 light engines taken for a whine have such a rhythm, as slow as
a crankshaft turns, and none of 50 free spins; of 17 chatters none is so even, of 290 of practice 2 %."""
TURNS_FROM = 2.5
"""How far a slow and even swell must stand out for something to turn as slowly as a crankshaft (`steady_turn`). Source:
of 40 free spins by the first maker's formula at 9 and 18 dB, in view, none comes to 2.4; of 36 light engines of
practice 21 reach it. A chatter may as well, since blows swell too. Where neither view heard a starter its edges are
not known, and a noise that began with it swells as well."""
SPUN_HZ = 6.0
"""How often a second a starter turns a light engine at most: 360 rpm. What turns nothing has no rhythm as slow as that;
what is quicker is of compressions. Source: of that maker's in view the quickest rhythm once a turn is 5.8 a second."""
LINES_STILL = 0.35
"""Wobble of its lines below which a quick rhythm is of no compressions, which slow the crankshaft each time. Source: of
practice's stretches with such a rhythm 13 % of 284 usual starters and 26 % of 68 light engines stand as still."""

BLOWS_BEFORE, WIDE, BLOWS_DROWNED_DB = 0.8, 500, 12.0
"""Share of the quickness of its blows from which blows were there before, a tool's; levels looked at: 4 s; how far it
may stand above them at most, for what is so much softer explains no blows. Source: judgement."""

ODD_RISE_DB, ODD_LEAST = 4.0, 60
"""How clearly a stretch begins, and its levels, that may be a starter that turns nothing."""

LEAST_BEFORE = 20  # levels before a stretch without which the layers know nothing: they learnt from none such


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """How likely each kind is, 0 to 1, together 1. `believed`: how likely a starter is by the two views, None where
    they took the stretch for nothing. `caught`: by them an engine ran after it. `blows_before`: how quick blows were
    there before, as a share of its own; `rise_db`: how far it stands above what was there before. `clipped`: whether
    the microphone could not tell how loud it was. `pulses`: how often it swells and fades, what did so before played
    down; `wobble`: how much its lines do; `seconds`: how long it lasted; `turn`: how far a slow and steady swell stands
    out of it.
    """

    shares: Mapping[Kind, float]
    believed: float | None = 1.0
    caught: bool = False
    blows_before: float = 0.0
    rise_db: float = 0.0
    clipped: bool = False
    pulses: Pulses | None = None
    wobble: float = 1.0
    seconds: float = 0.0
    turn: float = NONE

    @property
    def kind(self) -> Kind:
        """The likeliest; where something turns as slowly as a crankshaft a light engine in place of a whine."""
        likeliest = max(self.shares, key=lambda one: self.shares[one])
        return Kind.LIGHT if likeliest is Kind.WHINE and self.turning else likeliest

    @property
    def nothing(self) -> bool:
        """Whether it was no starter, whatever the two views say."""
        return self.shares[Kind.OTHER] >= NOTHING

    @property
    def odd(self) -> bool:
        """Whether it was a starter, and the engine stood: never where the two views heard the engine run. Source: of 67
        made-up whines, chatters and light engines told as odd, in view, none; of 206 engines that ran two."""
        tools = self.blows_before >= BLOWS_BEFORE and self.rise_db < BLOWS_DROWNED_DB
        even = self.pulses is not None and self.pulses.strength >= EVEN_BLOWS
        whines, chatters = self.kind is Kind.WHINE, self.kind is Kind.CHATTER
        may_be = whines or (chatters and not tools and not even)
        surely_turns = self.believed is not None and self.believed >= BELIEVED
        likelier = THOUGH_CLIPPED if self.clipped else YET_WHINES if self.easy < EASY else WHINES
        usual = CHATTERS if chatters else likelier if surely_turns else WHINES
        return may_be and not self.caught and self.shares[self.kind] >= (ALONE if self.believed is None else usual)

    @property
    def easy(self) -> float:
        """How likely the starter had little to do: an engine without compression, or none."""
        return self.shares[Kind.LIGHT] + self.shares[Kind.WHINE]

    @property
    def turning(self) -> bool:
        """Whether something turned as slowly as a crankshaft, whatever the nets say: it swells as slowly and evenly, or
        its rhythm is plain and as slow."""
        return self.turn >= TURNS_FROM or self._slow

    @property
    def _slow(self) -> bool:
        """Whether its rhythm, by which its speed would be told, is plain and as slow as a crankshaft."""
        return self.pulses is not None and self.pulses.clear >= PLAIN_RHYTHM and self.pulses.hz <= SPUN_HZ

    @property
    def light(self) -> bool:
        """Whether the engine turned light and even. Where a rhythm is plain that is quicker than its crankshaft turns
        while its lines wobble, or lasts longer than any light engine that was learnt from, it compresses."""
        if self.easy < EASY or self.kind is not Kind.LIGHT:
            return False
        plain = self.pulses is not None and self.pulses.clear >= PLAIN_RHYTHM
        still = self._slow or self.wobble < LINES_STILL
        return not plain or (still and self.seconds <= LEARNT_LIGHT_S)

    @property
    def sure(self) -> float:
        """How likely it was a starter at all: no likelier than the two views have it, where they heard one."""
        return self.shares[self.kind] if self.believed is None else min(self.believed, 1 - self.shares[Kind.OTHER])

    def over(self, whole: Likely, believed: float, *, most: bool) -> Likely:
        """What it is over all of the raised sound that began with it, which by itself is `whole`. `believed`: how sure
        the two views are of a starter; `most`: whether it is most of that, whose rhythm is then its own."""
        if not most:
            return replace(whole, believed=believed)
        return replace(whole, believed=believed, pulses=self.pulses, turn=self.turn)

    def told(self, burst: Burst) -> Burst:
        """The burst as it is told: of a light engine no speed, since no pulses tell it; and no surer than that it was a
        starter at all."""
        burst = replace(burst, confidence=min(burst.confidence, self.sure))
        if not self.light or burst.caught:
            return burst
        return replace(burst, kind=Kind.LIGHT, pulse_hz=None, rpm=None, uneven=None)


TURNS = Likely(shares={kind: float(kind is Kind.CRANK) for kind in KINDS})


def likely_of(
    layers: KindLayers | None,
    levels: Levels,
    pcm: NDArray[np.int16],
    odds: Odds,
    span: tuple[int, int],
    *,
    case: Case | None = None,
    expected: float = 0.0,
) -> Likely:
    """What the stretch between the levels of `span` was; a starter that turns an engine where there are no layers, or
    nothing was heard before. `case`: what the two views made of it, their confidence with `expected` in it.
    """
    if layers is None or span[0] < LEAST_BEFORE:
        return TURNS
    numbers = described(levels, pcm, odds, span, None if case is None else case.believed - expected)
    shares = dict(zip(KINDS, layers(numbers).tolist(), strict=True))
    start, stop = span
    weights = risen(levels, start, stop)
    return Likely(
        shares=shares,
        believed=None if case is None else case.confidence,
        caught=case is not None and bool(case.caught),
        blows_before=quickest_db(levels[max(0, start - WIDE) : start]) / max(1.0, quickest_db(levels[start:stop])),
        rise_db=float(numbers[RISE]),
        pulses=None if case is None else case.pulses,
        turn=NONE if case is None else steady_turn(levels, start, stop, WIDE, weights / weights.sum()),
        wobble=float(numbers[WOBBLE]),
        seconds=(stop - start) / LEVEL_RATE_HZ,
        clipped=bool((np.abs(pcm[start * HOP : stop * HOP].astype(np.int32)) >= FULL_SCALE).mean() >= CLIPPED),
    )
