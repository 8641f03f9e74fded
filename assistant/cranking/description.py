"""What a stretch of raised sound is like over its whole time: the numbers by which it is judged again."""

from __future__ import annotations

import math
from dataclasses import astuple, dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.around import colour_db
from assistant.cranking.firing import find_beat
from assistant.cranking.layers import ELSE, ENGINE, STARTER, Odds
from assistant.cranking.levels import FLOOR_DB, HOP, LEVEL_RATE_HZ, Levels
from assistant.cranking.load import UNKNOWN, load_of
from assistant.cranking.rate import find_pulses
from assistant.cranking.traits import STEP

RISE, WOBBLE = 13, 16
"""Which number of a description is how far the stretch stands above what was there before, dB; how much its lines
wobble."""

_BEFORE, _MARGIN = 190, 6  # levels before a stretch that say what was there without it: 1.5 s; left out beside it
_LEAST = 50  # levels in which pulses and tones are looked for: 0.4 s
_QUICK = 2  # levels over which attacks are looked at: 16 ms
_TONE_FRAMES = 2048
_TONE_BINS = slice(32, 512)  # 250 to 4000 Hz
_LOW = 4  # bands below some 400 Hz
_NEAR_DB = 4.0  # above what was there before: silence
_WELL_BEFORE, _AFTER = 200, 60  # levels before and after a stretch whose lines are looked at: 1.6 s, 0.5 s
_ODDS_BESIDE = 6  # steps beside it whose odds count: 0.5 s
_LINE_FRAMES, _LINE_HOP, _LINE_LEAST = 1024, 512, 4
_LINE_BINS = slice(16, 256)  # 250 to 4000 Hz
MOST_SURE, NEITHER = 8.0, -6.0
"""Log-odds that say no more; what stands for those of two views that took it for nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """Plain numbers of a stretch.

    `long`: logarithm of its seconds. `tone`: how far the plainest line of its spectrum stands above the usual one, in
    powers of ten; `lines`: share of its power in the few strongest. `low`: how far low sounds rose more than the
    others, dB. `dips`: how far it falls from its usual level at its quietest, dB. `attack`: how quick its quickest
    rises are, dB in 16 ms; `skew`: how much quicker than its falls. `strength`, `clear`, `rate`: of the pulses, and the
    logarithm of how many a second. `beat`: strength of a quick one. `gaps`: share of it that is as quiet as what was
    before. `colour`: how its colour wanders, dB. `rise`: how far it stands above what was before, dB. `depth`, `plain`,
    `wobble`, `drift`: how hard a starter works, as `Load` has it.
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
    depth: float
    plain: float
    wobble: float
    drift: float


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
    there = pcm[max(0, start - _BEFORE) * HOP : max(0, start - _MARGIN) * HOP]
    tone, lines = _tone(sound, there)
    pulses = find_pulses(levels[first:last], weights) if last - first >= _LEAST else None
    beat = find_beat(sound)
    load = load_of(levels[first:last], sound, there, weights, pulses) if last - first >= _LEAST else UNKNOWN
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
        depth=load.depth,
        plain=load.plain,
        wobble=load.wobble,
        drift=load.drift,
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


def described(
    levels: Levels, pcm: NDArray[np.int16], odds: Odds, span: tuple[int, int], believed: float | None = None
) -> NDArray[np.float32]:
    """What the stretch between the levels of `span` is like, and what is said of it: one row of numbers.

    `pcm`, `odds`: of `levels`. `believed`: log-odds of a starter by the two views, before it was asked for; None where
    neither took it for one.
    """
    start, stop = span
    view = NEITHER if believed is None else float(np.clip(believed, -MOST_SURE, MOST_SURE))
    parts = [
        astuple(measures_of(levels, pcm, start, stop)),
        (view, *_sure(odds, start, stop)),
        _whine(pcm, start, stop),
    ]  # fmt: skip
    return np.concatenate([np.asarray(one, dtype=np.float32) for one in parts])


def _sure(odds: Odds, start: int, stop: int) -> list[float]:
    """Mean log-odds of starter and engine within, of both before, of both after."""
    first, last = start // STEP, max(start // STEP + 1, stop // STEP)
    found = []
    for part in (odds[first:last], odds[max(0, first - _ODDS_BESIDE) : first], odds[last : last + _ODDS_BESIDE]):
        for column in (STARTER, ENGINE):
            mean = float(np.mean(part[:, column] - part[:, ELSE])) if len(part) else -MOST_SURE
            found.append(float(np.clip(mean, -MOST_SURE, MOST_SURE)))
    return found


def _whine(pcm: NDArray[np.int16], start: int, stop: int) -> NDArray[np.float64]:
    """Of its plainest line each 32 ms: pitch (octaves above 250 Hz) at first, in all and after the end, how much it
    wanders, how plain it is then and then, and how far it steps from moment to moment."""
    sound = pcm[start * HOP : (stop + _AFTER) * HOP].astype(np.float64)
    count = (len(sound) - _LINE_FRAMES) // _LINE_HOP + 1
    if count < _LINE_LEAST:
        return np.zeros(9)
    there = (_lines(sound) + 1.0) / _usual_lines(pcm, start)
    best = there.argmax(axis=1)
    pitch = np.log2((best + _LINE_BINS.start) * 16_000 / _LINE_FRAMES / 250)
    plain = np.log10(np.take_along_axis(there, best[:, None], 1)[:, 0] / np.median(there, axis=1))
    last = max(_LINE_LEAST, int((stop - start) * HOP / _LINE_HOP) - 1)
    inside, rest = slice(0, last), slice(last, None)
    usual = float(np.median(pitch[inside]))
    low, high = np.quantile(pitch[inside], (0.2, 0.8))
    first = float(pitch[: _LINE_LEAST * 2].mean()) - usual
    out = float(pitch[rest].mean()) - usual if len(pitch[rest]) else 0.0
    steps = np.abs(np.diff(pitch[inside]))
    return np.array(
        [usual, high - low, first, out, float(np.median(plain[inside])), float(np.quantile(plain[inside], 0.1)),
         float(plain[rest].mean()) if len(plain[rest]) else 0.0, float(np.median(steps)), float(np.mean(steps < 0.06))]
    )  # fmt: skip


def _usual_lines(pcm: NDArray[np.int16], start: int) -> NDArray[np.float64]:
    """The spectrum of what was there before, that the lines of a stretch are held against."""
    sound = pcm[max(0, start - _WELL_BEFORE) * HOP : max(0, start - _MARGIN) * HOP].astype(np.float64)
    if len(sound) < _LINE_FRAMES:
        return np.ones(_LINE_BINS.stop - _LINE_BINS.start)
    return np.asarray(_lines(sound).mean(axis=0) + 1.0, dtype=np.float64)


def _lines(sound: NDArray[np.float64]) -> NDArray[np.float64]:
    """The power of each line, each 32 ms."""
    frames = np.lib.stride_tricks.sliding_window_view(sound, _LINE_FRAMES)[::_LINE_HOP]
    return np.asarray(np.abs(np.fft.rfft(frames * np.hanning(_LINE_FRAMES), axis=1))[:, _LINE_BINS] ** 2)
