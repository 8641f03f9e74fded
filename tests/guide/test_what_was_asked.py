"""What was asked of the starter when a burst is heard, and what is refused or released while it must not turn."""

from dataclasses import replace

import pytest

from assistant.bay import Bay, Mark
from assistant.facts import FactKind
from assistant.guide import Mode, burst_place
from assistant.guide.state import Frame, Position
from assistant.guide.timing import Place, end_by_word
from assistant.guide.turn import Making, Refused
from assistant.language.model import BurstDropped, BurstHeard, BurstSound, BurstStarted
from assistant.procedure.condition import Condition
from assistant.procedure.model import Hazard
from tests.guide.job import LIBRARY, TO_CRANK, Job

POISED = (*TO_CRANK, "area is clear", "brake is set")
KEY_ON = Bay(marks=(Mark(condition=Condition.KEY_ON, at_s=0.0, fact="f"),))
KEY_OFF = Bay(marks=())


def place(state, start_s=100.0, end_s=104.0, library=LIBRARY):
    """What was asked when that burst was heard."""
    return burst_place(library, state, start_s, end_s)


def test_a_burst_that_is_waited_for_or_timed_was_asked_for():
    """Poised it is waited for; asked for while it is counted, and the one that the tones timed; its rest too, which the
    ear heard apart."""
    job = Job(*POISED)
    assert place(job.state) is Place.AWAITED
    job.say("ready")
    assert place(job.state) is Place.ASKED
    job.wait(12.0)
    burst = job.state.burst
    assert job.state.mode is Mode.ASKING and place(job.state, burst.start_s + 0.3, burst.end_s) is Place.ASKED
    assert place(job.state, burst.end_s + 0.9, burst.end_s + 3.0) is Place.ASKED
    assert place(job.state, burst.end_s + 1.1, burst.end_s + 3.0) is not Place.ASKED
    assert place(job.state, burst.start_s - 4.0, burst.start_s - 0.1) is not Place.ASKED


def test_where_nothing_is_asked_the_key_tells_whether_it_can_be_the_starter():
    """With the key on it may be; with the key off it is a tool or music."""
    state = Job("done").state
    assert place(replace(state, bay=KEY_ON)) is Place.UNASKED
    assert place(replace(state, bay=KEY_OFF)) is Place.KEY_OFF


def test_a_step_that_says_to_turn_it_without_a_count_has_told_it():
    """Once its instruction was spoken, and only while it waits for its end."""
    (small,) = LIBRARY.values()
    steps = tuple(
        replace(each, hazards=frozenset({Hazard.CRANKING})) if each.id == "first" else each for each in small.steps
    )
    library = {"small": replace(small, steps=steps)}
    state = replace(Job().state, instructed=True, bay=KEY_ON)
    assert place(state, library=library) is Place.TOLD
    assert place(replace(state, instructed=False), library=library) is Place.UNASKED
    assert place(replace(state, mode=Mode.HELD), library=library) is Place.UNASKED
    assert place(state) is Place.UNASKED


def test_what_was_taken_for_the_starter_and_was_none_is_listened_for_anew():
    """Only what the ear timed; a drop at any other time changes nothing."""
    job = Job(*POISED)
    assert job.act(BurstDropped()).kinds == []
    job.act(BurstStarted())
    assert job.act(BurstDropped()).kinds == [FactKind.BURST_DROPPED]
    assert job.state.mode is Mode.TIMING and not job.state.timed.begun


def test_a_starter_that_turns_before_it_has_rested_is_stopped_at_once():
    """Though the step waits for it: the key is to be let go, and the rest begins."""
    job = Job(*POISED)
    tired = replace(job.state.duty, cranked_s=10.0, ended_s=job.state.at_s)
    job.state = replace(job.state, duty=tired)
    job.act(BurstStarted())
    assert job.said.startswith("Release the key.")
    assert job.state.mode is Mode.RESTING
    assert FactKind.BURST_BEGUN not in job.kinds


def test_ready_before_the_starter_has_rested_begins_its_rest():
    """And no count."""
    job = Job(*POISED)
    job.state = replace(job.state, duty=replace(job.state.duty, cranked_s=10.0, ended_s=job.state.at_s))
    job.say("ready")
    assert job.state.mode is Mode.RESTING and FactKind.READY_GIVEN not in job.kinds


def test_a_result_does_not_end_a_spray():
    """Only stop does: a word for the engine is none for the nozzle."""
    job = Job(*POISED, "ready").wait(8.0)
    end_by_word(Making(LIBRARY, Job(*TO_CRANK).state, 0.0))
    spray = replace(job.state, timed=replace(job.state.timed, action="spray"))
    with pytest.raises(Refused, match="Say stop to end it"):
        end_by_word(Making(LIBRARY, spray, job.at_s))


def test_what_the_ear_keeps_of_the_sound_stays_with_the_burst():
    """As lists, so that a journal can hold it; a burst without sound says nothing of it."""
    sound = BurstSound(before_s=1.0, step_s=0.1, loud_db=(-60.0, -30.0), speed_at_s=(0.5,), pulses_hz=(6.2,))
    for heard in (sound, None):
        job = Job(*POISED)
        job.at_s = 20.0
        job.act(BurstHeard(seconds=3.0, rpm=190.0, caught=False, sound=heard, uneven=0.312 if heard else None))
        (burst,) = (fact for fact in job.facts if fact.kind is FactKind.BURST_ENDED)
        assert ("sound" in burst.data) == ("uneven" in burst.data) == (heard is not None)
        if heard is not None:
            assert burst.data["sound"]["loud_db"] == [-60.0, -30.0] and burst.data["uneven"] == 0.31


def test_a_second_walk_to_the_starter_is_told_in_few_words_to_who_knows():
    """In brief the first says what begins at the tone, the next only how long there is."""
    first = Job(*POISED, "be brief", "ready")
    assert "Four seconds. Begin at the tone." in first.said
    next_one = Job(*POISED, "be brief")
    duty = replace(next_one.state.duty, cranked_s=1.0, ended_s=0.0)
    next_one.state = replace(next_one.state, duty=duty)
    next_one.say("ready")
    assert "Four seconds." in next_one.said and "tone" not in next_one.said


def test_a_place_is_kept_when_a_frame_is_elsewhere():
    """A step of another kind in the same mode was not asked for by the crank step."""
    job = Job(*POISED)
    moved = replace(job.state, position=Position(at=Frame(procedure="small", step="look")), bay=KEY_OFF)
    assert place(moved) is Place.KEY_OFF
