"""Ways that few jobs take: they must be as right as the usual ones, and nobody finds out by working."""

from dataclasses import replace

import pytest

from assistant.bay import Bay, Mark
from assistant.facts import FactKind, VehicleNoted, fact_of
from assistant.guide import Mode, advance, begin, expected, fold
from assistant.guide.answers import confirm, log_reading, put_right, said_so
from assistant.guide.arrive import enter, prepare
from assistant.guide.excusing import cannot, excuse
from assistant.guide.fold import apply
from assistant.guide.leading import leader, take_to
from assistant.guide.other_fuel import burns_diesel
from assistant.guide.reckoned import compression_spread, reckoned_words
from assistant.guide.state import Frame, Measured, Position
from assistant.guide.turn import Making, Refused
from assistant.guide.words import choices
from assistant.language.commands import Control
from assistant.language.model import Acknowledge, BurstStarted, FactTold, GiveControl, GiveFacts, GiveResult
from assistant.procedure.condition import Condition
from assistant.procedure.model import Kind, Result
from assistant.procedure.remedies import REMEDIES
from tests.guide.job import LIBRARY, TO_CRANK, Job
from tests.guide.led import CAR, Led
from tests.guide.test_led_elsewhere import Plan

(SMALL,) = LIBRARY.values()
NOTHING_OFF = Bay(marks=())
REASON = GiveResult(result="no-tool", words="no tool")


def having(step, **changes):
    """The small library with one step changed."""
    steps = tuple(replace(each, **changes) if each.id == step else each for each in SMALL.steps)
    return {"small": replace(SMALL, steps=steps)}


def kinds(making):
    return [fact.kind for fact in making.facts]


def test_what_is_left_out_by_the_way_past_counts_as_begun():
    """No plan leads: the job goes on behind the step, and what it takes off is asked about before the end."""
    making = Making(LIBRARY, Job().state, 0.0)
    cannot(making)
    excuse(making, REASON)
    (off,) = [fact for fact in making.facts if fact.kind is FactKind.ITEM_REMOVED]
    assert (off.data["item"], off.data["unsure"]) == ("duct", True)
    assert making.state.at.step == "look" and making.state.open_items == ("duct",)


def test_while_a_reason_is_asked_only_reasons_are_listened_for():
    """Not the answers of the step, least of all those that choose the way."""
    job = Job("done", "lead the way")
    making = Making(LIBRARY, replace(job.state, bay=NOTHING_OFF), 0.0, choose=Plan("volts"))
    cannot(making)
    assert making.state.mode is Mode.EXCUSING
    for result, refused in (("clean", True), ("no-tool", False)):
        turn = advance(LIBRARY, making.state, GiveResult(result=result, words="so"), 0.0, choose=Plan("volts"))
        assert (turn.refused is not None) is refused


def test_nobody_is_led_away_before_intake_and_safety_are_done(library):
    """However good the plan is: the place and the car were not asked about yet."""
    job = Led(library, "no-start")
    state = replace(job.state, leads=True, bay=NOTHING_OFF)
    with pytest.raises(Refused, match="Not until intake and safety are done"):
        leader(Making(library, state, 0.0, choose=Plan("fuel-level")))
    leads = leader(Making(library, replace(state, may_plan=True), 0.0, choose=Plan("fuel-level")))
    assert leads.step == "fuel-level"


def test_a_test_that_was_named_is_gone_to_by_the_technicians_word():
    """And the fact says whose word it was."""
    state = replace(Job("done", "lead the way").state, bay=NOTHING_OFF)
    making = Making(LIBRARY, state, 0.0, choose=Plan())
    take_to(making, "volts", "battery test")
    (changed,) = [fact for fact in making.facts if fact.kind is FactKind.PLAN_CHANGED]
    assert changed.data["by"] == "technician" and "battery test" in " ".join(each.text for each in making.reply)


def test_diesel_told_late_leads_where_the_intake_would_have_led_and_only_once(library):
    """The second time it is known."""
    job = Led(library, "no-start").until("battery-at-rest", "charge", "fuel-level")
    assert job.state.vehicle["fuel"] == "petrol"
    making = Making(library, job.state, job.state.at_s)
    assert burns_diesel(making) == Frame(procedure="no-start", step="diesel")
    assert making.state.vehicle["fuel"] == "diesel"
    with pytest.raises(Refused, match="Diesel is noted already"):
        burns_diesel(making)


