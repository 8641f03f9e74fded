"""A clock for sound files: seconds go by with the sound."""

from __future__ import annotations

from assistant.ports import SAMPLE_RATE_HZ, AudioBlock


class SoundClock:
    """A clock that goes by the sound heard so far: for sound files, where no wall clock fits."""

    def __init__(self, begins_s: float) -> None:
        self._begins_s = begins_s
        self._now_s = begins_s

    def now_s(self) -> float:
        """Seconds since the job started."""
        return self._now_s

    def on_block(self, block: AudioBlock) -> None:
        """The block has been heard to its end."""
        end_s = self._begins_s + block.start_s + len(block.pcm) / SAMPLE_RATE_HZ
        self._now_s = max(self._now_s, end_s)
