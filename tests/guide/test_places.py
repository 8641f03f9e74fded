"""What a step is made of, by itself: each line that safety hangs on, on steps built for it."""

from dataclasses import replace

import pytest

from assistant.bay import Bay, Mark, Off
from assistant.guide.places import (
    MissingStep,
    action_of,
    band_of,
    burst_ahead_s,
    caution_now,
    decides_later,
    duty_of,
    forbidden_now,
    gate_now,
    is_spray,
    limits_of,
    may_check,
    may_leave,
    may_skip,
    may_turn_back,
    paced_s,
    step_at,
    tries_used,
    way_past,
)
from assistant.guide.state import Frame, Mode, Position, State, Visit
from assistant.procedure.condition import Condition
from assistant.procedure.model import Action, Duty, Hazard, Kind, Leading, Pace, Proof
from assistant.procedure.remedies import REMEDIES
from tests.guide.small import small_library

LIBRARY = small_library()
SMALL = LIBRARY["small"]


def at(step, **more):
    """A job of the small procedure that stands at a step."""
    place = Position(at=Frame(procedure="small", step=step))
    return State(root="small", position=place, mode=Mode.ASKING, **more)


def so(*conditions):
    """A bay in which these are so and nothing else is known of."""
    return Bay(marks=tuple(Mark(condition=each, at_s=0.0, fact=f"f-{each}") for each in conditions))


def having(step, **changes):
    """The library with one step changed."""
    steps = tuple(replace(each, **changes) if each.id == step else each for each in SMALL.steps)
    return {"small": replace(SMALL, steps=steps)}


def test_a_job_older_than_the_table_is_held_by_vapour_alone():
    """Unguarded, vapour forbids a spark and nothing else forbids anything; no vapour forbids nothing."""
    assert forbidden_now(LIBRARY, at("jump", bay=so(Condition.VAPOUR))) is Condition.VAPOUR
    assert forbidden_now(LIBRARY, at("jump", bay=so(Condition.LEAK))) is None
    assert forbidden_now(LIBRARY, at("jump", bay=so())) is None
    assert forbidden_now(LIBRARY, at("look", bay=so(Condition.VAPOUR))) is None


def test_a_guarded_job_is_held_by_the_whole_table():
    """A leak forbids the spark, too, where the table holds."""
    assert forbidden_now(LIBRARY, at("jump", bay=so(Condition.LEAK), guarded=True)) is not None


def test_the_vehicles_limit_wins():
    """A limit that the vehicle's maker gives stands in place of the procedure's."""
    assert limits_of(LIBRARY, at("volts")) == {"good": 12.4}
    assert limits_of(LIBRARY, at("volts", vehicle={"good": 12.7})) == {"good": 12.7}


@pytest.mark.parametrize(("value", "band"), [(12.4, "good"), (12.39, "low"), (99.0, "good"), (-1.0, "low")])
def test_a_band_takes_its_lower_end_and_not_its_upper(value, band):
    """at_least <= value < below, for each end."""
    step = SMALL.step("volts")
    assert band_of(step, value, {"good": 12.4}).id == band
    assert band_of(replace(step, bands=step.bands[1:]), 12.4, {"good": 12.4}) is None


def test_the_vehicles_starter_duty_wins_and_its_stop_is_never_before_its_burst():
    """The maker's own figures, in seconds; what is not given stays."""
    given = {"starter-burst-s": 20.0, "starter-rest-s": 60.0}
    duty = duty_of(LIBRARY, at("turn", vehicle=given))
    assert (duty.burst_s, duty.stop_s, duty.rest_s) == (20.0, 20.0, 60.0)
    assert duty_of(LIBRARY, at("turn", vehicle={"starter-stop-s": 30.0})).stop_s == 30.0


@pytest.mark.parametrize(
    ("root", "called"), [((10.0, 15.0, 120.0), (8.0, 12.0, 180.0)), ((8.0, 15.0, 120.0), (10.0, 12.0, 180.0))]
)
def test_of_two_duties_the_stricter_part_holds_whichever_procedure_has_it(root, called):
    """The shorter burst, the earlier stop, the longer rest: a procedure that is called cannot loosen the job's."""
    for mine, its in ((root, called), (called, root)):
        other = replace(SMALL, id="other", duty=Duty(burst_s=its[0], stop_s=its[1], rest_s=its[2]))
        job = replace(SMALL, duty=Duty(burst_s=mine[0], stop_s=mine[1], rest_s=mine[2]))
        state = replace(at("turn"), position=Position(at=Frame(procedure="other", step="turn")))
        duty = duty_of({"small": job, "other": other}, state)
        assert (duty.burst_s, duty.stop_s, duty.rest_s) == (8.0, 12.0, 180.0)


def test_a_step_that_fills_what_decides_later_is_known():
    """By its own fact and by no other; a question with one way on decides nothing."""
    library = having("look", vehicle="fuel")
    assert decides_later(library, "fuel")
    assert not decides_later(library, "cylinders")
    assert not decides_later(having("first", vehicle="fuel"), "fuel")
    chooses = having("first", kind=Kind.CHOOSE, vehicle="fuel")
    assert decides_later(chooses, "fuel")


