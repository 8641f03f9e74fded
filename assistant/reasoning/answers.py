"""Opinions in spoken words: at most two short sentences each. Pure functions of opinion and evidence."""

from __future__ import annotations

from collections.abc import Collection
from itertools import combinations

import numpy as np

from assistant.procedure.model import Duty
from assistant.reasoning.conflict import Conflict, find_conflict
from assistant.reasoning.costs import Situation
from assistant.reasoning.model import NONE_OF_THESE, Model
from assistant.reasoning.network import Array, Network, sum_by_fault
from assistant.reasoning.next_test import Choice, gain_bits
from assistant.reasoning.posterior import Belief, believe, fault_odds, joint_with
from assistant.reasoning.reasoner import Ending, Opinion, Reasoner, form_opinion
from assistant.reasoning.standing import LEAST_PROVED, Standing, standing_of

_TENTHS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TELLING_BITS = 0.5
"""A finding that moves a fault by less is not named as a reason. Judgement."""
TINY = 1e-12

OPEN = "open"
"""What a finding calls its fault where the procedure found none: the odds still have a likeliest."""


def say_odds(probability: float) -> str:
    """A probability as a mechanic would say it, coarse on purpose: the numbers behind it are mostly judgement."""
    if probability >= LEAST_PROVED:
        return "almost certain"
    if probability < 0.05:
        return "very unlikely"
    tenths = round(10 * probability)
    return "less than one in ten" if tenths == 0 else f"about {_TENTHS[min(tenths, 9)]} in ten"


def what_do_you_think(reasoner: Reasoner, opinion: Opinion) -> str:
    """The likeliest fault and its odds, and the next one; a conflict comes first."""
    (first, odds), (second, other), *_ = opinion.odds.items()
    say = reasoner.model.say_fault
    most = f"Most likely {say(first)}, {say_odds(odds)}."
    if opinion.conflict is not None:
        return f"{say_conflict(reasoner, opinion)} {most}"
    if other < 0.05:
        return most
    return f"{most} Then {say(second)}, {say_odds(other)}."


def say_conflict(reasoner: Reasoner, opinion: Opinion) -> str:
    """Asks for the finding that fits least to be checked again; empty where all fits."""
    return _check_again(reasoner, opinion.conflict) if opinion.conflict else ""


def why(reasoner: Reasoner, opinion: Opinion) -> str:
    """The findings that speak most for the likeliest fault, and the one that speaks most against it."""
    evidence = opinion.belief.evidence
    fault = opinion.top
    bits = {name: _bits_for(reasoner.network, opinion.belief, name, fault) for name in evidence}
    for_it = sorted((name for name in bits if bits[name] >= TELLING_BITS), key=lambda name: -bits[name])[:2]
    against = min(bits, key=lambda name: bits[name], default=None)
    say = reasoner.model.say_fault(fault)
    if not for_it:
        answer = f"Nothing seen so far points to {say}; it is the commonest that is left."
    else:
        answer = f"Because {' and '.join(say_result(reasoner.model, name, evidence[name]) for name in for_it)}."
    if against is not None and bits[against] <= -TELLING_BITS:
        answer += f" Against it: {say_result(reasoner.model, against, evidence[against])}."
    return answer


def what_next(reasoner: Reasoner, opinion: Opinion, here: Collection[str] = ()) -> str:
    """The test that pays best now, its minutes, and what it tells apart; or what to check again, or that it is time
    to stop. `here`: the tests that the technician is at already."""
    say = reasoner.model.say_fault(opinion.top)
    if opinion.conflict is not None:
        return say_conflict(reasoner, opinion)
    if opinion.ending is Ending.PROVED:
        return f"No further test: {say} is {say_odds(opinion.odds[opinion.top])}."
    if opinion.ending is Ending.NOTHING_LEFT:
        return f"No test is left that may be done now; most likely it is {say}."
    if opinion.ending is Ending.TOO_DEAR:
        return f"Further tests cost more than they tell; most likely it is {say}, but it is not proved."
    return say_choice(reasoner, opinion.belief, opinion.choices[0], here)


def say_choice(reasoner: Reasoner, belief: Belief, choice: Choice, here: Collection[str] = ()) -> str:
    """One sentence: the test, its minutes, and why it."""
    test = reasoner.model.test(choice.test)
    minutes = max(1, round(choice.cost_min))
    begin = "Go on with" if test.id in here else "Next"
    name = f"{begin} the {test.say}, about {minutes} minute{'s' if minutes > 1 else ''}"
    pair = _told_apart(reasoner.network, belief, choice.test)
    if choice.gain_bits < 0.02 or pair is None:
        return f"{name}: it opens the way to the tests that follow."
    first, second = (reasoner.model.say_fault(fault) for fault in pair)
    return f"{name}: it tells {first} from {second}."


def what_if(
    reasoner: Reasoner,
    opinion: Opinion,
    test: str,
    result: str,
    *,
    situation: Situation | None = None,
    duty: Duty | None = None,
    among: Collection[str] | None = None,
) -> str:
    """What would be thought, and tested next, if `test` gave `result`. Raises KeyError for what the model lacks."""
    clause = say_result(reasoner.model, test, result)
    then = form_opinion(reasoner, {**opinion.belief.evidence, test: result}, situation, duty, among=among)
    if not then.belief.possible:
        return f"If {clause}, nothing that I know would fit."
    fault = reasoner.model.say_fault(then.top)
    answer = f"If {clause}, {fault} would be most likely, {say_odds(then.odds[then.top])}."
    if then.ending is None:
        return f"{answer} Then I would do the {reasoner.model.test(then.choices[0].test).say}."
    return answer


