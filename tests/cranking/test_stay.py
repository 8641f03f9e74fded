"""What is kept in mind of a starter that seems to turn, and when it is the same as before."""

from __future__ import annotations

import pytest

from assistant.cranking.course import Span
from assistant.cranking.layers import ELSE, ENGINE, STARTER
from assistant.cranking.stay import SAME, Stay, meets, same, stay_of
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
