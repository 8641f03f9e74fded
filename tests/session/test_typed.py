"""Typed lines: what is said, what the world does, and time that never sleeps."""

import io
import json

import pytest

from assistant.facts import FactKind
from assistant.guide import begin
from assistant.session.trace import Trace
from assistant.session.typed import LONGEST_LINE, lines_of
from assistant.session.world import Crank, NotUnderstood, Wait, WorldLine, parse_world
from tests.session.live_shop import TO_THE_CRANK
from tests.session.room import Room

FIELDS = ["at_s", "heard", "command", "mode", "procedure", "step", "said", "facts", "can_say"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("@wait 12.5", Wait(seconds=12.5)),
        ("@unclear", NotUnderstood()),
    ],
)
def test_understands_lines_of_the_world(line, expected):
    """Waits and unclear speech."""
    assert parse_world(line) == expected


def test_understands_a_burst():
    """All that the ear would tell, each part optional but the seconds."""
    crank = parse_world("@crank 6.2 rpm=190 caught=yes run_s=1.8")
    assert isinstance(crank, Crank)
    burst = crank.burst
    assert (burst.seconds, burst.rpm, burst.caught, burst.run_s) == (6.2, 190.0, True, 1.8)
    plain = parse_world("@crank 3")
    assert isinstance(plain, Crank)
    assert (plain.burst.rpm, plain.burst.caught) == (None, None)


@pytest.mark.parametrize(
    "line",
    ["@", "@wait", "@wait x", "@wait -1", "@wait nan", "@wait inf", "@wait 1 2", "@crank", "@crank 0", "@crank 5 rpm=x",
     "@crank 5 caught=maybe", "@crank 5 color=red", "@unclear now", "@sleep 3", "@wait 1e99", "@" + "x" * 10_000],
)  # fmt: skip
def test_a_bad_line_of_the_world_is_one_clear_sentence_and_the_session_goes_on(library, line):
    """The sentence says what is known; nothing changes; the next line is taken."""
    with pytest.raises(WorldLine) as reason:
        parse_world(line)
    assert len(str(reason.value)) < 250
    room = Room(library)
    turns = room.type(line, "done")
    assert turns[0]["said"] == [str(reason.value)]
    assert turns[0]["facts"] == []
    assert turns[1]["step"] == "complaint"


def test_the_trace_is_as_agreed(library):
    """One JSON line a turn, the opening first with nothing heard; facts carry ids that are unique."""
    room = Room(library)
    room.type("done", "it will not start", "@wait 5", "@unclear")
    lines = room.trace
    assert [list(line) for line in lines] == [FIELDS] * 5
    assert [line["heard"] for line in lines] == [None, "done", "it will not start", None, None]
    assert [line["command"] for line in lines] == [None, "done", "words", "time passed", "unclear: not-heard"]
    assert lines[3]["at_s"] == 5.0
    ids = [fact["id"] for line in lines for fact in line["facts"]]
    assert len(ids) == len(set(ids)) == len(room.facts)
    assert lines[0]["facts"][0]["kind"] == "job-started"


def test_deadlines_fall_due_in_their_order_during_a_wait(library):
    """A long wait gives a turn for each thing that happens in it, at its own time."""
    room = Room(library, "cranking-check")
    room.type(*TO_THE_CRANK, "ready")
    turns = room.type("@wait 60")
    assert [turn["at_s"] for turn in turns] == [11.0, 16.0]
    assert [fact["kind"] for turn in turns for fact in turn["facts"]] == ["burst-begun", "burst-ended"]


def test_every_phrase_that_can_be_said_is_taken_as_it_stands(library):
    """Each listed phrase, sent back, is understood."""
    room = Room(library)
    for phrase in room.trace[0]["can_say"]:
        turn = Room(library).type(phrase)[0]
        assert not turn["command"].startswith("unclear"), phrase


def test_long_lines_are_cut_and_the_next_line_is_whole():
    """No line can fill the memory."""
    stream = io.StringIO("x" * 100_000 + "\nshort\nlast without an end")
    lines = list(lines_of(stream))
    assert [len(line) for line in lines] == [LONGEST_LINE, 6, 19]


def test_a_huge_note_is_cut(library):
    """What is dictated is kept to two thousand characters."""
    room = Room(library)
    room.type("note", "word " * 3_000)
    note = room.facts[-1]
    assert len(note.data["words"]) <= 2_000


def test_blank_lines_are_nothing(library):
    """They make no turn."""
    assert Room(library).type("", "   ", "\t") == []


def test_the_trace_is_flushed_line_by_line(library):
    """Whoever reads along sees a turn as soon as its facts are durable."""

    class Counting(io.StringIO):
        flushed = 0

        def flush(self):
            self.flushed += 1
            assert json.loads(self.getvalue().splitlines()[-1])

    lines = Counting()
    turn = begin(library, "no-start", "k", "job", {})
    Trace(lines).write(turn, heard=None, command=None, at_s=0.0, can_say=())
    assert lines.flushed == 1


PACED = {
    "fuel": "petrol",
    "glow-plugs-or-intake-heater": "no",
    "hybrid": "no",
    "throttle-by-wire": "no",
    "remote-starter": "yes",
}
TO_THE_SWITCH = ("both allow it", "yes", "dry and cool", "yes", "turn key", "yes", "done")
SWITCH_GATES = {
    "selector-checked": "it is in park",
    "brake-set": "brake is set",
    "wheels-chocked": "wheels are blocked",
    "exhaust-cool": "exhaust is cool",
    "tool-off": "tester is off",
    "duct-closed": "duct is closed",
    "prop-out": "prop is out",
    "hands-clear": "hands are clear",
}


def test_a_remote_switch_waits_for_the_starters_rest_and_its_gates(library):
    """No rest is jumped by a switch that nobody times; each gate is a fact; the asked-for burst is no mishap."""
    room = Room(library, "fuel-substitute-paced", PACED)
    resting = room.type("@crank 10.5 rpm=190 caught=no", *TO_THE_SWITCH)[-1]
    assert resting["mode"] == "resting"
    assert "The starter must rest for two minutes. Do not crank." in resting["said"]
    cautions = ("no flame near", "standing well clear", "doors are open", "doors are open", "short bursts only")
    room.type("@wait 120", *cautions)
    for words in SWITCH_GATES.values():
        assert [turn["mode"] for turn in room.type("ready")] == ["gating"]
        room.type(words)
    passed = [fact for fact in room.facts if fact.kind is FactKind.GATE_PASSED]
    assert {fact.data["gate"]: fact.data["words"] for fact in passed} == SWITCH_GATES
    turns = room.type("@crank 1.5 caught=yes run_s=1")
    assert {turn["mode"] for turn in turns} == {"poised"}
    assert not any("I hear the starter" in each for turn in turns for each in turn["said"])
