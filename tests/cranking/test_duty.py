"""Starter duty is pure arithmetic on bursts and rests."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from assistant.cranking.duty import (
    NOT_CRANKED,
    DutyState,
    burst,
    may_crank,
    rest_left_s,
    seconds_left,
)
from assistant.procedure.model import Duty


def test_fresh_starter_has_the_whole_burst():
    """A starter that has not turned owes no rest and has the whole burst."""
    assert rest_left_s(NOT_CRANKED, 0.0) == 0.0
    assert seconds_left(NOT_CRANKED, 0.0) == 10.0
    assert may_crank(NOT_CRANKED, 0.0)
    assert DutyState(cranked_s=0.0, ended_s=None, bursts=0, total_s=0.0) == NOT_CRANKED


def test_short_bursts_follow_each_other_until_they_reach_the_limit():
    """Short bursts add up; no rest is due before ten seconds, and the seconds left are told."""
    state = burst(NOT_CRANKED, 0.0, 4.0)
    assert (rest_left_s(state, 5.0), seconds_left(state, 5.0)) == (0.0, 6.0)
    state = burst(state, 10.0, 14.0)
    assert (rest_left_s(state, 15.0), seconds_left(state, 15.0)) == (0.0, 2.0)
    state = burst(state, 20.0, 22.0)
    assert (rest_left_s(state, 22.0), seconds_left(state, 22.0)) == (120.0, 0.0)
    assert rest_left_s(state, 100.0) == 42.0


def test_rest_counts_from_the_end_of_the_last_burst():
    """A burst made against the advice starts the rest anew and adds to the sum."""
    state = burst(burst(NOT_CRANKED, 0.0, 12.0), 60.0, 61.0)
    assert rest_left_s(state, 61.0) == 120.0
    assert state == DutyState(cranked_s=13.0, ended_s=61.0, bursts=2, total_s=13.0)


def test_a_burst_told_late_does_not_bring_the_end_of_the_rest_nearer():
    """The rest counts from the latest end, in whatever order the ends were told."""
    state = burst(burst(NOT_CRANKED, 50.0, 60.0), 20.0, 22.0)
    assert state == DutyState(cranked_s=12.0, ended_s=60.0, bursts=2, total_s=12.0)
    assert rest_left_s(state, 60.0) == 120.0


def test_full_rest_clears_the_sum_but_not_the_totals():
    """A full rest without cranking clears the sum; the totals of the job stay."""
    state = burst(NOT_CRANKED, 0.0, 6.0)
    assert seconds_left(state, 125.9) == 4.0
    assert seconds_left(state, 126.0) == 10.0
    state = burst(state, 126.0, 132.0)
    assert state.cranked_s == 6.0
    assert (state.bursts, state.total_s) == (2, 12.0)


def test_added_tenths_reach_the_limit():
    """Rounding of added seconds cannot let one more burst through."""
    state = NOT_CRANKED
    for n in range(100):
        state = burst(state, n * 1.0, n * 1.0 + 0.1)
    assert not may_crank(state, 100.0)


def test_clock_that_runs_backwards_counts_as_no_time():
    """Time passed is never less than zero, so the rest is never longer than asked."""
    state = burst(NOT_CRANKED, 50.0, 62.0)
    assert rest_left_s(state, 10.0) == 120.0


def test_procedure_or_vehicle_sets_other_limits():
    """Other limits govern every figure."""
    limits = Duty(burst_s=5.0, stop_s=8.0, rest_s=180.0)
    state = burst(NOT_CRANKED, 0.0, 5.0, limits)
    assert rest_left_s(state, 60.0, limits) == 125.0
    assert seconds_left(state, 185.0, limits) == 5.0


@pytest.mark.parametrize("times", [(2.0, 1.0), (float("nan"), 1.0), (0.0, float("inf"))])
def test_impossible_burst_is_refused(times):
    """A burst that ends before it starts, or has no finite time, is refused."""
    with pytest.raises(ValueError, match="a burst must end"):
        burst(NOT_CRANKED, *times)


@example([(0.0, 1.1), (0.0, 9.1)], 120.0)  # the rest is over but for the rounding of added seconds
@given(st.lists(st.tuples(st.floats(0, 200), st.floats(0, 20)), max_size=12), st.floats(0, 300))
def test_a_due_rest_and_seconds_left_never_stand_together(gaps, wait):
    """Whatever was cranked: a due rest means no seconds left, after the rest all is clear, totals add up."""
    state, now = NOT_CRANKED, 0.0
    for gap, seconds in gaps:
        now += gap
        state = burst(state, now, now + seconds)
        now += seconds
    at = now + wait
    assert 0.0 <= rest_left_s(state, at) <= 120.0
    assert rest_left_s(state, at) == 0.0 or seconds_left(state, at) <= 1e-6
    assert may_crank(state, now + 120.0)
    assert seconds_left(state, now + 120.0) == 10.0
    assert state.total_s == pytest.approx(sum(seconds for _, seconds in gaps))
