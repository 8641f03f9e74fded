"""Simulated cars and ways of choosing tests, measured against each other on the very same cars.

A car is drawn from the priors; what each test would show is drawn once from the likelihoods, and 5 % of the answers are
then replaced by another result of the test. Every strategy meets the same car with the same answers (paired).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from assistant.procedure.model import Duty
from assistant.reasoning.conflict import find_conflict
from assistant.reasoning.costs import Situation, allowed, do_test, minutes_for
from assistant.reasoning.model import NONE_OF_THESE, Model, Variable
from assistant.reasoning.network import Network, compile_network
from assistant.reasoning.next_test import Choice, entropy_bits, gain_bits, rank_tests
from assistant.reasoning.posterior import Belief, believe, fault_odds, joint_with
from assistant.reasoning.reasoner import Ending, Reasoner, find_ending

WRONG_ANSWERS = 0.05
"""Share of answers told wrong, from the issue's measure; independent of what the model reckons with."""
DUTY = Duty()


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """A made-up car. `faults`: what is wrong with it, empty for none of these.

    `answers`: test → result as first told; `again`: as told when the test is done once more (the car shows the same,
    but is told wrong or right anew).
    """

    faults: frozenset[str]
    answers: Mapping[str, str]
    again: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one car. `top`: the likeliest fault at the end; `odds`: its probability."""

    minutes: float
    tests: int
    top: str
    odds: float
    right: bool
    proved: bool


@dataclass(slots=True, kw_only=True)
class Progress:
    """A job under way: evidence in the order seen, and where the technician stands."""

    evidence: dict[str, str]
    situation: Situation
    rechecked: frozenset[str] = frozenset()


Strategy = Callable[[Reasoner, Progress], str | None]
"""The next test, or one that was done already and is to be checked again, or None to stop."""


def draw_cars(model: Model, count: int, seed: int) -> tuple[Car, ...]:
    """Cars from the priors, with answers from the likelihoods and some of them wrong."""
    rng = np.random.default_rng(seed)
    truth = compile_network(replace(model, settings=replace(model.settings, wrong_answers=0.0)))
    return tuple(_draw_car(model, truth, rng) for _ in range(count))


def _draw_car(model: Model, network: Network, rng: np.random.Generator) -> Car:
    cell = rng.choice(network.joint.size, p=network.joint.ravel() / network.joint.sum())
    hypothesis, *core = np.unravel_index(int(cell), network.joint.shape)
    answers, again = {}, {}
    for test in model.tests:
        node = network.nodes[test.id]
        if test.id in network.core:
            number = int(core[network.core.index(test.id)])
        else:
            at = tuple(int(value) if size > 1 else 0 for value, size in zip(core, node.table.shape[1:-1], strict=True))
            chances = node.table[(int(hypothesis), *at)]
            number = int(rng.choice(len(chances), p=chances / chances.sum()))
        answers[test.id] = node.values[_as_told(number, len(node.values), rng)]
        again[test.id] = node.values[_as_told(number, len(node.values), rng)]
    faults = frozenset(network.faults[number] for number in network.hypotheses[int(hypothesis)])
    return Car(faults=faults, answers=answers, again=again)


def _as_told(number: int, count: int, rng: np.random.Generator) -> int:
    if rng.random() < WRONG_ANSWERS:
        return (number + int(rng.integers(1, count))) % count
    return number


def work_on(reasoner: Reasoner, car: Car, strategy: Strategy, progress: Progress | None = None) -> Outcome:
    """One car, tested as the strategy says until it stops; from `progress` on where there is some."""
    progress = progress or Progress(evidence={}, situation=Situation())
    while (name := strategy(reasoner, progress)) is not None:
        progress.situation = do_test(reasoner.model, reasoner.model.test(name), progress.situation, DUTY)
        if name in progress.evidence:
            progress.rechecked |= {name}
            progress.evidence[name] = car.again[name]
        else:
            progress.evidence[name] = car.answers[name]
    return judge(reasoner, car, progress)


def judge(reasoner: Reasoner, car: Car, progress: Progress) -> Outcome:
    """What the evidence at the end says, and whether it is right: the likeliest fault is one that the car has."""
    odds = fault_odds(reasoner.network, believe(reasoner.network, progress.evidence))
    top = next(iter(odds))
    return Outcome(
        minutes=progress.situation.minutes,
        tests=len(progress.evidence),
        top=top,
        odds=odds[top],
        right=top in (car.faults or {NONE_OF_THESE}),
        proved=top != NONE_OF_THESE and odds[top] >= reasoner.model.settings.proved_at,
    )


def look_ahead(reasoner: Reasoner) -> Strategy:
    """The assistant's own: two tests ahead."""

    def best(belief: Belief, situation: Situation) -> str | None:
        return rank_tests(reasoner.model, reasoner.network, belief, situation, DUTY)[0].test

    return _rechecking(_remembered(reasoner, best))


