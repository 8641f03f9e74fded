"""Rules of the conversation about bursts of the starter, on a small made-up procedure."""

from dataclasses import replace

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, begin, fold, next_deadline, reopen
from assistant.guide.expect import expected, yes_is_free
from assistant.guide.places import duty_of
from assistant.guide.state import Frame, Position, State
from assistant.language.model import BurstCaught, BurstHeard, BurstStarted
from assistant.procedure.model import Duty, Hazard
from assistant.wiring import load_libraries, shipped_procedures
from tests.guide.job import LIBRARY, TO_CRANK, Job

CONTRADICTED = "To me it sounded like never fired. You said it started. Keep your answer? Say yes or no."


def test_a_burst_is_timed_by_tones_and_asked_about():
    """Ready, the walk, the tone, the burst, the release, then the question."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready")
    assert next_deadline(job.state) == 7.0
    job.wait(7.0)
    assert job.kinds == [FactKind.BURST_BEGUN]
    job.wait(5.0)
    assert job.kinds == [FactKind.BURST_ENDED]
    assert "Release the key." in job.said
    assert job.state.mode is Mode.ASKING
    assert job.state.duty.cranked_s == 5.0


def test_the_release_is_called_as_soon_as_the_engine_takes_over():
    """Once, long before the limit; where nothing is timed by ear it means nothing."""
    job = Job(*TO_CRANK, "area is clear", "brake is set")
    job.act(BurstCaught())
    assert job.kinds == []
    job.act(BurstStarted()).wait(1.5).act(BurstCaught())
    assert job.kinds == [FactKind.RELEASE_CALLED]
    assert "Release the key." in job.said
    job.act(BurstCaught())
    assert job.kinds == []
    job.act(BurstHeard(seconds=1.4, caught=True, run_s=4.0))
    assert job.state.duty.cranked_s == pytest.approx(1.4)


def test_after_two_bursts_of_five_seconds_the_starter_rests():
    """The second burst brings it to ten; a third is refused with the seconds left."""
    job = Job(*TO_CRANK)
    for _ in range(2):
        job.say("area is clear").say("brake is set").say("ready").wait(12.0).say("ready")
    assert job.state.mode is Mode.RESTING
    assert "The starter must rest for two minutes." in job.said
    job.wait(20.0).say("ready")
    assert job.state.mode is Mode.RESTING
    job.act(BurstStarted())
    assert "Release the key. The starter must rest for one minute forty seconds." in job.said
    job.wait(100.0)
    assert job.state.mode is Mode.CAUTIONING


def test_the_seconds_left_are_spoken_while_a_burst_still_fits():
    """Short bursts may follow each other; one a little over its time leaves most of the next."""
    job = Job(*TO_CRANK, "area is clear", "brake is set").act(BurstHeard(seconds=5.3, caught=False))
    job.say("no").say("ready").say("area is clear").say("brake is set")
    assert job.state.mode is Mode.POISED
    assert "Four point seven seconds of cranking left before a rest." in job.said


def test_the_rest_comes_before_a_burst_that_would_be_cut_to_a_stub():
    """Two and a half seconds tell nothing where five are asked."""
    job = Job(*TO_CRANK, "area is clear", "brake is set").act(BurstHeard(seconds=7.5, caught=False))
    job.say("no").say("ready")
    assert job.state.mode is Mode.RESTING
    assert "The starter must rest for two minutes." in job.said


def test_the_vehicle_makers_duty_wins():
    """A vehicle whose starter needs three minutes gets three minutes."""
    job = Job()
    job.take(begin(LIBRARY, "small", "k", "job", {"starter-rest-s": 180.0, "starter-burst-s": 5.0}))
    for words in (*TO_CRANK, "area is clear", "brake is set", "ready"):
        job.say(words)
    job.wait(12.0).say("ready")
    assert "The starter must rest for three minutes." in job.said


def test_a_burst_during_a_rest_counts_and_the_rest_begins_anew():
    """Whoever allowed it, the starter is warm."""
    job = Job(*TO_CRANK)
    for _ in range(2):
        job.say("area is clear").say("brake is set").say("ready").wait(12.0).say("ready")
    job.wait(60.0).act(BurstHeard(seconds=3.0))
    assert job.kinds == [FactKind.BURST_ENDED, FactKind.REST_BEGUN]
    assert next_deadline(job.state) == job.at_s + 120.0


def test_a_burst_while_cautions_are_answered_brings_the_rest_before_the_instruction():
    """The last gate leads into the rest with the seconds left, never into an unexplained refusal."""
    job = Job(*TO_CRANK, "area is clear").act(BurstHeard(seconds=12.0, caught=False))
    job.wait(20.0).say("brake is set")
    assert job.kinds == [FactKind.GATE_PASSED, FactKind.REST_BEGUN]
    assert "The starter must rest for one minute forty seconds." in job.said
    job.wait(100.0)
    assert job.state.mode is Mode.CAUTIONING


def test_the_ear_and_the_tones_count_one_burst_once():
    """A heard burst that overlaps the one that the tones timed corrects it."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready").wait(12.0)
    job.at_s += 0.4
    job.act(BurstHeard(seconds=5.3, rpm=190.0, caught=False))
    assert job.state.duty.bursts == 1
    assert job.state.duty.cranked_s == pytest.approx(5.3)
    assert job.state.pending is not None
    assert job.state.pending.name == "no-change"


