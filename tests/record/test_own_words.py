"""The record keeps the words that were said beside the answer that they were taken as, and counts no burst twice."""

from __future__ import annotations

import pytest

from assistant.cranking.duty import NOT_CRANKED, Duty
from assistant.facts import BurstEnded, Fact, ResultHeard, ResultLogged, fact_of
from assistant.guide import Mode
from assistant.guide.proposal import since_heard
from assistant.guide.state import Burst, State
from assistant.record.cranked import bursts, duty_use
from assistant.record.walk import Walk
from tests.guide.conftest import read_library
from tests.guide.led import Led

LIBRARY = read_library()


def walked(facts: tuple[Fact, ...]) -> Walk:
    """What a record is made of."""
    return Walk(facts=facts, utc={fact.id: "" for fact in facts}, struck_by={}, procedures=LIBRARY, engine=None)


@pytest.mark.parametrize("manner", ["full", "brief"])
def test_what_was_said_is_kept_beside_what_it_was_taken_as(manner: str) -> None:
    """Read back or only echoed: the answer's own phrase is the label, and the words are the technician's."""
    job = Led(LIBRARY, "injector-pulse")
    if manner == "brief":
        job.say("keep it brief")
    job.say("Ports, it is!")
    while job.state.mode is Mode.CONFIRMING:
        job.say("yes")
    logged = next(fact for fact in job.facts if isinstance(fact.said, ResultLogged))
    walk = walked(tuple(job.facts))
    assert logged.says(ResultLogged).words == "into the ports"
    assert walk.hearing(logged).words == "Ports, it is!"


def test_the_very_phrase_is_not_kept_twice() -> None:
    """Who says what stands there, whatever the capitals, said just that."""
    job = Led(LIBRARY, "injector-pulse").say("Into the ports.")
    heard = next(fact.says(ResultHeard) for fact in job.facts if isinstance(fact.said, ResultHeard))
    assert heard.said is None


def burst(number: int, start_s: float, end_s: float, by: str) -> Fact:
    """One that ended."""
    said = BurstEnded(start_s=start_s, end_s=end_s, seconds=end_s - start_s, by=by)
    return fact_of(said, id=f"k-{number}", job="j", number=number, at_s=end_s)


def test_a_burst_that_was_heard_and_then_told_counts_once() -> None:
    """The words for it had their own three seconds once, and the rest before it was told as minus three."""
    limits = Duty(burst_s=10.0, stop_s=15.0, rest_s=120.0)
    told = bursts(walked((burst(1, 180.0, 182.0, "ear"), burst(2, 179.0, 182.0, "word"))), limits)
    assert [(one.began_s, one.seconds, one.timed_by) for one in told] == [(180.0, 2.0, "ear")]
    later = bursts(walked((burst(1, 180.0, 182.0, "ear"), burst(2, 190.0, 192.0, "word"))), limits)
    assert [one.rest_before_s for one in later] == [None, 8.0] and duty_use(later, limits).bursts == 2


def test_what_the_ear_has_counted_is_not_counted_by_word_again() -> None:
    """A burst told by word began after it, however long such a burst is planned to take."""
    heard = State(burst=Burst(start_s=180.0, end_s=182.0, by="ear", before=NOT_CRANKED))
    assert since_heard(heard, 179.0, 183.0) == 182.0 and since_heard(heard, 185.0, 188.0) == 185.0
    assert since_heard(State(), 179.0, 183.0) == 179.0
