"""What is so of car and bay forbids work, whatever led there; what makes it allowed is said and led to."""

from dataclasses import replace

import pytest

from assistant.bay import Bay, Mark, after, words_of
from assistant.facts import FactKind
from assistant.guide import Mode, advance, begin, expected, fold, reopen
from assistant.language.model import Acknowledge, Control, GiveControl, TellTest
from assistant.procedure.condition import VAPOUR_CLEARS_S, Condition
from assistant.procedure.forbidden import forbids
from tests.guide.led import CAR, Led

LEAK = ("leak-check", "leak", "leak", "vapour")
FLUID = ("fuel-substitute", "runs", "vapour", "can-out", "duct-open", "prop-in")


WRONG = ("fuel-level", "wrong", "wrong-fuel")
STOPS = {
    "leak, spray": ("fuel-substitute/spray", LEAK, "Fuel leaks or smells, so no more is let out.", "leak is mended"),
    "leak, crank": (
        "cranking-check/turn",
        LEAK,
        "Fuel leaks or smells, so the engine must not turn.",
        "leak is mended",
    ),
    "leak, spark": ("spark-check/first-crank", LEAK, "Fuel leaks or smells, and this step can light", "leak is mended"),
    "fuel, crank": ("cranking-check/turn", WRONG, "The wrong fuel is in it", "fuel is flushed"),
    "fuel, spray": ("fuel-substitute/spray", WRONG, "The wrong fuel is in it", "fuel is flushed"),
}
"""Where it is told -> what is told, why the step may not go on, and the phrase that makes it allowed."""


@pytest.mark.parametrize("case", STOPS)
@pytest.mark.parametrize("mode", [Mode.CAUTIONING, Mode.GATING, Mode.POISED])
def test_a_leak_or_wrong_fuel_that_is_told_stops_spray_spark_and_crank(library, case, mode):
    """At once, and until its own phrase is said: no going on, no ready, no bare yes."""
    place, (test, result, *makes), why, passed = STOPS[case]
    procedure, _, step = place.partition("/")
    job = Led(library, procedure).until(step, mode=mode)
    job.tell(test, result, *makes)
    assert why in job.words
    assert job.state.at.step == step
    assert job.state.mode in (Mode.CAUTIONING, Mode.GATING)
    for words in ("ready", "yes", "done", "skip"):
        job.say(words)
        assert not job.turn.facts
    before = len(job.facts)
    job.until(step, mode=Mode.POISED)
    later = job.facts[before:]
    passed_at = next(n for n, fact in enumerate(later) if fact.data.get("words") == passed)
    spoken_at = next(n for n, fact in enumerate(later) if fact.kind is FactKind.INSTRUCTION_SPOKEN)
    assert passed_at < spoken_at


def test_a_spark_waits_five_minutes_after_a_told_run_on_starting_fluid(library):
    """Time from the telling, for nobody knows when it was sprayed."""
    job = Led(library, "spark-check").until("first-crank", mode=Mode.CAUTIONING)
    job.tell(*FLUID)
    told_s = job.state.at_s
    job.until("first-crank", mode=Mode.POISED)
    assert {"can is away"} <= set(job.asked)
    spoken = [fact for fact in job.facts if fact.kind is FactKind.INSTRUCTION_SPOKEN and fact.step == "first-crank"]
    assert spoken[-1].at_s - told_s >= VAPOUR_CLEARS_S
    assert "Vapour may still be there, and this step can light it." in job.said


def test_a_crank_after_told_starting_fluid_asks_for_can_duct_and_prop(library):
    """Whoever sprayed by himself left them somewhere."""
    job = Led(library, "cranking-check").until("turn", mode=Mode.CAUTIONING)
    job.tell(*FLUID).until("turn", mode=Mode.POISED)
    assert [each for each in job.asked if each.split()[0] in ("can", "duct", "prop")] == [
        "can is away",
        "duct is closed",
        "prop is out",
    ]


def test_a_struck_telling_no_longer_counts(library):
    """What was misheard is taken back, and only that."""
    job = Led(library, "cranking-check").until("turn", mode=Mode.CAUTIONING)
    job.tell(*LEAK).say("strike that").say("yes")
    assert Condition.LEAK not in job.state.bay.conditions


def test_striking_what_a_caution_was_about_asks_the_steps_own_anew(library):
    """The step's caution was not heard while the leak's was asked: it is spoken before its phrase counts."""
    job = Led(library, "cranking-check").until("turn", mode=Mode.CAUTIONING)
    job.tell(*LEAK)
    while job.state.mode is not Mode.CAUTIONING:
        job.step_on()
    before = len(job.facts)
    job.say("strike that").say("yes")
    spoken = [fact.data["caution"] for fact in job.facts[before:] if fact.kind is FactKind.CAUTION_SPOKEN]
    job.until("turn", mode=Mode.POISED)
    passed = [fact.data["caution"] for fact in job.facts[before:] if fact.kind is FactKind.CAUTION_ACKNOWLEDGED]
    assert spoken
    assert passed[0] == spoken[0]


