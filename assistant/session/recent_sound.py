"""The last minute of the microphone's sound, so that what was heard in it can be kept."""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

KEPT_S = 75.0
"""Dictation may last a minute; speech is known to have ended a little after its last word."""

AROUND_S = 0.3
"""Kept before and after what was heard, so that no consonant is cut. Judgement."""


class RecentSound:
    """Takes blocks as they come and gives stretches of them back."""

    def __init__(self) -> None:
        self._blocks: deque[AudioBlock] = deque()

    def add(self, block: AudioBlock) -> None:
        """Keep one more block, and let go what is too old."""
        self._blocks.append(block)
        while block.start_s - self._blocks[0].start_s > KEPT_S:
            self._blocks.popleft()

    def between(self, began_s: float, ended_s: float) -> NDArray[np.int16]:
        """The sound from a little before to a little after, as far as it is here: int16, mono, (frames,), 16 000 Hz.

        Seconds in the stream, as in `Heard`.
        """
        begin_s, end_s = began_s - AROUND_S, ended_s + AROUND_S
        parts = [np.zeros(0, np.int16)]
        for block in self._blocks:
            first = max(0, round((begin_s - block.start_s) * SAMPLE_RATE_HZ))
            last = min(block.pcm.size, round((end_s - block.start_s) * SAMPLE_RATE_HZ))
            if first < last:
                parts.append(block.pcm[first:last])
        return np.concatenate(parts)
