"""Single rules of the conversation, on a small made-up procedure."""

from dataclasses import replace

import pytest

from assistant.english.heard import say_if_meant
from assistant.facts import FactKind
from assistant.guide import Mode, advance, begin, can_say, expected, fold, reopen
from assistant.guide.state import Kept
from assistant.guide.striking import Strike
from assistant.guide.words import instruction_words
from assistant.language.manner import Manner
from assistant.language.model import Acknowledge, Heard, Unclear, UnclearReason
from assistant.language.speech import Sentence
from assistant.language.understand import understand
from tests.guide.job import LIBRARY, TO_CRANK, Job


def test_a_result_that_chooses_the_way_is_read_back():
    """Only its yes logs it; no asks again; another result takes its place."""
    job = Job("done", "full of dirt")
    assert job.said == "I heard full of dirt. Say yes to log it."
    assert FactKind.RESULT_LOGGED not in job.kinds
    job.say("no")
    assert (job.state.mode, job.kinds) == (Mode.ASKING, [FactKind.RESULT_REJECTED])
    job.say("full of dirt").say("all clean")
    assert job.said == "I heard all clean. Say yes to log it."
    job.say("yes")
    assert job.state.at.step == "volts"


def test_a_harmless_answer_is_echoed_and_can_be_struck():
    """A reading whose bands all lead one way is logged at once; striking it goes back to its step."""
    job = Job(*TO_CRANK[:4])
    assert job.state.at.step == "turn"
    logged = next(fact for fact in job.turn.facts if fact.kind is FactKind.READING_LOGGED)
    assert logged.data["band"] == "good"
    assert logged.data["limits"]["at_least"] == {
        "limit": "good",
        "value": 12.4,
        "unit": "V",
        "source": "common practice, no source",
    }
    job.say("strike that")
    assert job.said == "Strike battery, twelve point six volts, and go back to it? Yes or no."
    job.say("yes")
    assert job.state.at.step == "volts"
    struck = next(fact for fact in job.turn.facts if fact.kind is FactKind.STRUCK)
    assert struck.data["struck"] == logged.id


def test_nothing_is_struck_before_its_yes():
    """A no keeps everything, stop holds, and what is asked is said again as often as wanted."""
    job = Job(*TO_CRANK)
    before = job.state
    job.say("strike that").say("no")
    assert job.said.startswith("Kept.")
    assert (job.state.mode, job.state.strikable, job.state.at) == (before.mode, before.strikable, before.at)
    job.say("strike that").say("say again")
    assert job.said == "Strike battery, twelve point six volts, and go back to it? Yes or no."
    job.say("strike that")
    assert job.turn.refused
    assert job.say("stop").state.mode is Mode.HELD
    assert FactKind.STRUCK not in [fact.kind for fact in job.facts]


def test_at_a_read_back_strike_that_means_what_was_read_back():
    """What waits for its yes is dropped and asked again; what was logged before stays."""
    job = Job("done", "all clean", "yes", "go back", "all clean")
    assert job.state.mode is Mode.CONFIRMING
    before = job.state.strikable
    job.say("strike that")
    assert job.kinds == [FactKind.RESULT_REJECTED]
    assert (job.state.mode, job.state.strikable, job.state.pending) == (Mode.ASKING, before, None)
    assert "Say all clean or full of dirt." in job.said


@pytest.mark.parametrize(
    ("asked", "kind"),
    [("note", FactKind.NOTE_DROPPED), ("skip", FactKind.SKIP_DECLINED), ("end job", FactKind.END_DECLINED)],
)
def test_strike_that_drops_what_is_just_being_asked(asked, kind):
    """A note, a skip or the end asked over a step is meant, not an answer before it."""
    job = Job(*TO_CRANK, "strike that", "yes")
    job.say(asked).say("strike that")
    assert job.kinds == [kind]
    assert job.state.mode is Mode.ASKING


def test_long_words_are_known_by_their_beginning():
    """The question what to strike does not read a whole complaint."""
    kept = Kept(fact="f", kind="words", words=" ".join(["word"] * 40))
    assert Strike(kept=(kept,), visits=0).words == " ".join(["word"] * 12) + " and so on"


def test_an_engine_that_is_not_measured_has_everything_confirmed():
    """`always_confirm` reads back what would else only be echoed."""
    job = Job(*TO_CRANK, always_confirm=True)
    assert job.state.mode is Mode.CONFIRMING