@pytest.mark.parametrize(
    ("procedure", "step"), [("spark-check", "first-crank"), ("fuel-substitute", "spray"), ("fuel-pressure", "fit-port")]
)
def test_a_jump_pack_goes_off_before_spark_spray_and_opened_line(library, procedure, step):
    """With the caution of its clamp, and the key out before."""
    job = Led(library, procedure).until(step)
    job.tell("other-battery", "faster", "pack-on")
    for _ in range(60):
        if job.state.instructed and job.at == step:
            break
        job.step_on()
    assert "pack is off" in job.asked and "eyes are covered" in job.asked
    assert Condition.PACK_ON not in job.state.bay.conditions


def test_the_tree_takes_the_pack_off_before_anything_sparks(library):
    """After a boosted crank the pack is off before the codes are read and the spark is tested."""
    answers = {"rest-volts": "twelve volts", "means": "jump pack", "there": "pack is connected"}
    answers |= {"fuel-level": "tank has fuel", "complaint": "it will not start", "stood": "stood overnight"}
    step = library["no-start"].step("boost-crank")
    for result in step.results:
        assert library["no-start"].step(result.goes).calls == "boost-off", result.id


@pytest.mark.parametrize(
    ("procedure", "step"),
    [
        ("battery-state", "posts"),
        ("battery-state", "rest-volts"),
        ("recheck-start", "look"),
    ],
)
def test_hands_go_under_the_hood_with_the_key_out(library, procedure, step):
    """Nobody has said that the key is out, so it is asked before a hand or a clip goes there."""
    job = Led(library, procedure).until(step)
    for _ in range(20):
        if job.state.instructed and job.at == step:
            break
        job.step_on()
    assert "key is out" in job.asked
    assert Condition.KEY_ON not in job.state.bay.conditions


def test_connectors_are_tugged_with_the_key_out(library):
    """The look over the engine follows two questions that need the key on."""
    job = Led(library, "no-start", {"complaint": "it will not start"}).until("visual", mode=Mode.ASKING)
    assert job.asked[-1] == "key is out"


def test_pressure_is_called_down_after_it_was_let_down_and_never_where_it_is_raised(library):
    """First the caution, then it is let down, then "pressure is down", then the joint is opened; the pump raises it."""
    job = Led(library, "fuel-pressure").until("fit-port", mode=Mode.ASKING)
    spoken = [text for text in job.said if "pressure down" in text]
    assert spoken == ["Let the fuel pressure down the way the maker says. Is it down?"]
    assert job.asked.index("eyes are covered") < job.asked.index("pressure is down")
    assert "Release" not in library["fuel-pressure"].step("fit-port").say
    job.asked.clear()
    job.say("done").until("read-port", mode=Mode.ASKING)
    assert "pressure is down" not in job.asked
    assert Condition.PRESSURE_UP in job.state.bay.conditions
    job.asked.clear()
    job.say("two hundred kilopascal").say("yes").until("off-low", mode=Mode.ASKING)
    assert job.asked[0] == "key is out" and "pressure is down" in job.asked


def test_an_open_fuel_line_is_never_left_off(library):
    """At the end of a job it is closed, and the desk may not leave it either."""
    job = Led(library, "fuel-supply", {"sound": "short hum", "gauge": "gauge fits", "system": "into the ports"})
    job.answers["read-port"] = "one hundred kilopascal"
    job.answers |= {"anyway-crank": "never fired", "volume-means": "reader runs it"}
    job.until("volume-run", mode=Mode.ASKING)
    job.say("end job").say("yes")
    assert job.state.mode is Mode.CLOSING
    assert "left off" not in expected(library, job.state).results.get("left-off", ())
    assert "left off" not in job.words
    job.say("left off")
    assert not job.turn.facts and job.state.mode is Mode.CLOSING
    job.say("it is put right")
    assert job.state.mode is Mode.ENDED and Condition.LINE_OPEN not in job.state.bay.conditions


def test_resuming_asks_for_the_key_again(library):
    """Nobody saw what was done meanwhile."""
    job = Led(library, "battery-state").until("posts", mode=Mode.ASKING)
    assert job.asked[-1] == "key is out"
    job.control(Control.PAUSE).control(Control.RESUME)
    assert job.state.mode is Mode.GATING and expected(library, job.state).acknowledge[0] == "key is out"
    assert "This is done with the key out. Switch off" in job.control(Control.SAY_AGAIN).words


