"""What happens just now to a starter that turns: whether it lets go, or an engine takes over.

The course of things (`course`) is sure of an end only once enough speaks against the starter, a quarter of a second
later. But as it lets go its sound falls as it never did between two compressions: these make all bands swell and fade
in one way, over and over, while a motor without current falls by itself, though the flywheel presses air on as loudly
as before. And as an engine takes over the trained layers say so of the latest moments, while low sounds come up more
than the starter's own do.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.around import rank
from assistant.cranking.layers import ELSE, ENGINE, STARTER, Odds
from assistant.cranking.levels import Levels

FALLEN, FALLEN_DB = 2.0, 7.0
"""How much further it must have fallen than ever before, in spreads of what it does while it turns; or how far below
its usual level and below its least together, whatever it did before. Source: of 180 bursts of the maker that the ear
was built with and of the second, in view, four are told as over while they turn and five as their engine takes over; of
134 no-starts among them 133 are told within 0.3 s. By levels alone one of the 180 is told as over, and 127 in time."""

_UNKNOWN_DB2, _MOST_FALL_DB = 20.0, 12.0
"""Spread that each band is given besides what was heard of it, dB squared, shared among moments of 0.16 s: of a few it
is not known how they differ; how far a band may be thought to fall."""

_ENGINE, _SWELLS_DB, _LATEST, _LATE = -4.0, 0.37, 3.4, -1.7
"""Whether an engine runs: what stands before all, and weights of how much more low sounds came up than the starter's
own, and of its log-odds in the latest step and in the mean of four. A logistic fit (scikit-learn) on the same bursts,
41 of them of engines that ran; where it stands was chosen there, by how often it is called in the others."""

_RISES_DB = 1.0
"""How far low sounds come up at least, as in `judge`: without it two and a half times as many no-starts there have it
called."""

_GAIN, _USUAL_GAIN = 1.0, 2.0
"""Weight of how far its log-odds came up from what they were while the starter turned, and how far they come up where
that says nothing: what sounds a little like an engine, or unlike one, all the time is the shop. Source: of 206 made-up
bursts of three makers (seeds 61301 and 61302), in view, the glances with it call 84 of 110 engines within half a second
in place of 75, in 4 of 96 no-starts (2), too early in 10 engines (9); weights of 0.7 to 1.6 do as well."""

_SPUN_UP, _BESIDE = 25, 12  # levels of spinning up, and those next to the beginning, that say nothing
_BEFORE, _LONG, _USUAL = 200, 500, 375  # levels before it, and of it, that are looked at: 1.6, 4 and 3 s
_PULSE, _MOMENT = 20, 10  # levels that are now: 0.16 s for what pulses, 0.08 s for low sounds
_FULL_RISE_DB, _MOST_DB = 8.0, 12.0
_LOW = 4  # bands below some 400 Hz
_STEPS = 4  # of the odds: 0.32 s


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """`loud_db`: how loud it is, in the bands that the starter raised, against its usual level; `below_db`: against
    the least that it fell to before; `fall`: how much further it fell, towards what was there before, than ever while
    it turned, in spreads; `low_db`: how far low sounds came up. `latest`, `late`: log-odds of an engine against all
    else, in the latest step and in the mean of the last four."""

    loud_db: float
    below_db: float
    fall: float
    low_db: float
    latest: float
    late: float

    @property
    def fallen(self) -> bool:
        """Whether the starter seems to have let go."""
        return self.fall >= FALLEN or self.loud_db + self.below_db <= -FALLEN_DB

    def runs(self, usual: float | None = None) -> bool:
        """Whether an engine seems to have taken over. `usual`: `latest` while the starter turned, if known."""
        sure = _ENGINE + _SWELLS_DB * (self.low_db - self.loud_db) + _LATEST * self.latest + _LATE * self.late
        gain = 0.0 if usual is None else _GAIN * (self.latest - usual - _USUAL_GAIN)
        return sure + gain > 0 and self.low_db >= _RISES_DB


def moment_of(levels: Levels, odds: Odds, start: int) -> Moment | None:
    """The latest moment of a starter that turns since level `start`; None where too little was heard of it yet.

    `levels`: of all that was heard. `odds`: of its latest steps, four or more.
    """
    turned = levels[max(start, len(levels) - _LONG) + _SPUN_UP :]
    if start < 0 or len(turned) < 3 * _PULSE or len(odds) < _STEPS:
        return None
    usual = np.median(turned[-_USUAL:-_PULSE], axis=0).astype(np.float64)
    before = rank(levels[max(0, start - _BEFORE - _BESIDE) : max(1, start - _BESIDE)], 0.6)
    rise = np.maximum(usual - before, 1.0)
    weights = np.clip(rise / _FULL_RISE_DB, 0.02, 1.0) ** 2
    above = np.clip(np.maximum(turned - before, -6.0) - rise, -25.0, 15.0)
    total = np.concatenate([np.zeros((1, above.shape[1])), np.cumsum(above, axis=0)])
    means = (total[_PULSE:] - total[:-_PULSE]) / _PULSE
    low = levels[-_MOMENT:, :_LOW].mean(axis=0) - usual[:_LOW]
    said = odds[-_STEPS:] - odds[-_STEPS:, ELSE, None]
    latest, late = (one[ENGINE] - max(0.0, one[STARTER]) for one in (said[-1], said.mean(axis=0)))
    loud = means @ (weights / weights.sum())
    return Moment(
        loud_db=float(loud[-1]),
        below_db=float(loud[-1] - loud[:-_PULSE].min()),
        fall=_fall(means[-1], means[:-_PULSE], rise),
        low_db=float(np.clip(low, -_MOST_DB, _MOST_DB).mean()),
        latest=float(latest),
        late=float(late),
    )


def _fall(now: NDArray[np.float64], usual: NDArray[np.float64], rise: NDArray[np.float64]) -> float:
    """How much further a moment fell than any before, as seen where it falls most plainly, in spreads.

    `now`: of each band, dB, (BANDS,). `usual`: of moments before, (n, BANDS). `rise`: how far the starter raised each,
    by which it falls. Weighed as a matched filter in noise of known spread: what swells with each compression, together
    in many bands, counts for little, and so does a band that is never still.
    """
    mean, moments = usual.mean(axis=0), len(usual) / _PULSE
    spread = np.cov(usual.T) + np.eye(len(now)) * _UNKNOWN_DB2 / moments
    falls = -np.minimum(rise, _MOST_FALL_DB)
    seen = np.linalg.solve(spread, falls)
    seen /= np.sqrt(seen @ falls)
    return float((now - mean) @ seen - ((usual - mean) @ seen).max())
