"""Single knocks: one that stands alone and far above what is around it, and nothing else."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.cranking.knocks import KnockWatch, find_knocks
from assistant.cranking.levels import BANDS, LEVEL_RATE_HZ

ALONE_S, LONGEST_S = 1.52, 0.4
"""Without another one so long on either side; what lasts longer is no knock."""


def shop(seconds: float, *knocks: tuple[float, float, float]) -> np.ndarray:
    """Levels of -60 dB, a little louder in one of eight, and at the seconds told of for so long by so much above the
    louder ones."""
    loud_db = -57.0
    levels = np.full((round(seconds * LEVEL_RATE_HZ), BANDS), -60.0, np.float32)
    levels[::8] = loud_db
    for at_s, long_s, over_db in knocks:
        first = round(at_s * LEVEL_RATE_HZ)
        levels[first : first + round(long_s * LEVEL_RATE_HZ)] = loud_db + over_db
    return levels


def found_s(levels: np.ndarray, **how: bool) -> list[tuple[float, float]]:
    """Beginning and end of each, seconds."""
    return [(first / LEVEL_RATE_HZ, last / LEVEL_RATE_HZ) for first, last in find_knocks(levels, **how)]


def test_a_knock_is_found_where_it_is():
    """To a level, the first one as well as the last."""
    assert found_s(shop(8.0, (3.0, 0.16, 20.0))) == [(3.0, 3.16)]


@pytest.mark.parametrize(("over_db", "told"), [(9.5, False), (10.5, True)])
def test_it_must_stand_far_above_the_loudest_around_it(over_db, told):
    """Ten decibels: a lively shop is full of knocks."""
    assert bool(found_s(shop(8.0, (3.0, 0.16, over_db)))) is told


@pytest.mark.parametrize(("long_s", "told"), [(0.008, True), (LONGEST_S, True), (LONGEST_S + 0.016, False)])
def test_what_lasts_is_no_knock(long_s, told):
    """A slam with its echo is over within 0.4 s."""
    assert bool(found_s(shop(12.0, (4.0, long_s, 20.0)))) is told


@pytest.mark.parametrize(("apart_s", "told"), [(0.2, 0), (1.0, 0), (1.5, 0), (ALONE_S + 0.05, 2), (4.0, 2)])
def test_a_rattle_is_no_knock(apart_s, told):
    """Two within a second and a half spoil each other; further apart they are two."""
    assert len(found_s(shop(16.0, (4.0, 0.08, 20.0), (4.08 + apart_s, 0.08, 20.0)))) == told


def test_blows_at_once_are_one():
    """A solenoid bounces: within 0.12 s it is the same knock, from the first blow to the last."""
    assert found_s(shop(8.0, (3.0, 0.04, 20.0), (3.12, 0.04, 20.0))) == [(3.0, 3.16)]
    assert found_s(shop(8.0, (3.0, 0.04, 20.0), (3.2, 0.04, 20.0))) == []


@pytest.mark.parametrize(("at_s", "told"), [(0.48, False), (1.44, False), (1.6, True), (6.0, True), (6.48, False)])
def test_in_a_stream_what_follows_may_spoil_it(at_s, told):
    """Near either end of what was heard it is left out, unless nothing follows."""
    levels = shop(8.0, (at_s, 0.08, 20.0))
    assert bool(found_s(levels, ended=False)) is told
    assert found_s(levels) == [(at_s, pytest.approx(at_s + 0.08))]


def test_too_little_sound_tells_nothing():
    """A second and a half is needed to know that it stands alone."""
    assert find_knocks(shop(1.5, (0.7, 0.08, 20.0))) == []
    assert find_knocks(shop(1.6, (0.7, 0.08, 20.0))) != []


@given(st.lists(st.integers(20, 230), max_size=5, unique=True), st.sampled_from([1, 7, 60]))
def test_each_knock_is_told_once_in_a_stream(tenths, each):
    """However often one looks: those that stand alone, each within half a level of its place, and none twice. Where
    several come within four seconds none is told of, since a twentieth of that is loud then: found by chance."""
    levels = shop(26.0, *((tenth / 10, 0.08, 20.0) for tenth in tenths))
    watch, told = KnockWatch(), []
    for now in range(each, len(levels) + 1, each):
        told += watch.look(levels[:now], now, 0)
    marks = sorted(tenths)
    near = {mark: [abs(mark - other) for other in marks if other != mark] for mark in marks}
    alone = {mark for mark in marks if min(near[mark], default=99) > 18 and sum(each <= 45 for each in near[mark]) < 2}
    assert len(told) == len(set(told))
    assert alone <= {round(at / 12.5) for at in told} <= set(marks)
    assert all(min(abs(at - mark * 12.5) for mark in marks) <= 1 for at in told)


def test_what_was_told_of_is_not_told_again():
    """A burst that was told up to there takes its own knocks with it."""
    levels = shop(10.0, (4.0, 0.08, 20.0))
    assert KnockWatch().look(levels, len(levels), 0) == []  # it lies further back than is looked at
    assert KnockWatch().look(levels[:800], 800, 0) == [500]
    assert KnockWatch().look(levels[:800], 800, 499) == [500]
    assert KnockWatch().look(levels[:800], 800, 500) == []
