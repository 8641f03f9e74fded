"""The next test: exact gains, two steps ahead, never an unsafe one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.procedure.model import Duty, Place
from assistant.reasoning.costs import Situation, after_tests, allowed, do_test, minutes_for
from assistant.reasoning.model import JUDGEMENT, Fault, Model, Priors, Row, Settings, Timed, Value, Variable, Work
from assistant.reasoning.network import Network, compile_network
from assistant.reasoning.next_test import entropy_bits, gain_bits, rank_tests, worth_it
from assistant.reasoning.posterior import Belief, Evidence, believe, value_odds
from assistant.reasoning.reasoner import Ending, Reasoner, find_ending, form_opinion

DUTY = Duty()


def uncertain(network: Network, belief: Belief) -> float:
    """Entropy of the fault to find first, a pair counted half for each."""
    first = np.zeros(len(network.faults) + 1)
    for hypothesis, chance in zip(network.hypotheses, belief.hypotheses, strict=True):
        for fault in hypothesis or (len(network.faults),):
            first[fault] += chance / max(1, len(hypothesis))
    return entropy_bits(first)


def gain_by_hand(network: Network, evidence: Evidence, test: str) -> float:
    """Entropy now less the mean entropy after each result."""
    belief = believe(network, evidence)
    after = sum(
        chance * uncertain(network, believe(network, {**evidence, test: value}))
        for value, chance in value_odds(network, belief, test).items()
        if chance > 0.0
    )
    return uncertain(network, belief) - after


@pytest.mark.parametrize("evidence", [{}, {"leak-check": "dry"}, {"spark-check": "none", "codes": "none"}])
def test_gains_are_exact(shipped: Reasoner, evidence: dict[str, str]) -> None:
    """The gain of every test is the expected drop of entropy, reckoned the long way."""
    belief = believe(shipped.network, evidence)
    for test in shipped.model.tests:
        if test.id not in evidence:
            expected = gain_by_hand(shipped.network, evidence, test.id)
            assert gain_bits(shipped.network, belief, test.id) == pytest.approx(expected, abs=1e-9)


def two_step_by_hand(model: Model, network: Network, evidence: Evidence, first: str) -> float:
    """The best rate of `first` and the best open test after each of its results, by trying every plan."""
    belief = believe(network, evidence)
    begun = after_tests(model, evidence, DUTY)
    then = do_test(model, model.test(first), begun, DUTY)
    cost, gain = then.minutes - begun.minutes, gain_by_hand(network, evidence, first)
    plans = [(gain, cost)]
    for value, chance in value_odds(network, belief, first).items():
        seen = {**evidence, first: value}
        options = [(0.0, 0.0)]
        for test in model.tests:
            if chance > 0.0 and test.id not in seen and allowed(test, seen):
                minutes = minutes_for(model, test, then, DUTY)
                options.append((chance * gain_by_hand(network, seen, test.id), chance * minutes))
        plans = [(bits + more, spent + longer) for bits, spent in plans for more, longer in options]
    return max(bits / spent for bits, spent in plans)


def test_two_steps_ahead_is_the_best_of_all_plans(lamp: Model) -> None:
    """The score equals the best rate over every plan of two tests, reckoned one by one."""
    network = compile_network(lamp)
    for evidence in ({}, {"look": "dark"}):
        belief = believe(network, evidence)
        for choice in rank_tests(lamp, network, belief, after_tests(lamp, evidence, DUTY), DUTY):
            by_hand = two_step_by_hand(lamp, network, evidence, choice.test)
            assert choice.score == pytest.approx(by_hand, rel=2e-3)


def suspects(shared: bool) -> Model:
    """Two sharp tests that need a dear set-up, the same one or one each."""
    values = (Value(id="good", say="good"), Value(id="bad", say="bad"))
    sharp = {"one": (("a", "b"), "gauge"), "two": (("a", "c"), "gauge" if shared else "probe")}
    return Model(
        id="shared",
        version=1,
        title="shared",
        settings=Settings(priors=Priors.SHARES, none_of_these=0.04),
        faults=tuple(Fault(id=name, say=name, prior=0.24, source=JUDGEMENT) for name in "abcd"),
        conditions=(),
        tests=tuple(
            Variable(
                id=name,
                say=name,
                values=values,
                default=(1.0, 0.0),
                rows=(Row(under=sees, given={}, likely=(0.0, 1.0)),),
                source=JUDGEMENT,
                work=Work(place=Place.HOOD, minutes=1.0, set_ups=(set_up,)),
            )
            for name, (sees, set_up) in sharp.items()
        ),
        set_ups=tuple(Timed(id=name, say=name, minutes=10.0, source=JUDGEMENT) for name in ("gauge", "probe")),
    )


def test_a_shared_set_up_raises_the_score() -> None:
    """Two tests that share a set-up of ten minutes score higher than the same two with one each."""
    scores = []
    for shared in (True, False):
        model = suspects(shared)
        network = compile_network(model)
        scores.append(rank_tests(model, network, believe(network, {}))[0].score)
    assert scores[0] == pytest.approx((2.0 * 0.96 + entropy_bits(np.array([0.96, 0.04])) - rest(0.04)) / 12, rel=0.05)
    assert scores[0] > 1.5 * scores[1]


def rest(none: float) -> float:
    """Entropy that both tests together leave: none of these looks like the suspect that neither sees."""
    quarter = (1.0 - none) / 4
    both = np.array([quarter, none]) / (quarter + none)
    return (quarter + none) * entropy_bits(both)


def test_no_fuel_or_spark_test_before_the_leak_check(shipped: Reasoner) -> None:
    """Until all is dry no test that opens fuel, sprays or makes a spark is offered; a leak closes them again."""
    risky = {"fuel-substitute", "spark-check", "second-coil", "fuel-pressure", "fuel-volume", "fuel-sample"}
    for evidence, may in (({}, False), ({"leak-check": "leak"}, False), ({"leak-check": "dry"}, True)):
        offered = {choice.test for choice in form_opinion(shipped, evidence).choices}
        assert bool(offered & risky) is may
    mended = form_opinion(shipped, {"leak-check": "leak", "leak-mended": "dry"})
    assert "spark-check" in {choice.test for choice in mended.choices}


def test_spark_waits_for_the_vapour(shipped: Reasoner) -> None:
    """Right after the starting fluid the spark check costs the five minutes that the vapour needs."""
    model = shipped.model
    before = after_tests(model, ["leak-check"], DUTY)
    after = after_tests(model, ["leak-check", "fuel-substitute"], DUTY)
    belief = believe(shipped.network, {"leak-check": "dry", "fuel-substitute": "nothing"})
    fresh = believe(shipped.network, {"leak-check": "dry"})
    costs = [
        {choice.test: choice.cost_min for choice in rank_tests(model, shipped.network, known, where, DUTY)}
        for known, where in ((fresh, before), (belief, after))
    ]
    assert costs[1]["spark-check"] >= 5.0
    assert costs[1]["coil-supply-volts"] >= 5.0
    assert costs[0]["coil-supply-volts"] < 5.0


def test_starter_duty_makes_cranking_tests_wait(shipped: Reasoner) -> None:
    """After ten seconds of cranking every further cranking test costs the rest; the others do not."""
    tired = Situation(place=Place.SEAT, minutes=10.0, cranked_s=10.0, cranked_at=10.0)
    belief = believe(shipped.network, {})
    costs = {choice.test: choice.cost_min for choice in rank_tests(shipped.model, shipped.network, belief, tired, DUTY)}
    assert costs["cranking-speed"] >= 2.0
    assert costs["pump-prime"] < 1.0


def test_what_was_seen_is_not_offered_again(shipped: Reasoner) -> None:
    """A test with a result is no longer among the choices."""
    offered = {choice.test for choice in form_opinion(shipped, {"codes": "none", "fuel-level": "plenty"}).choices}
    assert not offered & {"codes", "fuel-level"}


def test_score_is_never_below_the_rate_of_the_test_alone(shipped: Reasoner) -> None:
    """Looking ahead can only add: the score is at least gain over cost, and the best comes first."""
    for evidence in ({}, {"leak-check": "dry", "spark-check": "present"}):
        choices = form_opinion(shipped, evidence).choices
        assert [choice.score for choice in choices] == sorted((choice.score for choice in choices), reverse=True)
        for choice in choices:
            assert choice.score >= choice.gain_bits / choice.cost_min - 1e-9


def test_endings(shipped: Reasoner, lamp: Model) -> None:
    """Testing ends when a fault is proved, when no test is left, or when the best costs more than it tells."""
    pump = {"pump-prime": "silent", "pump-supply": "good", "pump-direct": "dead", "fuel-pressure": "none"}
    assert form_opinion(shipped, pump).ending is Ending.PROVED
    assert form_opinion(shipped, {}).ending is None
    network = compile_network(lamp)
    seen = believe(network, {"look": "lit", "current": "flows"})
    assert find_ending(lamp, {"dead-bulb": 0.5}, rank_tests(lamp, network, seen)) is Ending.NOTHING_LEFT
    poor = replace(lamp, settings=replace(lamp.settings, minutes_a_bit=0.1))
    choices = rank_tests(poor, network, believe(network, {}))
    assert not worth_it(poor, choices[0])
    assert find_ending(poor, {"dead-bulb": 0.5}, choices) is Ending.TOO_DEAR
