"""How loud sound is, in decibels relative to full scale."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FULL_SCALE = 32_768.0
SILENCE_DBFS = -96.0
"""What 16 bits cannot tell from nothing: 20 log10(1 / 2^16) is -96.3."""


def rms_dbfs(pcm: NDArray[np.int16]) -> float:
    """The mean level of int16 samples against a full-scale square wave; at least SILENCE_DBFS. A full sine has -3."""
    if not pcm.size:
        return SILENCE_DBFS
    return _decibels(float(np.sqrt(np.mean(np.square(pcm, dtype=np.float64)))))


def peak_dbfs(pcm: NDArray[np.int16]) -> float:
    """The level of the largest sample; at least SILENCE_DBFS."""
    return _decibels(float(np.abs(pcm.astype(np.int32)).max())) if pcm.size else SILENCE_DBFS


def _decibels(value: float) -> float:
    return max(SILENCE_DBFS, 20.0 * float(np.log10(value / FULL_SCALE))) if value > 0.0 else SILENCE_DBFS
