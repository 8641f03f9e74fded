"""The three ways to speak: what each says less, and what none leaves out."""

from itertools import pairwise

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, advance, begin, fold, reopen
from assistant.guide.manner import still
from assistant.guide.turn import Known
from assistant.language.manner import FIRST_JOBS, Manner, usual
from assistant.language.model import GiveResult
from tests.guide.job import LIBRARY, TO_CRANK, Job
from tests.guide.led import Led

BRIEFLY = (Manner.BRIEF, Manner.TERSE)


def brief(*words, manner=Manner.BRIEF, **options):
    """A job on the small procedure, spoken to briefly."""
    return Job(*words, manner=manner, **options)


def test_the_first_jobs_are_led_in_full_and_the_next_briefly():
    """Three jobs are enough to know how it goes."""
    assert [usual(jobs) for jobs in range(5)] == [Manner.FULL] * FIRST_JOBS + [Manner.BRIEF] * 2


def test_the_way_to_speak_is_a_fact_and_outlives_the_program():
    """Said by voice it holds from then on, is folded from the facts, and a resumed job goes on in it, or as asked."""
    job = Job("be brief")
    assert (job.state.manner, job.kinds) == (Manner.BRIEF, [FactKind.VOICE_SET])
    assert job.say("be terse").state.manner is Manner.TERSE
    assert fold(LIBRARY, job.facts) == job.state
    assert reopen(LIBRARY, job.state, 9.0).state.manner is Manner.TERSE
    assert reopen(LIBRARY, job.state, 9.0, manner=Manner.FULL).state.manner is Manner.FULL
    assert job.say("speak in full").state.manner is Manner.FULL


def test_an_older_job_goes_on_in_full():
    """Facts that know nothing of the ways to speak mean the full one."""
    turn = begin(LIBRARY, "small", "k", "job", {})
    assert "manner" not in turn.facts[0].data
    assert fold(LIBRARY, turn.facts).manner is Manner.FULL


@pytest.mark.parametrize("manner", BRIEFLY)
def test_an_answer_that_opens_no_hazard_is_echoed_and_can_be_struck(library, manner):
    """No yes is asked for; "strike that" takes it back and goes back to its step."""
    job = Led(library, "battery-state", manner=manner).until("posts", mode=Mode.ASKING)
    job.say("tight and clean")
    assert job.words.startswith("Tight and clean. ")
    assert job.at == "stood"
    logged = next(fact for fact in job.turn.facts if fact.kind is FactKind.RESULT_LOGGED)
    assert logged.data["echoed"] is True
    job.say("strike that").say("yes")
    assert job.at == "posts"


@pytest.mark.parametrize("manner", BRIEFLY)
def test_what_opens_a_hazard_or_ends_in_a_finding_waits_for_its_yes(manner):
    """The clean duct leads to a reading, the dirty one to the finding."""
    assert brief("done", "all clean", manner=manner).state.at.step == "volts"
    job = brief("done", "full of dirt", manner=manner)
    assert job.state.mode is Mode.CONFIRMING
    assert job.said == "Full of dirt. Yes?"
    assert job.say("yes").state.mode is Mode.CLOSING


class KnowsTheLamp:
    """A plan that was told of the lamp at another step, and chooses nothing."""

    def __call__(self, *_asked):
        return None

    def known(self, state, facts):
        known = Known(result="out", test="security-lamp", words="the security lamp goes out")
        return known if state.at.step == "lamp" and facts[-1].data["result"] == "none" else None


@pytest.mark.parametrize("manner", BRIEFLY)
@pytest.mark.parametrize(("plan", "mode"), [(None, Mode.ASKING), (KnowsTheLamp(), Mode.CONFIRMING)])
def test_what_leads_through_a_known_step_to_a_hazard_waits_for_its_yes(library, manner, plan, mode):
    """No start in neutral leads to the lamp; where that is known by then, at once to work at the battery's clamp."""
    job = Led(library, "no-crank", {"dash": "stay bright"}, manner=manner).until("neutral", mode=Mode.TIMING).step_on()
    answer = GiveResult(result="none", words="only a click")
    turn = advance(library, job.state, answer, job.state.at_s, choose=plan)
    assert turn.state.mode is mode
    assert turn.state.at.step == ("lamp" if plan is None else "neutral")


