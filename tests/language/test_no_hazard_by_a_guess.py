"""What opens a hazard passes by its own grammar alone: acknowledgements, gates, ready, done and codes.

Never by likeness, by free writing, by an answer that people have given or by a sentence that only holds its words.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as some

from assistant.grammar.automaton import Automaton, automaton_of
from assistant.guide.expect import expected
from assistant.guide.state import Frame, Mode, Position, State
from assistant.language.codes import codes_in
from assistant.language.commands import ALWAYS, COMMAND_PHRASES
from assistant.language.grammars import ACKNOWLEDGE_TAG, grammar_of
from assistant.language.model import (
    Acknowledge,
    Control,
    Expected,
    GiveCode,
    GiveControl,
    GiveResult,
    Heard,
    TellTest,
    Unclear,
)
from assistant.language.own_words import without_surroundings
from assistant.language.understand import understand
from assistant.wiring import load_libraries, shipped_procedures
from tests.language.test_guess import LAMP

OPENS = (Acknowledge, GiveCode)
BEGINS = frozenset((Control.READY, Control.DONE))
NOW = replace(
    LAMP,
    controls=LAMP.controls | BEGINS,
    acknowledge=("area is clear", "hands are off"),
    done=("bolt is out",),
    examples={"out": ("area is clear of light", "ready to give up"), "lit": ("the area is clear and bright",)},
)
CODES = Expected(controls=ALWAYS | {Control.DONE}, codes=True)
WORDS = (
    "area", "is", "clear", "the", "hands", "are", "off", "ready", "i", "am", "done", "all", "bolt", "out", "yes", "no",
    "not", "uh", "okay", "please", "lamp", "lit", "p", "zero", "three", "five", "u", "looks", "like", "mate", "redy",
    "cleared",
)  # fmt: skip

said = some.lists(some.sampled_from(WORDS), min_size=1, max_size=7).map(" ".join)
near = some.sampled_from(["area is clear", "hands are off", "ready", "i am ready", "done", "bolt is out", "p zero one"])
spoken = said | some.tuples(said, near).map(" ".join) | some.tuples(near, said).map(" ".join) | near


def bare(words: str) -> set[str]:
    """The words, and the words without hesitations and politeness around them."""
    parts = words.split()
    return {words} | {" ".join(part) for part in without_surroundings(parts, opinion=False)}


def opened_by(now: Expected) -> set[str]:
    """The phrases that may open something now."""
    begins = {words for control in BEGINS & now.controls for words in COMMAND_PHRASES[control]}
    return {*now.acknowledge, *now.done, *begins}


@given(
    spoken,
    some.sampled_from([NOW, CODES, replace(NOW, read_back=True), replace(NOW, results={}, answers={}, examples={})]),
    some.booleans(),
)
def test_written_or_heard_it_opens_by_its_own_phrase_alone(words: str, now: Expected, unsure: bool) -> None:
    """Whatever words come, with whatever free text beside them; unsure it never opens at all."""
    for free in (None, words, "area is clear", "ready"):
        heard = Heard(words=words, confidence=0.9, unsure=unsure, engine="embedded", free_text=free)
        meant = understand(heard, now)
        if isinstance(meant, GiveCode):
            assert meant.code in codes_in(words.split())
        if isinstance(meant, Acknowledge) or (isinstance(meant, GiveControl) and meant.control in BEGINS):
            assert bare(words) & opened_by(now), meant
        if unsure:
            assert not isinstance(meant, OPENS)
            assert not (isinstance(meant, GiveControl) and meant.control in BEGINS), meant


@given(spoken, some.sampled_from([NOW, CODES, replace(NOW, read_back=True)]))
def test_what_was_only_written_freely_opens_nothing(words: str, now: Expected) -> None:
    """However plainly it is the phrase: without the grammar it is at most a result, guessed or offered.

    Where a step can hurt someone it is offered, unless each answer waits for its yes there anyhow."""
    heard = Heard(words=None, confidence=0.0, engine="embedded", free_text=words)
    meant = understand(heard, now)
    if isinstance(meant, GiveResult):
        assert meant.guessed
        meant = understand(heard, replace(now, hazardous=True, read_back=False))
    if isinstance(meant, TellTest) and meant.makes == ("alone",):
        return  # "mate's off": it takes a helper away, and opens nothing
    assert isinstance(meant, Unclear)
    assert meant.offer is None or isinstance(understand(Heard(words=meant.offer, confidence=1.0), now), GiveResult)


@given(spoken)
def test_the_spoken_grammar_passes_a_caution_by_its_phrase_alone(words: str) -> None:
    """Not even with a hesitation before it: what is heard over a hazard is the phrase itself."""
    passes(automaton_of(grammar_of(NOW)), words, NOW)


def passes(automaton: Automaton, words: str, now: Expected) -> None:
    """No other sentence is tagged as what opens something."""
    tags = set(automaton.tags(words.split()) or ())
    if ACKNOWLEDGE_TAG in tags:
        assert words in now.acknowledge
    if tags & {control.value for control in BEGINS}:
        assert words in opened_by(now)


@pytest.fixture(scope="module")
def moments() -> list[Expected]:
    """Each caution, gate and ready of every shipped procedure, as the guide expects it."""
    _, library = load_libraries(tuple(shipped_procedures()))
    found = []
    for procedure in library.values():
        for step in procedure.steps:
            at = State(position=Position(at=Frame(procedure=procedure.id, step=step.id)), mode=Mode.ASKING)
            before = [frozenset(step.cautions[:number]) for number in range(len(step.cautions))]
            found += [expected(library, replace(at, mode=Mode.CAUTIONING, acknowledged=told)) for told in before]
            before = [frozenset(step.gates[:number]) for number in range(len(step.gates))]
            found += [expected(library, replace(at, mode=Mode.GATING, passed=told)) for told in before]
            found.append(expected(library, replace(at, mode=Mode.POISED)))
    return list({(now.acknowledge, now.controls): now for now in found}.values())


def test_no_caution_gate_or_ready_of_ours_is_passed_by_anything_like_its_phrase(moments: list[Expected]) -> None:
    """With a word more, a word less, two exchanged, a bare yes, or as free writing: nothing opens; its phrase does."""
    assert len(moments) > 20
    for now in moments:
        for phrase in opened_by(now):
            words = phrase.split()
            meant = understand(Heard(words=phrase, confidence=0.99, engine="embedded"), now)
            assert isinstance(meant, Acknowledge | GiveControl), phrase
            less = [" ".join(words[:at] + words[at + 1 :]) for at in range(len(words))]
            more = [" ".join([*words[:at], "not", *words[at:]]) for at in range(len(words) + 1)]
            for other in {*less, *more, " ".join(reversed(words)), "yes", "yeah it is"} - opened_by(now):
                for heard in (
                    Heard(words=other, confidence=0.99, engine="embedded"),
                    Heard(words=other, confidence=0.99, engine="embedded", free_text=phrase),
                    Heard(words=None, confidence=0.0, engine="embedded", free_text=phrase),
                ):
                    meant = understand(heard, now)
                    assert not isinstance(meant, OPENS), (phrase, other)
                    assert not (isinstance(meant, GiveControl) and meant.control in BEGINS), (phrase, other)


@pytest.mark.parametrize(
    ("gate", "said"),
    [
        ("wheels-chocked", ("wheels are chocked", "the wheels are chocked", "the wheels are blocked")),
        ("brake-set", ("parking brake is set", "handbrake is on", "the handbrake is on", "the brake's set")),
        ("selector-checked", ("it's in park", "selector is in park", "gearbox is in neutral", "it's in neutral")),
    ],
)
def test_a_gate_is_passed_by_its_own_question_as_a_statement(gate: str, said: tuple[str, ...]) -> None:
    """As most say it; never by the question itself, by its denial, by another state or a bare yes."""
    _, library = load_libraries(tuple(shipped_procedures()))
    step = next(each for each in library["safety-setup"].steps if gate in each.gates)
    passed = frozenset(step.gates[: step.gates.index(gate)])
    at = Position(at=Frame(procedure="safety-setup", step=step.id))
    now = expected(library, State(position=at, mode=Mode.GATING, passed=passed, acknowledged=frozenset(step.cautions)))
    for words in said:
        assert isinstance(understand(Heard(words=words, confidence=0.99, engine="typed"), now), Acknowledge), words
    for words in ("are the wheels chocked", "wheels are not chocked", "wheels aren't chocked", "it's in drive", "it is",
                  "brake is off", "handbrake isn't on", "is it in park", "in gear", "yes", "it's set"):  # fmt: skip
        assert not isinstance(understand(Heard(words=words, confidence=0.99, engine="typed"), now), Acknowledge), words