def test_a_vehicle_limit_takes_the_place_of_the_procedures():
    """The vehicle maker's figure wins, and the record says that it was the vehicle's."""
    turn = begin(LIBRARY, "small", "k", "job", {"good": 12.8})
    assert turn.state.vehicle == {"good": 12.8}
    job = Job()
    job.take(turn)
    for words in TO_CRANK:
        job.say(words)
    logged = next(fact for fact in job.facts if fact.kind is FactKind.READING_LOGGED)
    assert logged.data["band"] == "low"
    assert logged.data["limits"]["below"]["source"] == "vehicle"


@pytest.mark.parametrize("words", ["yes", "done", "ready", "no", "skip", "all clean", "brake is set"])
def test_a_caution_passes_by_its_own_phrase_only(words):
    """Nothing else gets past it, and what was tried changes nothing."""
    job = Job(*TO_CRANK)
    before = job.state
    job.say(words)
    assert job.state == before
    assert not job.turn.facts
    assert "area is clear" in job.said
    job.say("the area is clear")
    assert job.state.mode is Mode.GATING
    acknowledged = job.turn.facts[0]
    assert (acknowledged.kind, acknowledged.data["caution"]) == (FactKind.CAUTION_ACKNOWLEDGED, "area")


@pytest.mark.parametrize("leave", [("go back", "twelve volts"), ("pause", "resume"), ("stop", "resume")])
def test_an_acknowledgement_serves_one_entry_only(leave):
    """After going back, a pause or a stop, caution and gate are asked again."""
    job = Job(*TO_CRANK, "area is clear", "brake is set")
    assert job.state.mode is Mode.POISED
    for words in leave:
        job.say(words)
    assert job.state.mode is Mode.CAUTIONING
    assert "Warning. Belts move." in job.said


def test_an_acknowledgement_is_asked_again_after_the_program_died():
    """What was acknowledged before serves nobody after."""
    job = Job(*TO_CRANK, "area is clear", "brake is set")
    turn = reopen(LIBRARY, fold(LIBRARY, job.facts), 500.0)
    assert turn.state.mode is Mode.CAUTIONING
    said = " ".join(each.text for each in turn.reply if isinstance(each, Sentence))
    assert "Job job goes on." in said
    assert "Still to put right: duct." in said
    assert "A car in gear moves when the engine turns." in said, "it may have been moved meanwhile"
    parked = advance(LIBRARY, turn.state, Acknowledge(words="it is in park"), 505.0)
    still = advance(LIBRARY, parked.state, Acknowledge(words="nothing can roll"), 510.0)
    assert still.state.mode is Mode.CAUTIONING


def test_a_skip_needs_a_reason_and_counts_what_it_may_have_left_off():
    """The reason is kept; what the step takes off is on the open list all the same."""
    job = Job("skip")
    assert job.said == "Why do you skip it? Say the reason, or no to stay."
    job.say("it has no duct")
    skipped = next(fact for fact in job.turn.facts if fact.kind is FactKind.STEP_SKIPPED)
    assert skipped.data["reason"] == "it has no duct"
    assert job.state.open_items == ("duct",)


def test_a_step_whose_answer_chooses_the_way_cannot_be_skipped():
    """There would be nowhere to go."""
    job = Job("done", "skip")
    assert job.turn.refused
    assert job.state.at.step == "look"


def test_going_back_marks_the_answer_and_keeps_it():
    """The answer of the step gone back to no longer counts; its fact stays."""
    job = Job("done", "all clean", "yes", "go back")
    assert job.state.at.step == "look"
    assert FactKind.STRUCK in job.kinds
    assert any(fact.kind is FactKind.RESULT_LOGGED for fact in job.facts)


def test_no_step_lies_before_the_first():
    """Going back from it is refused in words."""
    job = Job("go back")
    assert job.said.startswith("There is no step to go back to.")


def test_the_job_ends_only_when_nothing_is_off():
    """Done is refused while the duct is off; then it closes."""
    job = Job("done", "full of dirt", "yes")
    assert job.state.mode is Mode.CLOSING
    assert "Still to put right: duct." in job.said
    assert can_say(LIBRARY, job.state)[:2] == ("it is put right", "left off")
    job.say("done")
    assert job.state.mode is Mode.CLOSING
    job.say("it is put right")
    assert job.said == "Noted: duct, put right. Say done to close the job."
    job.say("strike that")
    assert job.said == "Strike the duct? Yes or no."
    job.say("yes")
    assert job.state.open_items == ("duct",)
    job.say("left off").say("done")
    assert job.state.mode is Mode.ENDED
    assert job.say("stop").turn.refused == "This job is closed."
    assert job.said == "This job is closed."


def test_the_end_asked_early_is_confirmed():
    """No goes on; yes settles what is off and closes."""
    job = Job("done", "end job", "no")
    assert (job.state.mode, job.state.at.step) == (Mode.ASKING, "look")
    job.say("end job").say("yes")
    assert job.state.mode is Mode.CLOSING
    job.say("left off")
    assert job.state.mode is Mode.ENDED


