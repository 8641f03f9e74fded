"""What few want and talk sounds like: tones, who leads, what the car is, what a figure should be, one's own hands."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.language.commanded import ordered
from assistant.language.model import TYPED, Control, GiveControl, Heard, Unclear
from assistant.language.questions import Ask, Question
from assistant.language.understand import asked, understand
from assistant.procedure.model import Quantity
from assistant.session.understood import StepWords
from assistant.wiring import load_library
from tests.language.told import PUMP, typed


@pytest.mark.parametrize("said", ["my hand is not stuck", "my hands are off", "fingers are clear of it", "hands out"])
def test_what_is_said_of_hands_excuses_nothing(said: str) -> None:
    """Keeping clear is no "I can't do that"; "my hand won't go in" is."""
    assert typed(said) != GiveControl(control=Control.CANNOT)
    assert typed("my hand will not fit in that gap") == GiveControl(control=Control.CANNOT)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("would you turn those bleeps off for me", Control.NO_TONES),
        ("let me have the bleeps again please", Control.TONES),
        ("i'm happy for you to choose the tests", Control.LEAD),
        ("just work down the list in order please", Control.BY_THE_BOOK),
    ],
)
def test_what_is_seldom_wanted_is_obeyed_in_own_words_too(said: str, meant: Control) -> None:
    """Of tones and of who leads nothing but a phrase was known."""
    assert typed(said) == GiveControl(control=meant)


def test_what_the_car_is_is_never_taken_from_what_is_only_like_it() -> None:
    """How to say it is told; where the car is asked about, it is an answer or nothing, and a denial is neither."""
    for said, phrase in (
        ("hang on there's orange cables under here", "hybrid"),
        ("sorry she runs on diesel", "diesel"),
    ):
        told = typed(said)
        assert isinstance(told, Unclear) and phrase in (told.detail or "") and "say: " in (told.detail or "")
    for said in ("there's no orange cables in here", "no it isn't a diesel", "is diesel cheaper in town"):
        assert not isinstance(typed(said), GiveControl)
        assert "say: " not in (getattr(typed(said), "detail", "") or "")
    at_drive = StepWords(load_library("no-start")[1], "vehicle-facts", "drive").expected
    order = ordered("hang on there is orange cables under here", at_drive)
    assert order is None or order.given is not Control.HYBRID


@pytest.mark.parametrize("said", ["what would a healthy one show here", "how many volts would you want"])
def test_what_a_figure_should_be_is_asked_in_own_words_where_a_figure_is_asked(said: str) -> None:
    """Elsewhere it is talk as often, and must be surer; and it is never the figure itself ("a healthy one")."""
    volts = replace(PUMP, results={}, answers={}, quantity=Quantity.VOLTAGE, unit="V")
    heard = Heard(words=said, confidence=1.0, engine=TYPED)
    assert asked(heard, volts) == Ask(question=Question.SHOULD_BE)
    assert isinstance(understand(heard, volts), Unclear)
    assert asked(replace(heard, words="how many plugs should there be"), PUMP) is None
