"""Sound of the microphone that was lost or never heard, where in its stream. What came before it began is such, too."""

from __future__ import annotations

import math
from collections import deque
from dataclasses import replace

from assistant.language.model import Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

LOSSES_KEPT = 256

LOST_WORD_S = 0.1
"""Lost sound of this length inside an utterance can hide a "not". Source: judgement."""

BEFORE_S = 0.15
"""So long before an utterance lost sound belongs to it: with what is kept from before it was noticed (0.3 s), a word
noticed within 0.35 s of a stream's beginning may have begun before. Source: `hoodside bench cut`."""

ANEW_S = 0.5
"""A stream that jumps by so much began anew: the device was away, or the machine slept. A callback that was woken late
makes less. Source: judgement."""


class Losses:
    """The latest gaps."""

    def __init__(self) -> None:
        self._gaps: deque[tuple[float, float]] = deque(maxlen=LOSSES_KEPT)  # from, to
        self._to_s = -math.inf  # end of the latest block

    def note(self, block: AudioBlock) -> None:
        """What was lost before this block, all that sounded before the first one included."""
        from_s, self._to_s = self._to_s, block.start_s + block.pcm.size / SAMPLE_RATE_HZ
        if block.start_s - from_s >= ANEW_S:
            self._gaps.append((from_s, block.start_s))
        elif block.lost_frames:
            self._gaps.append((block.start_s - block.lost_frames / SAMPLE_RATE_HZ, block.start_s))

    def unheard(self, block: AudioBlock) -> None:
        """Nobody listened to this block."""
        end_s = block.start_s + block.pcm.size / SAMPLE_RATE_HZ
        from_s = self._gaps.pop()[0] if self._gaps and self._gaps[-1][1] >= block.start_s else block.start_s
        self._gaps.append((from_s, end_s))

    def between(self, from_s: float, to_s: float) -> float:
        """Seconds of sound that were lost in this stretch."""
        return sum(max(0.0, min(to_s, end_s) - max(from_s, begin_s)) for begin_s, end_s in self._gaps)

    def doubted(self, heard: Heard) -> Heard:
        """Words of which a part may have been lost are asked about: a "not" may have been in it, and what is left of a
        word is like another."""
        lost_s = self.between(heard.began_s - BEFORE_S, heard.ended_s)
        return heard if lost_s < LOST_WORD_S else replace(heard, unsure=True, cut=True)