def test_going_back_to_a_spark_leads_through_the_wait(library):
    """Not refused and not allowed: five minutes come first."""
    job = Led(library, "spark-check").until("second-fit", "present-refit", "was-proved", mode=Mode.ASKING)
    job.tell(*FLUID)
    job.say("go back")
    for _ in range(20):
        if job.state.mode is Mode.WAITING:
            break
        job.step_on()
    assert job.state.clearing


def test_a_job_older_than_the_table_still_folds_and_is_guarded_once_resumed(library):
    """Its facts say nothing of the key; nothing in it is refused, and from resuming on the table holds."""
    turn = begin(library, "battery-state", "k", "job", CAR)
    started, *later = turn.facts
    old = [started.saying(replace(started.said, guarded=False)), *later]
    assert "guarded" not in old[0].data
    state = fold(library, old)
    for command in (Acknowledge(words="eyes are covered"),):
        turn = advance(library, state, command, 1.0)
        old, state = [*old, *turn.facts], turn.state
    job = Led(library, "battery-state")
    job.state, job.facts = state, list(old)
    job.until("posts", mode=Mode.ASKING)
    assert "key is out" not in job.asked
    rebuilt = fold(library, job.facts)
    assert rebuilt == job.state and not rebuilt.guarded
    resumed = reopen(library, rebuilt, 100.0)
    assert resumed.state.mode is Mode.GATING and resumed.state.guarded
    assert "Switch off, and take the key out." in resumed.reply[-2].text


def test_the_state_is_folded_from_the_facts_alone(library):
    """Without any procedure at hand."""
    job = Led(library, "fuel-substitute").until("close", mode=Mode.ASKING)
    bay = Bay()
    for fact in job.facts:
        bay = after(bay, fact)
    assert bay == job.state.bay
    assert {Condition.VAPOUR, Condition.CAN_OUT, Condition.DUCT_OPEN, Condition.PROP_IN} <= bay.conditions
    sprayed = next(fact for fact in job.facts if fact.kind is FactKind.ACTION_BEGUN)
    assert bay.since_s(Condition.VAPOUR) == sprayed.at_s
    job.say("done")
    assert not {Condition.CAN_OUT, Condition.DUCT_OPEN, Condition.PROP_IN} & job.state.bay.conditions


def test_a_test_told_while_nothing_is_at_stake_moves_nothing(library):
    """A harmless question goes on as it was."""
    job = Led(library, "no-start", {"complaint": "it will not start"}).until("changed", mode=Mode.ASKING)
    told = TellTest(test="leak-check", result="leak", words="there is a leak", makes=("leak", "vapour"))
    turn = advance(library, job.state, told, job.state.at_s)
    assert (turn.state.at, turn.state.mode) == (job.state.at, Mode.ASKING)
    assert turn.state.bay.conditions - job.state.bay.conditions == {Condition.LEAK, Condition.VAPOUR}
    assert not advance(library, job.state, GiveControl(control=Control.YES), 0.0).facts


def test_how_long_vapour_has_been_about_is_told_from_a_minute_on():
    """ "For 0 min" is no time to anybody."""
    bay = Bay(marks=(Mark(condition=Condition.VAPOUR, at_s=60.0, fact="job-7"),))
    assert words_of(bay, 80.0) == ("vapour about",)
    assert words_of(bay, 240.0) == ("vapour about for 3 min",)


def test_an_overheated_engine_is_left_to_cool_before_hands_go_in(library):
    """Told at the look over the engine: the caution, then a question that its phrase alone passes."""
    job = Led(library, "no-start", {"complaint": "it will not start"}).until("visual", mode=Mode.ASKING)
    assert "Leave off." in job.say("there is steam coming out").words
    assert "Warning. Hot parts burn, and hot coolant is under pressure." in job.words and "radiator" in job.words
    job.say("caps stay shut")
    for plea in ("yes", "done", "hands are clear"):
        assert job.say(plea).state.mode is Mode.GATING
    job.say("engine is cool")
    assert Condition.OVERHEATED not in job.state.bay.conditions
    assert Condition.OVERHEATED in forbids(library["no-start"].step("cam-look"))


def test_steam_told_at_the_seat_is_answered_at_once(library):
    """Nothing is forbidden there, and it is told all the same what scalds."""
    job = Led(library, "no-start", {"complaint": "it will not start"}).until("security", mode=Mode.ASKING)
    assert "Hands off until it is cool, and never open a hot cap." in job.say("the engine overheated").words
