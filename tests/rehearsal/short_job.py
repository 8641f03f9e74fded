"""A made-up job of two things said, for what a rehearsal of a whole one would only take longer to prove."""

from __future__ import annotations

from pathlib import Path

from assistant.rehearsal.cars import KNOWN, MadeUpCar

TEXT = """
id: short-job
version: 1
title: A made-up job of one question
applies_to: nothing
tools: []
consumables: []
sources: [{id: practice, text: "common practice, no source"}]
begin: changed
steps:
  - id: changed
    kind: ask
    say: What happened before the engine stopped?
    hazards: []
    minutes: 0.5
    place: hood
    results:
      - {id: nothing, phrases: [nothing changed, out of the blue], goes: end}
      - {id: stood, phrases: [stood for weeks], goes: end}
  - id: end
    kind: finding
    say: That was all.
    hazards: []
    minutes: 0
    place: hood
    finding: {fault: none, proved: [That is known.], likely: [], untested: [], advice: Go on., customer: Fine.}
"""

CAR = MadeUpCar(
    name="short",
    story="A made-up car of which one thing is asked.",
    finding="none",
    vehicle=KNOWN,
    answers={"short-job/changed": "nothing"},
)


def written(folder: Path) -> str:
    """The file of the procedure in that folder."""
    file = folder / "short-job.yaml"
    file.write_text(TEXT, encoding="utf-8")
    return str(file)
