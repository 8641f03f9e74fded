"""What is kept in mind of a starter that seems to turn, and when it is the same as before."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.cranking.course import Span
from assistant.cranking.events import Began, Caught, Released
from assistant.cranking.layers import ELSE, ENGINE, STARTER
from assistant.cranking.moment import Moment
from assistant.cranking.stay import SAME, Stay, Turning, meets, same, stay_of
from assistant.cranking.stretches import Stretch
from tests.cranking.test_plain_measures import EVEN

SPAN = Span(part=STARTER, start=20, stop=45, sure=5.0)


@pytest.mark.parametrize(
    ("after", "ran_to", "nats"),
    [
        (None, None, 0.0),
        (Span(part=ENGINE, start=45, stop=60, sure=2.0), 700, 30.0),
        (Span(part=ENGINE, start=46, stop=60, sure=2.0), None, 0.0),
        (Span(part=ELSE, start=45, stop=60, sure=2.0), None, 0.0),
        (Span(part=STARTER, start=45, stop=60, sure=2.0), None, 0.0),
    ],
)
def test_an_engine_counts_where_it_follows_at_once(after: Span | None, ran_to: int | None, nats: float) -> None:
    """In levels of the stream, ten to a step."""
    assert stay_of(SPAN, after, 10) == Stay(start=300, stop=550, ran_to=ran_to, nats=nats)


@pytest.mark.parametrize(
    ("start", "stop", "is_same"),
    [(300, 550, True), (300 + SAME, 550, True), (300 - SAME, 550, True), (301 + SAME, 550, False),
     (299 - SAME, 550, False), (300, 674, True), (300, 675, False), (300, 400, True)],
)  # fmt: skip
def test_what_was_rejected_is_heard_again_only_a_second_longer(start: int, stop: int, *, is_same: bool) -> None:
    """An edge may move by half a second."""
    assert same(Stay(start=start, stop=stop), Stay(start=300, stop=550)) is is_same and SAME == 62


@pytest.mark.parametrize(
    ("start", "stop", "now", "met"),
    [(250, 400, 900, True), (0, 400, 900, False), (549, None, 900, True), (550, None, 900, False),
     (100, 300, 900, False), (100, 301, 900, True), (100, None, 300, False), (100, None, 301, True)],
)  # fmt: skip
def test_raised_sound_belongs_to_what_it_overlaps(start: int, stop: int | None, now: int, *, met: bool) -> None:
    """As far as it is heard by now; what was there from the first is the shop."""
    one = Stretch(start=start, stop=stop, before=EVEN, weights=EVEN, rise_db=5.0)
    assert meets(one, Stay(start=300, stop=550), now) is met


QUIET = Moment(loud_db=-6.0, below_db=-2.0, fall=-1.0, low_db=-5.0, latest=-9.0, late=-9.0)
TURNS = Moment(loud_db=0.0, below_db=3.0, fall=-3.0, low_db=0.0, latest=-5.0, late=-5.0)
RUNS = Moment(loud_db=3.0, below_db=6.0, fall=-6.0, low_db=5.0, latest=2.5, late=1.0)


def test_a_beginning_is_told_once_after_a_third_of_a_second() -> None:
    """A blow is shorter."""
    turning = Turning(start=250)
    assert turning.begin(Stay(start=250, stop=289)) == []
    assert turning.begin(Stay(start=250, stop=290)) == [Began(at_s=2.0)]
    assert turning.begin(Stay(start=250, stop=300)) == []


def test_letting_go_is_told_as_it_is_seen_and_not_again_by_who_sees_it_later() -> None:
    """But once more, if it turned on and lets go another time."""
    turning = Turning(start=250)
    assert turning.glanced(TURNS, 500) == turning.glanced(None, 505) == []
    assert turning.glanced(QUIET, 515) == [Released(at_s=4.0)]
    assert turning.glanced(QUIET, 590) == turning.let_go(500 + SAME) == turning.let_go(300) == []
    assert turning.glanced(TURNS, 600) == [] and turning.glanced(QUIET, 640) == [Released(at_s=5.0)]
    assert turning.let_go(625 + SAME) == [] and turning.let_go(626 + SAME) == [Released(at_s=5.504)]


def test_an_engine_takes_over_once_it_seems_to_run_at_three_glances() -> None:
    """One moment may be a blow."""
    turning = Turning(start=250)
    assert turning.glanced(RUNS, 500) == turning.glanced(RUNS, 509) == turning.glanced(TURNS, 510) == []
    assert turning.glanced(RUNS, 515) == turning.glanced(RUNS, 520) == [] and not turning.caught
    assert turning.glanced(RUNS, 525) == [Caught(at_s=4.0)]
    assert turning.caught and turning.took_over == turning.released == 500


def glances(turning: Turning, moment: Moment, first: int, last: int) -> list[object]:
    """What is told of the same moment each five levels."""
    return [event for now in range(first, last, 5) for event in turning.glanced(moment, now)]


@pytest.mark.parametrize(("turned_to", "again"), [(624, False), (625, True)])
def test_an_engine_may_yet_take_over_where_the_starter_turned_on(turned_to: int, *, again: bool) -> None:
    """For a second in which no engine was heard: the first was a tool, or somebody's voice."""
    turning = Turning(start=250)
    assert glances(turning, RUNS, 515, 530) == [Caught(at_s=4.0)] and turning.caught
    turning.stop = turned_to
    assert glances(turning, TURNS, 530, 650) == glances(turning, RUNS, 650, 665) == [] and turning.took_over == 500
    assert glances(turning, TURNS, 665, 790) == [] and (turning.took_over is None) is again
    assert glances(turning, RUNS, 790, 805) == ([Caught(at_s=6.2)] if again else []) and turning.caught


@pytest.mark.parametrize(("before", "caught"), [(-2.0, True), (2.0, False)])
def test_an_engine_is_held_against_what_was_heard_of_one_before(before: float, *, caught: bool) -> None:
    """By the middle of the glances of the last seconds, but for the newest."""
    turning, now = Turning(start=250), replace(RUNS, low_db=4.0, latest=1.5, late=1.2)
    glances(turning, replace(TURNS, latest=before, late=before), 500, 600)
    assert bool(glances(turning, now, 600, 615)) is caught
    turning = Turning(start=250)
    assert not glances(turning, now, 600, 615), "nothing is known of what was before"
