"""The fixed tree: the shipped `no-start` walked step by step, the yardstick for the assistant's own choice of tests.

Steps that the fault model knows (`seen_from`) cost what the model's tests cost and give what the simulated car gives.
All other steps cost nothing here, which favours the tree; their answers come from the table below, else from the car in
hand: petrol, four cylinders, coil on plug. A finding ends the walk.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.bench.reason_cars import DUTY, Car, Outcome, Progress, Strategy, judge, work_on
from assistant.errors import ProcedureError
from assistant.procedure.model import Kind, Procedure, Step
from assistant.reasoning.costs import Situation, do_test
from assistant.reasoning.links import outcomes
from assistant.reasoning.model import Seen, Variable
from assistant.reasoning.reasoner import Reasoner

VEHICLE: Mapping[str, str] = {
    "fuel": "petrol",
    "cylinders": "4",
    "ignition": "coil-on-plug",
    "throttle-by-wire": "yes",
    "forced-induction": "no",
    "glow-plugs-or-intake-heater": "no",
    "hybrid": "no",
    "remote-starter": "no",
}
HEALTHY = (
    *("dead", "no-spare", "nothing", "turned", "not-boosted"),
    *("good", "sound", "tight", "clean", "clear", "down", "free", "whole", "both-good", "easy", "out"),
)
"""At steps that the model knows nothing of, these results come first, if offered: the car stays as it was."""
TRUTH: Mapping[tuple[str, str], tuple[tuple[frozenset[str], str], ...]] = {
    ("no-spark", "fuse-crank"): ((frozenset({"coil-supply"}), "runs"),),
    ("pump-feed", "reset-crank"): ((frozenset({"pump-feed"}), "runs"),),
    ("fuel-supply", "filter-place"): ((frozenset(), "outside"),),
    ("fuel-supply", "filter-volume"): ((frozenset({"filter-blocked"}), "good"), (frozenset(), "low")),
    ("flooded", "plug-out"): ((frozenset({"flooded", "plugs-fouled"}), "wet"),),
    ("flooded", "plugs-crank"): ((frozenset({"flooded", "plugs-fouled"}), "runs"),),
    ("slow-crank", "clean-crank"): ((frozenset({"bad-connection"}), "normal"), (frozenset(), "slow")),
    ("compression-wet", "wet-crank"): ((frozenset({"timing-slipped"}), "same"), (frozenset(), "rises")),
}
"""Steps after a repair, or that split what one test of the model tells: answered by what the car has, never wrong. The
first entry counts whose faults the car has one of; an empty set fits every car. This too favours the tree."""
MOST_STEPS = 1000
"""A walk longer than this goes in circles."""


def walk_tree(
    reasoner: Reasoner, procedures: Mapping[str, Procedure], begin: str, car: Car, go_on: Strategy | None = None
) -> Outcome:
    """One car, led by the procedure `begin` to a finding, and from there on by `go_on` where it is given.

    Raises ProcedureError when the walk does not end.
    """
    walk = _Walk(reasoner, procedures, car)
    walk.go(begin)
    if go_on is not None:
        return work_on(reasoner, car, go_on, walk.progress)
    return judge(reasoner, car, walk.progress)


class _Walk:
    """One walk: where it stands and what was seen."""

    def __init__(self, reasoner: Reasoner, procedures: Mapping[str, Procedure], car: Car) -> None:
        self.progress = Progress(evidence={}, situation=Situation())
        self._reasoner = reasoner
        self._procedures = procedures
        self._car = car
        self._steps = 0

    def go(self, procedure_id: str) -> str | None:
        """The outcome that the procedure returns, or None where it ended in a finding."""
        procedure = self._procedures[procedure_id]
        at = procedure.begin
        while True:
            self._steps += 1
            if self._steps > MOST_STEPS:
                raise ProcedureError(f"The walk through '{procedure_id}' does not end; last step '{at}'.")
            step = procedure.step(at)
            if step.kind is Kind.FINDING:
                return None
            if step.kind is Kind.RETURN:
                return step.outcome
            to = self._leave(procedure_id, step)
            if to is None:
                return None
            at = to

    def _leave(self, procedure_id: str, step: Step) -> str | None:
        """Where the step leads."""
        if step.kind is Kind.CALL and step.calls is not None:
            outcome = self.go(step.calls)
            return next((result.goes for result in step.results if result.id == outcome), None)
        if step.kind is Kind.CHOOSE:
            return step.cases.get(VEHICLE.get(step.vehicle or "", ""), step.otherwise)
        answer = self._answer(procedure_id, step)
        ways = {result.id: result.goes for result in step.results} | {band.id: band.goes for band in step.bands}
        return ways[answer] if ways else step.next

    def _answer(self, procedure_id: str, step: Step) -> str:
        """What is answered at the step; its test, if it is one, is paid for and kept."""
        for test in self._reasoner.model.tests:
            for seen in test.seen_from:
                if (seen.procedure, seen.step) == (procedure_id, step.id):
                    return self._do(test, seen, step)
        if step.vehicle is not None:
            return VEHICLE[step.vehicle]
        for faults, answer in TRUTH.get((procedure_id, step.id), ()):
            if not faults or faults & self._car.faults:
                return answer
        offered = outcomes(step)
        return next((answer for answer in HEALTHY if answer in offered), offered[0] if offered else "")

    def _do(self, test: Variable, seen: Seen, step: Step) -> str:
        value = self._car.answers[test.id]
        if test.id not in self.progress.evidence:
            self.progress.situation = do_test(self._reasoner.model, test, self.progress.situation, DUTY)
            self.progress.evidence[test.id] = value
        offered = outcomes(step)
        told = [result for result, meaning in seen.results.items() if meaning == value and result in offered]
        # A result that the step does not offer (the gauge stands low) goes the way of the first one that it does.
        return told[0] if told else (offered[0] if offered else "")