def test_diesel_is_only_noted_where_no_intake_asks_the_fuel():
    """The work goes on as it is."""
    job = Job("done")
    job.act(GiveControl(control=Control.DIESEL))
    assert job.kinds == [FactKind.VEHICLE_NOTED] and job.state.at.step == "look"
    assert job.said.startswith("Fuel: diesel. ")


def test_a_yes_confirms_nothing_where_nothing_was_read_back():
    """Whoever calls for it."""
    with pytest.raises(Refused, match="There is nothing to say yes to"):
        confirm(Making(LIBRARY, Job().state, 0.0))


def test_a_reading_that_no_band_holds_is_an_error_of_the_procedure_not_a_guess():
    """`check` lets no such procedure through."""
    library = having("volts", bands=SMALL.step("volts").bands[:1])
    making = Making(library, Job("done", "all clean", "yes").state, 0.0)
    with pytest.raises(LookupError, match="no band of step 'volts' holds 11"):
        log_reading(making, 11.0, "V", "eleven volts")
    log_reading(making, 12.4, "V", "twelve point four volts")
    assert making.facts[0].kind is FactKind.READING_LOGGED


def test_steps_that_ask_nothing_and_go_round_are_told_not_walked_for_ever():
    """By the name of the procedure."""
    turns = {"kind": Kind.CHOOSE, "vehicle": "fuel", "results": (), "otherwise": "look"}
    with pytest.raises(RecursionError, match="'small' goes in a round"):
        enter(Making(having("look", **turns), Job().state, 0.0), Frame(procedure="small", step="look"), "next")


def test_a_fact_of_the_car_that_is_no_answer_here_is_asked():
    """The step knows other values: what is known is not bent to one of them."""
    library = having("look", vehicle="colour")
    for value, step in (("clean", "volts"), ("green", "look")):
        state = replace(Job().state, vehicle={"colour": value})
        making = Making(library, state, 0.0)
        enter(making, Frame(procedure="small", step="look"), "next")
        assert making.state.at.step == step


def test_what_became_dangerous_while_cautions_were_asked_is_met_before_the_next():
    """The last caution is answered with a leak about: the step is entered anew behind its remedy."""
    job = Job(*TO_CRANK, "area is clear")
    calm = Making(LIBRARY, job.state, 0.0)
    prepare(calm)
    leak = replace(job.state, bay=replace(job.state.bay, marks=(Mark(condition=Condition.LEAK, at_s=0.0, fact="f"),)))
    making = Making(LIBRARY, leak, 0.0)
    prepare(making)
    assert FactKind.STEP_ENTERED in kinds(making) and FactKind.STEP_ENTERED not in kinds(calm)
    assert making.state.mode is not Mode.POISED


def test_a_phrase_stands_for_its_remedy_and_for_nothing_else():
    """The question of a remedy makes all that it stands for; a remedy that is a wait asks none."""
    asks = next(each for each in REMEDIES.values() if each.gate is not None)
    assert said_so(asks.gate.id, asks) == tuple(asks.makes) != ()
    for remedy in (asks, REMEDIES[Condition.VAPOUR], None):
        assert said_so("no-such-gate", remedy) == ()
    assert REMEDIES[Condition.VAPOUR].gate is None


@pytest.mark.parametrize("to_here", [TO_CRANK, (*TO_CRANK, "area is clear")])
def test_a_phrase_that_is_said_while_the_job_is_held_passes_nothing(to_here):
    """Neither caution nor gate: both wait until the job goes on."""
    job = Job(*to_here, "pause")
    before = job.state
    for words in ("area is clear", "brake is set"):
        job.act(Acknowledge(words=words))
        assert job.turn.refused and job.state == before and not job.turn.facts


def test_a_phrase_puts_right_only_what_it_speaks_of():
    """The line is closed; the duct stays off."""
    library = having("first", removes=("duct", "fuel line at the rail"))
    turn = advance(library, Job().state, GiveControl(control=Control.DONE), 0.0)
    making = Making(library, replace(turn.state, mode=Mode.GATING), 0.0)
    put_right(making, ("no-such-word",))
    assert making.facts == []
    put_right(making, ("line-closed",))
    assert making.state.open_items == ("duct",)


def test_what_was_told_of_the_car_and_struck_is_not_known_any_more():
    """Nothing else falls with it."""
    job = Job("done")
    told = fact_of(
        VehicleNoted(fact="colour", value="green", answered=True),
        id="k-90", job="job", number=job.facts[-1].number + 1, at_s=0.0, procedure="small", step="look",
    )  # fmt: skip
    state = replace(apply(LIBRARY, job.state, told), vehicle={"colour": "green", "fuel": "petrol"})
    assert any(kept.fact == "k-90" and kept.kind == "vehicle" for kept in state.strikable)
    turn = advance(LIBRARY, state, GiveControl(control=Control.STRIKE), 0.0)
    turn = advance(LIBRARY, turn.state, GiveControl(control=Control.YES), 0.0)
    assert turn.state.vehicle == {"fuel": "petrol"}


