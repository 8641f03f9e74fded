"""The quick beat of a running engine, or of a tool: 12 to 130 beats a second, from the sound itself.

Band levels are too slow for it, so it is looked for in the envelope of the sound, a thousand values a second.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import SAMPLE_RATE_HZ
from assistant.cranking.rate import Curve

_ENVELOPE_HZ = 1000
_LOWEST_HZ, _HIGHEST_HZ = 12.0, 130.0
_PIECE = 512
_LAGS = 200  # more than twice the longest period
_RATES = np.exp(np.arange(np.log(_LOWEST_HZ), np.log(_HIGHEST_HZ), 0.02))
_PERIODS = _ENVELOPE_HZ / _RATES


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
    alike = np.fft.irfft(power, axis=1)[:, :_LAGS]
    alike = alike / (alike[:, :1] + 1e-9) * _taper()
    hz, strength = _peaks(alike)
    best = np.argsort(strength, kind="stable")[len(strength) // 2 :]
    return Beat(hz=float(np.median(hz[best])), strength=float(np.quantile(strength, 0.35)))


@cache
def _taper() -> Curve:
    """What takes the taper's own likeness out."""
    taper = np.fft.irfft(np.abs(np.fft.rfft(np.hanning(_PIECE), 2 * _PIECE)) ** 2)[:_LAGS]
    return np.asarray(taper[0] / taper, dtype=np.float64)


def _peaks(alike: Curve) -> tuple[Curve, Curve]:
    """The rate of the plainest beat of each piece, Hz, and its strength. `alike`: (pieces, _LAGS)."""
    whole = _after(alike, _PERIODS)
    again = _after(alike, 2 * _PERIODS)
    between = _after(alike, _PERIODS[:, None] * np.linspace(0.35, 0.65, 7)).max(axis=2)
    strength = (whole + again) / 2
    best = np.argmax(strength - 0.5 * between + 0.05 * np.log(_RATES), axis=1)
    pieces = np.arange(len(alike))
    return _RATES[best], strength[pieces, best] - np.maximum(0.0, between[pieces, best])


def _after(alike: Curve, lags: Curve) -> Curve:
    """The likeness of each piece after `lags`, between whole lags in proportion."""
    low = lags.astype(int)
    part = lags - low
    return np.asarray(alike[:, low] * (1 - part) + alike[:, low + 1] * part, dtype=np.float64)


def _envelope(pcm: NDArray[np.int16]) -> Curve:
    width = SAMPLE_RATE_HZ // _ENVELOPE_HZ
    sound = pcm[: len(pcm) // width * width].astype(np.float64)
    sound = np.diff(sound, prepend=sound[:1] if len(sound) else 0.0) + 0.05 * sound  # hum must not drown the beat
    return np.asarray(np.sqrt(np.abs(sound).reshape(-1, width).mean(axis=1)), dtype=np.float64)
