"""Which result was told wrong, and what settles it, is what counting every case gives."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from assistant.reasoning.doubt import Doubt, doubt, settling_bits, wrong_odds
from assistant.reasoning.network import compile_network
from assistant.reasoning.plan_words import say_doubt
from assistant.reasoning.planner import make_plan
from assistant.reasoning.posterior import believe, see
from assistant.reasoning.reasoner import Reasoner
from tests.reasoning.test_planner import PRIORS, WRONG, by_hand, made_up, truly_bad

VALUES = ("good", "bad")


def told(shown: str, said: str) -> float:
    return 1.0 - WRONG if shown == said else WRONG


def cases(seen: dict[str, str], second: dict[str, str]) -> dict[tuple[str, str], float]:
    """What both tests truly show -> its weight, over every set of faults, with all that was told of them."""
    found = {}
    for look, volts in product(VALUES, repeat=2):
        weight = 0.0
        for faults, prior in by_hand():
            chance = prior
            for test, value in (("look", look), ("volts", volts)):
                bad = truly_bad(test, faults)
                chance *= bad if value == "bad" else 1.0 - bad
                for all_told in (seen, second):
                    chance *= told(value, all_told[test]) if test in all_told else 1.0
            weight += chance
        found[look, volts] = weight
    return found


def bits(joint: dict[tuple[bool, str], float]) -> float:
    """How much a result tells of whether the suspect was told wrong."""
    total = sum(joint.values())
    rows = {wrong: sum(p for (one, _), p in joint.items() if one == wrong) for wrong in (True, False)}
    columns = {value: sum(p for (_, one), p in joint.items() if one == value) for value in VALUES}
    return float(
        sum(p / total * np.log2(p * total / (rows[wrong] * columns[value])) for (wrong, value), p in joint.items() if p)
    )


def test_the_odds_that_a_result_was_told_wrong_are_those_of_counting() -> None:
    """Over every set of faults and all that the tests may truly show, to 1e-9; after a second look too."""
    network = compile_network(made_up())
    seen = {"look": "good", "volts": "bad"}
    for second in ({}, {"volts": "good"}, {"volts": "bad"}):
        belief = believe(network, seen, second)
        by_case = cases(seen, second)
        wrong = sum(weight for (_, volts), weight in by_case.items() if volts != "bad")
        assert wrong_odds(network, belief, "volts") == pytest.approx(wrong / sum(by_case.values()), abs=1e-9)


def test_what_a_test_tells_of_a_doubt_is_what_counting_gives() -> None:
    """Another test and a second look at the suspect itself, to 1e-9."""
    network = compile_network(made_up())
    belief = believe(network, {"volts": "bad"})
    by_case = cases({"volts": "bad"}, {})
    other, same = dict[tuple[bool, str], float](), dict[tuple[bool, str], float]()
    for (look, volts), weight in by_case.items():
        for said in VALUES:
            other[volts != "bad", said] = other.get((volts != "bad", said), 0.0) + weight * told(look, said)
            same[volts != "bad", said] = same.get((volts != "bad", said), 0.0) + weight * told(volts, said)
    assert settling_bits(network, belief, "volts", "look") == pytest.approx(bits(other), abs=1e-9)
    assert settling_bits(network, belief, "volts", "volts") == pytest.approx(bits(same), abs=1e-9)


def test_nothing_is_doubted_before_anything_was_seen() -> None:
    """Without a result there is none to doubt, and without a test none that settles it."""
    model = made_up()
    network = compile_network(model)
    nothing = believe(network, {})
    assert PRIORS
    assert doubt(network, nothing, make_plan(model, network, nothing).options) is None
    assert doubt(network, believe(network, {"volts": "bad"}), ()) is None


def test_what_stands_alone_is_doubted_and_what_settles_it_is_cheap(shipped: Reasoner) -> None:
    """A spray that ran although there is no spark: one of them was told wrong, and no dearer test is proposed than
    one that tells more a minute."""
    seen = {"leak-check": "dry", "fuel-substitute": "runs", "spark-check": "none", "crank-signal": "zero"}
    belief = believe(shipped.network, seen)
    plan = make_plan(shipped.model, shipped.network, belief)
    doubted = doubt(shipped.network, belief, plan.options)
    assert doubted is not None
    assert doubted.test == "fuel-substitute"
    assert doubted.odds > 10.0 * shipped.network.nodes["fuel-substitute"].wrong
    rate = {
        option.test: settling_bits(shipped.network, belief, doubted.test, option.test) / option.counted_min
        for option in plan.options
    }
    assert rate[doubted.settles.test] == max(rate.values())
    looked = see(shipped.network, belief, "fuel-substitute", "runs")
    assert wrong_odds(shipped.network, looked, "fuel-substitute") < doubted.odds


def test_what_settles_a_doubt_is_said_in_one_sentence(shipped: Reasoner) -> None:
    """The result in doubt and the test that decides; of a second look at the very same, that alone."""
    belief = believe(shipped.network, {"leak-check": "dry", "fuel-substitute": "runs", "spark-check": "none"})
    options = make_plan(shipped.model, shipped.network, belief).options
    same = next(option for option in options if option.test == "fuel-substitute")
    other = next(option for option in options if not option.again)
    said = say_doubt(shipped, Doubt(test="fuel-substitute", odds=0.4, settles=same))
    assert said.startswith("Once more the starting fluid test, about ")
    assert said.endswith(", settles it soonest.")
    said = say_doubt(shipped, Doubt(test="fuel-substitute", odds=0.4, settles=other))
    assert said.startswith(f"The starting fluid test may be wrong: the {shipped.model.test(other.test).say}, about ")
