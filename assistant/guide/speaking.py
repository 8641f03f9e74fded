"""The commands about our own voice: how loud, how fast, how much."""

from __future__ import annotations

from collections.abc import Callable

from assistant.facts import FactKind
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
        making.note(FactKind.VOICE_SET, {"volume": volume, "rate_wpm": rate})
        making.say(said)

    return change


def speak(manner: Manner, said: str) -> Callable[[Making], None]:
    """In that manner from now on."""

    def change(making: Making) -> None:
        state = making.state
        told = {"volume": state.volume, "rate_wpm": state.rate_wpm, "manner": manner.value}
        making.note(FactKind.VOICE_SET, told)
        making.say(said)

    return change
