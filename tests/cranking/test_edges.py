"""Where a stretch begins and ends, worked out on levels that step."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking.around import beside, weighed
from assistant.cranking.edges import _clear, find_edges, find_step
from assistant.cranking.levels import BANDS
from tests.cranking.test_plain_measures import flat, raised

NUMBERS = np.arange(2000.0)[:, None].repeat(BANDS, 1).astype(np.float32)
"""Levels that are their own numbers."""


@pytest.mark.parametrize(
    ("start", "stop", "inside", "before", "after"),
    [
        # 40 % of the levels within are at most the inner, 60 % of 200 before and after at most the outer ones
        (500, 900, 512 + 150, 288 + 120, 912 + 120),
        (500, 560, 510 + 16, 288 + 120, 572 + 120),  # a sixth is left out beside the edges, a tenth of a second at most
        (500, 504, 501 + 0, 288 + 120, 516 + 120),
        (500, 501, 501, 288 + 120, 513 + 120),
        (100, 900, 112 + 310, 0 + 52, 912 + 120),
        (24, 900, 36 + 340, 0 + 7, 912 + 120),
        (23, 900, 35 + 341, None, 912 + 120),  # a tenth of a second at least
        (500, 1976, 512 + 580, 288 + 120, 1988 + 7),
        (500, 1977, 512 + 581, 288 + 120, None),
    ],
)  # fmt: skip
def test_what_is_usual_within_and_beside(
    start: int, stop: int, inside: int, before: int | None, after: int | None
) -> None:
    """Nothing next to an edge counts on either side."""
    found = [None if one is None else int(one[0]) for one in beside(NUMBERS, start, stop)]
    assert found == [inside, before, after]


@pytest.mark.parametrize(("rise", "share"), [(8.0, 1.0), (9.0, 1.0), (4.0, 0.125), (0.8, 0.001), (-9.0, 0.001)])
def test_a_band_counts_by_the_cube_of_its_rise(rise: float, share: float) -> None:
    """Up to 8 dB, and never not at all."""
    assert weighed(np.array([rise])) == pytest.approx(share)


def test_an_edge_is_found_from_a_guess_seven_tenths_of_a_second_off() -> None:
    """And a little more, for it is looked for twice."""
    levels = raised(1500, 300, 900, 10.0)
    assert (find_edges(levels, 391, 900).start, find_edges(levels, 209, 900).start) == (300, 300)
    assert (find_edges(levels, 300, 809).stop, find_edges(levels, 300, 991).stop) == (900, 900)


def two_steps(bands: int, first_db: float, rest_db: float) -> np.ndarray:
    """Some bands rise at 300, the others 40 levels later; all fall at 700."""
    levels = flat(1000)
    levels[300:700, :bands] += first_db
    levels[340:700, bands:] += rest_db
    return levels


@pytest.mark.parametrize(
    ("bands", "first_db", "rest_db", "start"),
    [
        (5, 8.0, 4.0, 300),  # by the square of how far they rose: 5 against 9 / 4
        (5, 8.0, 8.0, 340),
        (2, 16.0, 4.0, 340),  # up to 8 dB: 2 against 3
        (4, 16.0, 4.0, 300),  # 4 against 10 / 4
    ],
)
def test_bands_that_rose_further_say_more_of_where(bands: int, first_db: float, rest_db: float, start: int) -> None:
    """No band outdoes all others."""
    assert find_edges(two_steps(bands, first_db, rest_db), 310, 700).start == start


def test_a_slam_before_it_or_a_gap_within_moves_no_edge() -> None:
    """However loud or silent, a level counts at most twice as much as one that is plainly in or out."""
    slam, gap = raised(1000, 300, 700, 10.0), raised(1000, 300, 700, 10.0)
    slam[280:285] += 60.0
    gap[310:314] -= 60.0
    assert find_edges(slam, 300, 700).start == 300 and find_edges(gap, 300, 700).start == 300
    slam[:], gap[:] = slam[::-1].copy(), gap[::-1].copy()
    assert find_edges(slam, 300, 700).stop == 700 and find_edges(gap, 300, 700).stop == 700


def test_how_clear_an_edge_is_has_its_bounds() -> None:
    """Six decibels the wrong way, fifteen the right one; the louder side is what it must stand above to be broad."""
    assert (
        _clear(np.zeros(BANDS), np.full(BANDS, 20.0)) == -6.0 and _clear(np.zeros(BANDS), np.full(BANDS, -20.0)) == 15.0
    )
    levels = raised(1000, 300, 700, 10.0)
    levels[700:] += 7.0
    one = find_edges(levels, 300, 700)
    assert (one.rise_db, one.fall_db) == (pytest.approx(10.0), pytest.approx(3.0))
    assert one.broad == pytest.approx(0.75) and one.weights == pytest.approx((3 / 8) ** 3)
    half = raised(1000, 300, 700, 10.0, slice(0, BANDS // 2))
    assert find_edges(half, 300, 700).rise_db == pytest.approx(10.0)


@pytest.mark.parametrize(("near", "found"), [(389, 300), (391, 302), (211, 300), (209, 299)])
def test_a_step_is_looked_for_within_seven_tenths_of_a_second(near: int, found: int) -> None:
    """A tenth beside the guess says nothing of either side."""
    levels = raised(900, 300, 900, 10.0)
    assert find_step(levels, 0, near, 800, forward=True) == pytest.approx(found, abs=1)


def test_bands_that_waver_say_little_of_a_step() -> None:
    """By their own variance on both sides: one that swells anyway may step where it likes."""
    levels = flat(900)
    levels[300:, 0] += 6.0
    levels[330:, 1:] += 6.0
    levels[::2, 1:] += 30.0
    for forward in (True, False):
        assert find_step(levels, 0, 310, 900, forward=forward) == 300
