"""Made-up cars, and what each way of choosing tests makes of them until they run.

A car is drawn from a model: its faults, what each test would show, and what it would show once one of two faults is
repaired; a share of the answers is then replaced by another result of the test, except a start: nobody errs on whether
the engine runs. Half of the cars come from models whose likelihoods were bent by up to a factor of two. Every way meets
the same car with the same answers (paired).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from assistant.procedure.model import Duty
from assistant.reasoning.costs import Situation, do_test
from assistant.reasoning.model import NONE_OF_THESE, Model, Row, Variable
from assistant.reasoning.network import Network, compile_network
from assistant.reasoning.planner import CHECK_MIN
from assistant.reasoning.posterior import Belief, believe, fault_odds, repaired, see
from assistant.reasoning.reasoner import Reasoner

WRONG_ANSWERS = 0.05
"""Share of answers told wrong, from the issue's measure; independent of what the model reckons with."""
TWO_FAULTS = 0.10
"""Share of cars with two faults at once, likewise."""
MOST_BENT = 2.0
"""Likelihoods of a bent model differ by up to this factor, then add up to one again."""
BENT_MODELS = 10
"""So many bent models are drawn, so that no single one decides."""
DUTY = Duty()
INTAKE = ("history", "ignition-type")
"""What the opening of every session asks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """A made-up car. `faults`: what is wrong with it, empty for none of these. `bent`: drawn from a bent model.

    `answers`: test → result as first told; `again`: as told when the test is done once more; `later`: fault → answers
    once that fault of two is repaired.
    """

    faults: frozenset[str]
    answers: Mapping[str, str]
    again: Mapping[str, str]
    later: Mapping[str, Mapping[str, str]]
    bent: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one car. `minutes`: beyond the repairs that it needed. `right`: the first repair was needed.

    `wrong_parts`: parts fitted in vain. `odds`: of each fault when the first repair was proposed; `first`: what it was;
    `seen`, `again`: test → result by then, of a first and of a second look.
    """

    minutes: float
    tests: int
    wrong_repairs: int
    wrong_parts: int
    right: bool
    first: str
    odds: Mapping[str, float]
    seen: Mapping[str, str]
    again: Mapping[str, str]


