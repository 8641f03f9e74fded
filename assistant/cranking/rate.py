"""How often the starter's load pulses: the compression-pulse rate from the periodicity of the band levels.

A four-stroke engine compresses once a cylinder in two turns, so rate = rpm x cylinders / 120. Each compression slows
the starter, so its whine, brush noise and the engine's breath swell and fade together in many bands.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import LEVEL_RATE_HZ, Levels
from assistant.cranking.smooth import running_mean

LOWEST_HZ = 1.4
HIGHEST_HZ = 26.0
_SEARCH_TO_HZ = 48.0  # beyond the starter, so that faster rhythms are known as such
LOWEST_RPM = 45.0
HIGHEST_RPM = 420.0  # above 400 to 500 rpm an engine counts as running (common practice, no source)

_SMOOTH_S = 1.5
_CLIP_DB = 10.0  # one slam must not outweigh a burst
_DROWN_DB = 6.0
_DROWN_LEVELS = 50
_LONGEST_LAG_S = 1.6
_CHUNK_S = 4.0
_QUICKER = 0.1  # how much better a rhythm quicker than any starter must fit
_LINES = 128
_BLUR = 2  # levels; what swings faster than 40 Hz is no pulse
_TASTE = 0.09  # of a period and its multiples that fit alike, the period
_CYCLE_TO_HZ = 3.6  # a working cycle, two turns, at 420 rpm and a little more
_MOST_CYLINDERS = 8
_CYCLE_CLEAR, _CYCLE_KNOWN = 1.1, 0.7
"""How far the line of the compressions must stand above those of the cycle; less where it fits the cylinders told."""

Curve = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulses:
    """`hz`: pulses a second, mean over the stretch. `strength`: 0 to about 1, how periodic the levels are.

    `clear`: how far the chosen rate stands above every other, half and double among them.
    """

    hz: float
    strength: float
    clear: float


def swings(levels: Levels) -> NDArray[np.float32]:
    """The levels less their slow course: the swell and fade of each band, dB, (n, BANDS)."""
    width = min(int(_SMOOTH_S * LEVEL_RATE_HZ), max(3, len(levels)))
    less = levels - running_mean(levels, width)
    less = np.clip(less, -_CLIP_DB, _CLIP_DB)
    less -= running_mean(less, width)
    return np.asarray(np.where(_drowned(levels), 0, less), dtype=np.float32)


def _drowned(levels: Levels) -> NDArray[np.bool_]:
    """Where something much louder than the stretch usually is lies over a band for longer than a pulse would."""
    slow = running_mean(levels, min(_DROWN_LEVELS, len(levels)))
    at = int(0.4 * len(levels))
    return np.asarray(slow > np.partition(slow, at, axis=0)[at] + _DROWN_DB)


def range_hz(cylinders: int | None) -> tuple[float, float]:
    """The pulse rates that a starter can make, Hz."""
    if cylinders is None:
        return LOWEST_HZ, _SEARCH_TO_HZ
    return max(0.8, LOWEST_RPM * cylinders / 120), HIGHEST_RPM * cylinders / 120


def rhythm(swing: NDArray[np.float32]) -> Curve:
    """How strongly a stretch of background swings at each rate: 1 is usual, more is a rhythm. (129,), 0 to 62.5 Hz."""
    if len(swing) < 2 * _LINES:
        return np.ones(_LINES + 1)
    pieces = np.lib.stride_tricks.sliding_window_view(swing, 2 * _LINES, axis=0)[:: _LINES // 2]
    power = np.abs(np.fft.rfft(pieces * np.hanning(2 * _LINES), axis=2)) ** 2
    usual = power.mean(axis=0)
    usual /= np.median(usual[:, 3:52], axis=1, keepdims=True) + 1e-9
    return np.asarray(np.maximum(1.0, usual.mean(axis=0)), dtype=np.float64)


def rpm_of(pulse_hz: float, cylinders: int) -> float:
    """Crankshaft speed of a four-stroke engine, rpm, from its compressions a second."""
    return pulse_hz * 120 / cylinders


def likeness(swing: NDArray[np.float32], weights: Curve, known: Curve | None = None, *, blur: int = _BLUR) -> Curve:
    """How like itself the stretch is after each lag (8 ms steps): autocorrelation averaged over the bands by weight.

    `known`: the rhythm of what was there before, which is played down. `blur`: levels averaged.
    """
    longest = min(int(_LONGEST_LAG_S * LEVEL_RATE_HZ), len(swing) * 2 // 3)
    size = 1 << int(np.ceil(np.log2(max(2, len(swing) + longest))))
    quiet = running_mean(swing, blur)
    wide = quiet @ np.asarray(weights / weights.sum(), dtype=np.float32)
    channels = np.column_stack([quiet, wide])
    spectrum = np.fft.rfft(channels, size, axis=0)
    power = spectrum.real**2 + spectrum.imag**2
    if known is not None:
        old = np.interp(np.linspace(0, 1, len(power)), np.linspace(0, 1, len(known)), known)
        power /= old[:, None] ** (1 - np.append(weights, weights.mean()))
    lags = np.fft.irfft(power, axis=0)[: longest + 1]
    lags = lags / (len(swing) - np.arange(longest + 1))[:, None]
    lags = lags / (lags[0] + 0.05)
    share = np.append(weights / weights.sum(), 1.0) / 2  # half each band alone, half all together
    even = lags @ share
    # The pulses may show in a few bands only: the third that fits best at each lag counts as much as all together.
    third = np.sort(lags * np.append(np.sqrt(weights / weights.max()), 1.0), axis=1)[:, -5:].mean(axis=1)
    return np.asarray((even + third) / 2, dtype=np.float64)


def find_pulses(
    levels: Levels, weights: Curve, *, known: Curve | None = None, cylinders: int | None = None
) -> Pulses | None:
    """The pulse rate of a stretch that is thought to be cranking; None when it is too short to tell.

    `weights`: (BANDS,), how much of each band is the starter rather than what was there before.
    """
    swing = swings(levels)
    curve = likeness(swing, weights, known)
    rates, score, strength = comb(curve, *range_hz(cylinders))
    if not len(rates):
        return None
    score = score - np.where(rates > HIGHEST_HZ, _QUICKER, 0.0)
    best = int(np.argmax(score))
    apart = np.abs(np.log(rates / rates[best])) > 0.15
    rival = float(score[apart].max()) if apart.any() else 0.0
    hz = _refine(swing, weights, float(rates[best]))
    if hz < _CYCLE_TO_HZ:
        hz *= _pulses_in(swing, weights, hz, cylinders)
    return Pulses(hz=hz, strength=float(strength[best]), clear=float(score[best]) - rival)


def _pulses_in(swing: NDArray[np.float32], weights: Curve, hz: float, cylinders: int | None) -> int:
    """How many pulses one period holds: 1, or the cylinders of an engine whose uneven cycle was taken for a pulse.

    A pulse is strongest at its own rate; a cycle of N compressions at N times its rate.
    """
    found = np.zeros(_MOST_CYLINDERS + 1)
    for piece in np.array_split(swing, max(1, round(len(swing) / (_CHUNK_S * LEVEL_RATE_HZ)))):
        time = np.arange(len(piece)) / LEVEL_RATE_HZ
        taper = np.hanning(len(piece) + 2)[1:-1]
        for k in range(1, _MOST_CYLINDERS + 1):
            rates = k * hz * np.linspace(0.97, 1.03, 13)
            found[k] += float((_power(_waves_at(rates, time) * taper, piece) @ weights).max())
    most = int(np.argmax(found))
    if cylinders is not None and cylinders >= 3 and found[cylinders] > _CYCLE_KNOWN * found.max():
        return cylinders
    return most if most >= 3 and found[most] > _CYCLE_CLEAR * found[1:3].max() else 1


def comb(curve: Curve, low_hz: float, high_hz: float) -> tuple[Curve, Curve, Curve]:
    """Rates, the score of each, and its likeness after whole periods.

    A true period repeats after one, two and three periods and shows nothing like it in between: a multiple of the
    period fails the second test, a part of it the first.
    """
    rates = np.exp(np.arange(np.log(low_hz), np.log(high_hz), 0.01))
    period = LEVEL_RATE_HZ / rates
    rates, period = rates[1.1 * period <= len(curve) - 1], period[1.1 * period <= len(curve) - 1]
    if not len(rates):
        return rates, rates, rates
    from scipy.interpolate import CubicSpline  # noqa: PLC0415 - as in `evenness`

    smooth = CubicSpline(np.arange(len(curve)), curve)  # quick pulses lie only a few levels apart
    whole, half = smooth(period), smooth(0.5 * period)
    count = np.ones(len(period))
    for k in (2, 3):
        there = k * period <= len(curve) - 1
        whole += np.where(there, smooth(np.minimum(k * period, len(curve) - 1)), 0)
        half += np.where(there, smooth(np.minimum((k - 0.5) * period, len(curve) - 1)), 0)
        count += there
    whole, half = whole / count, half / count
    between = smooth(period[:, None] * np.linspace(0.3, 0.7, 9)).max(axis=1)
    return rates, whole - 0.4 * between - 0.4 * half + _TASTE * np.log(rates), whole


def comb_at(curve: Curve, hz: float) -> float:
    """The likeness after one period of `hz`, less that after half of one; the best within 8 %, drift being usual."""
    period = LEVEL_RATE_HZ / (hz * np.linspace(0.92, 1.08, 9))
    steps = np.arange(len(curve))
    return float(np.max(np.interp(period, steps, curve) - np.interp(period / 2, steps, curve))) / 2


def _refine(swing: NDArray[np.float32], weights: Curve, coarse_hz: float) -> float:
    """The mean rate near `coarse_hz`: in pieces of a few seconds, the one at which the swings add up best."""
    pieces = max(1, round(len(swing) / (_CHUNK_S * LEVEL_RATE_HZ)))
    found, sure = [], []
    for piece in np.array_split(swing, pieces):
        time = (np.arange(len(piece)) - len(piece) / 2) / LEVEL_RATE_HZ
        taper = np.hanning(len(piece) + 2)[1:-1]
        span = min(0.12, max(0.03, 0.8 / (coarse_hz * len(piece) / LEVEL_RATE_HZ)))
        rates = coarse_hz * np.linspace(1 - span, 1 + span, 49)
        once = _waves_at(rates, time)
        total = np.zeros(len(rates))
        for turns, share in ((once, 1.0), (once * once, 0.5)):
            total += share * (_power(turns * taper, piece) @ weights)
        top = int(np.argmax(total))
        found.append(rates[top])
        sure.append(total[top] - np.median(total) + 1e-12)
    return float(np.average(found, weights=np.asarray(sure)))


def _waves_at(rates: Curve, time: Curve) -> NDArray[np.complex128]:
    """A wave at each of some evenly spaced rates, (rates, time): each is the one before turned on by the same step."""
    step = np.exp(-2j * np.pi * (rates[1] - rates[0]) * time)
    waves = np.empty((len(rates), len(time)), dtype=np.complex128)
    waves[0] = np.exp(-2j * np.pi * rates[0] * time)
    for place in range(1, len(rates)):
        np.multiply(waves[place - 1], step, out=waves[place])
    return waves


def _power(waves: NDArray[np.complex128], piece: NDArray[np.float32]) -> Curve:
    """How strongly each wave is in each band, (waves, bands)."""
    bands = piece.astype(np.float64)
    return np.asarray((waves.real @ bands) ** 2 + (waves.imag @ bands) ** 2, dtype=np.float64)


def speed_track(levels: Levels, pulse_hz: float) -> tuple[Curve, Curve]:
    """The pulse rate through a burst: middles of its pieces (levels from its start), and the rate of each, Hz.

    `pulse_hz`: the mean rate of the burst. A piece is long enough for about five pulses, at least 1 s.
    """
    swing = swings(levels)
    width = int(min(len(swing), max(LEVEL_RATE_HZ, 5 * LEVEL_RATE_HZ / pulse_hz)))
    firsts = np.arange(0, max(1, len(swing) - width + 1), max(1, width // 4))
    even = np.ones(swing.shape[1])
    rates = [_refine(swing[one : one + width], even, pulse_hz) for one in firsts]
    return np.asarray(firsts + width / 2, dtype=np.float64), np.asarray(rates, dtype=np.float64)
