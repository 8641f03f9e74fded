"""The tones that stand for a few words: what each is, and which of them are wanted.

Notes lie at about 500 to 1,500 Hz, where hearing protection and years of noise leave most of hearing (ISO 7731, from
memory), last 0.05 to 0.07 s, and differ in number and direction rather than in one pitch alone. The tones that time an
action are no signals: single, longer and louder, and never off.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

from assistant.language.speech import Pause, Tone, Utterance


class Signal(StrEnum):
    """What a tone says, and the name by which it is turned off."""

    HEARD = "heard"  # somebody fell silent, and what was said is being worked out
    TAKEN = "taken"  # it was understood; what follows from it comes next
    MISSED = "missed"  # it was not understood
    LISTENING = "listening"  # we have finished, and an answer is waited for
    COUNTING = "counting"  # one of the last three seconds before something begins or a wait is over
    STOPPED = "stopped"  # stop or pause was obeyed


def _notes(*hz: float, seconds: float, gap_s: float, level: float) -> tuple[Utterance, ...]:
    parts: list[Utterance] = []
    for each in hz:
        parts += [Tone(hz=each, seconds=seconds, level=level), Pause(seconds=gap_s)]
    return tuple(parts[:-1])


TONES: Mapping[Signal, tuple[Utterance, ...]] = MappingProxyType(
    {
        Signal.HEARD: _notes(740.0, seconds=0.05, gap_s=0.0, level=0.15),
        Signal.TAKEN: _notes(784.0, 1175.0, seconds=0.05, gap_s=0.02, level=0.3),
        Signal.MISSED: _notes(660.0, 495.0, seconds=0.06, gap_s=0.04, level=0.4),
        Signal.LISTENING: _notes(1047.0, seconds=0.07, gap_s=0.0, level=0.2),
        Signal.COUNTING: _notes(1397.0, seconds=0.06, gap_s=0.0, level=0.3),
        Signal.STOPPED: _notes(587.0, 587.0, 587.0, seconds=0.05, gap_s=0.05, level=0.5),
    }
)
"""Levels are shares of the loudest tone. Source of notes and levels: judgement; `hoodside bench tones` measures whether
they are told from each other and from a shop's noise."""
