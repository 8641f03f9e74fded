"""What is only likely to be an order, against an answer that may be meant as well: the likelier is taken."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.language.command_guess import Wanted
from assistant.language.commanded import (
    ordered,
)
from assistant.language.commands import Control
from assistant.language.guess import Guess
from assistant.language.model import (
    TYPED,
    GiveControl,
    GiveResult,
    Heard,
    Unclear,
)
from assistant.language.questions import Ask, Question
from assistant.language.understand import asked, understand
from tests.language.told import PUMP, typed, written

HUMS = Guess(result="hum", ahead=0.9, leads=0.95, talk=0.05, like=0.4, untold=False)


def _guessing(monkeypatch, found):
    for where in ("understand", "commanded"):
        monkeypatch.setattr(f"assistant.language.{where}.guess", lambda words, expected: found)


@pytest.mark.parametrize(
    ("sure", "told"),
    [
        (0.39, None),
        (0.4, "..."),
        (0.54, "..."),
        (0.55, "c.."),
        (0.79, "c.."),
        (0.8, "cm."),
        (0.89, "cm."),
        (0.9, "cmh"),
    ],
)
def test_how_sure_one_is_decides_what_an_order_may_do(monkeypatch, sure, told):
    """To tell how it is said, to be obeyed, to move the job, and to be heeded where it was only written freely."""
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="go_back", sure=sure))
    order = ordered("qwx zyq", PUMP)
    may = order and "".join(
        letter if each else "." for letter, each in zip("cmh", (order.clear, order.certain, order.heeded), strict=True)
    )
    assert may == told and (order is None or not order.by_rule)
    done = typed("qwx zyq")
    assert (done == GiveControl(control=Control.GO_BACK)) == (sure >= 0.8)
    assert (isinstance(done, Unclear) and "go back" in (done.detail or "")) == (0.4 <= sure < 0.8)
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="pause", sure=sure))
    assert (typed("qwx zyq") == GiveControl(control=Control.PAUSE)) == (sure >= 0.55)
    assert (understand(written("qwx zyq"), PUMP) == GiveControl(control=Control.PAUSE)) == (sure >= 0.9)
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="think", sure=sure))
    line = Heard(words="qwx zyq", confidence=1.0, engine=TYPED)
    assert (asked(line, PUMP) == Ask(question=Question.THINK)) == (sure >= 0.55)
    assert (asked(written("qwx zyq"), PUMP) == Ask(question=Question.THINK)) == (sure >= 0.9)


@pytest.mark.parametrize(
    ("sure", "like", "wins"),
    [
        (0.8, 0.44, True),
        (0.8, 0.45, False),
        (0.79, 0.3, False),
        (0.9, 0.59, True),
        (0.9, 0.6, False),
        (0.89, 0.5, False),
    ],
)
def test_of_an_order_and_an_answer_the_likelier_is_taken(monkeypatch, sure, like, wins):
    """The surer the order, the liker an answer may be and yet be lost to it; an order by rule always wins."""
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="where", sure=sure))
    found = replace(HUMS, ahead=0.9, like=like)
    _guessing(monkeypatch, found)
    taken = typed("qwx zyq")
    assert taken == GiveControl(control=Control.WHERE) if wins else isinstance(taken, GiveResult)
    assert typed("pardon me") == GiveControl(control=Control.SAY_AGAIN)


def test_an_answer_that_is_offered_goes_before_an_order_that_is_only_likely(monkeypatch):
    """Where the order moves the job: it is not told how to say it either."""
    found = replace(HUMS, ahead=0.3, like=0.4)
    _guessing(monkeypatch, found)
    for sure in (0.5, 0.7, 0.9):
        monkeypatch.setattr(
            "assistant.language.commanded.wanted", lambda words, sure=sure: Wanted(name="skip", sure=sure)
        )
        offered = typed("qwx zyq")
        assert isinstance(offered, Unclear) and offered.offer == "pump hums"
    for name, control in (("strike", Control.STRIKE), ("go_back", Control.GO_BACK), ("pause", Control.PAUSE)):
        monkeypatch.setattr("assistant.language.commanded.wanted", lambda words, name=name: Wanted(name=name, sure=0.9))
        assert typed("qwx zyq") == GiveControl(control=control)  # what takes back or harms nothing is done


@pytest.mark.parametrize(("ahead", "answers"), [(0.94, False), (0.95, True)])
def test_an_answer_far_before_all_else_gives_way_to_no_order_that_is_only_likely(monkeypatch, ahead, answers):
    """ "Already tested yes" was once a question of what can be said."""
    _guessing(monkeypatch, replace(HUMS, ahead=ahead))
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="where", sure=0.95))
    assert isinstance(typed("qwx zyq"), GiveResult if answers else GiveControl)


def test_an_answer_that_is_taken_is_not_skipped_by_what_is_like_a_skip(monkeypatch):
    """Though the order wins over it, where it moves the job; what takes back is done."""
    found = replace(HUMS, ahead=0.9, like=0.4)
    _guessing(monkeypatch, found)
    for name, done in (("skip", False), ("cannot", False), ("strike", True), ("another", True)):
        monkeypatch.setattr(
            "assistant.language.commanded.wanted", lambda words, name=name: Wanted(name=name, sure=0.95)
        )
        meant = typed("qwx zyq")
        assert isinstance(meant, GiveControl if done else GiveResult)


@pytest.mark.parametrize(
    ("written", "obeyed"), [("skip", True), ("Skixyz.", True), ("skixyzw", False), ("the pump hums", False), ("", True)]
)
def test_a_command_that_was_heard_must_stand_in_what_waswritten(written, obeyed):
    """Six in ten of its letters, where anything was written; a stop is obeyed whatever was written."""
    heard = Heard(words="skip", confidence=0.9, engine="embedded", free_text=written)
    assert (understand(heard, PUMP) == GiveControl(control=Control.SKIP)) is obeyed
    assert understand(replace(heard, engine=TYPED), PUMP) == GiveControl(control=Control.SKIP)
    assert understand(replace(heard, words="stop"), PUMP) == GiveControl(control=Control.STOP)
    doubted = understand(replace(heard, unsure=True), PUMP)
    assert doubted != GiveControl(control=Control.SKIP)
