"""What the family of procedures as a whole promises: its members, its order of tests, nobody sprayed by mistake."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pytest

from assistant.procedure.model import Action, Finding, Hazard, Kind, Procedure, Step

Library = Mapping[str, Procedure]

PROMISED = frozenset(
    (
        "air-and-exhaust",
        "battery-state",
        "charging",
        "compression",
        "compression-wet",
        "cranking-check",
        "flooded",
        "fuel-pressure",
        "fuel-substitute",
        "fuel-substitute-paced",
        "fuel-supply",
        "injector-pulse",
        "make-spark-tester",
        "no-crank",
        "no-spark",
        "no-start",
        "parasitic-draw",
        "recheck-start",
        "safety-setup",
        "slow-crank",
        "spark-check-coil-on-plug",
        "spark-check-distributor",
        "spark-check-wasted-spark",
        "starts-then-dies",
        "vacuum-cranking",
        "vapour-cleared",
        "vehicle-facts",
        "voltage-drop-ground",
        "voltage-drop-positive",
    )
)
NOTHING_TO_GUESS = frozenset(
    {
        "no-start/diesel",
        "no-start/other-fuel",
        "no-start/high-voltage",
        "no-start/mended",
        "recheck-start/not-ready",
        "recheck-start/proved",
        "recheck-start/proved-unread",
        "safety-setup/unsafe",
    }
)
"""Findings that name no fault but a bar, or a proof: nothing about them is only likely."""
JARGON = ("solenoid", "regulator", "diode", "exciter", "volt", "ohm", "rail", "crank sensor", "module", "koeo")
"""Words that a customer need not know."""
SPRAYING = ("fuel-substitute", "fuel-substitute-paced")


def _targets(step: Step) -> Iterator[str]:
    yield from (target for target in (step.next, step.otherwise) if target)
    yield from (each.goes for each in (*step.results, *step.bands))
    yield from step.cases.values()


def _reached(procedure: Procedure, begin: str, barred: frozenset[str] = frozenset()) -> set[str]:
    """Steps reached from `begin` without passing a barred one."""
    seen: set[str] = set()
    waiting = [begin]
    while waiting:
        step_id = waiting.pop()
        if step_id not in seen and step_id not in barred:
            seen.add(step_id)
            waiting.extend(_targets(procedure.step(step_id)))
    return seen


def test_the_family_is_there(shipped: Library) -> None:
    """Every procedure that the job needs is shipped."""
    assert set(shipped) >= PROMISED


def test_no_start_offers_many_findings(shipped: Library) -> None:
    """From the opening, calls included, at least twelve findings can be reached."""
    names: set[str] = set()
    waiting = ["no-start"]
    while waiting:
        name = waiting.pop()
        if name not in names:
            names.add(name)
            waiting.extend(step.calls for step in shipped[name].steps if step.calls)
    findings = [step for name in names for step in shipped[name].steps if step.kind is Kind.FINDING]
    assert len({step.finding.fault for step in findings if step.finding}) >= 12


def test_no_spray_before_the_spark_was_looked_for(shipped: Library) -> None:
    """In the main job every way to the spray passes the spark check or its own refusal to be taken."""
    job = shipped["no-start"]
    checks = frozenset(step.id for step in job.steps if step.calls == "spark-check")
    sprays = {step.id for step in job.steps if step.calls in SPRAYING}
    assert checks and sprays
    assert not sprays & _reached(job, job.begin, checks)


@pytest.mark.parametrize("name", SPRAYING)
@pytest.mark.parametrize(
    ("fact", "good"),
    [("fuel", "petrol"), ("glow-plugs-or-intake-heater", "no"), ("hybrid", "no")],
)
def test_any_other_answer_refuses_the_spray(shipped: Library, name: str, fact: str, good: str) -> None:
    """Other fuels, a heater, high voltage, or not knowing: no way leads to the spray."""
    procedure = shipped[name]
    question = next(step for step in procedure.steps if step.vehicle == fact)
    assert {result.id for result in question.results} >= {good, "unknown"}
    for result in question.results:
        kinds = {procedure.step(step_id).kind for step_id in _reached(procedure, result.goes)}
        assert (Kind.PACE in kinds) is (result.id == good), result.id


@pytest.mark.parametrize("name", SPRAYING)
def test_no_spray_without_knowing_the_throttle(shipped: Library, name: str) -> None:
    """An unknown throttle refuses the spray, because the key's place depends on it."""
    procedure = shipped[name]
    question = next(step for step in procedure.steps if step.vehicle == "throttle-by-wire" and step.kind is Kind.ASK)
    unknown = next(result for result in question.results if result.id == "unknown")
    assert all(procedure.step(step_id).kind is not Kind.PACE for step_id in _reached(procedure, unknown.goes))


@pytest.mark.parametrize("name", SPRAYING)
def test_questions_stand_before_the_spray(shipped: Library, name: str) -> None:
    """Without the four questions no spray can be reached."""
    procedure = shipped[name]
    for fact in ("fuel", "glow-plugs-or-intake-heater", "hybrid", "throttle-by-wire"):
        asked = frozenset(step.id for step in procedure.steps if step.vehicle == fact and step.kind is Kind.ASK)
        reached = _reached(procedure, procedure.begin, asked)
        assert all(procedure.step(step_id).kind is not Kind.PACE for step_id in reached), fact


