"""A carburettor that is told is asked for no engine computer, no injectors and no pump that primes."""

import pytest

from assistant.bay import Bay, Mark
from assistant.facts import FactKind
from assistant.guide import Library
from assistant.guide.places import told_by_bay
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


def test_an_electric_pump_that_is_told_is_listened_to(library: Library, reasoner: Reasoner) -> None:
    """A carburettor is mostly fed by the engine; one with an electric pump was never asked for its hum."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    told = "it cranks but will not start, it has a carburettor and an electric fuel pump"
    lead_to_the_end(room, library, {"no-start/complaint": told, "no-start/prime": "pump is silent"})
    so = room.conversation.state.bay.conditions
    assert Condition.NO_COMPUTER in so and Condition.NO_PUMP not in so
    assert ("no-start", "prime") in _asked(room) and ("no-start", "reader") not in _asked(room)
    assert ("pump-feed", "fuse") in _asked(room)


def test_whoever_tells_the_carburettor_is_told_to_say_that_the_pump_is_electric(
    library: Library, reasoner: Reasoner
) -> None:
    """Said later it counts as well; a mechanical one is not asked for."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    (turn,) = room.type("understood", "no start, it has a carburettor")[1:]
    assert "If its fuel pump is electric, say so." in " ".join(turn["said"])
    room.type("it has an electric pump")
    assert Condition.NO_PUMP not in room.conversation.state.bay.conditions
    room.type("no, the pump is mechanical")
    assert Condition.NO_PUMP in room.conversation.state.bay.conditions


@pytest.mark.parametrize("answer", ["yes", "it is a hybrid after all"])
def test_a_car_with_a_carburettor_is_not_asked_whether_it_is_a_hybrid(
    library: Library, reasoner: Reasoner, answer: str
) -> None:
    """It is offered as an ordinary car, for a yes: high voltage is nothing to be concluded."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    room.type("understood", "no start, it has a carburettor", "nothing", "yes", "just died", "yes", "petrol", "yes")
    turn = room.trace[-1]
    assert turn["said"][-1].startswith("With a carburetor: ordinary car."), turn
    assert "hybrid" not in room.conversation.state.vehicle
    room.type(answer)
    assert room.conversation.state.vehicle["hybrid"] == ("no" if answer == "yes" else "yes")


def test_told_with_the_facts_of_the_car_it_is_read_back_with_them(library: Library, reasoner: Reasoner) -> None:
    """One yes for all."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    room.type("understood", "no start", "nothing", "yes", "just died", "yes")
    (turn,) = room.type("petrol, four cylinders, a distributor, it has a carburettor")
    assert "ordinary car" in turn["said"][-1] and "hybrid" not in room.conversation.state.vehicle
    room.type("yes")
    assert room.conversation.state.vehicle["hybrid"] == "no"


def test_after_its_repair_no_codes_are_to_be_cleared(library: Library) -> None:
    """A car without an engine computer was asked for the reader in the check of its repair."""
    recheck, main = library["recheck-start"], library["no-start"]
    bay = Bay(marks=(Mark(condition=Condition.NO_COMPUTER, fact="told"),))
    for procedure, step, result in ((recheck, "clear-codes", "untested"), (main, "reader", "none")):
        told = told_by_bay(procedure.step(step), procedure, bay)
        assert told is not None and told.id == result
    assert told_by_bay(recheck.step("clear-codes"), recheck, Bay()) is None
