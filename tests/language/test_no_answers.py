"""What is said out of habit, or while somebody thinks, answers nothing; a no with another answer offers that one."""

import pytest

from assistant.language.commands import ALWAYS
from assistant.language.model import Control, Dictate, Expected, GiveReading, GiveResult, Heard, Unclear
from assistant.language.understand import understand
from assistant.procedure.model import Quantity

LEVEL = Expected(
    controls=ALWAYS | {Control.YES, Control.NO},
    results={"some": ("fuel in tank",), "empty": ("nearly empty",), "unknown": ("nobody knows",)},
    examples={"some": ("half a tank", "plenty"), "empty": ("bone dry",), "unknown": ("no idea", "beats me")},
)


def said(words, expected):
    return understand(Heard(words=words, confidence=1.0), expected)


@pytest.mark.parametrize("words", ["let me think", "hang on a second", "I think so"])
def test_who_thinks_has_not_answered(words):
    """Else it is taken for the nearest way of not knowing."""
    assert isinstance(said(words, LEVEL), Unclear)


@pytest.mark.parametrize("words", ["understood", "I understand."])
def test_a_habit_is_no_complaint(words):
    """In brief the job begins at the complaint, where one says "understood" to the rules."""
    asked = Expected(controls=ALWAYS, dictation=True)
    assert isinstance(said(words, asked), Unclear)
    assert said("it cranks but will not start, understood?", asked) == Dictate(
        words="it cranks but will not start, understood?"
    )


def test_a_no_and_another_answer_offers_that():
    """In one breath; it waits for its yes, since the no may deny it."""
    heard = said("no, nearly empty", LEVEL)
    assert isinstance(heard, Unclear) and heard.offer == "nearly empty"
    asked = Expected(controls=ALWAYS, results=LEVEL.results, examples=LEVEL.examples)
    assert not isinstance(said("no nearly empty", asked), GiveResult), "where nothing was read back it may deny"


def test_a_number_that_breaks_off_or_has_a_sign_is_no_reading():
    """Of "twelve point" nobody knows the rest, and crossed leads are no twelve volts."""
    volts = Expected(controls=ALWAYS, quantity=Quantity.VOLTAGE, unit="V")
    for words in ("twelve point", "it says minus twelve"):
        assert not isinstance(said(words, volts), GiveReading), words
