"""What a stretch of raised sound was that is no burst: a starter that only whines or clicks, or something else."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.around import colour_db, dip_db
from assistant.cranking.levels import levels_of
from assistant.cranking.model import Kind
from assistant.cranking.rate import find_pulses
from assistant.cranking.stretches import Stretch

_KNOCK = 50  # levels: shorter than 0.4 s is one knock
_WHINE = 75  # levels: 0.6 s
_PULSES_CLEAR = 0.08  # a pulse rate that stands out more than this: the engine turns
_CLEAR_DB = 3.0  # how clearly a whine begins and ends
_STEADY_DB, _COLOUR_DB = 4.0, 2.5
_SPIN_UP, _EDGE = 40, 12  # levels at the beginning, while its pitch rises, and at the end
_DIP = 30  # levels over which a dip is averaged: 0.24 s
_TONE_FRAMES = 2048
_TONE_BINS = slice(38, 384)  # 300 to 3000 Hz, where starters whine
_TONE_CLEAR = 60.0


def to_sound(pcm: NDArray[np.int16], stretch: Stretch) -> Kind:
    """What the stretch was. `pcm`: the stretch alone, int16, mono, (frames,), 16 000 Hz."""
    levels = levels_of(pcm)
    if len(levels) < _KNOCK:
        return Kind.CLUNK
    ended = stretch.stop is None or stretch.fall_db > _CLEAR_DB
    if len(levels) < _WHINE or stretch.rise_db < _CLEAR_DB or not ended:
        return Kind.OTHER
    if dip_db(levels, _DIP) > _STEADY_DB or colour_db(levels[_SPIN_UP:-_EDGE]) > _COLOUR_DB or not _holds_tone(pcm):
        return Kind.OTHER
    pulses = find_pulses(levels, np.ones(levels.shape[1]))
    return Kind.OTHER if pulses is not None and pulses.clear > _PULSES_CLEAR else Kind.WHINE


def _holds_tone(pcm: NDArray[np.int16]) -> bool:
    """Whether the sound is the steady tone of a motor that turns nothing."""
    sound = pcm[len(pcm) // 4 : len(pcm) // 4 * 3].astype(np.float64)
    count = len(sound) // _TONE_FRAMES
    if not count:
        return False
    spectra = np.abs(np.fft.rfft(sound[: count * _TONE_FRAMES].reshape(count, -1) * np.hanning(_TONE_FRAMES))) ** 2
    mean = spectra[:, _TONE_BINS].mean(axis=0)
    return bool(mean.max() > _TONE_CLEAR * np.median(mean))
