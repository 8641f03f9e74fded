"""What a mechanic would object to: each rule was broken once, and stands here so that it stays mended."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

import pytest

from assistant.facts import FactKind
from assistant.guide import advance, begin, expected
from assistant.guide.state import Mode
from assistant.language.model import Heard, TimePassed
from assistant.language.speech import Sentence, Tone
from assistant.language.understand import understand
from assistant.procedure.condition import VAPOUR_CLEARS_S
from assistant.procedure.flow import ways_of
from assistant.procedure.model import SHORTEST_REST_S, Finding, Hazard, Kind, Procedure, Step
from tests.procedures import fault_player

Library = Mapping[str, Procedure]

STARTERS = frozenset({"starter-tired", "starter-usual", "starter-large", "starter-small"})
"""Findings that condemn the starter of an engine that turns slowly."""


def _steps(shipped: Library) -> Iterator[tuple[str, Step]]:
    for procedure in shipped.values():
        for step in procedure.steps:
            yield f"{procedure.id}/{step.id}", step


def _goes(procedure: Procedure, step: str, result: str) -> str:
    found = procedure.step(step)
    return next(each.goes for each in (*found.results, *found.bands) if each.id == result)


def _reached(procedure: Procedure, begin_at: str, barred: frozenset[str] = frozenset()) -> set[str]:
    seen: set[str] = set()
    waiting = [begin_at]
    while waiting:
        step = waiting.pop()
        if step not in seen and step not in barred:
            seen.add(step)
            waiting.extend(way.goes for way in ways_of(procedure.step(step)))
    return seen


def test_the_ground_of_a_coil_is_read_plugged_in_and_cranking(shipped: Library) -> None:
    """Without current a bad ground drops nothing: no connector is off, and the reading follows a burst."""
    procedure = shipped["no-spark"]
    assert not [step.id for step in procedure.steps if "coil connector" in step.removes]
    before = [step for step in procedure.steps if "coil-ground" in {way.goes for way in ways_of(step)}]
    assert before and all(step.kind is Kind.CRANK for step in before)


def test_a_coil_with_its_own_driver_is_not_tested_as_one_of_two_wires(shipped: Library) -> None:
    """The wires are counted first. Two: a lamp from plus. More: a diode lamp to ground, for five volts and no bulb."""
    procedure = shipped["no-spark"]
    two = _reached(procedure, _goes(procedure, "coil-wires", "two"), frozenset({"wires"}))
    more = _reached(procedure, _goes(procedure, "coil-wires", "more"), frozenset({"wires"}))
    assert "trigger-two" in two and "trigger" not in two
    assert "trigger" in more and "trigger-two" not in more
    assert "coil-ground" in more and "coil-ground" not in two, "a coil of two wires has no ground of its own"
    for name in ("trigger", "trigger-two"):
        step = procedure.step(name)
        assert "steady" in {result.id for result in step.results}
        assert "diode lamp" in step.say.lower()
    assert "five volts" in procedure.step("trigger").say


def test_the_stud_that_is_meant_is_told_by_its_cable(shipped: Library) -> None:
    """A starter has two big studs; one of them carries the battery cable."""
    for name, step in _steps(shipped):
        if "stud of the starter" in step.say:
            assert "battery cable" in step.say, name


def test_unfused_studs_and_work_below_have_their_cautions(shipped: Library) -> None:
    """Whoever clips to the starter may short an unfused stud, and may lie under the car."""
    for name in ("voltage-drop-positive/fit", "voltage-drop-positive/good-off", "no-crank/control-fit"):
        procedure, _, step = name.partition("/")
        assert {Hazard.BATTERY_CLAMP, Hazard.UNSUPPORTED_VEHICLE} <= shipped[procedure].step(step).all_hazards, name
    for name in ("voltage-drop-ground/fit", "air-and-exhaust/sensor-out"):
        procedure, _, step = name.partition("/")
        assert Hazard.UNSUPPORTED_VEHICLE in shipped[procedure].step(step).all_hazards, name


def test_nobody_holds_a_phone_over_open_petrol(shipped: Library) -> None:
    """The pump is heard from the rear seat, its filler cap on."""
    for name, step in _steps(shipped):
        words = f"{step.say} {step.alone or ''}".lower()
        assert not ("phone" in words and "at the filler" in words), name
        assert "filler cap off, windows open" not in words, name
    assert "cap stays on" in shipped["no-start"].step("prime").say


PUFFS = ("start-switch", "start-two")


@pytest.mark.parametrize("name", PUFFS)
def test_puffs_have_all_cautions_before_the_start(shipped: Library, name: str) -> None:
    """The step that puffs is the step that starts the engine: no caution stands between the two."""
    step = shipped["fuel-substitute-paced"].step(name)
    assert step.kind is Kind.PACE
    assert {Hazard.CRANKING, Hazard.SPRAYING, Hazard.RUNNING_ENGINE} <= step.all_hazards


def test_the_first_tone_of_puffs_comes_within_a_second_of_ready(shipped: Library) -> None:
    """Who says ready has a running engine that dies without fuel: no count-in, nothing spoken before the tone."""
    turn = begin(shipped, "fuel-substitute-paced", "made-up", "puffs", {"remote-starter": "yes"})
    usual = fault_player.usual_answers()
    at_s = 0.0
    while True:
        state = turn.state
        if state.mode is Mode.POISED and state.at.step == "start-switch":
            break
        may = expected(shipped, state)
        step = shipped[state.at.procedure].step(state.at.step)
        if may.acknowledge:
            words = may.acknowledge[0]
        elif state.mode is Mode.CONFIRMING:
            words = "yes"
        else:
            words = "done" if step.kind is Kind.INSTRUCT else usual[f"{state.at.procedure}/{state.at.step}"][0]
        at_s += 4.0
        turn = advance(shipped, state, understand(Heard(words=words, confidence=1.0), may), at_s)
        assert not turn.refused, (words, turn.refused)
    at_s += 4.0
    ready = understand(Heard(words="ready", confidence=1.0), expected(shipped, turn.state))
    turn = advance(shipped, turn.state, ready, at_s)
    assert not [each for each in turn.reply if isinstance(each, Sentence)]
    turn = advance(shipped, turn.state, TimePassed(), at_s + 1.0)
    assert any(fact.kind is FactKind.ACTION_BEGUN for fact in turn.facts)
    assert any(isinstance(each, Tone) for each in turn.reply)


def test_a_remote_switch_is_not_said_to_stop_the_engine(shipped: Library) -> None:
    """It only turns the starter: what stops the engine is the key."""
    for name, step in _steps(shipped):
        assert "key or the switch goes off" not in (step.alone or ""), name
    assert "stops nothing" in (shipped["fuel-substitute-paced"].step("start-switch").alone or "")


def test_low_vacuum_still_looks_at_the_tailpipe(shipped: Library) -> None:
    """A blocked exhaust lowers the vacuum, so the exhaust is looked at then above all."""
    assert _goes(shipped["air-and-exhaust"], "vacuum", "low") == "tailpipe"


@pytest.mark.parametrize("result", ["no-change", "kicked-back", "refused"])
def test_a_quiet_spray_does_not_drop_fuel(shipped: Library, result: str) -> None:
    """Pressure, pulse and fuel itself are tested behind it before the fault is called open."""
    job = shipped["no-start"]
    begin_at = _goes(job, "substitute", result)
    for part in ("fuel-supply", "injector-pulse", "fuel-sample"):
        calls = frozenset(step.id for step in job.steps if step.calls == part)
        assert "still-open" not in _reached(job, begin_at, calls), part


def test_fuel_is_added_before_a_pump_is_measured(shipped: Library) -> None:
    """A humming pump may stand in a dry tank: five litres are cheaper than an open line."""
    procedure = shipped["fuel-supply"]
    for result in ("low", "none"):
        reached = _reached(procedure, _goes(procedure, "pressure", result), frozenset({"anyway-crank"}))
        assert "volume-set" not in reached


def test_a_battery_that_was_not_tested_condemns_no_starter(shipped: Library) -> None:
    """Without a load tester it is cranked with help, or left open."""
    procedure = shipped["slow-crank"]
    helped = frozenset({"help-off"})
    assert not STARTERS & _reached(procedure, _goes(procedure, "load", "not-tested"), helped)
    assert _goes(procedure, "help", "not-boosted") == "battery-open"


def test_no_cable_is_cleared_that_was_measured_only_before_its_clamp_was_cleaned(shipped: Library) -> None:
    """Slow with clean clamps, both sides are measured anew: else a ground strap that drops 1.8 V was once cleared."""
    procedure = shipped["slow-crank"]
    for side in ("voltage-drop-positive", "voltage-drop-ground"):
        measured = frozenset(step.id for step in procedure.steps if step.calls == side)
        reached = _reached(procedure, _goes(procedure, "clean-crank", "slow"), measured)
        assert not (STARTERS | {"engine-tight", "ground-cable"}) & reached, side


def test_what_the_clamp_meter_showed_stands_in_the_finding(shipped: Library) -> None:
    """Far too much was once followed by "not tested: starter current" and "measure it": no limit of amps has a source,
    so the judgement is what is kept."""
    procedure = shipped["slow-crank"]
    told = {"usual": "as usual", "large": "far too much", "small": "very little"}
    for result, words in told.items():
        end = procedure.step(procedure.step(_goes(procedure, "clamp-crank", result)).next or "")
        found = end.finding
        assert found is not None and found.fault == "starter-tired"
        assert any(words in each and "current" in each for each in found.proved), found.proved
        assert not any("current" in each for each in found.untested)
        assert "easure the starter's current" not in found.advice
    assert procedure.step(procedure.step(_goes(procedure, "clamp-crank", "unseen")).next or "").id == "starter-tired"


def test_compression_is_only_there_where_it_was_measured(shipped: Library) -> None:
    """No finding speaks of even compression on a way that never measured it."""
    job = shipped["no-start"]
    measured = frozenset(step.id for step in job.steps if step.calls == "compression")
    for step_id in _reached(job, job.begin, measured):
        finding: Finding | None = job.step(step_id).finding
        words = " ".join([job.step(step_id).say, *(finding.proved if finding else ())]).lower()
        if finding is not None:
            assert not re.search(r"compression (is|was|are) (there|even|good|measured)|even compression", words), (
                step_id
            )


def test_one_bank_of_a_vee_engine_has_an_answer(shipped: Library) -> None:
    """Two, four and six low is neither one nor two neighbours nor all of them."""
    judge = shipped["compression"].step("judge")
    assert {"bank-low", "some-low"} <= {result.id for result in judge.results}


def test_the_fuel_volume_has_a_way_out(shipped: Library) -> None:
    """Before the line is opened it is asked who runs the pump, and with the line open a pump that will not run is one
    of the answers, which closes the line."""
    procedure = shipped["fuel-supply"]
    assert "volume-set" not in _reached(procedure, "add-anyway", frozenset({"volume-means"}))
    for ask, line in (("volume-run", "fuel line at the rail"), ("filter-run", "fuel line at the filter")):
        assert line in procedure.step(_goes(procedure, ask, "failed")).refits


def test_the_reader_may_find_no_computer(shipped: Library) -> None:
    """No communication is an answer, and no codes are asked then."""
    job = shipped["no-start"]
    assert job.step(_goes(job, "reader", "silent")).kind is not Kind.CODES


def test_what_newer_and_older_engines_need_is_asked(shipped: Library) -> None:
    """The pressure of direct injection on the reader, a carburetor, the cam seen to turn, the gap of a plug."""
    pressure = shipped["fuel-pressure"]
    assert "rail-direct" in _reached(pressure, _goes(pressure, "system", "direct"))
    assert "carb-look" in _reached(pressure, _goes(pressure, "system", "carburetor"))
    assert {result.id for result in shipped["no-start"].step("cam-look").results} >= {"turns", "still"}
    assert "wide" in {result.id for result in shipped["compression"].step("look-plugs").results}


def test_what_comes_and_goes_has_a_plan(shipped: Library) -> None:
    """An engine that runs now is wiggled, warmed and cooled, and a recorder is told of, before nothing is found."""
    job = shipped["no-start"]
    assert job.step(_goes(job, "keeps", "runs")).calls == "comes-and-goes"
    plan = shipped["comes-and-goes"]
    assert {"wiggle", "warm", "cool-sensor", "recorder"} <= _reached(plan, plan.begin)
    assert "not-found" not in _reached(plan, plan.begin, frozenset({"recorder"}))


@pytest.mark.parametrize(
    ("procedure", "swapped", "result", "again"),
    [
        ("spark-check-coil-on-plug", "swap-crank", "present", "back-crank"),
        ("spark-check-wasted-spark", "partner-crank", "present", "again-crank"),
        ("pump-feed", "relay", "hums", "relay-again"),
        ("no-crank", "neutral", "turns", "park-again"),
    ],
)
def test_what_a_swap_seems_to_show_is_swapped_back(
    shipped: Library, procedure: str, swapped: str, result: str, again: str
) -> None:
    """A, B, A: no finding rests on a fault that may only have been missed the first time."""
    found = shipped[procedure]
    reached = _reached(found, _goes(found, swapped, result), frozenset({again}))
    assert not [step for step in reached if found.step(step).kind in (Kind.FINDING, Kind.RETURN)]


def test_every_procedure_keeps_the_one_duty_of_the_starter_and_the_one_wait_for_vapour(shipped: Library):
    """Their files say the figures for who reads them; the code's are the ones that count where a file says none."""
    duty = {(each.duty.burst_s, each.duty.stop_s, each.duty.rest_s) for each in shipped.values()}
    assert duty == {(10.0, 15.0, SHORTEST_REST_S)}
    waits = [step.wait_s for _, step in _steps(shipped) if step.clears_vapour]
    assert waits and set(waits) == {VAPOUR_CLEARS_S}
