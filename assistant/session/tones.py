"""Which tone is due: when we have finished speaking, when somebody falls silent, and in the last seconds of a count."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.guide import Mode, State, next_deadline
from assistant.language.signals import TONES, Signal
from assistant.language.speech import Utterance

COUNTED = (3, 2, 1)
"""Seconds before the end of a count at which each tone falls."""

ANSWERED = frozenset(
    {
        Mode.CAUTIONING,
        Mode.GATING,
        Mode.POISED,
        Mode.ASKING,
        Mode.CONFIRMING,
        Mode.EXPLAINING,
        Mode.EXCUSING,
        Mode.PUTTING_BACK,
        Mode.NOTING,
        Mode.ENDING,
        Mode.STRIKING,
        Mode.CLOSING,
    }
)
"""Modes in which words are waited for; in the others a word is possible, and silence is meant."""


class Tones:
    """The tones that are wanted. `on`: whether any is, by voice; what was left out from the beginning stays out."""

    def __init__(self, without: frozenset[Signal] = frozenset()) -> None:
        self._without = without
        self.on = True

    def of(self, signal: Signal) -> Sequence[Utterance]:
        """What is to be sounded; nothing where it is not wanted."""
        return TONES[signal] if self.on and signal not in self._without else ()


def counts(state: State, from_s: float, to_s: float) -> bool:
    """Whether one of the last seconds of a count lies after `from_s` and not after `to_s`.

    Counted is what begins by the clock alone, a rest and a wait. While an action goes on nothing but its own tones
    sounds, and an ear that waits for the starter is not talked into.
    """
    timed, end_s = state.timed, next_deadline(state)
    begins = state.mode is Mode.TIMING and timed is not None and not timed.begun and timed.by == "tones"
    if end_s is None or not (begins or state.mode in (Mode.RESTING, Mode.WAITING)):
        return False
    return any(from_s < end_s - left_s <= to_s for left_s in COUNTED)
