"""The sound behind a turn's facts: kept first, then named in them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assistant.english import live as texts
from assistant.guide import State, Turn
from assistant.language.model import Heard
from assistant.language.speech import Sentence
from assistant.ports import Clips
from assistant.record.clips import clip_name, names_clip


def with_sound(
    clips: Clips, state: State, made_from: Callable[[Heard], Turn], heard: Heard, sound: NDArray[np.int16]
) -> Turn:
    """The turn, its facts naming their clip once that is kept; as it is without sound where no fact comes of it.

    `state`: before the turn. `made_from`: the turn that what was heard leads to.
    """
    turn = made_from(heard)
    name = clip_name(state.number + 1, sound.astype("<i2").tobytes())
    naming = made_from(replace(heard, clip=name))
    if not any(names_clip(fact, name) for fact in naming.facts):
        return turn
    if clips.keep(state.job, name, sound):
        return naming
    return replace(turn, reply=(*turn.reply, Sentence(text=texts.SOUND_IS_LOST, kind="refusal")))
