"""That the engine runs is told at any step in few words, and never taken for what passes a caution, gate or ready."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Dictate, Expected, GiveControl, GiveResult, Heard, TellTest, Unclear
from assistant.language.runs_now import RUNS_NOW, SAYABLE_RUNS, tells_it_runs
from assistant.language.understand import understand
from tests.language.told import TOLD

NOW = replace(TOLD, supposed={**TOLD.supposed, "starts-and-dies=runs": (RUNS_NOW,)})
RUNS = TellTest(test="starts-and-dies", result="runs", words=RUNS_NOW)


def heard(words: str, now: Expected = NOW) -> object:
    """What is understood of typed words."""
    return understand(Heard(words=words, confidence=1.0), now)


@pytest.mark.parametrize(
    "words",
    [
        "it started",
        "It's running now!",
        "the engine is running now",
        "it fired up and stays running",
        "oh it just started by itself",
        "she fired right up",
        "hang on, the engine runs again",
        "it caught and keeps running",
        "the motor's idling",
        "it just came to life",
        "we have a start",
        "I got it running",
        *SAYABLE_RUNS,
    ],
)
def test_it_is_told_at_any_step(words: str) -> None:
    """Before a caution as well, whose phrase it is not; without a model of the tests as what is so of the car."""
    assert heard(words) == RUNS
    assert heard(words, replace(NOW, acknowledge=(), controls=NOW.controls | {Control.READY, Control.DONE})) == RUNS
    alone = heard(words, replace(TOLD, supposed={}))
    assert isinstance(alone, TellTest) and alone.makes[0] == "engine-runs" and not alone.stops


@pytest.mark.parametrize(
    "words",
    [
        "it started and died",
        "it started to leak",
        "it started smoking",
        "it started yesterday",
        "it never started",
        "it is not running",
        "did it start",
        "it ran for a second",
        "the pump is running",
        "it caught fire",
        "the engine runs away",
        "it fired once",
    ],
)
def test_what_says_another_thing_is_not_that(words: str) -> None:
    """Only whole sentences that say it and nothing else are taken."""
    assert not tells_it_runs(words.split())
    assert heard(words) != RUNS


PUMP = replace(NOW, acknowledge=(), results={"hums": ("pump hums",), "silent": ("pump is silent",)})
CRANK = replace(NOW, acknowledge=(), results={"started": ("it started", "engine is running"), "dead": ("never fired",)})


def test_the_answers_of_the_step_come_first() -> None:
    """Where something hums or is cranked "it" may be that; who names the engine at a pump means the engine."""
    assert heard("it started", CRANK) == GiveResult(result="started", words="it started")
    assert heard("it is running now", PUMP) != RUNS
    assert heard("the engine is running now", PUMP) == RUNS and heard("it fired up", PUMP) == RUNS
    asked = heard("it is running now", PUMP)
    assert isinstance(asked, Unclear) and SAYABLE_RUNS[0] in asked.detail, "how to say it is told where it is not clear"


def test_who_was_told_to_start_it_has_done_so() -> None:
    """Else every instruction of that kind would be left for a question."""
    told = replace(NOW, acknowledge=(), work="Start it and let it idle.", controls=NOW.controls | {Control.DONE})
    assert heard("it is running", told) != RUNS
    assert heard("done", told) == GiveControl(control=Control.DONE)


def test_a_complaint_is_kept_as_it_is_said() -> None:
    """What a customer tells is text."""
    assert heard("it started", Expected(controls=NOW.controls, dictation=True)) == Dictate(words="it started")


def test_it_can_be_heard_wherever_it_may_be_told() -> None:
    """By sentences long enough to be like no answer, but not where they are one."""
    automaton = automaton_of(grammar_of(NOW))
    assert all(automaton.accepts(words.split()) for words in SAYABLE_RUNS)
    assert not automaton.accepts(["it", "started"])
    asked = replace(NOW, results={"runs": ("it started and keeps running",)})
    assert understand(Heard(words="it started and keeps running", confidence=1.0), asked) != RUNS
    half = understand(Heard(words=SAYABLE_RUNS[0], confidence=0.5, unsure=True), NOW)
    assert not isinstance(half, TellTest)
