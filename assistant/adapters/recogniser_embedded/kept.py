"""The sound of what is being said, as it is kept until it is worked out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import limits
from assistant.adapters.recogniser_embedded.stop import CALM_FRAMES
from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.running_talk import NEARER_DB, ONSET_FRAMES, goes_on, loud_db
from assistant.hearing.standing_out import AROUND_FRAMES

Pcm = NDArray[np.int16]


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
        before, word, _ = self._around(begins_s, ends_s)
        return not goes_on(loud_db(before), word)

    def stands_out(self, begins_s: float, ends_s: float) -> bool:
        """Whether besides all is as much softer again after it: so it is over, though others talk on."""
        _, word, after = self._around(begins_s, ends_s)
        softer = len(after) >= CALM_FRAMES and max(after[-CALM_FRAMES:]) < loud_db(word) - NEARER_DB
        return softer and self.nearer(begins_s, ends_s)

    def word(self, begins_s: float, ends_s: float) -> Pcm:
        """The sound of what lies between, with its soft beginning and end: int16, mono, (frames,), 16 000 Hz."""
        first, last = round(begins_s / FRAME_S) - AROUND_FRAMES, round(ends_s / FRAME_S) + AROUND_FRAMES
        return np.concatenate(self._frames[max(0, first) : last])

    def _around(self, begins_s: float, ends_s: float) -> tuple[list[float], list[float], list[float]]:
        """Levels before, in, and after what lies between; its own soft beginning is not before it."""
        first, last = (round(at_s / FRAME_S) for at_s in (begins_s, ends_s))
        return self.levels[: max(0, first - ONSET_FRAMES)], self.levels[first:last], self.levels[last:]

    def pcm(self) -> Pcm:
        """All of it: int16, mono, (frames,), 16 000 Hz."""
        return np.concatenate(self._frames)
