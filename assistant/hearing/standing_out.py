"""Which part of what was heard stands out of what went on before it: a word said to us over others' talk. Pure."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from assistant.hearing.endpoint import FRAME_S

OUT_DB = 6.0
"""So much louder than all that went before is another voice, a nearer one."""

AS_LOUD_DB = 10.0
"""What is at most so much softer than its loudest moment belongs to it."""

SMOOTH = 3
"""Frames over which loudness is taken: a tenth of a second, for a click is no word."""

AROUND_FRAMES = round(0.25 / FRAME_S)
"""What is kept before and after it: soft beginnings and ends."""

BEFORE_FRAMES = round(0.25 / FRAME_S)
"""So much, at least, must have gone before that lead: a sentence begins softly too."""


def standing_out(levels_db: Sequence[float]) -> slice | None:
    """The frames of the last part that stands out, with what lies around it; None where nothing does.

    `levels_db`: of each frame, against whatever.
    """
    if len(levels_db) < AROUND_FRAMES + BEFORE_FRAMES + SMOOTH:
        return None
    power = 10 ** (np.asarray(levels_db) / 10)
    loud = 10 * np.log10(np.convolve(power, np.ones(SMOOTH) / SMOOTH, mode="valid") + 1e-12)
    peak = int(loud.argmax())
    first = peak
    while first > 0 and loud[first - 1] >= loud[peak] - AS_LOUD_DB:
        first -= 1
    begins = first + SMOOTH - 1 - AROUND_FRAMES
    if begins < BEFORE_FRAMES or loud[:begins].max() > loud[peak] - OUT_DB:
        return None
    last = int(np.flatnonzero(loud >= loud[peak] - OUT_DB)[-1])  # what comes after a pause as loud goes on with it
    while last + 1 < len(loud) and loud[last + 1] >= loud[peak] - AS_LOUD_DB:
        last += 1
    return slice(begins, min(len(levels_db), last + 1 + AROUND_FRAMES))
