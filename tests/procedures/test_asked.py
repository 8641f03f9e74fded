"""How the shipped procedures ask: choices are heard with their question, and nothing is asked twice in a row."""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.guide.manner import say_of
from assistant.language.manner import Manner
from assistant.procedure.model import Kind, Procedure

ASKING = frozenset({Kind.ASK, Kind.CRANK, Kind.PACE})
OPEN = re.compile(r"\b(what|how)\b", re.IGNORECASE)
CHOICE = re.compile(r",|\bor\b", re.IGNORECASE)
NUMBERS = frozenset({"vehicle-facts/cylinders"})
"""Asks for a number, which names itself."""


def test_no_short_question_hides_its_choices(shipped: Mapping[str, Procedure]) -> None:
    """What is asked in brief names what may be answered: "What happens?" leaves one to guess what is listened for."""
    hidden = []
    for procedure in shipped.values():
        for step in procedure.steps:
            if step.kind not in ASKING or not step.results or f"{procedure.id}/{step.id}" in NUMBERS:
                continue
            asked = re.split(r"(?<=[.!?])\s+", say_of(step, Manner.BRIEF)[0])[-1]
            if OPEN.search(asked) and not CHOICE.search(asked):
                hidden.append(f"{procedure.id}/{step.id}: {asked}")
    assert hidden == []


def test_no_step_asks_the_same_phrase_twice(shipped: Mapping[str, Procedure]) -> None:
    """A phrase that a step's caution asked for is not asked for once more by its gate."""
    twice = []
    for procedure in shipped.values():
        cautions = {caution.id: caution for caution in procedure.cautions}
        gates = {gate.id: gate for gate in procedure.gates}
        for step in procedure.steps:
            said = {phrase for name in step.cautions for phrase in cautions[name].acknowledge}
            asked = {phrase for name in step.gates for phrase in gates[name].acknowledge}
            twice += [f"{procedure.id}/{step.id}: {phrase}" for phrase in sorted(said & asked)]
    assert twice == []
