"""How much the made-up technician will say, found by a rehearsal without sound in which everything is understood."""

from __future__ import annotations

from assistant.guide import Library, Mode, advance, begin, expected, next_deadline
from assistant.language.model import Heard, TimePassed
from assistant.language.understand import understand
from assistant.rehearsal.cars import MadeUpCar
from assistant.rehearsal.play import LONGEST
from assistant.rehearsal.technician import Technician


def things_to_say(library: Library, procedure: str, car: MadeUpCar) -> int:
    """How many things are said in that job, if none has to be said twice."""
    state = begin(library, procedure, "ahead", car.name, car.vehicle).state
    technician = Technician(car, library)
    said = 0
    for _ in range(LONGEST):
        if state.mode is Mode.ENDED:
            break
        words = technician.answer(state)
        if words is not None:
            said += 1
            meant = understand(Heard(words=words, confidence=1.0), expected(library, state))
            state = advance(library, state, meant, state.at_s).state
            continue
        due_s = next_deadline(state)
        if due_s is None:
            break
        state = advance(library, state, TimePassed(), due_s).state
    return said
