"""The fixed tree: the shipped `no-start` walked step by step, the yardstick for the assistant's own choice of tests.

Steps that the fault model knows (`seen_from`) cost what the model's tests cost and give what the simulated car gives.
All other steps cost nothing here, which favours the tree; their answers come from the car in hand: petrol, four
cylinders. A finding ends the walk: what it names is repaired, and if the car does not run then, what the odds say.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from assistant.bench.reason_cars import Car, Job, Outcome, until_it_runs
from assistant.bench.reason_ways import repair_next
from assistant.errors import ProcedureError
from assistant.procedure.model import Kind, Procedure, Step
from assistant.reasoning.links import outcomes
from assistant.reasoning.model import NONE_OF_THESE, Model, Seen, Variable
from assistant.reasoning.reasoner import Reasoner

VEHICLE: Mapping[str, str] = {
    "fuel": "petrol",
    "cylinders": "4",
    "throttle-by-wire": "yes",
    "forced-induction": "no",
    "glow-plugs-or-intake-heater": "no",
    "hybrid": "no",
    "remote-starter": "no",
}
IGNITION = {"coil-on-plug": "coil-on-plug", "shared": "wasted-spark", "distributor": "distributor"}
"""The kind of ignition, by what the model's test of that name calls it."""
HEALTHY = (
    *("dead", "no-spare", "nothing", "turned", "not-boosted"),
    *("good", "sound", "tight", "clean", "clear", "down", "free", "whole", "both-good", "easy", "out"),
)
"""At steps that the model knows nothing of, these results come first, if offered: the car stays as it was."""
CRANKED = ("cranking-check", "turn")
MOST_STEPS = 1000
"""A walk longer than this goes in circles."""


def walk_tree(reasoner: Reasoner, procedures: Mapping[str, Procedure], begin: str, car: Car) -> Outcome:
    """One car, led by the procedure `begin` to a finding; what it names is repaired, then what the odds say.

    Raises ProcedureError when the walk does not end.
    """
    job = Job(reasoner, car)
    found = _Walk(job, procedures).go(begin)
    fault = reasoner.model.meant_by(found) if found else None
    if not job.runs and fault is not None and fault != NONE_OF_THESE:
        job.repair(fault)
    return until_it_runs(job, repair_next)


def fed_by(model: Model) -> Mapping[tuple[str, str], Sequence[tuple[Variable, Seen]]]:
    """Procedure and step -> the tests that it tells of, each with what its results mean."""
    fed: dict[tuple[str, str], list[tuple[Variable, Seen]]] = {}
    for test in model.tests:
        for seen in test.seen_from:
            fed.setdefault((seen.procedure, seen.step), []).append((test, seen))
    return fed


def agreed(offered: Sequence[str], told: Sequence[Collection[str]]) -> str:
    """Of several tests of one step the result that most of them agree to; the first is the step's own. `told`: for each
    test the results that say what it shows."""
    return max(offered, key=lambda result: [result in each for each in told])


class _Walk:
    """One walk of a car through the procedures."""

    def __init__(self, job: Job, procedures: Mapping[str, Procedure]) -> None:
        self._job = job
        self._procedures = procedures
        self._steps = 0
        self._found: str | None = None
        self._fed = fed_by(job.reasoner.model)

    def go(self, procedure_id: str) -> str | None:
        """The fault that the walk finds, None for one that names none."""
        self._walk(procedure_id)
        return self._found

    def _walk(self, procedure_id: str) -> str | None:
        """The outcome that the procedure returns, or None where the walk ended in it."""
        procedure = self._procedures[procedure_id]
        at = procedure.begin
        while not self._job.runs:
            self._steps += 1
            if self._steps > MOST_STEPS:
                raise ProcedureError(f"The walk through '{procedure_id}' does not end; last step '{at}'.")
            step = procedure.step(at)
            if step.kind is Kind.FINDING:
                self._found = step.finding.fault if step.finding else None
                return None
            if step.kind is Kind.RETURN:
                return step.outcome
            to = self._leave(procedure_id, step)
            if to is None:
                return None
            at = to
        return None

    def _leave(self, procedure_id: str, step: Step) -> str | None:
        """Where the step leads."""
        if step.kind is Kind.CALL and step.calls is not None:
            outcome = self._walk(step.calls)
            return next((result.goes for result in step.results if result.id == outcome), None)
        if step.kind is Kind.CHOOSE:
            return step.cases.get(self._vehicle(step.vehicle or ""), step.otherwise)
        answer = self._answer(procedure_id, step)
        ways = {result.id: result.goes for result in step.results} | {band.id: band.goes for band in step.bands}
        return ways[answer] if ways else step.next

    def _vehicle(self, name: str) -> str:
        return IGNITION[self._job.answer("ignition-type")] if name == "ignition" else VEHICLE.get(name, "")

    def _answer(self, procedure_id: str, step: Step) -> str:
        """What is answered at the step; its tests are paid for and kept."""
        fed = self._fed.get((procedure_id, step.id), [])
        told = [self._do(test, seen) for test, seen in fed]
        offered = outcomes(step)
        if (procedure_id, step.id) == CRANKED and self._job.answer("starts-and-dies") in ("dies", "runs"):
            return "started"
        if fed and offered:
            # A result that the step does not offer (the gauge stands low) goes the way of the first one that it does.
            return agreed(offered, told)
        if step.vehicle is not None:
            return self._vehicle(step.vehicle)
        return next((answer for answer in HEALTHY if answer in offered), offered[0] if offered else "")

    def _do(self, test: Variable, seen: Seen) -> frozenset[str]:
        """The results of the step that say what the test shows."""
        if test.id not in self._job.belief.evidence:
            self._job.do(test.id)
        value = self._job.belief.evidence[test.id]
        return frozenset(result for result, meaning in seen.results.items() if meaning == value)
