"""Whether something said stands alone or goes on with other talk: a word of ours inside that is not for us. Pure.

Silence after a word is what the end of speech waits for; this looks at what went before it.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence

import numpy as np

from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.standing_out import AS_LOUD_DB

APART_S = 1.0
"""A voice within so long before a word belongs to the same talk. Source: pauses inside a sentence are shorter, and one
of 0.67 s ends an utterance already, so that the rest of the sentence comes as another."""

LOUD_S = 2.0
"""How loud the talk was is told by so much of it: a sentence ends softly. Source: of "he thinks the whole thing is", a
pause, "done" the last second was 5.4 dB softer than the word."""

ONSET_FRAMES = round(0.19 / FRAME_S)
"""The last frames before it was noticed that somebody speaks may be the word's own beginning."""

VOICE_AT = 0.5
"""From here on the detector surely hears a voice."""

VOICED_FRAMES = 4
"""So many frames of a voice, at least, are talk: 0.13 s."""

NEARER_DB = 5.0
"""A word so much louder than the talk before it is another's, who stands nearer: to us. Source: of 78 pieces of talk by
the same made-up voice as 0.7 s before them 75 were less; of 36 words by people over talk 15, 9 and 6 dB
below 2, 3 and 10. By their loudest moments these would be 72, 2, 5 and 11."""


class RunningTalk:
    """Fed with each frame's loudness and voice, tells how loud the talk was that has just gone before."""

    def __init__(self) -> None:
        self._voiced_db: deque[float | None] = deque(maxlen=round(LOUD_S / FRAME_S) + ONSET_FRAMES)

    def frame(self, level_db: float, voice: float) -> None:
        """`level_db`: how loud the frame is, against whatever; `voice`: probability that there is a voice."""
        self._voiced_db.append(level_db if voice >= VOICE_AT else None)

    def forget(self) -> None:
        """We spoke, or what was said was done: what comes next answers that, and goes on with nothing."""
        self._voiced_db.clear()

    def loud_db(self) -> float:
        """How loud the talk was before what now begins; minus infinity where there was none."""
        before = list(self._voiced_db)[:-ONSET_FRAMES]
        lately = before[-round(APART_S / FRAME_S) :]
        if sum(level is not None for level in lately) < VOICED_FRAMES:
            return -math.inf
        return loud_db([level for level in before if level is not None])


def goes_on(before_db: float, levels_db: Sequence[float]) -> bool:
    """Whether what has these levels, frame by frame, goes on with the talk that went before, `before_db` loud."""
    return loud_db(levels_db) < before_db + NEARER_DB


def loud_db(levels_db: Sequence[float]) -> float:
    """The mean power of what is nearly as loud as the loudest frame, dB; minus infinity of nothing."""
    levels = np.asarray(levels_db, float)
    loud = levels[levels >= levels.max(initial=-math.inf) - AS_LOUD_DB]
    return 10 * math.log10(float((10 ** (loud / 10)).mean())) if len(loud) else -math.inf
