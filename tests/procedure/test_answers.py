"""The small grammars of results: checked over all their sentences, none listed."""

import pytest

from assistant.language.commands import command_phrases
from assistant.procedure.answers import answers_of, shared_rules
from assistant.procedure.checks import check_texts
from assistant.procedure.checks.answers import unanswered

TEMPLATE = """id: small
version: 1
title: A small question
applies_to: Test data
tools: []
consumables: []
sources:
  - {{id: practice, text: "common practice, no source"}}
begin: asked
outcomes: [seen]
steps:
  - id: asked
    kind: ask
    say: {say}
    hazards: []
    minutes: 1
    place: hood
    results:
      - {{id: one, phrases: [first of all], answers: "{one}", goes: seen}}
      - {{id: two, phrases: [second of all], answers: "{two}", goes: seen}}
  - {{id: seen, kind: return, outcome: seen, hazards: [], minutes: 0, place: hood}}
"""


def _faults(one: str, two: str, say: str = "Look at it.") -> list[str]:
    text = TEMPLATE.format(say=say, one=one, two=two)
    return [fault.message for fault in check_texts({"small.yaml": text}, command_phrases())]


@pytest.mark.parametrize(
    ("one", "two", "words"),
    [
        ("cloudy [water]", "clear", None),
        ("[the] lamp (is | went) out", "the lamp went (out | dark)", "'the lamp went out' is also an answer of 'one'"),
        ("[please] say again", "clear", "'say again' is a command"),
        ("a tall tank", "a tall thank", "'a tall thank' too close in sound to 'a tall tank', of 'one'"),
        ("paws", "clear", "'paws' too close in sound to 'pause', the command"),
        ("clear (", "cloudy", "is never closed"),
        ("<often>", "cloudy", "no rule <often>; expected one of <yes>"),
        ("clear 12", "cloudy", "the word '12'"),
        ("clear; <x> = cloudy", "cloudy", "after the end"),
        ("xqzzk", "cloudy", "the word 'xqzzk'"),
    ],
)  # fmt: skip
def test_tells_what_is_wrong_with_a_grammar(one: str, two: str, words: str | None) -> None:
    """Two meanings, a command, likeness of sound, what cannot be read or heard, each with the sentence."""
    faults = _faults(one, two)
    if words is None:
        assert faults == []
    else:
        assert any(words in fault for fault in faults), faults


@pytest.mark.parametrize(
    ("asked", "taken", "missing"),
    [
        ("Is it clear, or cloudy?", {"clear", "cloudy"}, []),
        ("Is it clear, or cloudy?", {"clear"}, ["cloudy"]),
        ("Is the filter free, or soaked, packed or nested in?", {"free", "soaked", "nested in"}, ["packed"]),
        ("Key on. Does it run?", {"yes", "no"}, []),
        ("Key on. Does it run?", {"yes"}, ["no"]),
        ("Any fuel smell?", {"no"}, ["yes"]),
        ("Dry? Then press the button.", set(), []),
        ("What do you see?", set(), []),
        ("Press it.", set(), []),
    ],
)
def test_what_a_question_offers_must_be_an_answer(asked: str, taken: set[str], missing: list[str]) -> None:
    """Each option that the words name, or yes and no where they ask for it."""
    assert list(unanswered(asked, taken.__contains__)) == missing


def test_a_step_is_told_what_its_own_question_offers_and_no_result_takes() -> None:
    """By the words of the question; with all of them taken nothing is told."""
    asks = "Is it clear, or cloudy?"
    assert _faults("clear", "cloudy", asks) == []
    (fault,) = _faults("clear", "bright", asks)
    assert fault.startswith("found that 'cloudy', as the step asks it, is no answer; expected that each option named")


def test_shared_rules_can_be_read_and_said() -> None:
    """Every shared rule is a grammar of its own that needs no other."""
    assert {"yes", "no", "none", "same", "dont_know", "not_fitted", "cannot_see"} <= shared_rules().keys()


def test_answers_keep_their_references() -> None:
    """A rule in an answer stands for the shared one of that name."""
    assert "yes" in repr(answers_of("<yes> | clear"))
