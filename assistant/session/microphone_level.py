"""Whether the microphone gives sound at all: a muted or moved one is told of, and told when it is back."""

from __future__ import annotations

from enum import Enum, auto

import numpy as np

from assistant.hearing.level import rms_dbfs
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

MUTED_S = 8.0
"""Samples that are all zero for this long come from a muted microphone: no room is that silent. Source: judgement."""

GATED_S = 60.0
"""As long it takes where the device itself sends zeros between words, as headsets that suppress noise do."""

DEAD_DBFS = -75.0
DEAD_S = 60.0
"""Sound softer than this for so long: covered, turned away or unplugged. A quiet room gives -60. Source: judgement."""

_ZERO = 1
_SEEN_S = 0.5


class Sound(Enum):
    """What the microphone gives."""

    USUAL = auto()
    MUTED = auto()  # nothing but zeros
    FAINT = auto()  # hardly anything


class MicrophoneLevel:
    """Fed with each block, tells what the microphone gives by now."""

    def __init__(self) -> None:
        self._zero_s = 0.0
        self._faint_s = 0.0
        self._was_zero = False
        self._gates = False
        self.sound = Sound.USUAL

    def hear(self, block: AudioBlock) -> Sound:
        """What the microphone gives, this block counted."""
        seconds = block.pcm.size / SAMPLE_RATE_HZ
        zero = not block.pcm.size or int(np.abs(block.pcm.astype(np.int32)).max()) <= _ZERO
        self._zero_s = self._zero_s + seconds if zero else 0.0
        self._faint_s = self._faint_s + seconds if rms_dbfs(block.pcm) < DEAD_DBFS else 0.0
        self._was_zero = self._was_zero or self._zero_s >= _SEEN_S
        if self._zero_s >= (GATED_S if self._gates else MUTED_S):
            self.sound = Sound.MUTED
        elif self._faint_s >= DEAD_S:
            self.sound = Sound.FAINT
        elif not self._faint_s:
            self.sound = Sound.USUAL
        return self.sound

    def understood(self) -> None:
        """A word was understood: where there were zeros before, the device itself sends them between words."""
        self._gates = self._gates or self._was_zero
