"""Orders that are a clause of what is said, or hold a number or an answer in their words."""

from __future__ import annotations

import pytest

from assistant.language.command_guess import Wanted
from assistant.language.commands import Control
from assistant.language.model import (
    Expected,
    GiveControl,
    GiveReading,
    GiveResult,
    Unclear,
    UnclearReason,
)
from assistant.procedure.model import Quantity
from tests.language.told import typed

VOLTS = Expected(controls=frozenset(Control), quantity=Quantity.VOLTAGE, unit="V", questions=True)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("back up one", Control.GO_BACK),
        ("go back one, I made a mess of it", Control.GO_BACK),
        ("oh no, I told you wrong there", Control.STRIKE),
        ("say that one more time", Control.SAY_AGAIN),
    ],
)
def test_a_number_word_of_an_order_is_no_reading(said, meant):
    """It was once read back as one volt, or as none; a figure by itself, and one that was corrected, still is one."""
    assert typed(said, VOLTS) == GiveControl(control=meant)
    left = typed("one sec", VOLTS)
    assert isinstance(left, Unclear) and left.reason is UnclearReason.THINKS
    for figure, value in (("one point two", 1.2), ("it dropped to one volt", 1.0), ("no wait, twelve one", 12.1)):
        read = typed(figure, VOLTS)
        assert isinstance(read, GiveReading) and read.value == pytest.approx(value), figure


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("hang on, say that again", Control.SAY_AGAIN),
        ("sorry love, the compressor kicked in, what was that", Control.SAY_AGAIN),
        ("oh no that's daft of me isn't it, dear me, go back one step please", Control.GO_BACK),
    ],
)
def test_of_several_things_said_at_once_the_order_is_obeyed(said, meant):
    """Between marks, as it is typed and as the network writes; an answer among them is answered first."""
    assert typed(said) == GiveControl(control=meant)
    assert not isinstance(typed("pump hums, say that again"), GiveControl)


UNSEEN = Expected(
    controls=frozenset(Control),
    results={"lit": ("lamp is lit",), "out": ("lamp is out",), "unseen": ("cannot see it",)},
    answers={"lit": "(it's | lamp is) (on | lit)", "out": "(it's | lamp is) (off | out)", "unseen": "<dont_know>"},
    examples={"unseen": ("i missed it", "i don't know", "no idea", "couldn't tell you")},
    questions=True,
)


def test_that_nobody_knows_is_taken_for_no_order_that_is_surely_one():
    """ "Missed that, mate" asks for the words once more; "I missed it" is known to be an answer."""
    assert typed("missed that, mate", UNSEEN) == GiveControl(control=Control.SAY_AGAIN)
    assert typed("is there not another test we could do", UNSEEN) == GiveControl(control=Control.ANOTHER)
    known = typed("i missed it", UNSEEN)
    assert isinstance(known, GiveResult) and known.result == "unseen"


def test_an_order_that_is_only_fairly_likely_is_obeyed_where_that_asks_first(monkeypatch):
    """To leave a step out asks why, to end asks for a yes; going back does neither and must be surer."""
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="end_job", sure=0.77))
    assert typed("xyzzyx frobs the gronk") == GiveControl(control=Control.END_JOB)
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="go_back", sure=0.77))
    assert not isinstance(typed("xyzzyx frobs the gronk"), GiveControl)
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="end_job", sure=0.6))
    assert not isinstance(typed("xyzzyx frobs the gronk"), GiveControl)


def test_on_to_the_next_is_done_only_where_something_is_to_be_done():
    """At a question it leaves the step out, and asks why, or how to say that is told."""
    assert typed("move on to the next one", UNSEEN) == GiveControl(control=Control.SKIP)
    left = typed("next one please", UNSEEN)
    assert left == GiveControl(control=Control.SKIP) or (isinstance(left, Unclear) and "say: skip" in left.detail)
