"""What is like an answer and is none: what passes elsewhere, and nobody knows over an answer that waits."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from assistant.language.model import Expected, GiveResult, Heard, Unclear
from assistant.language.understand import understand
from assistant.session.understood import StepWords
from assistant.wiring import load_libraries, shipped_procedures


@cache
def words_of(procedure: str, step: str) -> StepWords:
    """What the shipped step understands."""
    _, library = load_libraries(tuple(shipped_procedures()))
    return StepWords(library, procedure, step)


def asked_at(procedure: str, step: str) -> Expected:
    return words_of(procedure, step).expected


def said(words: str, now: Expected) -> str | None:
    """The result taken or offered."""
    meant = understand(Heard(words=words, confidence=1.0, engine="typed"), now)
    if isinstance(meant, GiveResult):
        return meant.result
    offer = meant.offer if isinstance(meant, Unclear) else None
    return next((result for result, phrases in now.results.items() if offer in phrases), None)


@pytest.mark.parametrize(
    "words", ["area is clear", "nothing can roll", "wheels are chocked", "i found it does not crank"]
)
def test_what_passes_a_gate_is_no_answer(words: str) -> None:
    """Nor is what was found elsewhere: neither taken nor offered."""
    assert said(words, asked_at("no-start", "prime")) is None


@pytest.mark.parametrize(
    ("step", "waiting", "words"),
    [
        ("changed", "stood", "dead next morning"),
        ("changed", "stood", "tank is half full"),
        ("how-stopped", "overnight", "gauge is dead"),
        ("how-stopped", "overnight", "it is in park"),
    ],
)
def test_an_answer_to_the_next_question_never_becomes_nobody_knows(step: str, waiting: str, words: str) -> None:
    """Said over a read-back; who says plainly that he does not know is still taken."""
    now = replace(asked_at("no-start", step), waiting=waiting)
    assert said(words, now) != "unknown"
    assert said("i don't know", now) == "unknown" and said("nobody knows", now) == "unknown"


def test_a_single_word_is_never_guessed_to_tell_of_nothing() -> None:
    """ "Out" answers another question."""
    assert said("out", asked_at("no-start", "came-before")) is None
    assert said("dunno", asked_at("no-start", "changed")) == "unknown"
