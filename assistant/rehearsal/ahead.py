"""How much the made-up technician will say, found by a rehearsal without sound in which everything is understood."""

from __future__ import annotations

from assistant.guide import Library, Mode, advance, begin, expected, next_deadline
from assistant.language.model import Command, Heard, TimePassed, Unclear
from assistant.language.understand import understand
from assistant.rehearsal.cars import MadeUpCar
from assistant.rehearsal.play import LONGEST
from assistant.rehearsal.technician import Technician
from assistant.session.adviser import Adviser


def things_to_say(library: Library, procedure: str, car: MadeUpCar, adviser: Adviser | None = None) -> int:
    """How many things are said in that job, if none has to be said twice. `adviser`: needed where a plan leads."""
    turn = begin(library, procedure, "ahead", car.name, car.vehicle, leads=car.led and adviser is not None)
    technician = Technician(car, library)
    said, state = 0, turn.state
    for _ in range(LONGEST):
        if state.mode is Mode.ENDED:
            break
        words = technician.answer(state)
        due_s = next_deadline(state)
        if words is not None:
            said += 1
            meant: Command | Unclear = understand(Heard(words=words, confidence=1.0), expected(library, state))
            at_s = state.at_s
        elif due_s is not None:
            meant, at_s = TimePassed(), due_s
        else:
            break
        turn = advance(library, state, meant, at_s, choose=adviser.leader if adviser else None)
        state = (adviser.think_over(turn, meant) if adviser else turn).state
    return said
