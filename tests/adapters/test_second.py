"""What is also written without the grammar while an answer is waited for."""

from __future__ import annotations

import pytest

from assistant.adapters.recogniser_embedded.freely import distinct
from assistant.adapters.recogniser_embedded.second import SURELY_WRITTEN, says_else, wants_second
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


def test_texts_that_differ_in_marks_alone_are_one() -> None:
    """Of four texts two were one; what is said twice is likelier than what is said once."""
    texts = (("Lamp is lit", 0.4), ("The lamp is out.", 0.3), ("the lamp is out", 0.25), ("The lamp, is out!", 0.05))
    found = distinct(Written(text=text, odds=odds, likely=-0.2) for text, odds in texts)
    assert [one.text for one in found] == ["The lamp is out.", "Lamp is lit"]
    assert [one.odds for one in found] == pytest.approx([0.6, 0.4])