def _rechecking(strategy: Strategy) -> Strategy:
    """Where the results do not fit together the suspect is checked again first, once."""

    def careful(reasoner: Reasoner, progress: Progress) -> str | None:
        belief = believe(reasoner.network, progress.evidence)
        conflict = find_conflict(reasoner.network, belief)
        if conflict is not None and conflict.suspect not in progress.rechecked:
            return conflict.suspect
        return strategy(reasoner, progress)

    return careful


def one_step(reasoner: Reasoner) -> Strategy:
    """Greatest expected gain per minute of the next test alone."""

    def best(belief: Belief, situation: Situation) -> str | None:
        return max(
            _open(reasoner.model, belief),
            key=lambda test: (
                gain_bits(reasoner.network, belief, test.id) / minutes_for(reasoner.model, test, situation, DUTY)
            ),
        ).id

    return _remembered(reasoner, best)


def probability_over_cost(reasoner: Reasoner) -> Strategy:
    """The suspect with the greatest probability over the cost of its own check goes first; each check once.

    Source: Kalagnanam & Henrion (arXiv 1304.2362); optimal for one fault, certain checks and independent costs. The own
    check of a fault is the test that tells most about it alone.
    """
    checks = _own_checks(reasoner)

    def best(belief: Belief, situation: Situation) -> str | None:
        odds = fault_odds(reasoner.network, belief)
        rates: dict[str, float] = {}
        for fault, test in checks.items():
            step = _first_open(reasoner.model, belief, test)
            if step is not None:
                minutes = minutes_for(reasoner.model, step, situation, DUTY)
                rates[step.id] = max(rates.get(step.id, 0.0), odds[fault] / minutes)
        return max(rates, key=lambda name: rates[name], default=None)

    return _remembered(reasoner, best)


def in_order(reasoner: Reasoner) -> Strategy:
    """The tests as they stand in the file."""

    def best(belief: Belief, situation: Situation) -> str | None:
        return next(test.id for test in _open(reasoner.model, belief))

    return _remembered(reasoner, best)


def _remembered(reasoner: Reasoner, best: Callable[[Belief, Situation], str | None]) -> Strategy:
    """Stops by the model's own rule; remembers its choices, since many cars begin alike."""
    known: dict[tuple[tuple[str, str], ...], str | None] = {}

    def strategy(_: Reasoner, progress: Progress) -> str | None:
        key = tuple(progress.evidence.items())
        if key not in known:
            known[key] = _next(reasoner, progress, best)
        return known[key]

    return strategy


def _next(reasoner: Reasoner, progress: Progress, best: Callable[[Belief, Situation], str | None]) -> str | None:
    belief = believe(reasoner.network, progress.evidence)
    return None if _ended(reasoner, belief, progress.situation) else best(belief, progress.situation)


def _ended(reasoner: Reasoner, belief: Belief, situation: Situation) -> bool:
    """One and the same rule to stop for all: proved, or nothing left that is worth its minutes."""
    choices = [
        Choice(test=test.id, gain_bits=gain, cost_min=minutes, score=gain / minutes)
        for test in _open(reasoner.model, belief)
        for gain in [gain_bits(reasoner.network, belief, test.id)]
        for minutes in [minutes_for(reasoner.model, test, situation, DUTY)]
    ]
    odds = fault_odds(reasoner.network, belief)
    # A score is never below the rate of the test alone, so where that suffices nobody need look ahead.
    ending = find_ending(reasoner.model, odds, tuple(sorted(choices, key=lambda choice: -choice.score)[:1]))
    if ending is Ending.TOO_DEAR:
        ranked = rank_tests(reasoner.model, reasoner.network, belief, situation, DUTY)
        ending = find_ending(reasoner.model, odds, ranked)
    return ending is not None


def _open(model: Model, belief: Belief) -> tuple[Variable, ...]:
    return tuple(test for test in model.tests if test.id not in belief.evidence and allowed(test, belief.evidence))


def _first_open(model: Model, belief: Belief, name: str) -> Variable | None:
    """The test, or the first that must come before it; None where it is done or can no longer be done."""
    if name in belief.evidence:
        return None
    test = model.test(name)
    if allowed(test, belief.evidence) or test.work is None:
        return test
    steps = (_first_open(model, belief, opening.test) for opening in test.work.opened_by)
    return next((step for step in steps if step is not None), None)


def _own_checks(reasoner: Reasoner) -> dict[str, str]:
    """Fault → the test with the greatest mutual information with "this fault is there", before anything is seen."""
    network = reasoner.network
    found = {}
    for number, fault in enumerate(network.faults):
        there = (network.holds == number).any(axis=0).astype(float)
        before = entropy_bits(np.array([there @ network.prior, 1.0 - there @ network.prior]))

        def told(test: Variable, there: np.ndarray = there, before: float = before) -> float:
            joint = joint_with(network, network.joint, test.id)
            split = np.stack([there @ joint, (1.0 - there) @ joint])
            return before - entropy_bits(split.ravel()) + entropy_bits(split.sum(axis=0))

        found[fault] = max(reasoner.model.tests, key=told).id
    return found