def draw_cars(
    model: Model, count: int, seed: int, *, two_faults: float = TWO_FAULTS, bent: bool = True
) -> tuple[Car, ...]:
    """Cars from the priors, answers from the likelihoods, some of them wrong; every other car from a bent model."""
    rng = np.random.default_rng(seed)
    plain = replace(model, settings=replace(model.settings, wrong_answers=0.0, two_faults=two_faults))
    plain = replace(plain, tests=tuple(replace(test, wrong=None) for test in plain.tests))
    models = [plain]
    if bent:
        models += [bend(plain, rng) for _ in range(BENT_MODELS)]
    networks = [compile_network(each) for each in models]
    cars = []
    for number in range(count):
        at = 0 if number % 2 == 0 or not bent else 1 + (number // 2) % BENT_MODELS
        cars.append(_draw_car(models[at], networks[at], rng, bent=at > 0))
    return tuple(cars)


def bend(model: Model, rng: np.random.Generator) -> Model:
    """The model with each likelihood multiplied by a factor from 1/2 to 2, evenly by logarithm, and made to add up."""

    def moved(likely: tuple[float, ...]) -> tuple[float, ...]:
        found = np.array(likely) * MOST_BENT ** rng.uniform(-1.0, 1.0, len(likely))
        return tuple((found / found.sum()).tolist())

    def bent(variable: Variable) -> Variable:
        rows: tuple[Row, ...] = tuple(replace(row, likely=moved(row.likely)) for row in variable.rows)
        away = moved(variable.away) if variable.away else ()
        return replace(variable, default=moved(variable.default), rows=rows, away=away)

    return replace(
        model,
        conditions=tuple(bent(variable) for variable in model.conditions),
        tests=tuple(bent(variable) for variable in model.tests),
    )


def _draw_car(model: Model, network: Network, rng: np.random.Generator, *, bent: bool) -> Car:
    number = int(rng.choice(len(network.prior), p=network.prior))
    faults = network.hypotheses[number]
    shown = _shown(model, network, number, rng)
    later = {}
    if len(faults) == 2:
        for here, left in (faults, faults[::-1]):
            left_alone = _shown(model, network, 1 + left, rng)
            later[network.faults[here]] = _as_told(model, left_alone, rng)
    return Car(
        faults=frozenset(network.faults[each] for each in faults),
        answers=_as_told(model, shown, rng),
        again=_as_told(model, shown, rng),
        later=later,
        bent=bent,
    )


def _shown(model: Model, network: Network, hypothesis: int, rng: np.random.Generator) -> dict[str, int]:
    """What each test would show, by number of its result."""
    given = network.core_given[hypothesis]
    core = np.unravel_index(int(rng.choice(given.size, p=given.ravel() / given.sum())), given.shape)
    found = {}
    for test in model.tests:
        node = network.nodes[test.id]
        if test.id in network.core:
            found[test.id] = int(core[network.core.index(test.id)])
            continue
        at = tuple(int(value) if size > 1 else 0 for value, size in zip(core, node.table.shape[1:-1], strict=True))
        chances = node.table[(hypothesis, *at)]
        found[test.id] = int(rng.choice(len(chances), p=chances / chances.sum()))
    return found


def _as_told(model: Model, shown: Mapping[str, int], rng: np.random.Generator) -> dict[str, str]:
    told = {}
    for test in model.tests:
        number, count = shown[test.id], len(test.values)
        if not test.cures and rng.random() < WRONG_ANSWERS:
            number = _other(number, count, rng, runs_first=bool(test.away))
        told[test.id] = test.values[number].id
    return told


def _other(number: int, count: int, rng: np.random.Generator, *, runs_first: bool) -> int:
    """Another result of so many. `runs_first`: the first is an engine that runs on, which is told for no other."""
    if not runs_first:
        return (number + int(rng.integers(1, count))) % count
    if number == 0 or count < 3:
        return number
    return 1 + (number - 1 + int(rng.integers(1, count - 1))) % (count - 1)


class Job:
    """One car under way: what was seen, where the technician stands, what was repaired."""

    def __init__(self, reasoner: Reasoner, car: Car) -> None:
        self.reasoner = reasoner
        self.car = car
        self.situation = Situation()
        self.belief: Belief = believe(reasoner.network, {})
        self.runs = False
        self.tests = 0
        self._left = set(car.faults)
        self._answers = car.answers
        self._wasted = 0.0
        self._wrong: list[str] = []
        self._first: tuple[str, dict[str, float], Belief] | None = None

    def answer(self, test: str) -> str:
        """What the car shows now, as it is told."""
        return self._answers[test]

    def do(self, name: str) -> str:
        """Do a test, once more if it was done; a cure that starts the engine ends the job. Returns its result."""
        model, network = self.reasoner.model, self.reasoner.network
        test = model.test(name)
        self.situation = do_test(model, test, self.situation, DUTY)
        self.tests += 1
        # With one of two repaired the car shows what is left, at a test done before, too.
        same = self._answers is self.car.answers
        result = self.car.again[name] if same and name in self.belief.evidence else self._answers[name]
        self.belief = see(network, self.belief, name, result)
        if test.cures and result != test.values[0].id:
            self.runs = True
            self._propose(next(iter(fault_odds(network, self.belief))))
        return result

    def repair(self, fault: str) -> None:
        """Repair a fault, or search by the maker's information: the job ends if the engine runs then."""
        model = self.reasoner.model
        self._propose(fault)
        if fault == NONE_OF_THESE:
            self._wasted += model.settings.search_min if self.car.faults else 0.0
            self.runs = True
            return
        known = model.fault(fault)
        needed = fault in self._left
        self._left.discard(fault)
        if not needed:
            self._wasted += known.repair_min + CHECK_MIN
            self._wrong.append(fault)
        elif not self._left:
            self.runs = True
            return
        else:
            self._wasted += CHECK_MIN
            self._answers = self.car.later[fault]
        self.belief = repaired(self.reasoner.network, self.belief, fault)

    def outcome(self) -> Outcome:
        """What became of it."""
        first, odds, belief = self._first or (NONE_OF_THESE, {}, self.belief)
        fits = [self.reasoner.model.fault(fault).fits_part for fault in self._wrong]
        return Outcome(
            minutes=self.situation.minutes + self._wasted,
            tests=self.tests,
            wrong_repairs=len(self._wrong),
            wrong_parts=sum(fits),
            right=first in (self.car.faults or {NONE_OF_THESE}),
            first=first,
            odds=odds,
            seen=belief.evidence,
            again=belief.again,
        )

    def _propose(self, fault: str) -> None:
        if self._first is None:
            self._first = fault, fault_odds(self.reasoner.network, self.belief), self.belief


Step = Callable[[Job], None]
"""Does the next thing to a car: a test or a repair."""

MOST_STEPS = 200


def work_on(reasoner: Reasoner, car: Car, step: Step) -> Outcome:
    """One car from the intake on until it runs."""
    job = Job(reasoner, car)
    for name in INTAKE:
        job.do(name)
    return until_it_runs(job, step)


def until_it_runs(job: Job, step: Step) -> Outcome:
    """The rest of a job. Who has done MOST_STEPS things in vain searches by the maker's information: all that was done
    counts, and so does the search."""
    for _ in range(MOST_STEPS):
        if job.runs:
            return job.outcome()
        step(job)
    if not job.runs:
        job.repair(NONE_OF_THESE)
    return job.outcome()


def brier(outcomes: list[Outcome], cars: tuple[Car, ...]) -> float:
    """Mean over cars of the squares of odds less truth, summed over the faults and none of these."""
    rows = [
        sum((chance - (fault in (car.faults or {NONE_OF_THESE}))) ** 2 for fault, chance in outcome.odds.items())
        for outcome, car in zip(outcomes, cars, strict=True)
    ]
    return float(np.mean(rows))


def reliability(
    outcomes: list[Outcome], cars: tuple[Car, ...], edges: NDArray[np.float64]
) -> list[tuple[float, float, int]]:
    """For each band of the odds that the first repair was proposed with: mean odds, share right, how many."""
    odds = np.array([outcome.odds.get(outcome.first, 0.0) for outcome in outcomes])
    right = np.array([outcome.right for outcome in outcomes])
    found = []
    for low, high in pairwise(edges.tolist()):
        here = (odds >= low) & (odds < high)
        if here.any():
            found.append((float(odds[here].mean()), float(right[here].mean()), int(here.sum())))
    return found
