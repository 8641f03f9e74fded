"""Findings in words: as sure as the odds, and nothing claimed that was not seen."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from assistant.bench.reason_cars import Car, Job, draw_cars
from assistant.bench.reason_findings import claims_unseen, together, told_of
from assistant.bench.reason_ways import asked_tests
from assistant.reasoning.answers import say_conflict
from assistant.reasoning.findings import OPEN, finding_stands, say_finding
from assistant.reasoning.planner import Act, Readiness, make_plan
from assistant.reasoning.posterior import Belief, believe, fault_odds, see
from assistant.reasoning.reasoner import Reasoner, form_opinion
from assistant.reasoning.standing import LEAST_PROVED, Standing
from assistant.wiring import procedures_at_hand, shipped_procedures


def test_a_finding_names_odds_what_speaks_for_it_and_what_was_not_tested(shipped: Reasoner) -> None:
    """Below the line it is not proved; the facts are those seen; what was not tested is told."""
    silent = believe(shipped.network, {"pump-prime": "silent"})
    said = say_finding(shipped, silent, "pump-dead")
    assert said.startswith("Not proved by the odds: a dead fuel pump, about three in ten, since the pump is silent.")
    unfed = "the pump supply under load and ground of the fuel pump under load were not seen good."
    assert f"It may be the supply: {unfed}" in said
    lives = believe(shipped.network, {"starts-and-dies": "dies", "pedal-quarter": "lives"})
    assert "Not tested: look at the intake hoses and fault codes." in say_finding(shipped, lives, "air-leak")
    likelier = say_finding(shipped, silent, "security")
    assert "; a dead fuel pump is likelier" in likelier
    assert say_finding(shipped, silent, "no-fault-of-this-model") == ""
    assert say_finding(shipped, silent, None) == say_finding(shipped, silent, OPEN)
    assert say_finding(shipped, silent, None).startswith("Still open by the odds: most likely a dead fuel pump")


def test_what_the_car_lacks_is_not_missed(shipped: Reasoner) -> None:
    """Of a car with a carburettor the fault codes were named as not tested."""
    silent = {"pump-prime": "silent", "pump-supply": "missing"}
    assert "fault codes" in say_finding(shipped, believe(shipped.network, silent), "pump-feed")
    carburettor = believe(shipped.network, silent | {"fuel-system": "carburettor"})
    assert "fault codes" not in say_finding(shipped, carburettor, "pump-feed")


def test_what_would_tell_most_and_was_not_tested_is_told_whatever_it_costs(shipped: Reasoner) -> None:
    """All else seen good and no fault named: the compression that nobody measured is told, and not once it was."""
    good = {"spark-check": "present", "injector-pulse": "flickers", "fuel-pressure": "good", "air-path": "free"}
    good |= {"exhaust-check": "free", "leak-check": "dry", "pedal-down": "no-change", "codes": "none"}
    good |= {"new-plugs": "no-change", "cranking-speed": "normal", "starts-and-dies": "never"}
    seen = say_finding(shipped, believe(shipped.network, good), OPEN)
    assert seen.endswith("Not tested: compression and starting fluid test.")
    measured = say_finding(shipped, believe(shipped.network, good | {"compression": "even"}), OPEN)
    assert "Not tested: " in measured
    assert "compression" not in measured.partition("Not tested: ")[2]


def test_a_part_is_named_alone_once_what_feeds_it_was_seen_good(shipped: Reasoner) -> None:
    """Supply and ground of the pump under load: then the pump itself."""
    fed = {"pump-prime": "silent", "pump-supply": "good", "pump-ground-drop": "good"}
    assert "It may be the supply" not in say_finding(shipped, believe(shipped.network, fed), "pump-dead")
    half = {"pump-prime": "silent", "pump-supply": "good"}
    said = say_finding(shipped, believe(shipped.network, half), "pump-dead")
    assert "It may be the supply: the ground of the fuel pump under load was not seen good." in said


def test_proved_needs_a_direct_test(shipped: Reasoner) -> None:
    """A start on another key proves; odds of 95 % by mere elimination do not."""
    seen = believe(shipped.network, {"security-lamp": "on", "other-key": "starts"})
    assert finding_stands(shipped, seen, "security") is Standing.PROVED
    assert say_finding(shipped, seen, "security").startswith("Proved by the odds: an immobiliser")


def test_a_lamp_seen_twice_does_not_prove_what_a_spare_key_decides(shipped: Reasoner) -> None:
    """The same lamp looked at again shows no more of key or car; a spare key that was tried does."""
    seen = {"security-lamp": "on", "history": "key", "battery-at-rest": "good", "pump-prime": "heard"}
    belief = believe(shipped.network, seen)
    twice = see(shipped.network, belief, "security-lamp", "on")
    assert fault_odds(shipped.network, twice)["security"] >= LEAST_PROVED
    assert finding_stands(shipped, twice, "security") is Standing.NOT_PROVED
    starts = believe(shipped.network, {"security-lamp": "on", "other-key": "starts"})
    assert finding_stands(shipped, starts, "security") is Standing.PROVED


def test_bright_lamps_under_a_bad_ground_of_the_engine_fit_and_name_the_ground_side(shipped: Reasoner) -> None:
    """Lamps hang on the body's ground: 3.1 V on the engine's side decide it, over clamps that were measured good."""
    seen = {"battery-at-rest": "good", "clamps": "loose", "cranking-speed": "none", "lamps-at-start": "bright"}
    seen |= {"neutral-crank": "no-change", "start-click": "click", "start-command": "arrives", "by-hand": "easy"}
    belief = see(shipped.network, believe(shipped.network, seen | {"voltage-drop": "ground"}), "clamps", "tight")
    assert finding_stands(shipped, belief, "bad-connection") is Standing.PROVED
    said = say_finding(shipped, belief, "bad-connection")
    assert "the ground side drops too much" in said
    assert "clamp is loose" not in said and "do not fit" not in said


def test_a_conflict_closes_the_finding(shipped: Reasoner) -> None:
    """What does not fit is told with it."""
    opinion = form_opinion(
        shipped,
        {
            "fuel-substitute": "runs",
            "crank-signal": "shown",
            "coil-trigger": "there",
            "second-coil": "no-change",
            "spark-check": "none",
        },
    )
    assert opinion.conflict is not None
    assert say_finding(shipped, opinion.belief, None).endswith(say_conflict(shipped, opinion))


def jobs(shipped: Reasoner, cars: tuple[Car, ...]) -> Iterator[Belief]:
    """What was seen of each car when the planner proposed its first repair."""
    among = asked_tests(shipped.model, procedures_at_hand(shipped_procedures()))
    for car in cars:
        job = Job(shipped, car)
        while not job.runs:
            plan = make_plan(
                shipped.model, shipped.network, job.belief, situation=job.situation, ready=Readiness(among=among)
            )
            if plan.act is not Act.TEST:
                break
            job.do(plan.name)
        yield job.belief


@pytest.mark.parametrize("seed", range(4))
def test_no_finding_of_a_made_up_car_claims_what_was_not_seen(shipped: Reasoner, seed: int) -> None:
    """Over made-up cars: nothing unseen is claimed, at most three sentences of forty words, proved only at the line.
    `hoodside bench reason` tells the same of as many cars as it draws."""
    told = together(told_of(shipped, belief) for belief in jobs(shipped, draw_cars(shipped.model, 8, 100 + seed)))
    assert told.cars == 8
    assert told.findings >= 8 * 4
    assert told.faulty == ()
    assert told.most <= 3
    assert told.longest <= 40


def test_three_sentences_hold_where_the_repair_leaves_something_open(shipped: Reasoner) -> None:
    """A flat battery, results that do not fit and tests that were left out: why it went flat is told once it runs."""
    open_one = believe(shipped.network, {"battery-at-rest": "flat", "runs-boosted": "starts"})
    assert "Why it went flat was not looked at" in say_finding(shipped, open_one, "battery-flat")
    odd = {"battery-at-rest": "flat", "cranking-speed": "slow", "other-battery": "no-change", "battery-load": "fails"}
    belief = believe(shipped.network, odd)
    assert form_opinion(shipped, odd).conflict is not None
    told = told_of(shipped, belief)
    assert (told.most, told.faulty) == (3, ())


def test_the_check_notices_a_claim_of_what_was_not_seen(shipped: Reasoner) -> None:
    """Else it would prove nothing."""
    belief = believe(shipped.network, {"pump-prime": "silent"})
    assert claims_unseen(shipped.model, belief, "Proved: it, since spark is present.") == ["spark-check=present"]
    assert claims_unseen(shipped.model, belief, "X. Not tested: sound of the fuel pump.") == ["sound of the fuel pump"]
