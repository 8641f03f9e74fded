"""Starter duty against published practice.

Sources:
- SAE J1375 as summarised by a third party (starter motor application considerations): petrol, at most 15 s on, then
  2 min off.
- TM 5-6115-545-12: 15 s, then at least 3 min. TM 5-5420-202-10: 15 s, then 3 to 5 min.
  TM 10-3930-671-24 page F-303: 30 s, then 2 min.
"""

from __future__ import annotations

import pytest

from assistant.cranking.duty import NOT_CRANKED, burst, may_crank, rest_left_s
from assistant.procedure.model import Duty

SHORTEST_PUBLISHED_BURST_S = 15.0
SHORTEST_PUBLISHED_REST_S = 120.0


def test_log_of_twelve_seconds_refuses_then_allows():
    """Worked example: cranked 0 to 12 s; a request at 60 s is refused with 72 s left, one at 132 s is allowed."""
    state = burst(NOT_CRANKED, 0.0, 12.0)
    assert rest_left_s(state, 60.0) == pytest.approx(72.0)
    assert not may_crank(state, 60.0)
    assert not may_crank(state, 131.9)
    assert may_crank(state, 132.0)


def test_defaults_satisfy_the_published_fifteen_on_two_minutes_off():
    """The default hard stop is no longer, and the default rest no shorter, than the published practice."""
    limits = Duty()
    assert limits.burst_s <= limits.stop_s <= SHORTEST_PUBLISHED_BURST_S
    assert limits.rest_s >= SHORTEST_PUBLISHED_REST_S


@pytest.mark.parametrize(("burst_s", "rest_s"), [(15.0, 120.0), (15.0, 180.0), (15.0, 300.0), (30.0, 120.0)])
def test_each_published_duty_can_be_set(burst_s, rest_s):
    """Each published pair, set as the limits, asks for exactly its rest after exactly its burst."""
    limits = Duty(burst_s=burst_s, stop_s=burst_s, rest_s=rest_s)
    state = burst(NOT_CRANKED, 0.0, burst_s, limits)
    assert rest_left_s(state, burst_s, limits) == rest_s
    assert may_crank(state, burst_s + rest_s, limits)
