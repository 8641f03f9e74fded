""" "Read me the record": the record so far in short sentences; it changes nothing."""

import pytest

from assistant.record.build import build_record
from assistant.record.spoken import read_aloud
from tests.session.live_shop import TO_THE_CRANK
from tests.session.room import Room

WALK = ("done", "it cranks but will not start", "note", "coolant is low")


@pytest.mark.parametrize("words", ["read the record", "read me the record"])
def test_what_is_kept_so_far_is_read_aloud(library, words):
    """Exactly what the record says of itself, then what is listened for."""
    room = Room(library)
    room.type(*WALK)
    before = room.conversation.state
    (turn,) = room.type(words)
    record = build_record(room.journal.entries("grey-hatchback"), library)
    assert turn["said"][:-1] == list(read_aloud(record))
    assert "Note: coolant is low." in turn["said"] and "Complaint: it cranks but will not start." in turn["said"]
    assert turn["facts"] == [] and turn["command"] == "read the record"
    assert room.conversation.state == before


def test_it_may_be_asked_from_the_first_moment_and_over_any_pause(library):
    """Nothing measured yet is a record too; held, it stays held."""
    room = Room(library)
    (turn,) = room.type("read the record")
    assert turn["said"][0].startswith("Job grey hatchback")
    room.type("stop")
    (turn,) = room.type("read the record")
    assert turn["mode"] == "held" and turn["said"][-1] == "Say resume to go on."


def test_it_is_offered_where_it_may_be_asked(library):
    """Not while words are kept as they are said, nor while we count."""
    room = Room(library, "cranking-check")
    assert "read the record" in room.trace[0]["can_say"]
    room.type(*TO_THE_CRANK, "ready", "@wait 12")
    counting = room.trace[-1]
    assert counting["mode"] == "timing" and "read the record" not in counting["can_say"]
    (turn,) = room.type("read the record")
    assert turn["mode"] == "timing" and not any("Job" in said for said in turn["said"])
    noting = Room(library)
    noting.type("note")
    assert "read the record" not in noting.trace[-1]["can_say"]
    (turn,) = noting.type("read the record")
    assert turn["facts"][0]["data"]["words"] == "read the record"