def test_after_the_spray_four_gates_stand_before_the_crank(shipped: Library) -> None:
    """Can away, duct closed, prop out, hands clear: all four before the engine turns."""
    procedure = shipped["fuel-substitute"]
    cranks = [step for step in procedure.steps if step.kind is Kind.CRANK]
    assert cranks
    for step in cranks:
        assert set(step.gates) >= {"can-away", "duct-closed", "prop-out", "hands-clear"}


def test_every_way_out_of_a_spray_clears_the_vapour(shipped: Library) -> None:
    """After a spray no way returns to the caller without the wait that clears the vapour."""
    for name in SPRAYING:
        procedure = shipped[name]
        cleared = frozenset(step.id for step in procedure.steps if step.calls == "vapour-cleared")
        for spray in (step for step in procedure.steps if step.kind is Kind.PACE):
            ends = {procedure.step(step_id).kind for step_id in _reached(procedure, spray.id, cleared)}
            assert not ends & {Kind.RETURN, Kind.FINDING}, spray.id


def test_a_spark_is_only_made_with_the_tester_clamped(shipped: Library) -> None:
    """Each open spark waits for the clamp on engine metal, and says so of the battery."""
    for procedure in shipped.values():
        gates = {gate.id: gate for gate in procedure.gates}
        for step in procedure.steps:
            if Hazard.EXPOSED_SPARK in step.all_hazards:
                assert "tester-clamped" in step.gates, (procedure.id, step.id)
                assert "away from the battery" in gates["tester-clamped"].say


def test_no_spark_verdict_rests_on_one_coil(shipped: Library) -> None:
    """ "No spark" needs at least two cranks on two coils or leads, except where all share one coil."""
    for name in ("spark-check-coil-on-plug", "spark-check-wasted-spark"):
        procedure = shipped[name]
        cranks = [step.id for step in procedure.steps if step.kind is Kind.CRANK]
        for crank in cranks[1:]:
            assert "none" not in _outcomes(procedure, frozenset({crank, *cranks[1:]}))


def _outcomes(procedure: Procedure, barred: frozenset[str]) -> set[str | None]:
    return {procedure.step(step_id).outcome for step_id in _reached(procedure, procedure.begin, barred)}


def test_puffs_need_a_switch_or_a_second_person(shipped: Library) -> None:
    """Whoever is alone without a remote switch never reaches the puffs."""
    procedure = shipped["fuel-substitute-paced"]
    partner = procedure.step("partner")
    alone = next(result for result in partner.results if result.id == "alone")
    assert all(procedure.step(step_id).kind is not Kind.PACE for step_id in _reached(procedure, alone.goes))
    barred = frozenset({"partner", "start-type"})
    reached = _reached(procedure, procedure.begin, barred)
    assert all(procedure.step(step_id).kind is not Kind.PACE for step_id in reached)


def test_cranking_with_the_remote_switch_checks_the_car_first(shipped: Library) -> None:
    """The switch bypasses the interlock, so selector, brake and chocks are gates of that step."""
    step = shipped["fuel-substitute-paced"].step("start-switch")
    assert set(step.gates) >= {"selector-checked", "brake-set", "wheels-chocked"}


def test_whatever_comes_off_is_put_back_or_told(shipped: Library) -> None:
    """Every thing that a step takes off has a step that puts it back."""
    steps = [step for procedure in shipped.values() for step in procedure.steps]
    removed = {item for step in steps for item in step.removes}
    assert removed == {item for step in steps for item in step.refits}


def test_a_puff_is_never_longer_than_a_spray(shipped: Library) -> None:
    """Puffs on a running engine stay below the one second that a spray may last."""
    paces = [step.pace for procedure in shipped.values() for step in procedure.steps if step.pace]
    puffs = [pace.on_s for pace in paces if pace.action is Action.PUFF]
    sprays = [pace.on_s for pace in paces if pace.action is Action.SPRAY]
    assert max(puffs) < min(sprays)


def _findings(library: Library) -> Iterator[tuple[str, Finding]]:
    """Every finding of the procedures' own; of those that a plan reaches, the plan says what is proved."""
    for name, procedure in library.items():
        led = procedure.led.only if procedure.led else ()
        for step in procedure.steps:
            if step.kind is Kind.FINDING and step.id not in led:
                assert step.finding is not None
                yield f"{name}/{step.id}", step.finding


def test_every_finding_says_what_is_proved_likely_untested_next_and_for_the_customer(shipped: Library) -> None:
    """Each part is there in whole sentences; only a bar or a proof leaves nothing to guess."""
    found = dict(_findings(shipped))
    assert len(found) > 80
    assert {name for name, one in found.items() if not one.likely} == NOTHING_TO_GUESS
    for name, one in found.items():
        assert one.proved and one.untested, name
        for words in (*one.proved, *one.likely, *one.untested, one.advice, one.customer):
            assert words[:1].isupper() and words.endswith("."), f"{name}: {words!r} is no whole sentence"


def test_customers_are_told_without_jargon(shipped: Library) -> None:
    """No trade words, no figures, no codes."""
    for name, one in _findings(shipped):
        words = one.customer.lower()
        assert not any(each in words.replace("high voltage", "") for each in JARGON), f"{name}: {one.customer}"
        assert not any(letter.isdigit() for letter in words), f"{name}: {one.customer}"


def test_every_procedure_ends_in_findings_or_in_outcomes_that_its_callers_know(shipped: Library) -> None:
    """A part that never ends a job by itself says its outcome; what calls it answers each outcome."""
    for procedure in shipped.values():
        kinds = {step.kind for step in procedure.steps}
        assert kinds & {Kind.FINDING, Kind.RETURN}, procedure.id
        assert (Kind.RETURN in kinds) == bool(procedure.outcomes), procedure.id