def news(reasoner: Reasoner, before: Belief, after: Belief) -> str:
    """What is worth saying unasked after a result: that it does not fit, or that it settles the matter; else empty."""
    conflict, known = find_conflict(reasoner.network, after), find_conflict(reasoner.network, before)
    if conflict is not None and (known is None or known.suspect != conflict.suspect):
        return _check_again(reasoner, conflict)
    fault, proved_at = _top(reasoner, after), reasoner.model.settings.proved_at
    odds, earlier = fault_odds(reasoner.network, after), fault_odds(reasoner.network, before)
    if conflict is not None or fault == NONE_OF_THESE or odds[fault] < proved_at or earlier[fault] >= proved_at:
        return ""
    found = f"By the odds it is {reasoner.model.say_fault(fault)}, {say_odds(odds[fault])}."
    return f"{found} Go on to prove it, or end the job."


def finding_stands(reasoner: Reasoner, belief: Belief, finding: str | None) -> Standing:
    """How sure the finding is, by what a procedure calls its fault; None or `OPEN` where it names none."""
    fault = _meant(reasoner.model, finding)
    return standing_of(
        fault_odds(reasoner.network, belief),
        fault,
        proved_at=reasoner.model.settings.proved_at,
        exact=fault == finding,
        fits=find_conflict(reasoner.network, belief) is None,
    )


def say_finding(reasoner: Reasoner, belief: Belief, finding: str | None) -> str:
    """What the odds say of the finding, or which fault they leave where it names none, and what does not fit.

    Empty where no odds are reckoned for it.
    """
    odds, top = fault_odds(reasoner.network, belief), _top(reasoner, belief)
    fault, standing = _meant(reasoner.model, finding), finding_stands(reasoner, belief, finding)
    conflict = find_conflict(reasoner.network, belief)
    say = reasoner.model.say_fault
    if standing is Standing.BY_TEST:
        return ""
    if fault is None:
        said = f"Still open by the odds: most likely {say(top)}, {say_odds(odds[top])}"
    elif standing is Standing.PROVED:
        beside = f", and {say(top)} beside it" if top != fault else ""
        said = f"Proved by the odds: {say(fault)}, {say_odds(odds[fault])}{beside}"
    elif standing is Standing.OUTWEIGHED and conflict:
        # Both sentences must be short enough to be held in the head; odds out of results that do not fit tell least.
        said = f"Not proved by the odds: {say(top)} is likelier than {say(fault)}"
    elif standing is Standing.OUTWEIGHED:
        alike = say_odds(odds[top]) == say_odds(odds[fault])
        more = f"is likelier, {say_odds(odds[top])}" if not alike else "is a little likelier"
        said = f"Not proved by the odds: {say(fault)}, {say_odds(odds[fault])}; {say(top)} {more}"
    elif odds[fault] < max(reasoner.model.settings.proved_at, LEAST_PROVED):
        said = f"Not proved by the odds: {say(fault)}, {say_odds(odds[fault])}"
    elif conflict:
        said = f"Not proved, since results do not fit: {say(fault)}, {say_odds(odds[fault])}"
    else:
        said = f"By the odds {say(fault)}, {say_odds(odds[fault])}, but not which kind of it"
    return f"{said}. {_check_again(reasoner, conflict) if conflict else ''}".rstrip()


def _meant(model: Model, finding: str | None) -> str | None:
    """The model's name for the fault of a finding, its own where the model lacks it, None where it is open."""
    return None if finding in (None, OPEN) else model.meant_by(finding) or finding


def worth_of(reasoner: Reasoner, opinion: Opinion, test: str) -> float:
    """Bits that a test chosen by the technician is expected to tell. Raises KeyError for an unknown test."""
    return gain_bits(reasoner.network, opinion.belief, test)


def _top(reasoner: Reasoner, belief: Belief) -> str:
    return next(iter(fault_odds(reasoner.network, belief)))


def _check_again(reasoner: Reasoner, conflict: Conflict) -> str:
    return f"These results do not fit together: do the {reasoner.model.test(conflict.suspect).say} again."


def say_result(model: Model, test: str, result: str) -> str:
    """The result as a clause: "there is no spark". Raises KeyError for what the model lacks."""
    variable = model.test(test)
    return variable.values[variable.index(result)].say


def _bits_for(network: Network, belief: Belief, name: str, fault: str) -> float:
    """How far the finding `name` moves the log-odds of `fault`, given the other findings."""
    without = {other: value for other, value in belief.evidence.items() if other != name}
    before = fault_odds(network, believe(network, without))[fault]
    after = fault_odds(network, belief)[fault]
    return float(np.log2((after + TINY) / (1 - after + TINY)) - np.log2((before + TINY) / (1 - before + TINY)))


def _told_apart(network: Network, belief: Belief, test: str) -> tuple[str, str] | None:
    """The two likely single faults whose results differ most, weighted by how likely both are."""
    odds = [(fault, chance) for fault, chance in fault_odds(network, belief).items() if chance > 0.01]
    likely = [(fault, chance) for fault, chance in odds if fault != NONE_OF_THESE][:6]
    results = {fault: _results_under(network, belief, test, fault) for fault, _ in likely}
    worth = {
        (first, second): chance * other * float(np.abs(results[first] - results[second]).sum())
        for (first, chance), (second, other) in combinations(likely, 2)
    }
    best = max(worth, key=lambda pair: worth[pair], default=None)
    return best if best is not None and worth[best] > 0.0 else None


def _results_under(network: Network, belief: Belief, test: str, fault: str) -> Array:
    """Probability of each result of `test` where `fault` is there, given the evidence."""
    found = sum_by_fault(network, joint_with(network, belief.weights, test))[network.faults.index(fault)]
    return np.asarray(found / max(float(found.sum()), TINY))
