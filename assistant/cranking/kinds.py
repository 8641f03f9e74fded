"""What a stretch of raised sound was: a starter that turns the engine, one that cannot, or something else.

Small nets over plain measures, apart from the layers that find starters: those know the engine's swell and fade, these
ask whether there is one at all, or only the steady tone of a motor that turns nothing, or the blows of a solenoid with
silence between them.
"""

from __future__ import annotations

import math
from dataclasses import astuple, dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.around import colour_db
from assistant.cranking.firing import find_beat
from assistant.cranking.levels import FLOOR_DB, HOP, LEVEL_RATE_HZ, Levels
from assistant.cranking.model import Kind
from assistant.cranking.rate import find_pulses
from assistant.cranking.traits import STEP, moments_of

WIDTH = 104
"""Numbers that a stretch is described by."""

CLEAR, RISE = 8, 13
"""Which of them is how far the pulse rate stands out, and the stretch itself."""

KINDS = (Kind.CRANK, Kind.LIGHT, Kind.WHINE, Kind.CHATTER, Kind.CLUNK, Kind.OTHER)
"""In the order of the layers."""

MOST_SPREADS = 5.0
"""What lies further from the mean says no more."""

_BEFORE, _MARGIN = (
    190,
    6,
)  # levels before a stretch that say what was there without it: 1.5 s; levels left out beside it
_LEAST = 50  # levels in which pulses and tones are looked for: 0.4 s
_QUICK = 2  # levels over which attacks are looked at: 16 ms
_TONE_FRAMES = 2048
_TONE_BINS = slice(32, 512)  # 250 to 4000 Hz
_LOW = 4  # bands below some 400 Hz
_NEAR_DB = 4.0  # above what was there before: silence


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """Plain numbers of a stretch.

    `long`: logarithm of its seconds. `tone`: how far the plainest line of its spectrum stands above the usual one, in
    powers of ten; `lines`: share of its power in the few strongest. `low`: how far low sounds rose more than the
    others, dB. `dips`: how far it falls from its usual level at its quietest, dB. `attack`: how quick its quickest
    rises are, dB in 16 ms; `skew`: how much quicker than its falls. `strength`, `clear`, `rate`: of the pulses, and the
    logarithm of how many a second. `beat`: strength of a quick one. `gaps`: share of it that is as quiet as what was
    before. `colour`: how its colour wanders, dB. `rise`: how far it stands above what was before, dB.
    """

    long: float
    tone: float
    lines: float
    low: float
    dips: float
    attack: float
    skew: float
    strength: float
    clear: float
    rate: float
    beat: float
    gaps: float
    colour: float
    rise: float


