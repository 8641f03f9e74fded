"""An engine that binds by hand is not turned by the starter before it is said to turn freely, whatever is asked."""

import pytest

from assistant.guide import Mode, fold
from assistant.language.banged import binds_by_hand
from assistant.procedure.condition import Condition
from tests.guide.led import Led

BINDS = (
    "it binds",
    "it binds when i turn it by hand",
    "it won't turn over by hand",
    "can't turn it by hand",
    "can't turn the engine over with a breaker bar",
    "locked solid by hand",
    "by hand it binds once a turn",
    "turned it with a socket and it locks up",
    "turned it by hand, it won't budge",
    "no it binds half way round",
)
NOT = (
    "it turns freely by hand",
    "it doesn't bind by hand",
    "it never binds by hand",
    "it won't turn over",
    "the pedal binds",
    "turned it by hand and it's free",
    "the bolt won't turn with a socket",
    "the belt is stuck",
    "can't get it in by hand",
)


@pytest.mark.parametrize("words", BINDS)
def test_it_binds(words):
    """However it is told."""
    assert binds_by_hand(words)


@pytest.mark.parametrize("words", NOT)
def test_it_does_not_bind(words):
    """What turns, what is denied, and what else is stuck."""
    assert not binds_by_hand(words)


@pytest.mark.parametrize("words", ["it binds", "it won't turn over by hand"])
def test_told_before_the_starter_it_leads_to_what_holds_it(library, words):
    """It led nowhere: after a bang the hint says not to crank, and "ready" cranked all the same."""
    job = Led(library, "no-crank", {"dash": "they stay bright"}).until("dash", mode=Mode.POISED).say(words)
    assert Condition.BINDS in job.state.bay.conditions
    assert job.state.mode in (Mode.CAUTIONING, Mode.GATING) and "must not turn" in job.words
    for plea in ("ready", "yes", "done", "it's fine now"):
        job.say(plea)
        assert job.state.mode in (Mode.CAUTIONING, Mode.GATING)
    job.until("dash", mode=Mode.GATING)
    while "does it turn freely by hand?" not in job.words:
        job.step_on()
    assert any("Belt off first, then plugs out." in each for each in job.said)
    job.say("it turns freely by hand")
    assert Condition.BINDS not in job.state.bay.conditions
    assert job.until("dash", mode=Mode.POISED)
    assert fold(library, job.facts) == job.state


def test_told_as_free_unasked_it_is_still_asked_for(library):
    """What was told unasked clears nothing that forbids."""
    job = (
        Led(library, "no-crank", {"dash": "they stay bright"})
        .until("dash", mode=Mode.CAUTIONING)
        .say("it binds")
        .say("it turns freely by hand")
    )
    assert Condition.BINDS in job.state.bay.conditions


def test_where_it_is_asked_it_is_an_answer(library):
    """It leads on to the belt, and no starter is turned after it."""
    job = Led(library, "no-crank", {"dash": "grow dim", "rested": "twelve point six volts"})
    job.until("by-hand", mode=Mode.ASKING).say("it binds half way").until("belt", mode=Mode.ASKING)
    assert Condition.BINDS in job.state.bay.conditions


def test_a_complaint_tells_it_too(library):
    """Nothing is cranked behind it before it is put right."""
    job = Led(library, "no-start").until("complaint", mode=Mode.ASKING)
    job.say("it seized on the motorway and won't turn over by hand")
    assert Condition.BINDS in job.state.bay.conditions and "Do not turn the starter" in job.words
