"""What goes on with other talk is probably not for us: what is borne out counts, and that after a yes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.language.commands import Control
from assistant.language.model import GiveResult, Heard, TellTest, Unclear, Written
from assistant.language.understand import asked, understand
from assistant.session.heard_before import HeardBefore
from tests.language.test_guess import LAMP

ASKING = replace(LAMP, questions=True, read_back=True)


def _heard(words: str | None, written: str, *, sure: float = 0.95, amid: bool = True) -> Heard:
    texts = (Written(text=written, odds=1.0, likely=-0.2),)
    return Heard(words=words, confidence=sure, amid=amid, engine="embedded", free_text=written, written=texts)


def test_a_result_that_is_borne_out_is_offered_and_not_taken() -> None:
    """Alone it would be taken."""
    told = _heard("lamp is out", "the lamp is out")
    assert isinstance(understand(replace(told, amid=False), ASKING), GiveResult)
    meant = understand(told, ASKING)
    assert isinstance(meant, Unclear)
    assert meant.offer == "lamp is out"


@pytest.mark.parametrize(
    ("words", "written"),
    [
        ("lamp is out", "the lambs are out to sea"),
        (None, "the lambs are out to sea"),
        ("go back", "forget about the whole thing"),
        (None, "hello again"),
        (None, "what do you want now"),
    ],
)
def test_what_is_not_borne_out_is_let_pass_without_a_word(words: str | None, written: str) -> None:
    """Neither asked to be said again nor answered: we would only speak into their talk."""
    now = replace(ASKING, controls=ASKING.controls | {Control.GO_BACK})
    heard = _heard(words, written, sure=0.5 if words else 0.0)
    heard = replace(heard, unsure=words is not None)
    meant = understand(heard, now)
    assert isinstance(meant, Unclear)
    assert (meant.offer, meant.detail) == (None, "")
    assert asked(heard, now) is None


def test_a_danger_is_heard_amid_talk_too() -> None:
    """Whoever tells it."""
    meant = understand(_heard(None, "there is fuel all over the floor", sure=0.0), ASKING)
    assert isinstance(meant, TellTest | Unclear)
    assert not isinstance(meant, Unclear) or meant.detail


def test_the_same_said_twice_counts_as_said_alone() -> None:
    """Who says it again to us means it."""
    twice, told = HeardBefore(), replace(_heard("lamp is out", "the lamp is out"), unsure=True)
    assert not twice.weigh(told).whole
    assert twice.weigh(told).whole
