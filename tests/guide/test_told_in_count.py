"""What is told while the starter is counted in, of fire, and of a car that may roll: it stops, and is not forgotten."""

from __future__ import annotations

import pytest

from assistant.bay import folded
from assistant.facts import FactKind
from assistant.guide import Mode, advance, begin
from assistant.language.model import Acknowledge, Control, GiveControl, GiveResult
from assistant.procedure.condition import C
from assistant.wiring import load_libraries, shipped_procedures
from tests.guide.job import TO_CRANK, Job
from tests.guide.led import Led


@pytest.mark.parametrize(
    ("words", "so"),
    [
        ("there is a fuel leak", C.LEAK),
        ("it smells of fuel", C.LEAK),
        ("the jump pack is still on", C.PACK_ON),
        ("I sprayed some starting fluid", C.CAN_OUT),
        ("it's on fire", C.BURNED),
        ("the car moved", C.CAN_ROLL),
    ],
)
def test_a_danger_told_in_the_count_stops_it_and_stays_known(words, so):
    """It was cut to a bare stop, and the next count led to the same burst."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", words)
    assert job.state.mode is Mode.HELD and "Release the key." in job.said
    assert so in job.state.bay.conditions
    assert [fact.kind for fact in job.facts].count(FactKind.BURST_ENDED) == 0


@pytest.mark.parametrize("words", ["fire", "the car moved", "there's a fuel leak"])
def test_no_starter_turns_before_it_is_put_right(words):
    """After the word to go on it is asked first, by its own phrase."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", words, "resume")
    asked = job.state.mode
    assert asked in (Mode.CAUTIONING, Mode.GATING) and ("must not turn" in job.said or "comes first" in job.said)
    for plea in ("area is clear", "yes", "ready", "done"):
        job.say(plea)
        assert job.state.mode is asked


@pytest.mark.parametrize("words", ["there is smoke", "it's on fire", "the wiring is melting"])
def test_fire_is_answered_by_what_to_do_before_anything_else(words):
    """It was only told to say resume: key off and away first, then the extinguisher and help."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", words)
    first, *rest = job.said.split(". ")
    assert (first, rest[0]) == ("Danger", "Key off, and step back")
    told = [job.said.index(each) for each in ("only if that is safe", "extinguisher", "call for help", "resume")]
    assert told == sorted(told)
    assert "extinguisher" in job.say("smoke from under the dash").said
    assert "extinguisher" not in Job(*TO_CRANK, "area is clear", "the car moved").said


@pytest.mark.parametrize("words", ["wait", "not yet", "somebody is under the car", "let me put the phone away"])
def test_whatever_is_not_understood_ends_the_count(words):
    """It may have been a wait in other words; one more ready is all that it costs."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", words)
    assert job.state.mode is Mode.HELD and "Release the key." in job.said


def test_going_back_over_the_chocks_opens_what_they_settled():
    """The plan may lead elsewhere before they are asked again: no starter turns then."""
    _, library = load_libraries(shipped_procedures())
    turn = begin(library, "safety-setup", "k", "job", {})
    facts = list(turn.facts)

    def go(command):
        nonlocal turn
        turn = advance(library, turn.state, command, turn.state.at_s)
        assert not turn.refused
        facts.extend(turn.facts)

    go(GiveControl(control=Control.DONE))
    go(GiveResult(result="safe", words="place is safe"))
    go(GiveControl(control=Control.YES))
    for words in ("nothing can roll", "it is in park", "brake is set", "wheels are blocked"):
        go(Acknowledge(words=words))
    assert C.CAN_ROLL not in turn.state.bay.conditions
    go(GiveControl(control=Control.DONE))
    go(GiveControl(control=Control.GO_BACK))
    assert C.CAN_ROLL in turn.state.bay.conditions and folded(facts) == turn.state.bay
    for words in ("nothing can roll", "it is in park", "brake is set", "wheels are blocked"):
        go(Acknowledge(words=words))
    assert C.CAN_ROLL not in turn.state.bay.conditions


@pytest.mark.parametrize("words", ["I have a pacemaker", "the customer's got a heart implant"])
def test_a_pacemaker_is_answered_by_what_to_keep_away_from(words):
    """It was once taken for a lamp that nobody saw. In a count it ends the count; nothing of it is kept."""
    job = Job("done", words)
    assert job.said.startswith("Warning. ") and "jump pack" in job.said and "Ask your doctor" in job.said
    assert "Leave the spark tests to somebody else." in job.said and not job.kinds
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", words)
    assert job.state.mode is Mode.HELD and job.said.startswith("Release the key. Warning. ")
    assert "Ask your doctor" not in Job("done", "nobody has a pacemaker").said


def test_where_the_step_asks_for_it_a_pacemaker_is_an_answer():
    """Whoever has one leaves the spark test out there."""
    _, library = load_libraries(shipped_procedures())
    job = Led(library, "spark-check", {}).until("choice", mode=Mode.ASKING)
    assert "Ask your doctor" not in job.say("no i've got a pacemaker").words
