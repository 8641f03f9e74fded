"""How well a job is told, and what a repair leaves of two faults: what counting every case gives, to 1e-9."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import prod

import pytest

from assistant.reasoning.network import TOLD, Network, compile_network
from assistant.reasoning.planner import make_plan
from assistant.reasoning.posterior import Belief, believe, fault_odds, repaired, see, value_odds
from tests.reasoning.test_planner import PRIORS, WRONG, by_hand, made_up, truly_bad

SLIPS, TIMES = 0.3, 4.0
WELL, BADLY = 1.0 - SLIPS, SLIPS
VALUES = ("good", "bad")


def told_badly_too() -> Network:
    return compile_network(made_up(slips=SLIPS, slip_times=TIMES))


def chance(test: str, faults: frozenset[str], said: tuple[str, ...], wrong: float) -> float:
    """Of all that was said of a test of a car that stays the same."""
    bad = truly_bad(test, faults)
    shows = {"bad": bad, "good": 1.0 - bad}
    total = 0.0
    for shown, p in shows.items():
        total += p * prod(1.0 - wrong if each == shown else wrong for each in said)
    return total


def odds_by_hand(said: dict[str, tuple[str, ...]]) -> tuple[dict[str, float], float]:
    """Of each fault, and of a job told badly, over every set of faults and both kinds of job."""
    faults, badly, total = dict.fromkeys(PRIORS, 0.0), 0.0, 0.0
    for (names, prior), (share, wrong) in product(by_hand(), ((WELL, WRONG), (BADLY, TIMES * WRONG))):
        weight = prior * share
        for test, each in said.items():
            weight *= chance(test, names, each, wrong)
        total += weight
        badly += weight * (share == BADLY)
        for name in names:
            faults[name] += weight
    return {name: weight / total for name, weight in faults.items()}, badly / total


def agrees(network: Network, belief: Belief, said: dict[str, tuple[str, ...]]) -> None:
    faults, badly = odds_by_hand(said)
    odds = fault_odds(network, belief)
    assert {name: odds[name] for name in PRIORS} == pytest.approx(faults, abs=1e-9)
    assert value_odds(network, belief, TOLD)["badly"] == pytest.approx(badly, abs=1e-9)


def test_odds_and_how_well_it_is_told_are_those_of_counting() -> None:
    """After no, one and two results, and after a second look at each."""
    network = told_badly_too()
    agrees(network, believe(network, {}), {})
    for look, volts, again in product(VALUES, repeat=3):
        agrees(network, believe(network, {"look": look}), {"look": (look,)})
        belief = believe(network, {"look": look, "volts": volts})
        agrees(network, belief, {"look": (look,), "volts": (volts,)})
        agrees(network, see(network, belief, "look", again), {"look": (look, again), "volts": (volts,)})


def test_two_looks_that_differ_make_another_result_count_for_less() -> None:
    """They speak for a job told badly; one share of wrong answers for all jobs knows nothing of it."""
    network = told_badly_too()
    agree, differ = (believe(network, {"volts": "good"}, {"volts": again}) for again in VALUES)
    assert value_odds(network, agree, TOLD)["badly"] < SLIPS < value_odds(network, differ, TOLD)["badly"]

    def moved(belief: Belief) -> float:
        """How many times likelier a dead part gets against a bad switch by one look."""
        after = see(network, belief, "look", "bad")
        return float(after.hypotheses[1] * belief.hypotheses[3] / (belief.hypotheses[1] * after.hypotheses[3]))

    assert moved(agree) > moved(differ) > 1.0


def test_a_model_without_such_jobs_is_as_it_was() -> None:
    """No variable for it, and nobody errs on a start."""
    assert TOLD not in compile_network(made_up()).nodes
    model = made_up(slips=SLIPS, slip_times=TIMES)
    cures = replace(model, tests=tuple(replace(test, cures=True) for test in model.tests))
    assert all(TOLD not in compile_network(cures).nodes[test.id].parents for test in cures.tests)


def test_what_a_repair_leaves_of_two_faults_is_looked_at_for_the_first_time() -> None:
    """A test done before counts anew for what the repaired fault had covered, and as a second look for any other; how
    well the job is told stays what it was."""
    network = told_badly_too()
    for first, second in product(VALUES, repeat=2):
        belief = see(network, repaired(network, believe(network, {"look": first}), "dead"), "look", second)
        weights, badly, total = dict.fromkeys(PRIORS, 0.0), 0.0, 0.0
        for (names, prior), (share, wrong) in product(by_hand(), ((WELL, WRONG), (BADLY, TIMES * WRONG))):
            if names == {"dead"}:
                continue
            if "dead" in names:
                weight = chance("look", names, (first,), wrong) * chance("look", names - {"dead"}, (second,), wrong)
            else:
                weight = chance("look", names, (first, second), wrong)
            weight *= prior * share
            total += weight
            badly += weight * (share == BADLY)
            for name in names - {"dead"}:
                weights[name] += weight
        odds = fault_odds(network, belief)
        assert {name: odds[name] * total for name in PRIORS} == pytest.approx(weights, abs=1e-9)
        assert value_odds(network, belief, TOLD)["badly"] * total == pytest.approx(badly, abs=1e-9)


def test_after_a_repair_a_test_done_twice_may_be_done_once_more() -> None:
    """What two looks told, told of another car: it is among the options again."""
    model = made_up()
    network = compile_network(model)
    twice = believe(network, {"look": "bad"}, {"look": "bad"})
    assert "look" not in {option.test for option in make_plan(model, network, twice).options}
    after = repaired(network, twice, "dead")
    assert "look" in {option.test for option in make_plan(model, network, after).options}
