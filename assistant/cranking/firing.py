"""The quick beat of a running engine, or of a tool: 12 to 130 beats a second, from the sound itself.

Band levels are too slow for it, so it is looked for in the envelope of the sound, a thousand values a second.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import SAMPLE_RATE_HZ
from assistant.cranking.rate import Curve

_ENVELOPE_HZ = 1000
_LOWEST_HZ, _HIGHEST_HZ = 12.0, 130.0
_PIECE = 512


@dataclass(frozen=True, slots=True, kw_only=True)
class Beat:
    """`hz`: beats a second. `strength`: 0 to 1, how alike one beat is to the next."""

    hz: float
    strength: float


def find_beat(pcm: NDArray[np.int16]) -> Beat | None:
    """The quick beat of a stretch; None when it is shorter than half a second.

    The envelope counts in parts of half a second, so that a changing speed does no harm.
    """
    envelope = _envelope(pcm)
    if len(envelope) < _PIECE:
        return None
    pieces = np.lib.stride_tricks.sliding_window_view(envelope, _PIECE)[:: _PIECE // 2]
    pieces = (pieces - pieces.mean(axis=1, keepdims=True)) * np.hanning(_PIECE)
    power = np.abs(np.fft.rfft(pieces, 2 * _PIECE, axis=1)) ** 2
    alike = np.fft.irfft(power, axis=1)[:, :200]
    taper = np.fft.irfft(np.abs(np.fft.rfft(np.hanning(_PIECE), 2 * _PIECE)) ** 2)[:200]
    alike = alike / (alike[:, :1] + 1e-9) * (taper[0] / taper)
    found = [_peak(one) for one in alike]
    best = sorted(found, key=lambda one: one.strength)[len(found) // 2 :]
    return Beat(
        hz=float(np.median([one.hz for one in best])),
        strength=float(np.quantile([one.strength for one in found], 0.35)),
    )


def _peak(alike: Curve) -> Beat:
    rates = np.exp(np.arange(np.log(_LOWEST_HZ), np.log(_HIGHEST_HZ), 0.02))
    period = _ENVELOPE_HZ / rates
    steps = np.arange(len(alike))
    whole = np.interp(period, steps, alike)
    again = np.where(2 * period < len(alike), np.interp(2 * period, steps, alike), whole)
    between = np.interp(period[:, None] * np.linspace(0.35, 0.65, 7), steps, alike).max(axis=1)
    strength = (whole + again) / 2
    score = strength - 0.5 * between + 0.05 * np.log(rates)
    best = int(np.argmax(score))
    return Beat(hz=float(rates[best]), strength=float(strength[best] - max(0.0, between[best])))


def _envelope(pcm: NDArray[np.int16]) -> Curve:
    width = SAMPLE_RATE_HZ // _ENVELOPE_HZ
    sound = pcm[: len(pcm) // width * width].astype(np.float64)
    sound = np.diff(sound, prepend=sound[:1] if len(sound) else 0.0) + 0.05 * sound  # hum must not drown the beat
    return np.asarray(np.sqrt(np.abs(sound).reshape(-1, width).mean(axis=1)), dtype=np.float64)
