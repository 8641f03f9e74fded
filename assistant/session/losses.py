"""Sound of the microphone that was lost, where in its stream."""

from __future__ import annotations

from collections import deque

from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

LOSSES_KEPT = 256


class Losses:
    """The latest gaps."""

    def __init__(self) -> None:
        self._gaps: deque[tuple[float, float]] = deque(maxlen=LOSSES_KEPT)  # from, to

    def note(self, block: AudioBlock) -> None:
        """What was lost before this block."""
        if block.lost_frames:
            self._gaps.append((block.start_s - block.lost_frames / SAMPLE_RATE_HZ, block.start_s))

    def between(self, from_s: float, to_s: float) -> float:
        """Seconds of sound that were lost in this stretch."""
        return sum(max(0.0, min(to_s, end_s) - max(from_s, begin_s)) for begin_s, end_s in self._gaps)
