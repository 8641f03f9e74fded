"""Sound to band levels: what all the listening for a starter is done on.

A level is the power of one frequency band over 16 ms, in dB below full scale, 125 times a second. Bands reach from
94 Hz to 7.5 kHz and widen with frequency; a phone's or telephone line's missing bands stay at the floor and so
carry no weight later.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

SAMPLE_RATE_HZ = 16_000
LEVEL_RATE_HZ = 125
HOP = SAMPLE_RATE_HZ // LEVEL_RATE_HZ
FLOOR_DB = -92.0  # about the rounding noise of 16 bits in one band: below it nothing is heard

_WINDOW = 256
_EDGES = (1, 2, 3, 4, 6, 8, 11, 15, 20, 27, 36, 48, 64, 86, 121)  # in bins of 62.5 Hz, less half a bin
BANDS = len(_EDGES) - 1

Levels = NDArray[np.float32]

_TAPER: NDArray[np.float32] = np.hanning(_WINDOW + 1)[:_WINDOW].astype(np.float32)
_FLOOR_POWER = 10 ** (FLOOR_DB / 10)
_CHUNK = 8192  # frames transformed at once, so that an hour needs little memory


class LevelMeter:
    """Levels of a stream, block by block; the same levels whatever the blocks."""

    def __init__(self) -> None:
        self._rest = np.zeros(_WINDOW - HOP, dtype=np.int16)

    def feed(self, pcm: NDArray[np.int16]) -> Levels:
        """The levels that `pcm` completes, dB, (n, BANDS); the n-th level of the stream ends at (n + 1) x 8 ms."""
        sound = np.concatenate([self._rest, pcm])
        count = max(0, (len(sound) - _WINDOW) // HOP + 1)
        self._rest = sound[count * HOP :]
        levels = np.empty((count, BANDS), dtype=np.float32)
        for first in range(0, count, _CHUNK):
            last = min(count, first + _CHUNK)
            part = sound[first * HOP : (last - 1) * HOP + _WINDOW].astype(np.float32) / 32768
            frames = np.lib.stride_tricks.sliding_window_view(part, _WINDOW)[::HOP]
            levels[first:last] = _band_levels(frames)
        return levels


def levels_of(pcm: NDArray[np.int16]) -> Levels:
    """The levels of a whole sound. `pcm`: int16, mono, (frames,), 16 000 Hz."""
    return LevelMeter().feed(pcm)


def _band_levels(frames: NDArray[Any]) -> Levels:
    spectrum = np.fft.rfft(frames * _TAPER, axis=1)
    power = (spectrum.real**2 + spectrum.imag**2) / (_WINDOW * float(np.sum(_TAPER**2)) / 2)
    bands = np.add.reduceat(power[:, : _EDGES[-1]], _EDGES[:-1], axis=1)
    return np.asarray(10 * np.log10(bands + _FLOOR_POWER), dtype=np.float32)
