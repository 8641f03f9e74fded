"""The sound of what is being said, as it is kept until it is worked out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import limits
from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.running_talk import NEARER_DB, ONSET_FRAMES, goes_on, loud_db

Pcm = NDArray[np.int16]

AFTER_FRAMES = 4
"""So many frames of softer talk after a word tell that it is over, as long as calm does."""


class Kept:
    """Frame by frame. `levels`: of each of them, in dBFS."""

    def __init__(self) -> None:
        self.forget()

    def __len__(self) -> int:
        """How many frames there are."""
        return len(self._frames)

    def forget(self) -> None:
        """Begin anew."""
        self._frames: list[Pcm] = []
        self.levels: list[float] = []

    def add(self, frame: Pcm, level_dbfs: float | None = None) -> None:
        """One more; what is left at the end of all sound has no level."""
        self._frames.append(frame)
        if level_dbfs is not None:
            self.levels.append(level_dbfs)

    def keep_lead(self) -> None:
        """Keep what may be the beginning of what is said next."""
        self._frames, self.levels = self._frames[-limits.LEAD_FRAMES :], self.levels[-limits.LEAD_FRAMES :]

    def nearer(self, begins_s: float, ends_s: float) -> bool:
        """Whether what lies between, in seconds from the beginning, is so much louder than all before it that another
        says it, who stands nearer."""
        first, last = (round(at_s / FRAME_S) for at_s in (begins_s, ends_s))
        before = self.levels[: max(0, first - ONSET_FRAMES)]
        return bool(before) and not goes_on(loud_db(before), self.levels[first:last])

    def stands_out(self, begins_s: float, ends_s: float) -> bool:
        """Whether others' talk goes on after it, too, as much softer: it is over with its end, though nobody pauses."""
        word = loud_db(self.levels[round(begins_s / FRAME_S) : round(ends_s / FRAME_S)])
        after = self.levels[round(ends_s / FRAME_S) :][-AFTER_FRAMES:]
        softer = len(after) == AFTER_FRAMES and max(after) < word - NEARER_DB
        return softer and self.nearer(begins_s, ends_s)

    def pcm(self) -> Pcm:
        """All of it: int16, mono, (frames,), 16 000 Hz."""
        return np.concatenate(self._frames)
