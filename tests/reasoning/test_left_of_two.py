"""What a repair leaves of two faults: what counting every case gives, to 1e-9."""

from __future__ import annotations

from itertools import product
from math import prod

import pytest

from assistant.reasoning.network import compile_network
from assistant.reasoning.planner import make_plan
from assistant.reasoning.posterior import believe, fault_odds, repaired, see
from tests.reasoning.test_planner import PRIORS, WRONG, by_hand, made_up, truly_bad

VALUES = ("good", "bad")


def chance(test: str, faults: frozenset[str], said: tuple[str, ...]) -> float:
    """Of all that was said of a test of a car that stays the same."""
    bad = truly_bad(test, faults)
    shows = {"bad": bad, "good": 1.0 - bad}
    return sum(p * prod(1.0 - WRONG if each == shown else WRONG for each in said) for shown, p in shows.items())


def test_what_a_repair_leaves_of_two_faults_is_looked_at_for_the_first_time() -> None:
    """A test done before counts anew for what the repaired fault had covered, and as a second look for any other."""
    network = compile_network(made_up())
    for first, second in product(VALUES, repeat=2):
        belief = see(network, repaired(network, believe(network, {"look": first}), "dead"), "look", second)
        weights, total = dict.fromkeys(PRIORS, 0.0), 0.0
        for names, prior in by_hand():
            if names == {"dead"}:
                continue
            if "dead" in names:
                weight = chance("look", names, (first,)) * chance("look", names - {"dead"}, (second,))
            else:
                weight = chance("look", names, (first, second))
            total += weight * prior
            for name in names - {"dead"}:
                weights[name] += weight * prior
        odds = fault_odds(network, belief)
        assert {name: odds[name] * total for name in PRIORS} == pytest.approx(weights, abs=1e-9)


def test_after_a_repair_a_test_done_twice_may_be_done_once_more() -> None:
    """What two looks told, told of another car: it is among the options again."""
    model = made_up()
    network = compile_network(model)
    twice = believe(network, {"look": "bad"}, {"look": "bad"})
    assert "look" not in {option.test for option in make_plan(model, network, twice).options}
    after = repaired(network, twice, "dead")
    assert "look" in {option.test for option in make_plan(model, network, after).options}
