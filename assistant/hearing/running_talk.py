"""Whether something said stands alone or goes on with other talk: a word of ours inside that is not for us. Pure.

Silence after a word is what the end of speech waits for; this looks at what went before it.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence

from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.standing_out import OUT_DB, loudness

APART_S = 1.0
"""A voice within so long before a word belongs to the same talk. Source: pauses inside a sentence are shorter, and one
of 0.67 s ends an utterance already, so that the rest of the sentence comes as another."""

ONSET_FRAMES = round(0.19 / FRAME_S)
"""The last frames before it was noticed that somebody speaks may be the word's own beginning."""

VOICE_AT = 0.5
"""From here on the detector surely hears a voice."""

VOICED_FRAMES = 4
"""So many frames of a voice, at least, are talk: 0.13 s."""


class RunningTalk:
    """Fed with each frame's loudness and voice, tells how loud the talk was that has just gone before."""

    def __init__(self) -> None:
        self._voiced_db: deque[float | None] = deque(maxlen=round(APART_S / FRAME_S) + ONSET_FRAMES)

    def frame(self, level_db: float, voice: float) -> None:
        """`level_db`: how loud the frame is, against whatever; `voice`: probability that there is a voice."""
        self._voiced_db.append(level_db if voice >= VOICE_AT else None)

    def forget(self) -> None:
        """We spoke, or what was said was done: what comes next answers that, and goes on with nothing."""
        self._voiced_db.clear()

    def loudest_db(self) -> float:
        """Of the talk before what now begins; minus infinity where there was none."""
        before = list(self._voiced_db)[:-ONSET_FRAMES]
        voiced = [level for level in before if level is not None]
        return float(loudness(voiced).max()) if len(voiced) >= VOICED_FRAMES else -math.inf


def goes_on(before_db: float, levels_db: Sequence[float]) -> bool:
    """Whether what has these levels, frame by frame, goes on with the talk that went before, `before_db` loud: what is
    so much louder is another's, who stands nearer."""
    return float(loudness(levels_db).max(initial=-math.inf)) < before_db + OUT_DB