def test_the_technicians_word_wins_over_the_ear():
    """A contradiction is asked about; yes lets the word stand, and the record keeps both views."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready").wait(12.0).say("it started")
    job.act(BurstHeard(seconds=5.3, rpm=190.0, caught=False))
    assert job.state.pending.name == "started"
    assert CONTRADICTED in job.said
    assert job.kinds == [FactKind.BURST_ENDED]
    job.say("yes")
    logged = next(fact for fact in job.facts if fact.kind is FactKind.RESULT_LOGGED and fact.step == "turn")
    assert (logged.data["result"], logged.data["ear_result"]) == ("started", "no-change")
    assert next(fact for fact in job.facts if fact.kind is FactKind.BURST_ENDED and "caught" in fact.data)


def test_a_word_against_what_the_ear_proposed_is_asked_about():
    """The same question where the ear spoke first; no asks again, and agreeing with the ear needs no such question."""
    job = Job(*TO_CRANK, "area is clear", "brake is set").act(BurstHeard(seconds=5.3, rpm=190.0, caught=False))
    job.say("it started")
    assert job.said == CONTRADICTED
    job.say("say again")
    assert job.said == CONTRADICTED
    job.say("no")
    assert (job.state.mode, job.state.pending) == (Mode.ASKING, None)
    job.say("never fired")
    assert job.said == "I heard never fired. Yes?"
    job.say("yes")
    logged = next(fact for fact in job.facts if fact.kind is FactKind.RESULT_LOGGED and fact.step == "turn")
    assert "ear_result" not in logged.data


def test_an_unsure_ear_contradicts_nobody():
    """Where the ear does not know whether it caught, what was said is only read back."""
    job = Job(*TO_CRANK, "area is clear", "brake is set").act(BurstHeard(seconds=5.3, rpm=190.0))
    assert job.say("it started").said == "I heard it started. Yes?"


def test_a_later_burst_takes_the_place_of_what_the_ear_proposed():
    """What the ear offered was never the technician's word: the next burst is offered, and nothing is contradicted."""
    job = Job(*TO_CRANK, "area is clear", "brake is set").act(BurstHeard(seconds=2.0, rpm=190.0, caught=False))
    job.wait(10.0).act(BurstHeard(seconds=2.0, rpm=190.0, caught=True))
    assert "It sounded like it started. Say yes to log it, or what you saw." in job.said
    assert job.state.pending.name == "started"


def test_a_result_said_during_the_count_in_ends_it():
    """Somebody who cranked without waiting is believed after a yes, however briefly we speak; the planned burst counts
    as cranked. Who did not is asked for the crank again: no starter turned, and nothing was tested."""
    for speak in ("speak in full", "be brief", "be terse"):
        job = Job(*TO_CRANK, "area is clear", "brake is set", speak, "ready", "never fired")
        assert job.state.mode is Mode.CONFIRMING and "before the tone" in job.said
        assert job.state.duty.cranked_s == 5.0
        before = len(job.facts)
        job.say("no")
        assert job.state.mode is Mode.CAUTIONING and job.state.at.step == "turn"
        assert FactKind.RESULT_LOGGED not in [fact.kind for fact in job.facts[before:]]
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", "never fired", "yes")
    assert job.state.at.step == "jump"


