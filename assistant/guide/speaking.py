"""The commands about our own voice: how loud, how fast, how much, with which tones."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from assistant.facts import VoiceSet
from assistant.guide.turn import Making
from assistant.language.manner import Manner

VOLUME_STEP = 0.15
RATE_STEP_WPM = 20
LEAST_VOLUME, MOST_VOLUME = 0.2, 1.0
LEAST_RATE_WPM, MOST_RATE_WPM = 105, 245


def voice(louder: float, faster: int, said: str) -> Callable[[Making], None]:
    """Louder or faster by so much, within bounds."""

    def change(making: Making) -> None:
        state = making.state
        volume = round(min(MOST_VOLUME, max(LEAST_VOLUME, state.volume + louder)), 2)
        rate = min(MOST_RATE_WPM, max(LEAST_RATE_WPM, state.rate_wpm + faster))
        _set(making, said, VoiceSet(volume=volume, rate_wpm=rate))

    return change


def speak(manner: Manner, said: str) -> Callable[[Making], None]:
    """In that manner from now on."""
    return lambda making: _set(making, said, replace(_as_now(making), manner=manner))


def sound_tones(wanted: bool, said: str) -> Callable[[Making], None]:
    """With the tones that stand for words, or without."""
    return lambda making: _set(making, said, replace(_as_now(making), tones=wanted))


def speak_as_before(making: Making, wished: Mapping[str, Any] | None) -> None:
    """As loud as this speaker was wished last, and with tones or without; a fact only where that changes anything."""
    now = replace(_as_now(making), tones=making.state.tones)
    then = replace(now, **(wished or {}))
    if then != now:
        making.note(then)


def _as_now(making: Making) -> VoiceSet:
    return VoiceSet(volume=making.state.volume, rate_wpm=making.state.rate_wpm)


def _set(making: Making, said: str, told: VoiceSet) -> None:
    making.note(told)
    making.say(said)