def test_facts_in_a_breath_are_refused_where_one_of_them_is_not_asked(library):
    """All that are asked may be told at once; with one more nothing is taken, and nothing told is no answer."""
    state = begin(library, "no-start", "k", "job", {}).state
    asked = expected(library, state).several
    all_of_them = tuple(
        FactTold(fact=each.fact, value=next(iter(each.results)), words="so") for each in asked
    )  # fmt: skip
    assert len(all_of_them) > 1
    told = advance(library, state, GiveFacts(facts=all_of_them), 0.0)
    assert told.refused is None and told.state.mode is Mode.CONFIRMING
    for facts in ((), (*all_of_them, FactTold(fact="colour", value="green", words="green"))):
        turn = advance(library, state, GiveFacts(facts=facts), 0.0)
        assert turn.refused and turn.state == state


def test_a_gate_is_asked_without_its_phrase_of_who_knows_how_it_goes():
    """In full the phrase is named; either way a silence names it, and only it passes."""
    assert Job(*TO_CRANK, "area is clear").said.endswith("Is the brake set? Say: brake is set.")
    brief = Job(*TO_CRANK, "be brief", "area is clear")
    assert brief.state.mode is Mode.GATING and brief.said.endswith("Is the brake set?")


def test_who_was_not_understood_twice_hears_all_that_is_listened_for():
    """However many answers there are; at a caution its own phrase."""
    many = tuple(Result(id=f"r{each}", phrases=(f"it is number {each}",), goes="volts") for each in "abcdefghi")
    (said,) = choices(having("look", results=many), Job("done").state)
    assert all(f"number {each}" in said.text for each in "abcdefghi")
    assert said.text.endswith("Or say what can I say.")
    (said,) = choices(LIBRARY, Job(*TO_CRANK).state)
    assert said.text == "Say: area is clear. Or say what can I say."


def test_a_starter_that_turns_unasked_is_told_to_be_released_but_not_twice_while_it_is_timed():
    """Where the step waits for it nothing is said against it."""
    turning = Job(*TO_CRANK).act(BurstStarted())
    assert turning.said == "I hear the starter. Release the key until I ask for it."
    timed = Job(*TO_CRANK, "area is clear", "brake is set", "ready").wait(7.0)
    assert timed.state.mode is Mode.TIMING
    assert timed.act(BurstStarted()).said == ""


READ = {f"compression/read-{number}": number for number in range(1, 5)}


def judged(library, *values):
    """At the question which cylinders are low, these read."""
    readings = {
        place: Measured(value=value, fact=f"k-{place}")
        for place, value in zip(READ, values, strict=False)
    }  # fmt: skip
    position = Position(at=Frame(procedure="compression", step="judge"))
    job = Led(library, "compression")
    return replace(job.state, position=position, mode=Mode.ASKING, vehicle=CAR, readings=readings)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((1030.0, 1030.0, 410.0, 1030.0), "cylinder three below"),
        ((1030.0, 410.0, 410.0, 1030.0), "cylinders two and three below"),
        ((1030.0, 1030.0, 1030.0, 1030.0), "Level passes: none is below"),
        ((410.0, 410.0, 410.0, 410.0), "Level fails: every one is below"),
    ],
)
def test_each_cylinder_is_held_against_the_floor(library, values, words):
    """Those below it are named."""
    assert words in " ".join(each.text for each in reckoned_words(library, judged(library, *values)))


@pytest.mark.parametrize("values", [(0.0, 0.0, 0.0, 0.0), (1030.0, 1030.0, 1030.0), (1030.0,), ()])
def test_no_spread_is_worked_out_of_nothing(library, values):
    """No pressure anywhere, a cylinder not read, none read."""
    assert compression_spread(library, judged(library, *values)) is None
    assert reckoned_words(library, judged(library, *values)) == ()


def test_a_job_folds_to_the_same_state_after_all_of_it():
    """What was left out, struck and told in a job with turns that few take."""
    job = Job("done", "all clean", "yes", "strike that", "yes", "full of dirt", "yes", "it is put right", "strike that")
    assert fold(LIBRARY, job.facts) == job.state