def test_a_burst_cut_off_by_a_dead_program_counts_in_full():
    """Nobody knows how long it ran, so it ran to its end."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready").wait(7.0)
    turn = reopen(LIBRARY, fold(LIBRARY, job.facts), 60.0)
    assert turn.state.duty.cranked_s == 5.0
    assert turn.state.mode is Mode.CAUTIONING


def test_the_result_of_a_finished_burst_is_asked_after_a_pause_without_another_burst():
    """The crank is over; only its result is still missing."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready").wait(12.0).say("pause").say("resume")
    assert job.state.mode is Mode.ASKING
    assert "never fired" in job.said
    turn = reopen(LIBRARY, fold(LIBRARY, job.facts), 60.0)
    assert turn.state.mode is Mode.ASKING


def test_the_stricter_starter_duty_wins():
    """A procedure that is called may ask for less of the starter than the job's own, never for more."""

    def in_force(root, called):
        library = {
            "root": replace(LIBRARY["small"], id="root", duty=root),
            "called": replace(LIBRARY["small"], id="called", duty=called),
        }
        step = library["called"].steps[0].id
        at = Position(at=Frame(procedure="called", step=step), stack=(Frame(procedure="root", step=step),))
        return duty_of(library, State(root="root", position=at))

    gentle, usual = Duty(burst_s=5.0, stop_s=8.0, rest_s=300.0), Duty(burst_s=10.0, stop_s=15.0, rest_s=120.0)
    assert in_force(usual, gentle) == gentle
    assert in_force(gentle, usual) == gentle
    mixed = Duty(burst_s=12.0, stop_s=13.0, rest_s=60.0)
    assert in_force(usual, mixed) == in_force(mixed, usual) == Duty(burst_s=10.0, stop_s=13.0, rest_s=120.0)


def test_from_the_count_to_the_release_it_is_told_that_an_action_is_timed():
    """So that nothing makes a stop harder to get there; before and after it only pauses the job."""
    job = Job(*TO_CRANK, "area is clear", "brake is set")
    assert job.state.mode is Mode.POISED and expected(LIBRARY, job.state).timed
    job.say("ready")
    assert job.state.mode is Mode.TIMING and expected(LIBRARY, job.state).timed
    job.wait(7.0).wait(5.0)
    assert job.state.mode is Mode.ASKING and not expected(LIBRARY, job.state).timed


def test_nor_where_the_starter_may_turn_though_nothing_counts():
    """Whoever wiggles a harness while a helper turns the key stops as fast."""
    _, library = load_libraries(shipped_procedures())
    step = library["comes-and-goes"].step("wiggle-start")
    at = Position(at=Frame(procedure="comes-and-goes", step=step.id))
    state = State(position=at, mode=Mode.ASKING)
    assert Hazard.CRANKING in step.hazards and not expected(library, state).timed
    assert expected(library, replace(state, instructed=True)).timed


def test_something_else_may_be_asked_while_the_ear_waits_for_the_starter_and_no_longer():
    """Nor while a burst is timed by tones: then every word is about the burst."""
    job = Job(*TO_CRANK, "area is clear", "brake is set")
    assert yes_is_free(LIBRARY, job.state)
    job.say("ready")
    assert job.state.mode is Mode.TIMING and not yes_is_free(LIBRARY, job.state)
    job = Job(*TO_CRANK, "area is clear", "brake is set")
    job.act(BurstStarted()).act(BurstHeard(seconds=1.4, caught=None))
    job.say("ready").say("area is clear").say("brake is set").say("ready")
    assert job.state.mode is Mode.TIMING and yes_is_free(LIBRARY, job.state)
    job.act(BurstStarted())
    assert job.state.mode is Mode.TIMING and not yes_is_free(LIBRARY, job.state)
