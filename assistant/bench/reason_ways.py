"""The ways of choosing tests and repairs that `hoodside bench reason` holds against each other."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np

from assistant.bench.reason_cars import DUTY, Car, Job, Outcome, Step, until_it_runs
from assistant.procedure.model import Procedure
from assistant.reasoning.conflict import find_conflict
from assistant.reasoning.costs import allowed, lacking, minutes_for
from assistant.reasoning.model import NONE_OF_THESE, Model, Variable
from assistant.reasoning.network import split_by_fault
from assistant.reasoning.next_test import entropy_bits, rank_tests
from assistant.reasoning.planner import Act, Readiness, make_plan, repair_costs, wasted_min
from assistant.reasoning.posterior import fault_odds, joint_with
from assistant.reasoning.reasoner import Reasoner, find_ending


def asked_tests(model: Model, procedures: Mapping[str, Procedure]) -> frozenset[str]:
    """The tests that some step of the procedures asks for: no session does others by itself."""
    return frozenset(test.id for test in model.tests for seen in test.seen_from if seen.procedure in procedures)


def planned(among: Collection[str]) -> Step:
    """The planner's own choice."""

    def step(job: Job) -> None:
        plan = make_plan(
            job.reasoner.model,
            job.reasoner.network,
            job.belief,
            situation=job.situation,
            duty=DUTY,
            ready=Readiness(among=among),
        )
        if plan.act is Act.TEST:
            job.do(plan.name)
        else:
            job.repair(plan.name)

    return step


def advised(among: Collection[str]) -> Step:
    """The adviser as it was: what does not fit is checked again once, then information a minute, two tests ahead, until
    one fault is proved or tests get too dear; then the likeliest fault is repaired."""

    def step(job: Job) -> None:
        model, network = job.reasoner.model, job.reasoner.network
        conflict = find_conflict(network, job.belief)
        if conflict is not None and conflict.suspect not in job.belief.again:
            job.do(conflict.suspect)
            return
        choices = rank_tests(model, network, job.belief, job.situation, DUTY, among=among)
        odds = fault_odds(network, job.belief)
        if find_ending(model, odds, choices) is None:
            job.do(choices[0].test)
        else:
            job.repair(next(iter(odds)))

    return step


def greedy(among: Collection[str]) -> Step:
    """The test after which repairs alone are expected to cost least, as long as that is less than without it."""

    def step(job: Job) -> None:
        model, network, belief = job.reasoner.model, job.reasoner.network, job.belief
        costs, search = repair_costs(model), model.settings.search_min
        best, least = None, float(wasted_min(split_by_fault(network, belief.hypotheses)[:, None], costs, search)[0])
        for test in model.tests:
            if test.id not in among or test.id in belief.evidence or not allowed(test, belief.evidence):
                continue
            by_value = split_by_fault(network, joint_with(network, belief.weights, test.id)) / belief.likelihood
            expected = minutes_for(model, test, job.situation, DUTY) + wasted_min(by_value, costs, search).sum()
            if expected < least:
                best, least = test.id, float(expected)
        if best is None:
            repair_next(job)
        else:
            job.do(best)

    return step


def repair_next(job: Job) -> None:
    """No further test: the repair that pays best by the odds."""
    plan = make_plan(
        job.reasoner.model,
        job.reasoner.network,
        job.belief,
        situation=job.situation,
        duty=DUTY,
        ready=Readiness(among=frozenset()),
    )
    job.repair(plan.name)


def knows_the_fault(reasoner: Reasoner, checks: Mapping[str, str], car: Car) -> Outcome:
    """The bound: no intake; for each fault the one test that tells most of it alone (`checks`, see `own_checks`), with
    what opens the way to it, then its repair. It shows what is left when nothing but the proof is tested."""
    job = Job(reasoner, car)
    for fault in sorted(car.faults):
        for name in _way(reasoner.model, checks[fault], job):
            if not job.runs:
                job.do(name)
        if not job.runs:
            job.repair(fault)
    return until_it_runs(job, lambda left: left.repair(NONE_OF_THESE))


def _way(model: Model, name: str, job: Job) -> list[str]:
    """The test and the tests that open the way to it, in the order they are done."""
    test: Variable = model.test(name)
    if name in job.belief.evidence:
        return []
    before = lacking(test, job.belief.evidence) if test.work is not None else ()
    return [*_way(model, before[0].test, job), name] if before else [name]


def own_checks(reasoner: Reasoner, among: Collection[str]) -> dict[str, str]:
    """Fault → the test with the greatest mutual information with "this fault is there", before anything is seen."""
    network = reasoner.network
    found = {}
    for number, fault in enumerate(network.faults):
        there = (network.holds == number).any(axis=0).astype(float)
        before = entropy_bits(np.array([there @ network.prior, 1.0 - there @ network.prior]))

        def told(test: Variable, there: np.ndarray = there, before: float = before) -> float:
            joint = network.beside[test.id]
            split = np.stack([there @ joint, (1.0 - there) @ joint])
            return before - entropy_bits(split.ravel()) + entropy_bits(split.sum(axis=0))

        found[fault] = max((test for test in reasoner.model.tests if test.id in among), key=told).id
    return found