def test_skipping_needs_an_answer_that_is_waited_for_and_one_way_on():
    """Not before it was told, not a finding, not what clears vapour while it is about, not a choice of ways."""
    told = at("first", instructed=True)
    step = SMALL.step("first")
    assert may_skip(step, told)
    assert not may_skip(step, at("first"))
    for never in (Kind.WAIT, Kind.CHOOSE, Kind.CALL, Kind.FINDING, Kind.RETURN):
        assert not may_skip(replace(step, kind=never), told)
    clears = replace(step, clears_vapour=True)
    assert not may_skip(clears, replace(told, bay=so(Condition.VAPOUR)))
    assert may_skip(clears, replace(told, bay=so()))
    assert may_skip(step, replace(told, bay=so(Condition.VAPOUR)))
    assert not may_skip(SMALL.step("look"), told) and way_past(SMALL.step("look")) is None


@pytest.mark.parametrize("kind", list(Kind))
def test_only_what_is_answered_or_timed_can_be_skipped(kind):
    """Each kind is one or the other, or never left out."""
    kept = {Kind.WAIT, Kind.CHOOSE, Kind.CALL, Kind.FINDING, Kind.RETURN}
    step = replace(SMALL.step("first"), kind=kind)
    assert may_skip(step, at("first", instructed=True)) is (kind not in kept)


@pytest.mark.parametrize("result", ["unknown", "unclear", "not-sure", "not-tested"])
def test_a_skipped_question_goes_where_nothing_was_learned(result):
    """The result that says so, not the first."""
    look = SMALL.step("look")
    unsure = replace(look.results[1], id=result, goes="volts-too")
    step = replace(look, results=(*look.results, unsure))
    assert way_past(step) == "volts-too"


def test_what_a_step_made_itself_does_not_forbid_it_once_it_began():
    """Before its instruction the key that it will turn on forbids the coils, after it no more."""
    coils = having("look", say="Key on. What do you see?", hazards=frozenset({Hazard.HIGH_SECONDARY_VOLTAGE}))
    key_on = at("look", bay=so(Condition.KEY_ON), guarded=True)
    assert forbidden_now(coils, key_on) is Condition.KEY_ON
    assert forbidden_now(coils, replace(key_on, instructed=True)) is None
    assert forbidden_now(LIBRARY, at("turn", bay=so(Condition.LEAK), guarded=True, instructed=True)) is not None


def test_a_paced_action_lasts_its_stretches_and_the_gaps_between():
    """Three of one second with half a second between: four seconds; nothing is paced without a pace."""
    step = replace(SMALL.step("first"), pace=Pace(action=Action.PUFF, on_s=1.0, off_s=0.5, times=3))
    assert paced_s(step) == 4.0
    assert paced_s(replace(step, pace=Pace(action=Action.SPRAY, on_s=1.0, off_s=0.5))) == 1.0
    assert paced_s(SMALL.step("first")) == 0.0


def test_tries_are_used_up_by_their_number():
    """Two of two are all; one of two is not; what is not paced has no end of tries."""
    step = replace(SMALL.step("first"), pace=Pace(action=Action.SPRAY, on_s=1.0, tries=2))
    for used, all_used in ((0, False), (1, False), (2, True), (3, True)):
        assert tries_used(step, at("first", tries={"small/first": used})) is all_used
    assert not tries_used(SMALL.step("first"), at("first", tries={"small/first": 9}))


def test_cranking_behind_a_spray_is_seen_ahead_of_it():
    """Its seconds where no answer lies between; none behind a question, and none before anything but a spray."""
    spray = Pace(action=Action.SPRAY, on_s=1.0)
    library = having("first", kind=Kind.PACE, pace=spray, next="turn")
    assert burst_ahead_s(library, at("first")) == 5.0
    assert burst_ahead_s(having("first", kind=Kind.PACE, pace=spray, next="look"), at("first")) == 0.0
    puff = having("first", kind=Kind.PACE, pace=Pace(action=Action.PUFF, on_s=1.0), next="turn")
    assert burst_ahead_s(puff, at("first")) == 0.0
    assert burst_ahead_s(having("first", next="turn"), at("first")) == 0.0
    told = tuple(
        replace(each, kind=Kind.PACE, pace=spray, next="tell") if each.id == "first" else each for each in SMALL.steps
    )
    between = replace(SMALL.step("first"), id="tell", kind=Kind.TELL, next="turn")
    assert burst_ahead_s({"small": replace(SMALL, steps=(*told, between))}, at("first")) == 5.0
    untimed = having("turn", burst_s=None)["small"]
    steps = tuple(library["small"].step("first") if each.id == "first" else each for each in untimed.steps)
    assert burst_ahead_s({"small": replace(SMALL, steps=steps)}, at("first")) == 0.0
    endless = having("first", kind=Kind.PACE, pace=spray, next="first")
    assert burst_ahead_s(endless, at("first")) == 0.0


