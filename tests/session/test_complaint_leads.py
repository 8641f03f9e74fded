"""What the complaint tells comes first: starts and dies, drains, is not charged, turns slowly or not.

Behind intake and safety, and behind the question for the wrong fuel, which no engine may run on. The cars are our own
invention; the order is common practice, no source.
"""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Library, fold
from assistant.language.complaints import told_in
from assistant.procedure.condition import C
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from assistant.wiring import load_library
from tests.session.dialogue_player import Leader
from tests.session.led_jobs import USUAL
from tests.session.room import Room

DIES = (
    "it starts and dies", "it runs a second then quits", "fires up then cuts out", "starts but won't stay running",
    "cuts out right after starting", "it won't keep running",
)  # fmt: skip
DRAINS = ("battery keeps going flat overnight", "battery flat every morning", "something's draining the battery")
UNCHARGED = (
    "battery light is on while driving",
    "the alternator isn't charging",
    "charge light comes on when I rev it",
)


def begun(library: Library, reasoner: Reasoner, complaint: str) -> tuple[Room, Leader]:
    """A job of a usual car with this complaint, up to the safe car."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    leader = Leader(room, library, USUAL | {"no-start/complaint": complaint})
    while not any(fact.kind is FactKind.RESULT_LOGGED and fact.step == "safety" for fact in room.facts):
        leader.next_line()
    return room, leader


def asked(room: Room) -> list[str]:
    """The steps that were answered behind the safe car."""
    told = (FactKind.RESULT_LOGGED, FactKind.READING_LOGGED, FactKind.INSTRUCTION_SPOKEN)
    steps = [f"{fact.procedure}/{fact.step}" for fact in room.facts if fact.kind in told]
    said = [each for each in dict.fromkeys(steps)]
    return said[said.index("no-start/safety") + 1 :]


@pytest.mark.parametrize("words", DIES)
def test_what_starts_and_dies_is_seen_to_die_first(library: Library, reasoner: Reasoner, words: str) -> None:
    """It went through lamp, wires, battery and starter before."""
    room, leader = begun(library, reasoner, words)
    leader.until("starts-then-dies/how")
    assert asked(room) in (["no-start/fuel-level"], ["no-start/fuel-level", "starts-then-dies/how"])
    state = room.conversation.state
    assert C.CAN_ROLL not in state.bay.conditions and fold(library, room.facts) == state
    assert any(fact.kind is FactKind.CAUTION_SPOKEN for fact in room.facts)


@pytest.mark.parametrize(
    ("words", "first"),
    [(words, "parasitic-draw/sleep") for words in DRAINS] + [(words, "charging/belt") for words in UNCHARGED],
)
def test_a_battery_that_goes_flat_is_looked_into_at_once(
    library: Library, reasoner: Reasoner, words: str, first: str
) -> None:
    """It cranked a car that starts, and looked at its fuel."""
    room, _ = begun(library, reasoner, words)
    state = room.conversation.state
    assert f"{state.at.procedure}/{state.at.step}" == first
    assert "By the complaint" in " ".join(room.trace[-1]["said"])
    assert fold(library, room.facts) == state


@pytest.mark.parametrize("words", ["slow to crank", "it just clicks"])
def test_what_turns_badly_is_tested_at_battery_and_starter_first(
    library: Library, reasoner: Reasoner, words: str
) -> None:
    """Spark and codes come later; where it only clicks the pump does, too."""
    room, leader = begun(library, reasoner, words)
    leader.until("cranking-check/turn")
    blocks = {each.partition("/")[0] for each in asked(room)}
    assert blocks <= {"no-start", "battery-state", "cranking-check"}
    later = {"no-start/reader", "no-start/visual"} | ({"no-start/prime"} if "clicks" in words else set())
    assert not later & set(asked(room))


@pytest.mark.parametrize(
    "words",
    [
        "it started fine this morning then died on the motorway",
        "it runs fine then dies when hot",
        "battery light came on and now it won't start",
        "wont start in the morning, battery dead overnight",
        "I put a new battery in it",
        "the engine light is on",
        "it starts and runs fine",
        "the starter starts and then stops",
    ],
)
def test_what_is_another_complaint_leads_nowhere(words: str) -> None:
    """What does not start has to be led to start, and what dies hot or under way is told by that."""
    assert not {"dies", "drains", "uncharged"} & set(told_in(words))


def test_what_may_be_gone_to_is_at_hand_in_a_real_job() -> None:
    """The charging check was offered after the repair of a flat battery, but no job had it at hand."""
    assert {"charging", "parasitic-draw"} <= load_library("no-start")[1].keys()
