"""What is also written without the grammar while an answer is waited for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.adapters.recogniser_embedded.at_stake import AtStake
from assistant.adapters.recogniser_embedded.freely import distinct
from assistant.adapters.recogniser_embedded.second import (
    STOP_WHILE_ASKED,
    SURELY_WRITTEN,
    ends_otherwise,
    says_else,
    stands_alone,
    wants_second,
)
from assistant.hearing.trust import COMMANDS
from assistant.language.grammars import READING_TAG
from assistant.language.model import Control, Heard, Written
from assistant.language.questions import Question


@pytest.mark.parametrize(
    ("words", "tags", "sure", "wanted"),
    [
        (None, (), 0.0, True),
        ("lamp is out", ("out",), 0.99, True),
        ("lamp is out", ("out",), 0.9999, False),
        ("skip", (Control.SKIP.value,), 0.85, True),
        ("skip", (Control.SKIP.value,), 0.92, False),
        ("that is right", (Control.YES.value,), 0.92, True),
        ("why is that", (Question.WHY.value,), 0.6, True),
        ("stop", (Control.STOP.value,), 0.99, True),
        ("twelve point four", (READING_TAG,), 0.6, False),
    ],
)
def test_a_second_is_asked_for_what_is_not_sure(
    words: str | None, tags: tuple[str, ...], *, sure: float, wanted: bool
) -> None:
    """Of refused words, of doubtful answers, commands and questions, and of any stop, whose sound lies in many answers;
    a number is written as digits."""
    assert wants_second(Heard(words=words, confidence=sure), tags) is wanted


@pytest.mark.parametrize(
    ("text", "likely", "else_"),
    [
        ("Saw gas shoot in.", SURELY_WRITTEN + 0.1, True),
        ("Saw gas shoot in.", SURELY_WRITTEN - 0.1, False),
        ("Sold on.", -0.1, False),
        ("Please stop now.", -0.1, False),
        ("Still.", -0.03, False),
    ],
)
def test_a_stop_is_let_go_for_what_surely_is_a_sentence(text: str, likely: float, *, else_: bool) -> None:
    """A word like one that stops us stays one, and so does any one word: people's "stop" is often written as others."""
    assert says_else((Written(text=text, odds=1.0, likely=likely),)) is else_
    assert not says_else(())


@pytest.mark.parametrize(
    ("text", "otherwise"),
    [
        ("Hey go easy with that stuff.", True),
        ("I have met a nice young back.", True),
        ("It is still cranking stop.", False),
        ("That is not right, gold on.", False),
        ("Stuck.", False),
        ("", False),
    ],
)
def test_a_sentence_that_ends_otherwise_is_no_stop(text: str, *, otherwise: bool) -> None:
    """What stops us is said last; a single word has nothing before it but noise."""
    assert ends_otherwise((Written(text=text, odds=1.0, likely=-0.6),)) is otherwise
    assert not ends_otherwise(())


@pytest.mark.parametrize(
    ("text", "amid", "alone"),
    [("Stop.", False, True), ("Stop.", True, False), ("Sure.", False, False), ("", False, False), (None, False, True)],
)
def test_a_stop_stands_alone_where_it_is_written_so_and_no_talk_went_before(
    text: str | None, *, amid: bool, alone: bool
) -> None:
    """Where nothing was written at all the grammar is believed."""
    assert stands_alone(Heard(words="stop", confidence=0.97, free_text=text), amid=amid) is alone


def stakes(*, timed: bool, second_chance: bool = True) -> AtStake:
    """Where stop is a command and an answer is waited for."""
    return AtStake(tags=lambda words: (words,), second_chance=second_chance, timed=timed)


def test_while_something_is_timed_nothing_makes_a_stop_harder() -> None:
    """No second look, no higher trust, no silence: there a missed stop may hurt, whatever is asked meanwhile."""
    doubtful = Heard(words="stop", confidence=0.3, free_text="Sure.")
    now, else_ = stakes(timed=True), stakes(timed=False)
    assert not now.asked and else_.asked
    assert now.thresholds("stop") == COMMANDS and else_.thresholds("stop") == STOP_WHILE_ASKED
    for amid in (False, True):
        assert not now.stop_waits(doubtful, amid=amid) and else_.stop_waits(doubtful, amid=amid)
    assert stakes(timed=False, second_chance=False).stop_waits(replace(doubtful, free_text=None), amid=True)


def test_only_a_stop_waits_so() -> None:
    """An answer has a silence of its own."""
    assert not stakes(timed=False).stop_waits(Heard(words="yes", confidence=0.3, free_text="Sure."), amid=True)


def test_texts_that_differ_in_marks_alone_are_one() -> None:
    """Of four texts two were one; what is said twice is likelier than what is said once."""
    texts = (("Lamp is lit", 0.4), ("The lamp is out.", 0.3), ("the lamp is out", 0.25), ("The lamp, is out!", 0.05))
    found = distinct(Written(text=text, odds=odds, likely=-0.2) for text, odds in texts)
    assert [one.text for one in found] == ["The lamp is out.", "Lamp is lit"]
    assert [one.odds for one in found] == pytest.approx([0.6, 0.4])
