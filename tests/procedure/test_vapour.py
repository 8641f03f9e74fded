"""Vapour is followed through calls and back, and what cannot happen is not told."""

from __future__ import annotations

import pytest

from assistant.procedure.checks import check_texts

HEAD = """id: {id}
version: 1
title: Made up
applies_to: Made-up petrol cars
tools: []
consumables: []
sources: []
"""
CAUTION = """cautions:
  - id: all
    signal: danger
    hazard: It burns.
    avoid: Keep clear.
    consequence: It will burn you.
    covers: [{covers}]
    acknowledge: [keeping clear]
"""
SPRAYER = (
    HEAD.format(id="sprayer")
    + CAUTION.format(covers="spraying, fuel-vapour")
    + """outcomes: [sprayed, refused]
begin: by-fuel
steps:
  - {id: by-fuel, kind: choose, vehicle: fuel, cases: {petrol: by-heater}, otherwise: refused,
     hazards: [], minutes: 0, place: hood}
  - {id: by-heater, kind: choose, vehicle: glow-plugs-or-intake-heater, cases: {no: by-drive}, otherwise: refused,
     hazards: [], minutes: 0, place: hood}
  - {id: by-drive, kind: choose, vehicle: hybrid, cases: {no: by-throttle}, otherwise: refused,
     hazards: [], minutes: 0, place: hood}
  - {id: by-throttle, kind: choose, vehicle: throttle-by-wire, cases: {no: spray}, otherwise: spray,
     hazards: [], minutes: 0, place: hood}
  - id: spray
    kind: pace
    cautions: [all]
    say: Spray once.
    hazards: []
    minutes: 0.2
    place: hood
    pace: {action: spray, on_s: 1}
    next: sprayed
  - {id: sprayed, kind: return, outcome: sprayed, hazards: [], minutes: 0, place: hood}
  - {id: refused, kind: return, outcome: refused, hazards: [], minutes: 0, place: hood}
"""
)
CLEARER = (
    HEAD.format(id="clearer")
    + """outcomes: [cleared]
begin: rest
steps:
  - {id: rest, kind: wait, say: Five minutes., hazards: [], minutes: 5, place: away,
     wait_s: 300, clears_vapour: true, next: cleared}
  - {id: cleared, kind: return, outcome: cleared, hazards: [], minutes: 0, place: hood}
"""
)
SPARKER = (
    HEAD.format(id="sparker")
    + CAUTION.format(covers="exposed-spark")
    + """outcomes: [seen]
begin: jump
steps:
  - {id: jump, kind: instruct, cautions: [all], say: Watch the spark jump., hazards: [exposed-spark],
     minutes: 1, place: hood, next: seen}
  - {id: seen, kind: return, outcome: seen, hazards: [], minutes: 0, place: hood}
"""
)
END = """  - id: end
    kind: finding
    say: That is all.
    hazards: []
    minutes: 0
    place: hood
    finding: {proved: [], likely: [], untested: [], advice: Go on., customer: We go on.}
"""


def call(step: str, calls: str, **ways: str) -> str:
    """A step that calls."""
    results = ", ".join(f"{{id: {outcome}, goes: {goes}}}" for outcome, goes in ways.items())
    return (
        f"  - {{id: {step}, kind: call, calls: {calls}, hazards: [], minutes: 0, place: hood, results: [{results}]}}\n"
    )


def told(steps: str, begin: str = "first") -> list[str]:
    """The faults of a job made of these steps, beside the procedures above."""
    job = HEAD.format(id="job") + f"begin: {begin}\nsteps:\n" + steps + END
    texts = {"job.yaml": job, "sprayer.yaml": SPRAYER, "clearer.yaml": CLEARER, "sparker.yaml": SPARKER}
    return [str(fault) for fault in check_texts(texts, ())]


def test_a_spark_called_after_a_spray_called_is_found() -> None:
    """The spray and the spark stand in two files, and a third leads from one to the other."""
    faults = told(call("first", "sprayer", sprayed="second", refused="end") + call("second", "sparker", seen="end"))
    assert len(faults) == 1
    assert faults[0].startswith("sparker.yaml:")
    assert "from the spray at 'sprayer/spray' to this step with exposed-spark" in faults[0]


def test_a_wait_called_between_clears() -> None:
    """A called wait of five minutes clears for all that follows."""
    steps = (
        call("first", "sprayer", sprayed="second", refused="third")
        + call("second", "clearer", cleared="third")
        + call("third", "sparker", seen="end")
    )
    assert told(steps) == []


def test_a_spark_on_the_refused_way_is_no_fault() -> None:
    """Where the spray was refused there is no vapour: outcomes keep the paths apart."""
    steps = call("first", "sprayer", sprayed="end", refused="second") + call("second", "sparker", seen="end")
    assert told(steps) == []


def test_a_spark_before_the_spray_is_no_fault_but_in_a_round_it_is() -> None:
    """Leading back to the spark after the spray makes one."""
    before = call("first", "sparker", seen="second")
    assert told(before + call("second", "sprayer", sprayed="end", refused="end")) == []
    faults = told(before + call("second", "sprayer", sprayed="first", refused="end"))
    assert len(faults) == 1
    assert faults[0].startswith("sparker.yaml:")


@pytest.mark.parametrize(("value", "fault"), [("petrol", False), ("diesel", True)])
def test_what_was_chosen_is_remembered(value: str, fault: bool) -> None:
    """A second choice by the same fact goes the way of the first, so a path that cannot happen is not told."""
    steps = (
        "  - {id: first, kind: choose, vehicle: fuel, cases: {petrol: spray}, otherwise: end, hazards: [], minutes: 0, "
        "place: hood}\n"
        + call("spray", "sprayer", sprayed="again", refused="again")
        + f"  - {{id: again, kind: choose, vehicle: fuel, cases: {{{value}: end}}, otherwise: spark, hazards: [], "
        "minutes: 0, place: hood}\n" + call("spark", "sparker", seen="end")
    )
    assert bool(told(steps)) is fault