def test_a_plan_takes_nobody_away_from_open_work_or_vapour():
    """Free behind intake, with nothing off the car, and with what was sprayed in the same procedure cleared."""
    leading = Leading(after="first", only=(), repair="found", search="found", recheck="small")
    led = {"small": replace(SMALL, led=leading)}
    free = at("look", may_plan=True, bay=so())
    assert may_leave(led, free)
    about = replace(free, bay=so(Condition.VAPOUR))
    assert may_leave(led, about), "no starter turns in it: the table of forbidden work sees to that"
    sprays = replace(SMALL.step("volts"), hazards=frozenset({Hazard.SPRAYING}))
    spray = replace(SMALL, led=leading, steps=tuple(sprays if each.id == "volts" else each for each in SMALL.steps))
    assert not may_leave({"small": spray}, about) and may_leave({"small": spray}, free)
    assert may_leave({"small": spray}, replace(about, mode=Mode.CLOSING)), "a finding is no dead end"
    assert not may_leave(led, replace(free, bay=replace(so(), off=(Off(item="duct"),))))
    assert may_leave(led, replace(free, bay=replace(so(), off=(Off(item="duct", left=True),))))
    assert not may_leave(led, at("look", bay=so()))
    assert not may_leave(led, at("first", bay=so()))
    assert may_leave(led, replace(at("first", bay=so()), mode=Mode.MOVING))
    assert not may_leave(led, replace(at("look", bay=so()), mode=Mode.MOVING))
    assert may_leave(LIBRARY, at("look", bay=so()))


def test_a_repair_is_checked_only_behind_a_finding_by_a_procedure_that_can():
    """Not before the finding is told, not before a plan may lead, not without a recheck, not where the repair holds."""
    leading = Leading(after="first", only=(), repair="found", search="found", recheck="small")
    library = {"small": replace(SMALL, led=leading)}
    found = at("found", finding=True, may_plan=True)
    assert may_check(library, found)
    assert not may_check(library, replace(found, finding=False))
    assert not may_check(library, replace(found, may_plan=False))
    assert not may_check(LIBRARY, found)
    for proof, checked in ((Proof.FAILS, True), (Proof.HOLDS, False)):
        ends = replace(SMALL.step("found").finding, repair=proof)
        steps = tuple(replace(each, finding=ends) if each.id == "found" else each for each in SMALL.steps)
        assert may_check({"small": replace(SMALL, led=leading, steps=steps)}, found) is checked
    assert not may_check(library, replace(found, position=at("look").position))


def test_the_question_of_a_remedy_comes_before_those_of_the_step():
    """Its caution until it is acknowledged, its gate, and not the step's own; these where nothing is forbidden."""
    leak = at("turn", bay=so(Condition.LEAK), guarded=True)
    remedy = REMEDIES[Condition.LEAK]
    assert caution_now(LIBRARY, leak) is remedy.caution and remedy.caution is not None
    assert caution_now(LIBRARY, replace(leak, acknowledged=frozenset({remedy.caution.id}))) is None
    assert gate_now(LIBRARY, leak) is remedy.gate
    free = at("turn", bay=so(), guarded=True)
    assert caution_now(LIBRARY, free).id == "area" and gate_now(LIBRARY, free).id == "brake"
    asked = replace(free, acknowledged=frozenset({"area"}), passed=frozenset({"brake"}))
    assert caution_now(LIBRARY, asked) is None and gate_now(LIBRARY, asked) is None


def test_spray_and_puffs_put_fuel_into_the_air():
    """A crank does not."""
    assert is_spray("spray") and is_spray("puff") and not is_spray("crank")


@pytest.mark.parametrize("frame", [Frame(procedure="gone", step="first"), Frame(procedure="small", step="gone")])
def test_a_step_that_is_not_there_is_told(frame):
    """By one family of error, whichever is missing."""
    with pytest.raises(MissingStep, match="gone"):
        step_at(LIBRARY, frame)


def test_a_remedy_without_a_caution_is_its_question_alone():
    """Taking the key out endangers nobody."""
    coils = having("look", hazards=frozenset({Hazard.HIGH_SECONDARY_VOLTAGE}))
    key_on = at("look", bay=so(Condition.KEY_ON), guarded=True)
    assert caution_now(coils, key_on) is None
    assert gate_now(coils, key_on) is REMEDIES[Condition.KEY_ON].gate


@pytest.mark.parametrize("action", list(Action))
def test_a_paced_step_is_called_by_what_it_does(action):
    """And a step without a pace turns the starter."""
    assert action_of(replace(SMALL.step("first"), pace=Pace(action=action, on_s=1.0))) == action.value
    assert action_of(SMALL.step("turn")) == "crank"


def test_before_the_first_step_there_is_none_to_go_back_to():
    """And a paced step is gone back to only as long as it has a try left."""
    assert not may_turn_back(LIBRARY, at("first"))
    pace = Pace(action=Action.PUFF, on_s=1.0, off_s=1.0, times=1, tries=2)
    library = having("look", kind=Kind.PACE, pace=pace)
    before = Visit(position=Position(at=Frame(procedure="small", step="look")))
    for tries, may in ((1, True), (2, False)):
        state = replace(at("volts"), history=(before,), tries={"small/look": tries})
        assert may_turn_back(library, state) is may
