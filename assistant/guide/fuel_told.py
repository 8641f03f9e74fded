"""The fuel of the car, told after the complaint: "filled it up with diesel" means the wrong one only then."""

from __future__ import annotations

from assistant.english import sayings
from assistant.facts import TestTold
from assistant.guide.other_fuel import FUEL
from assistant.guide.turn import Making
from assistant.language.dangers import WRONG_FUEL, tells_the_wrong_fuel
from assistant.language.out_of_turn import CAR_AND_BAY
from assistant.procedure.condition import Condition


def weigh_fuel(making: Making, fact: str | None, value: str) -> None:
    """Keep the wrong fuel where this fact of the car, about to be kept, makes that of what the complaint told."""
    state = making.state
    if fact != FUEL or Condition.WRONG_FUEL in state.bay.conditions:
        return
    told = (kept.words for kept in state.strikable if kept.kind == "words")
    if any(tells_the_wrong_fuel(words, value) for words in told):
        so = str(Condition.WRONG_FUEL)
        making.note_of_job(TestTold(test=CAR_AND_BAY, result=so, words=WRONG_FUEL, makes=(so,)))
        making.say(sayings.WRONG_FUEL, "caution")
