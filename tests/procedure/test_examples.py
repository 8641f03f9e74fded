"""What people have answered is known wherever the same is asked, and what answers nothing is told apart."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.language.guess import NONE, guess
from assistant.language.model import Expected
from assistant.procedure.examples import ANY, TALK, TALKED, read_examples, with_examples
from assistant.procedure.model import Procedure, Step
from assistant.procedure.reader import read_procedure
from assistant.wiring.library import load_libraries, shipped_procedures

NOT_ASKED = ("fuel-level", "how-stopped", "which", "security", "prime")
"""Steps that know what is said there and answers something else: "engine light is on", of another lamp."""

TOLD = {
    "first": {"one": {"lit": ["bright as day"], "dark": ["black as coal"]}},
    "second": {"one": {"lit": ["she glows"]}},
    ANY: {ANY: {"unseen": ["missed it"], "unknown": ["beats me"], TALK: ["where is my coffee", "bright as day"]}},
}


TEXT = """
id: made-up
version: 1
title: A made-up lamp
applies_to: nothing on earth
tools: []
consumables: []
sources: []
begin: one
outcomes: [seen]
steps:
  - id: one
    kind: ask
    say: Is it lit, or dark?
    hazards: []
    minutes: 1
    place: hood
    results:
      - {id: lit, phrases: [lit], answers: it is lit, goes: seen}
      - {id: dark, phrases: [dark], answers: it is dark, goes: seen}
      - {id: unseen, phrases: [i did not see it], goes: seen}
  - {id: seen, kind: return, outcome: seen, hazards: [], minutes: 0, place: hood}
"""


@pytest.fixture(scope="module")
def asked() -> Step:
    """A step with three results, the third for what was not seen."""
    read = read_procedure("made-up.yaml", TEXT)
    assert read.procedure is not None, read.faults
    return read.procedure.step("one")


def _library(asked: Step, *, other_grammar: bool = False, beside: str = "dark") -> dict[str, Procedure]:
    base = read_procedure("made-up.yaml", TEXT).procedure
    assert base is not None
    lit, dark, unseen = asked.results
    other = replace(lit, answers="it glows") if other_grammar else lit
    second = replace(asked, results=(other, replace(dark, id=beside), unseen))
    return {name: replace(base, id=name, steps=(step,)) for name, step in (("first", asked), ("second", second))}


def _told(library: dict[str, Procedure], procedure: str) -> dict[str, tuple[str, ...]]:
    return {result.id: result.examples for result in with_examples(library, TOLD)[procedure].steps[0].results}


def test_what_was_answered_counts_wherever_the_same_is_asked(asked: Step) -> None:
    """The same id with the same grammar is the same answer, and so it is where it is told from a second one of the same
    id: there it comes after the step's own. Beside nothing but "not seen" another grammar is another answer."""
    assert set(_told(_library(asked), "second")["lit"]) == {"she glows", "bright as day"}
    assert set(_told(_library(asked), "second")["dark"]) == {"black as coal"}
    assert _told(_library(asked, other_grammar=True), "second")["lit"] == ("she glows", "bright as day")
    alone = _told(_library(asked, other_grammar=True, beside="yes"), "second")
    assert (alone["lit"], alone["yes"]) == (("she glows",), ())


def test_what_tells_of_no_test_means_the_one_result_for_it(asked: Step) -> None:
    """ "Beats me" is "not seen" where nothing else says so; where there are two, each keeps its own."""
    assert set(_told(_library(asked), "first")["unseen"]) == {"missed it", "beats me"}
    library = _library(asked)
    (step,) = library["first"].steps
    both = replace(step, results=(*step.results, replace(step.results[2], id="unknown", phrases=("no idea",))))
    told = _told(library | {"first": replace(library["first"], steps=(both,))}, "first")
    assert (told["unseen"], told["unknown"]) == (("missed it",), ("beats me",))


def test_talk_is_told_apart_from_answers(asked: Step) -> None:
    """Talk that is an answer here is none; what answers other questions alone stands beside it."""
    step = with_examples(_library(asked), TOLD)["first"].steps[0]
    assert "where is my coffee" in step.elsewhere
    assert "bright as day" not in step.elsewhere


def test_talk_at_a_step_itself_comes_first_and_counts_there_alone(asked: Step) -> None:
    """Beside the talk that is heard anywhere."""
    own = TOLD | {"first": {"one": {**TOLD["first"]["one"], TALK: ["mind the lamp"]}}}
    told = with_examples(_library(asked), own)
    assert told["first"].steps[0].elsewhere[:2] == ("mind the lamp", "where is my coffee")
    assert "mind the lamp" not in told["second"].steps[0].elsewhere


def test_what_is_likelier_talk_gives_no_result() -> None:
    """A made-up step: words of both kinds are known, and the talk is offered for nothing."""
    now = Expected(
        controls=frozenset(),
        results={"lit": ("lamp is lit",), "dark": ("lamp is dark",)},
        examples={"lit": ("it is bright in here", "bright as day"), "dark": ("it is dark in here", "black as coal")},
        elsewhere=("it is cold in here", "is it cold outside", "it is freezing cold today"),
    )
    talk = guess("it is so cold today", now)
    assert talk is not None
    assert not (talk.sure or talk.clear)
    known = guess("it is so bright", now)
    assert known is not None and known.result == "lit"
    assert NONE not in now.results


def test_the_shipped_examples_know_talk_and_both_ways_to_tell_of_no_test() -> None:
    """Each step with examples knows as much talk, and as much of other answers, as it may, beside what is its own."""
    _, library = load_libraries(tuple(shipped_procedures()))
    steps = [
        step for procedure in library.values() for step in procedure.steps if any(one.examples for one in step.results)
    ]
    assert len(steps) > 150
    own = {step.id: step.elsewhere for step in steps if len(step.elsewhere) != 2 * TALKED}
    assert all(len(elsewhere) > 2 * TALKED for elsewhere in own.values())
    assert "ran out of fuel" in own["changed"] and own.keys() <= {"changed", "held", *NOT_ASKED}


def test_a_file_of_examples_that_is_none_is_told_of() -> None:
    """In one sentence with its place."""
    with pytest.raises(Exception, match="no examples in JSON"):
        read_examples("[1]", "here")
