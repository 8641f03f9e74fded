"""What is named after a silence of six seconds, to whom we speak briefly."""

import pytest

from assistant.guide import Mode
from assistant.language.manner import Manner
from tests.session.live_shop import Shop
from tests.session.room import Room

OPENING = ("be brief", "done", "it cranks but it will not start", "nothing changed", "dead next morning")


def test_the_answers_are_named_once_after_six_seconds(library):
    """Not before, not twice for one question, and nothing moves by it."""
    room = Room(library)
    room.type(*OPENING)
    assert [line["said"] for line in room.type("@wait 5")] == [[]]
    before = room.conversation.state
    named = room.type("@wait 7")[-1]
    assert named["said"] == ["Say petrol, diesel, petrol and gas, propane or i don't know."]
    assert named["facts"] == []
    assert room.conversation.state == before
    assert room.type("@wait 60")[-1]["said"] == []


def test_in_full_they_were_named_already(library):
    """Nothing is said twice."""
    room = Room(library)
    room.type("done", "it cranks but it will not start", "nothing changed", "dead next morning")
    assert room.type("@wait 60")[-1]["said"] == []


def test_whoever_works_is_left_alone(library):
    """At a step that is done with both hands nothing is named once it is known that done ends it."""
    room = Room(library)
    room.type(*OPENING, "petrol", "yes", "ordinary car", "yes", "four cylinders", "coil on plug")
    assert room.conversation.state.at.step == "dress"
    assert room.type("@wait 30")[-1]["said"] == []


@pytest.mark.parametrize("seconds", [5.0, 8.0])
def test_live_the_silence_is_that_of_both(library, seconds):
    """It begins when our voice ends, and anew with whatever is heard."""
    shop = Shop(library)
    shop.lead_to(Mode.ASKING, "be brief", "done", "it cranks but it will not start")
    assert shop.conversation.state.manner is Manner.BRIEF
    shop.fall_silent()
    before = len(shop.sentences)
    shop.pass_blocks(round(seconds * 10))
    assert (len(shop.sentences) > before) == (seconds > 6)
