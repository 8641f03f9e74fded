"""A small made-up library for single rules: one procedure with a step of each kind that matters."""

from assistant.procedure.reader import read_procedure

TEXT = """
id: small
version: 1
title: A small made-up job
applies_to: nothing on earth
tools: []
consumables: []
sources:
  - {id: practice, text: "common practice, no source"}
duty: {burst_s: 10, stop_s: 15, rest_s: 120, source: practice}
limits:
  - {id: good, value: 12.4, unit: V, source: practice}
cautions:
  - id: area
    signal: warning
    hazard: Belts move.
    avoid: Keep clear.
    consequence: They can take a hand.
    covers: [cranking, moving-parts]
    acknowledge: [area is clear, the area is clear]
  - id: spark
    signal: danger
    hazard: Sparks jump.
    avoid: Touch nothing.
    consequence: They can kill.
    covers: [exposed-spark]
    acknowledge: [nobody touches it]
gates:
  - {id: brake, say: "Is the brake set?", acknowledge: [brake is set]}
begin: first
steps:
  - id: first
    kind: instruct
    say: Take the duct off.
    hazards: []
    minutes: 2
    place: hood
    removes: [duct]
    next: look
  - id: look
    kind: ask
    say: What do you see?
    hazards: []
    minutes: 1
    place: hood
    results:
      - {id: clean, phrases: [all clean], goes: volts}
      - {id: dirty, phrases: [full of dirt], goes: found}
  - id: volts
    kind: reading
    say: Measure it.
    hazards: []
    minutes: 1
    place: hood
    name: battery
    quantity: voltage
    unit: V
    bands:
      - {id: good, at_least: good, goes: turn, say: Good.}
      - {id: low, below: good, goes: turn, say: Low.}
  - id: turn
    kind: crank
    cautions: [area]
    gates: [brake]
    say: Crank it.
    hazards: [cranking, moving-parts]
    minutes: 1
    place: seat
    burst_s: 5
    walk_s: 4
    results:
      - {id: no-change, phrases: [never fired], goes: jump}
      - {id: started, phrases: [it started], goes: found}
  - id: jump
    kind: ask
    cautions: [spark]
    say: Does it jump?
    hazards: [exposed-spark]
    minutes: 1
    place: hood
    results:
      - {id: jumps, phrases: [it jumps], goes: found}
      - {id: dead, phrases: [it is dead], goes: found}
  - id: found
    kind: finding
    say: That was it.
    hazards: []
    minutes: 0
    place: hood
    finding: {fault: made-up, proved: [It works.], likely: [], untested: [], advice: Put it together., customer: Fine.}
"""


def small_library():
    """The library, read from its text."""
    loaded = read_procedure("small.yaml", TEXT)
    assert loaded.procedure is not None, loaded.faults
    return {"small": loaded.procedure}
