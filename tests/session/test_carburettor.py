"""A carburettor that is told is asked for no engine computer, no injectors and no pump that primes."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Library
from assistant.procedure.condition import Condition
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.session.led_jobs import lead_to_the_end
from tests.session.room import Room

NEVER = {
    *(("no-start", step) for step in ("reader", "codes", "speed", "values", "listen", "prime")),
    *(("injector-pulse", "system"), ("fuel-pressure", "gauge"), ("fuel-pressure", "system")),
}


def _asked(room: Room) -> set[tuple[str | None, str | None]]:
    return {(fact.procedure, fact.step) for fact in room.facts if fact.kind is FactKind.INSTRUCTION_SPOKEN}


@pytest.mark.parametrize("told_in", ["no-start/complaint", "vehicle-facts/fuel"])
@pytest.mark.parametrize("dry", [False, True])
def test_what_it_lacks_is_not_asked_for(library: Library, reasoner: Reasoner, told_in: str, dry: bool) -> None:
    """Told with the complaint or among the facts of the car; and what is wrong with it is found all the same."""
    car = {
        "no-start/complaint": "it cranks but will not start",
        "vehicle-facts/fuel": "petrol, four cylinders, a distributor, ordinary car",
        "fuel-pressure/carb-look": "dry as dust" if dry else "fuel squirts in",
    }
    dead = {"spark-check-distributor/plug-crank": "no spark", "spark-check-distributor/second-crank": "no spark"}
    car |= {} if dry else dead
    car[told_in] += ", it has a carburettor"
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead_to_the_end(room, library, car)
    assert Condition.NO_COMPUTER in room.conversation.state.bay.conditions
    assert not _asked(room) & NEVER
    found = [fact for fact in room.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert found.data["fault"] == "rotor-cap" or dry
