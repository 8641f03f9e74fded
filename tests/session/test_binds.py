"""An engine that is told to bind by hand is led to what holds it: belt, plugs, an end, and never to the key."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Library
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.session.led_jobs import lead_to_the_end
from tests.session.room import Room


@pytest.mark.parametrize(
    ("belt", "plugs", "found"),
    [
        ("belt held it", "", "seized-accessory"),
        ("still stuck", "water came out", "engine-stuck"),
        ("still stuck", "still stuck", "engine-stuck"),
    ],
)
def test_it_is_led_to_what_holds_it(library: Library, reasoner: Reasoner, belt: str, plugs: str, found: str) -> None:
    """It was led to the fault codes, and "ready" turned the starter."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    told = "it stopped with a bang and it won't turn over by hand"
    lead_to_the_end(room, library, {"no-start/complaint": told, "engine-binds/belt": belt, "engine-binds/plugs": plugs})
    reached = [fact for fact in room.facts if fact.kind is FactKind.FINDING_REACHED]
    assert [fact.data["fault"] for fact in reached] == [found]
    assert not any(fact.kind is FactKind.BURST_BEGUN for fact in room.facts)
    asked = [fact.step for fact in room.facts if fact.kind is FactKind.INSTRUCTION_SPOKEN]
    assert "reader" not in asked and "prime" not in asked
