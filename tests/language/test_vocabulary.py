"""All that is understood by name is what was agreed: commands, questions, codes, units, tones, politeness.

Who works by voice learns these words; one that goes, or comes to mean another, is a fault. After a change on purpose
run this with KEEP_DOCUMENTS=1, read the file, and keep it.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from assistant.grammar.automaton import automaton_of
from assistant.language.code_meanings import meaning_of
from assistant.language.codes import END_PHRASES, SPELLING
from assistant.language.commands import Control
from assistant.language.dangers import SAYABLE
from assistant.language.grammars import grammar_of
from assistant.language.model import Expected
from assistant.language.quantities import UNITS
from assistant.language.questions import QUESTION_PHRASES
from assistant.language.runs_now import SAYABLE_RUNS
from assistant.language.signals import TONES
from assistant.language.speech import Tone

KEPT = Path(__file__).with_name("vocabulary.txt")
LAMP = Expected(controls=frozenset(), results={"lit": ("lamp is lit",), "out": ("lamp is out",)})
UNKNOWN = "see the maker's information"


def _commands() -> Iterator[str]:
    for control in Control:
        told = asdict(control.row)
        told |= {name: told[name].name.lower() for name in ("stakes", "legal", "offered", "heading")}
        yield f"{control.value}: {told.pop('does')}"
        yield f"  said {', '.join(told.pop('phrases'))}; typed {', '.join(told.pop('typed'))}"
        yield "  " + ", ".join(name if value is True else f"{name} {value}" for name, value in told.items() if value)


def _codes() -> Iterator[str]:
    yield f"the end of codes: {', '.join(END_PHRASES)}"
    yield f"letters: {', '.join(SPELLING.values())}"
    for first in ("P0", "P1", "P2", "P30", "P33", "P34", "B0", "B1", "B2", "C2", "U2", "U3"):
        yield f"code {first}: {meaning_of(first.ljust(5, '0'))}"
    for code in (f"P{number:04X}" for number in range(0x3FFF)):
        meaning = meaning_of(code)
        if UNKNOWN not in meaning or code.endswith("99"):
            yield f"code {code}: {meaning}"


def _units() -> Iterator[str]:
    for unit in UNITS:
        said = f"said {', '.join(unit.spoken)}; typed {', '.join(unit.typed)}"
        size = f"{unit.kind} by {unit.factor}, {unit.offset}"
        yield f"unit {unit.symbol}: one {unit.one}, many {unit.many}; {said}; {size}"


def _tones() -> Iterator[str]:
    for signal, parts in TONES.items():
        notes = [
            f"{each.hz:g} Hz at {each.level:g} {each.seconds:g} s"
            if isinstance(each, Tone)
            else f"rest {each.seconds:g} s"
            for each in parts
        ]
        yield f"tone {signal}: {', '.join(notes)}"


def _lines() -> Iterator[str]:
    yield from _commands()
    yield from (f"question {question}: {', '.join(said)}" for question, said in QUESTION_PHRASES.items())
    yield from (f"danger: {', '.join(said)}" for said in SAYABLE.values())
    yield f"engine: {', '.join(SAYABLE_RUNS)}"
    yield from _codes()
    yield from _units()
    yield from _tones()


def test_what_is_understood_by_name_is_what_was_agreed() -> None:
    """Every word of it, and what comes of it."""
    found = list(_lines())
    if os.environ.get("KEEP_DOCUMENTS"):
        KEPT.write_text("\n".join(found) + "\n", encoding="utf-8")
    assert found == KEPT.read_text(encoding="utf-8").splitlines()


def test_a_hesitation_before_and_politeness_after_an_answer_are_heard() -> None:
    """One of each, at either end and nowhere else."""
    accepts = automaton_of(grammar_of(LAMP)).accepts
    before, after = ("uh", "um", "er", "okay", "well", "so"), ("please", "thanks", "thank you", "mate", "boss")
    for first in ("", *before):
        for last in ("", *after):
            assert accepts(f"{first} lamp is lit {last}".split()), (first, last)
    for words in (*(f"{last} lamp is lit" for last in after), *(f"lamp is lit {first}" for first in before)):
        assert not accepts(words.split()), words
    assert not accepts(["uh", "uh", "lamp", "is", "lit"])
