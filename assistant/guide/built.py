"""How the car is built, told beside something else: what it lacks is not tested."""

from __future__ import annotations

from assistant.english import sayings
from assistant.facts import TestTold
from assistant.guide.turn import Making
from assistant.language.carburettor import CARBURETTOR, FUEL_SYSTEM, HAS_CARBURETTOR, tells_a_carburettor
from assistant.procedure.condition import Condition


def note_carburettor(making: Making, words: str) -> None:
    """Keep that it has a carburettor where these words say so, as a test that was told, and say what is left out."""
    so = Condition.NO_COMPUTER
    if so in making.state.bay.conditions or not tells_a_carburettor(words):
        return
    told = TestTold(test=FUEL_SYSTEM, result=HAS_CARBURETTOR, words=CARBURETTOR, makes=(str(so),))
    making.note_of_job(told)
    making.say(sayings.NO_COMPUTER)
