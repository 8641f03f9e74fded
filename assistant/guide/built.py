"""How the car is built, told beside something else: what it lacks is not tested, what follows from it is offered."""

from __future__ import annotations

from assistant.english import sayings
from assistant.facts import TestTold
from assistant.guide.other_fuel import HYBRID
from assistant.guide.state import State
from assistant.guide.turn import Making
from assistant.language.carburettor import CARBURETTOR, FUEL_SYSTEM, HAS_CARBURETTOR, pump_told, tells_a_carburettor
from assistant.language.model import Expected, FactTold, GiveFacts
from assistant.language.out_of_turn import of_a_carburettor
from assistant.procedure.condition import Condition
from assistant.procedure.model import Result, Step


def note_carburettor(making: Making, words: str) -> None:
    """Keep that it has a carburettor where these words say so, as a test that was told, and say what is left out."""
    if Condition.NO_COMPUTER in making.state.bay.conditions or not tells_a_carburettor(words):
        return
    makes = of_a_carburettor(words)
    making.note_of_job(TestTold(test=FUEL_SYSTEM, result=HAS_CARBURETTOR, words=CARBURETTOR, makes=makes))
    making.say(sayings.NO_COMPUTER)
    making.say("" if pump_told(words) else sayings.NO_PUMP)


def built_so(step: Step, state: State) -> Result | None:
    """What a carburettor answers to whether it is a hybrid: offered, since high voltage is nothing to conclude."""
    if step.vehicle != HYBRID or Condition.NO_COMPUTER not in state.bay.conditions:
        return None
    return next((each for each in step.results if each.id == "no"), None)


def with_what_follows(given: GiveFacts, now: Expected, state: State) -> tuple[FactTold, ...]:
    """The facts of the car as they are read back: of one with a carburettor, that it is an ordinary car as well."""
    told = given.facts
    asked = next((each for each in now.several if each.fact == HYBRID and "no" in each.results), None)
    known = asked is None or any(each.fact == HYBRID for each in told)
    if known or asked is None or Condition.NO_COMPUTER not in state.bay.conditions:
        return told
    return (*told, FactTold(fact=HYBRID, value="no", words=asked.results["no"][0]))