def test_what_was_not_surely_heard_is_read_back():
    """Trust below nine in ten waits for its yes, though it would be acted on; so does what is unsure."""
    for hearing in ({"confidence": 0.89}, {"confidence": 1.0, "unsure": True}):
        job = brief("done").say("all clean", engine="embedded", **hearing)
        assert job.state.mode is Mode.CONFIRMING, hearing
    assert brief("done").say("all clean", engine="embedded", confidence=0.95).state.at.step == "volts"
    assert brief("done", "all clean", always_confirm=True).state.mode is Mode.CONFIRMING


def test_what_was_only_guessed_or_corrected_is_read_back(library):
    """An answer by likeness to what people say, or after a "no": the read-back catches the few that are wrong."""
    job = Led(library, "battery-state", manner=Manner.BRIEF).until("posts", mode=Mode.ASKING)
    guessed = GiveResult(result="tight", words="tight and clean", guessed=True)
    assert advance(library, job.state, guessed, job.state.at_s).state.mode is Mode.CONFIRMING
    assert job.say("tight and clean, no, i mean loose clamp").state.mode is Mode.CONFIRMING


@pytest.mark.parametrize(("said", "mode"), [("twelve point four five volts", Mode.CONFIRMING), ("13 volts", None)])
def test_a_reading_near_its_limit_is_read_back(said, mode):
    """The limit is 12.4 V: near it a misread digit would choose the other band."""
    job = brief("done", "all clean", said)
    assert (job.state.mode is Mode.CONFIRMING) == (mode is Mode.CONFIRMING)


@pytest.mark.parametrize("yes", ["yes", "correct", "that is right"])
def test_a_yes_too_many_changes_nothing(yes):
    """Who is used to read-backs says yes to an echo: nothing is answered, passed or ended by it."""
    job = brief("done", "all clean")
    before = job.state
    job.say(yes)
    assert job.state == before
    assert not job.turn.facts
    job.say("thirteen volts")
    assert job.state.mode is Mode.CAUTIONING
    before = job.state
    job.say(yes)
    assert job.state == before
    assert job.turn.refused == "A bare yes is not enough."


def test_a_yes_to_an_echo_is_no_answer_to_the_polar_question_behind_it(library):
    """It is read back: whoever goes on with the answer replaces it, and only a second yes would log it."""
    job = Led(library, "battery-state", manner=Manner.BRIEF).until("case", mode=Mode.ASKING).say("sound case")
    job = job.say("yes") if job.state.mode is Mode.CONFIRMING else job
    assert job.at == "posts"
    job = Led(library, "battery-state", manner=Manner.BRIEF).until("posts", mode=Mode.ASKING)
    echoed = [fact for fact in job.facts if fact.data.get("echoed")]
    job.say("yes")
    if echoed and echoed[-1].step == "case":
        assert job.state.mode is Mode.CONFIRMING
        job.say("loose clamp")
        assert job.state.pending is None or job.state.pending.words == "loose clamp"
    else:
        assert any(fact.kind is FactKind.RESULT_LOGGED for fact in job.turn.facts)


def test_scripts_with_a_yes_after_each_answer_go_the_same_way(library):
    """Each answer of a job is followed by "yes", as where everything is read back: no step is answered by it."""
    for procedure in ("battery-state", "spark-check", "fuel-supply", "no-spark"):
        job = Led(library, procedure, manner=Manner.BRIEF)
        for _ in range(120):
            if job.state.mode in (Mode.CLOSING, Mode.ENDED):
                break
            before = job.at, job.state.mode, len(job.state.acknowledged), len(job.state.passed)
            answered = job.state.mode is Mode.ASKING and job.library[job.state.at.procedure].step(job.at).results
            job.step_on()
            if not answered or job.state.mode is Mode.CONFIRMING or not job.state.echoed:
                continue
            place, passed = job.at, (job.state.acknowledged, job.state.passed)
            job.say("yes")
            assert (job.at, job.state.acknowledged, job.state.passed) == (place, *passed), before
            if job.state.mode is Mode.CONFIRMING:  # what it would mean here is asked about
                job.say("no")