def measures_of(levels: Levels, pcm: NDArray[np.int16], start: int, stop: int) -> Measures:
    """What the stretch from level `start` to `stop` is like. `pcm`: the sound of `levels`."""
    first, last = start + min(_MARGIN, (stop - start) // 8), stop - min(_MARGIN, (stop - start) // 8)
    inside = levels[first:last].astype(np.float64)
    before = levels[max(0, start - _BEFORE) : max(0, start - _MARGIN)]
    usual = np.median(before, axis=0) if len(before) >= _MARGIN else np.full(levels.shape[1], FLOOR_DB + 20)
    rise = np.median(inside, axis=0) - usual
    weights = np.clip(np.quantile(inside, 0.8, axis=0) - usual, 1.0, 12.0) ** 2
    weights /= weights.sum()
    height = inside @ weights
    floor = float(usual @ weights)
    quick = height[_QUICK:] - height[:-_QUICK] if len(height) > _QUICK else np.zeros(1)
    some = max(1, len(quick) // 25)
    ordered = np.sort(quick)
    attack, fall = float(ordered[-some:].mean()), float(-ordered[:some].mean())
    low, high = np.quantile(height, (0.05, 0.6))
    sound = pcm[first * HOP : last * HOP]
    tone, lines = _tone(sound, pcm[max(0, start - _BEFORE) * HOP : max(0, start - _MARGIN) * HOP])
    pulses = find_pulses(levels[first:last], weights) if last - first >= _LEAST else None
    beat = find_beat(sound)
    return Measures(
        long=math.log(max(1, stop - start) / LEVEL_RATE_HZ),
        tone=tone,
        lines=lines,
        low=float(np.clip(rise[:_LOW].mean() - rise.mean(), -15, 15)),
        dips=float(min(25.0, high - low)),
        attack=min(25.0, attack),
        skew=float(np.clip(attack - fall, -10, 15)),
        strength=0.0 if pulses is None else pulses.strength,
        clear=0.0 if pulses is None else pulses.clear,
        rate=math.log(4.0 if pulses is None else pulses.hz),
        beat=0.0 if beat is None else beat.strength,
        gaps=float(np.mean(height < floor + _NEAR_DB)),
        colour=float(colour_db(levels[first:last])) if last - first >= _LEAST else 0.0,
        rise=float(np.clip(np.sort(rise)[len(rise) // 2 :].mean(), -5, 30)),
    )


def quickest_db(levels: Levels) -> float:
    """How quick its quickest rises are, mean of all bands, dB in 16 ms."""
    height = levels.mean(axis=1, dtype=np.float64)
    quick = np.sort(height[_QUICK:] - height[:-_QUICK])
    return float(quick[-max(1, len(quick) // 25) :].mean()) if len(quick) else 0.0


def _tone(sound: NDArray[np.int16], before: NDArray[np.int16]) -> tuple[float, float]:
    """How plainly a steady tone stands out, and how much of the power is in the few strongest lines."""
    mean = _spectrum(sound)
    if mean is None:
        return 0.0, 0.0
    there = _spectrum(before)
    clean = np.maximum(mean - (0.0 if there is None else 1.5 * there), 0.02 * mean)
    return float(np.log10(clean.max() / np.median(clean))), float(np.sort(clean)[-12:].sum() / clean.sum())


def _spectrum(sound: NDArray[np.int16]) -> NDArray[np.float64] | None:
    count = len(sound) // _TONE_FRAMES
    if not count:
        return None
    pieces = sound[: count * _TONE_FRAMES].reshape(count, -1) * np.hanning(_TONE_FRAMES)
    return np.asarray((np.abs(np.fft.rfft(pieces)) ** 2)[:, _TONE_BINS].mean(axis=0) + 1.0, dtype=np.float64)


def described(levels: Levels, pcm: NDArray[np.int16], start: int, stop: int, sure: float) -> NDArray[np.float32]:
    """The measures of a stretch, how sure the layers are of a starter there, and how like itself it is, (WIDTH,).

    `sure`: mean log-odds of a starter by the trained layers. `pcm`: the sound of `levels`.
    """
    plain = [*astuple(measures_of(levels, pcm, start, stop)), min(8.0, max(-8.0, sure))]
    first = max(0, start - STEP)
    moments = moments_of(levels[first : stop + STEP], pcm[first * HOP : (stop + STEP) * HOP])
    alike = [moments.dips, moments.pulses, moments.beats] if len(moments) else [np.zeros((1, WIDTH - len(plain)))]
    return np.concatenate([plain, *(one.mean(axis=0) for one in alike)]).astype(np.float32)


@dataclass(frozen=True, slots=True, kw_only=True)
class KindLayers:
    """Small nets side by side, from a description to the kinds of `KINDS`. (WIDTH,), (WIDTH,), (n, WIDTH, hidden),
    (n, hidden), (n, hidden, kinds), (n, kinds)."""

    mean: NDArray[np.float32]
    spread: NDArray[np.float32]
    first: NDArray[np.float32]
    first_bias: NDArray[np.float32]
    second: NDArray[np.float32]
    second_bias: NDArray[np.float32]

    def __call__(self, described: NDArray[np.float32]) -> dict[Kind, float]:
        """How likely each kind is."""
        given = np.clip((described - self.mean) / self.spread, -MOST_SPREADS, MOST_SPREADS)
        within = np.tanh(np.einsum("t,nth->nh", given, self.first) + self.first_bias)
        scores = np.einsum("nh,nhk->nk", within, self.second) + self.second_bias
        odds = np.exp(scores - scores.max(axis=1, keepdims=True))
        likely = (odds / odds.sum(axis=1, keepdims=True)).mean(axis=0)
        return dict(zip(KINDS, likely.tolist(), strict=True))