def test_a_note_gives_back_what_was_asked():
    """In the middle of a confirmation too."""
    job = Job("done", "all clean", "note", "belt is worn")
    assert job.said == "I kept: belt is worn. I heard all clean. Say yes to log it."
    job.say("note").say("no")
    assert job.state.mode is Mode.CONFIRMING


def test_an_unsure_word_is_asked_about():
    """An offered result needs its yes; an unsure acknowledgement must be said once more."""
    job = Job("done").say("full of dirt", unsure=True)
    assert job.said == "Did you say full of dirt? Say yes to log it."
    assert job.say("yes").state.mode is Mode.CLOSING
    job = Job(*TO_CRANK).say("area is clear", unsure=True)
    assert job.state.mode is Mode.CAUTIONING


def test_what_was_not_understood_changes_nothing():
    """It says so, and what it listens for."""
    job = Job("done")
    before = job.state
    job.act(Unclear(reason=UnclearReason.NOT_HEARD))
    assert job.state == before
    assert job.said == "I did not catch that. Say all clean or full of dirt."


def test_who_may_mean_done_is_told_once_how_it_is_said():
    """What is said of the instruction names the word already; of another word it says what is listened for here."""
    job = Job().act(Unclear(reason=UnclearReason.UNSURE, words="wheels off", detail=say_if_meant("done")))
    assert job.said == "If you mean it, say: done."
    job.act(Unclear(reason=UnclearReason.UNSURE, words="go back", detail=say_if_meant("go back")))
    assert job.said == "If you mean it, say: go back. Say done when it is done."


def test_louder_and_slower_are_kept():
    """The voice as it was set is part of the job, within bounds."""
    job = Job("louder", "louder", "louder", "slower", "slower", "slower", "slower", "slower")
    assert job.state.volume == 1.0
    assert job.state.rate_wpm == 105


def test_a_job_begins_and_goes_on_as_loud_as_the_speaker_was_wished_last():
    """By a fact of its own, so that the fold knows; none where that changes nothing, and the manner stays."""
    wished = {"volume": 0.95, "tones": False}
    turn = begin(LIBRARY, "small", "key", "job", {}, manner=Manner.BRIEF, voice=wished)
    assert (turn.state.volume, turn.state.tones, turn.state.manner) == (0.95, False, Manner.BRIEF)
    assert fold(LIBRARY, turn.facts) == turn.state
    again = reopen(LIBRARY, turn.state, 10.0, voice=wished)
    assert FactKind.VOICE_SET not in [fact.kind for fact in again.facts]
    softer = reopen(LIBRARY, turn.state, 10.0, voice={"volume": 0.5, "tones": True})
    assert (softer.state.volume, softer.state.tones) == (0.5, True)


def test_where_am_i_and_how_long_say_it():
    """Procedure, step, place, open items; minutes of the step."""
    job = Job("done").say("where am i")
    assert job.said.startswith("A small made-up job. Step look, at the hood. Still to put right: duct.")
    assert "about one minute" in job.say("how long").said


def test_the_question_comes_after_how_one_person_does_it():
    """Questions at the end stay together and last; without a question the order is as written."""
    step = LIBRARY["small"].step("look")

    def said(say, alone):
        return instruction_words(replace(step, say=say, alone=alone))[0].text

    assert said("Key on. What do you see? A lamp, or none?", "Use a mirror") == (
        "Key on. Use a mirror. What do you see? A lamp, or none?"
    )
    assert said("Does it hum?", "Film it.") == "Film it. Does it hum?"
    assert said("Does it hum? Then stop.", "Film it.") == "Does it hum? Then stop. Film it."
    assert said("Is it on?", None) == "Is it on?"


def test_one_example_stands_for_each_band_of_a_reading():
    """A crawler that says them all reaches every band."""
    job = Job("done", "all clean", "yes")
    examples = [words for words in can_say(LIBRARY, job.state) if "volts" in words]
    bands = set()
    for words in examples:
        after = Job("done", "all clean", "yes", words)
        bands |= {fact.data["band"] for fact in after.facts if fact.kind is FactKind.READING_LOGGED}
    assert bands == {"good", "low"}


def test_the_same_turn_comes_of_the_same_words():
    """Advance is pure: state, command and time decide everything."""
    job = Job("done")
    command = understand(Heard(words="all clean", confidence=1.0), expected(LIBRARY, job.state))
    assert advance(LIBRARY, job.state, command, 3.0) == advance(LIBRARY, job.state, command, 3.0)
