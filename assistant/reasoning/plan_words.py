"""A plan in spoken words: the next test and why it, a second look, the repair that is proposed, what is left."""

from __future__ import annotations

from collections.abc import Callable, Collection
from itertools import combinations

import numpy as np

from assistant.english import asked, reasoned
from assistant.reasoning.answers import TINY, say_minutes, say_odds, say_result
from assistant.reasoning.doubt import Doubt
from assistant.reasoning.findings import say_proposal
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.network import Array, Network, sum_by_fault
from assistant.reasoning.planner import Act, Option, Plan
from assistant.reasoning.posterior import Belief, believe, fault_odds, joint_with
from assistant.reasoning.reasoner import Reasoner

MOST_LEFT = 3
"""So many tests are named when it is asked what is left: the ear keeps no more. Judgement."""

LIKELY = 6
"""So many of the likeliest faults are looked at for the two that a test parts."""

APART = 0.2
"""By so much the shares of a test's results must differ, added up, for it to be said to part two faults. Judgement."""


def say_plan(reasoner: Reasoner, belief: Belief, plan: Plan, here: Collection[str] = ()) -> str:
    """One sentence: the next test, its minutes and what it tells apart; or the repair that is proposed, and why.

    `here`: the tests that the technician is at already.
    """
    if plan.act is Act.TEST:
        return _say_test(reasoner, belief, plan.options[0], here)
    if plan.act is Act.REPAIR:
        return say_proposal(reasoner, belief, plan.name, plan.minutes)
    odds = fault_odds(reasoner.network, belief)
    top = next(iter(odds))
    return reasoned.no_test_pays(reasoner.model.say_fault(top), say_odds(odds[top]))


def say_purpose(reasoner: Reasoner, belief: Belief, test: str) -> str:
    """What a test is for: the two likely faults that it parts, else its name."""
    say, pair = reasoner.model.test(test).say, _told_apart(reasoner.network, belief, test)
    return asked.tells_apart(say, [*map(reasoner.model.say_fault, pair)]) if pair else asked.is_part_of(say)


def say_briefly(reasoner: Reasoner, option: Option, block: str = "") -> str:
    """The next test by its name, to who knows the work and can ask why; `block`: by that of where one is led, for what
    is asked there first may be another test."""
    first = next((each.say for each in reasoner.model.blocks if each.step == block), None)
    named = reasoner.model.test(option.test).say if first is None or option.again else first
    return reasoned.next_is(named, again=option.again)


def say_last(reasoner: Reasoner, option: Option) -> str:
    """The test that is done before a search, and why it is."""
    return reasoned.all_else_good(reasoner.model.test(option.test).say, say_minutes(option.minutes))


def say_doubt(reasoner: Reasoner, doubted: Doubt) -> str:
    """Which result may have been told wrong, and the test that settles it soonest."""
    test, option = reasoner.model.test(doubted.test), doubted.settles
    time = say_minutes(option.minutes)
    if option.test == doubted.test:
        return reasoned.again_settles(test.say, time)
    return reasoned.other_settles(test.say, reasoner.model.test(option.test).say, time)


def say_left(reasoner: Reasoner, belief: Belief, plan: Plan) -> str:
    """The tests that still tell most, by name, and how many more may be done now."""
    fresh = [option for option in plan.options if not option.again]
    if plan.act is not Act.TEST or not fresh:
        return say_plan(reasoner, belief, plan)
    names = [reasoner.model.test(option.test).say for option in fresh[:MOST_LEFT]]
    return reasoned.left(names, len(fresh) - len(names))


def what_if(reasoner: Reasoner, belief: Belief, test: str, result: str, plan: Callable[[Belief], Plan]) -> str:
    """What would be thought, and done next, if `test` gave `result`. `plan`: what is done with a belief.

    Raises KeyError for what the model lacks.
    """
    clause = say_result(reasoner.model, test, result)
    then = believe(reasoner.network, {**belief.evidence, test: result})
    if not then.possible:
        return reasoned.nothing_would_fit(clause)
    odds = fault_odds(reasoner.network, then)
    top = next(iter(odds))
    answer = reasoned.would_be(clause, reasoner.model.say_fault(top), say_odds(odds[top]))
    next_act = plan(then)
    if next_act.act is Act.TEST:
        return f"{answer} {reasoned.then_test(reasoner.model.test(next_act.name).say)}"
    if next_act.act is Act.REPAIR:
        named = None if next_act.name == top else reasoner.model.say_fault(next_act.name)
        return f"{answer} {reasoned.then_repair(named)}"
    return answer


def _say_test(reasoner: Reasoner, belief: Belief, option: Option, here: Collection[str]) -> str:
    test = reasoner.model.test(option.test)
    time = say_minutes(option.minutes)
    if option.again:
        return reasoned.again_to_be_sure(test.say, time)
    going_on = test.id in here
    pair = _told_apart(reasoner.network, belief, option.test)
    if pair is None and option.goal == test.id:
        return reasoned.test_now(test.say, time, going_on=going_on)
    if pair is None:
        return reasoned.test_before(test.say, time, reasoner.model.test(option.goal).say, going_on=going_on)
    apart = tuple(map(reasoner.model.say_fault, pair))
    return reasoned.test_to_tell(test.say, time, apart, going_on=going_on)


def _told_apart(network: Network, belief: Belief, test: str) -> tuple[str, str] | None:
    """The two likely single faults whose results differ most, weighted by how likely both are; None where those of no
    two differ enough for it to be said."""
    odds = [(fault, chance) for fault, chance in fault_odds(network, belief).items() if chance > 0.01]
    likely = [(fault, chance) for fault, chance in odds if fault != NONE_OF_THESE][:LIKELY]
    results = {fault: _results_under(network, belief, test, fault) for fault, _ in likely}
    worth: dict[tuple[str, str], float] = {}
    for (first, chance), (second, other) in combinations(likely, 2):
        differ = float(np.abs(results[first] - results[second]).sum())
        if differ >= APART:
            worth[first, second] = chance * other * differ
    return max(worth, key=lambda pair: worth[pair], default=None)


def _results_under(network: Network, belief: Belief, test: str, fault: str) -> Array:
    """Probability of each result of `test` where `fault` is there, given the evidence."""
    found = sum_by_fault(network, joint_with(network, belief.weights, test))[network.faults.index(fault)]
    return np.asarray(found / max(float(found.sum()), TINY))