@pytest.mark.parametrize("manner", BRIEFLY)
def test_a_caution_is_told_in_full_once_and_then_by_its_name(library, manner):
    """Signal word, name and acknowledgement as a question; the phrase is asked for all the same."""
    job = Led(library, "flooded", manner=manner)
    spoken = []
    for _ in range(150):
        if job.state.mode in (Mode.CLOSING, Mode.ENDED):
            break
        job.step_on()
        spoken += [(fact, job.words) for fact in job.turn.facts if fact.kind is FactKind.CAUTION_SPOKEN]
    known = set()
    anew = 0  # once more in full behind the minutes in which the engine got hot
    for fact, words in spoken:
        assert fact.data["signal"].capitalize() in words
        anew += fact.data["caution"] in known and not fact.data.get("short", False)
        assert fact.data["caution"] in known or not fact.data.get("short", False), words
        known.add(fact.data["caution"])
    assert anew <= 1
    assert any(fact.data.get("short") for fact, _ in spoken)


def test_a_known_caution_is_told_in_full_again_once_its_danger_came_up(library):
    """A leak that was told since, and a program that died, make every caution about it new."""
    job = Led(library, "cranking-check", manner=Manner.BRIEF).until("turn", mode=Mode.POISED)
    assert job.state.warned
    told = job.state.warned
    job.tell("fuel-level", "some")
    assert job.state.warned == told
    assert reopen(library, job.state, job.state.at_s + 1).state.warned == ()
    job.tell("leak-check", "leak", "leak", "vapour")
    assert not any("crank-area" in each.told for each in job.state.warned)


def test_in_full_every_caution_is_told_in_full_each_time(library):
    """As before there were ways to speak."""
    job = Led(library, "no-crank")
    for _ in range(150):
        if job.state.mode in (Mode.CLOSING, Mode.ENDED):
            break
        job.step_on()
    assert not any(fact.data.get("short") for fact in job.facts)


def test_say_again_tells_all_of_it(library):
    """However we speak, who asks hears the whole caution and the whole instruction."""
    job = Led(library, "cranking-check", manner=Manner.TERSE).until("turn", mode=Mode.POISED)
    job.say("say again")
    assert "Does it turn normally, slowly, too easily, or not at all?" in job.words
    assert "The key in hand, eyes on the dash." in job.words


def test_steps_that_only_tell_are_joined_and_not_gone_back_to(library):
    """Nobody says done to them; going back leads to what was answered before."""
    job = Led(library, "no-start", manner=Manner.BRIEF)
    assert job.at == "complaint"
    done = [fact for fact in job.facts if fact.kind is FactKind.INSTRUCTION_DONE]
    assert [fact.data["joined"] for fact in done] == [True]
    job.say("go back")
    assert job.turn.refused


def test_the_phrases_of_acknowledgements_become_questions():
    """Still so, or so still."""
    assert still("no flame near") == "Still no flame near?"
    assert still("doors are open") == "Doors still open?"
    assert still("short bursts only") == "Still short bursts only?"
    assert still("i reach from above") == "Do you still reach from above?"


def test_full_is_what_it_was():
    """The whole talk of a small job in full names every choice and reads back what chooses."""
    job = Job(*TO_CRANK)
    assert "Warning. Belts move. Keep clear. They can take a hand. Say: area is clear." in job.said
    assert all(first.number + 1 == then.number for first, then in pairwise(job.facts))


def test_in_full_how_to_answer_is_told_once(library):
    """The second read-back asks its yes in one word."""
    job = Led(library, "battery-state").until("posts", mode=Mode.ASKING)
    job.say("tight and clean")
    assert "I heard tight and clean. Yes?" in job.said
    assert job.said.count("I heard sound case. Say yes to log it.") == 1


def test_the_key_is_asked_out_without_a_second_sentence_that_says_so(library):
    """In full too; "say again" still tells the reason."""
    job = Led(library, "battery-state").until("posts", mode=Mode.GATING)
    assert job.words.endswith("Switch off, and take the key out. Is the key out? Say: key is out.")
    assert "This is done with the key out." not in job.said


def test_the_opening_rules_take_what_one_says_to_rules(library):
    """Nothing is to be done there, so "understood" ends them as "done" does."""
    job = Led(library, "no-start")
    assert job.said[-1] == "Say done, or understood."
    assert job.say("got it").at == "complaint"


def test_briefly_a_reading_is_said_back_as_the_meter_showed_it(library):
    """In full the unit of the step stands beside it."""
    for manner in (Manner.FULL, Manner.BRIEF):
        job = Led(library, "fuel-pressure", manner=manner)
        job.until("read-port", mode=Mode.ASKING).say("forty p s i")
        assert "forty p s i" in job.words.lower()
        assert (", that is " in job.words) is (manner is Manner.FULL)
