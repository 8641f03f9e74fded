"""Where something began and stopped, on levels that step: each edge where the steps of 40 ms put it."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking.levels import BANDS, FLOOR_DB
from assistant.cranking.stretches import Stretch, StretchFinder


def levels(*parts: tuple[int, float]) -> np.ndarray:
    """So many steps of five levels at each height above -60 dB."""
    rows = np.repeat([-60.0 + db for _, db in parts], [5 * steps for steps, _ in parts])
    return rows[:, None].repeat(BANDS, 1).astype(np.float32)


def found(sound: np.ndarray, piece: int = 100_000) -> tuple[list[Stretch], list[Stretch], StretchFinder]:
    """What began and what ended, but for what was there from the first."""
    finder = StretchFinder()
    begun, ended = list[Stretch](), list[Stretch]()
    for first in range(0, len(sound), piece):
        for told, new in zip((begun, ended), finder.feed(sound[first : first + piece]), strict=True):
            told += [one for one in new if one.start]
    return begun, ended, finder


def test_a_beginning_is_told_once_seven_of_nine_steps_stand_above_what_was() -> None:
    """0.28 s after it, and no earlier; with how far each band rose."""
    sound = levels((100, 0.0), (80, 10.0))
    assert found(sound[:534])[0] == []
    begun, _, finder = found(sound[:535])
    [one] = begun
    assert (one.start, one.rise_db, one.stop) == (490, pytest.approx(10.0), None) and finder.open[-1] is one
    assert one.before == pytest.approx(-60.0) and one.weights == pytest.approx(1.0)
    assert [one.start for one in found(sound)[0]] == [490, 550]  # once more while it is still new
    assert found(levels((100, 0.0), (80, 30.0)))[0][0].rise_db == 15.0  # more says no more
    half = levels((100, 0.0), (80, 0.0))
    half[500:, ::2] += 6.0
    half[500:, 1::2] -= 20.0
    one = found(half)[0][0]
    assert one.rise_db == pytest.approx(6.0)
    assert one.weights[:2] == pytest.approx([0.75**2, 0.05**2])


@pytest.mark.parametrize(("quiet", "told"), [(24, False), (25, True)])
def test_what_was_usual_in_the_second_and_a_half_before_is_what_counts(quiet: int, *, told: bool) -> None:
    """Of 41 steps more than 24 must be lower: blows and words before it are forgotten, what goes on is not."""
    assert bool(found(levels((80, 10.0), (quiet, 0.0), (80, 5.0)))[0]) is told


@pytest.mark.parametrize(("quiet", "starts"), [(2, [0]), (3, [20]), (4, [20]), (8, [40 - 10]), (20, [90, 150])])
def test_what_is_there_from_the_first_is_one_that_began_there(quiet: int, starts: list[int]) -> None:
    """Where all but two of nine steps are heard; else it begins behind four steps at the earliest."""
    sound = levels((quiet, -25.0), (80, 10.0))
    begun, _ = StretchFinder().feed(sound)
    assert [one.start for one in begun] == starts


def test_what_is_there_from_the_first_stands_20_db_above_nothing() -> None:
    """Or above the floor; all bands count alike."""
    for db, before in ((0.0, -80.0), (-15.0, FLOOR_DB)):
        begun, _ = StretchFinder().feed(levels((50, db)))
        [one] = begun
        assert (one.start, one.rise_db) == (0, 0.0)
        assert one.before == pytest.approx(before) and one.weights == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("second", "more_db", "starts", "open_"),
    [
        (6, 2.9, [490], [490]),
        (6, 3.1, [490, 520], [520]),  # the same, and clearer
        (8, 3.1, [490, 530], [530]),
        (9, 3.1, [490, 535], [490, 535]),
        (11, 2.9, [490], [490]),
    ],
)
def test_what_begins_on_top_of_something_is_told_where_it_is_clearer(
    second: int, more_db: float, starts: list[int], open_: list[int]
) -> None:
    """By three decibels within half a second. Within a third of a second it takes its place."""
    begun, _, finder = found(levels((100, 0.0), (second, 5.0), (18 - second, 5.0 + more_db)))
    assert [one.start for one in begun] == starts
    assert [one.start for one in finder.open if one.start] == open_


@pytest.mark.parametrize(
    ("high_db", "low_db", "ends"),
    [
        (10.0, 4.4, True), (10.0, 4.6, False),  # to less than 45 % of what it was
        (30.0, 19.9, True), (30.0, 20.1, False),  # or by ten decibels
        (14.0, 6.2, True), (14.0, 6.4, False),
        (70.0, 51.0, False), (70.0, 49.9, True),  # more than 60 dB is no more
    ],
)  # fmt: skip
def test_a_stretch_ends_where_its_bands_fall_back(high_db: float, low_db: float, *, ends: bool) -> None:
    """Once three of four steps did; from a step into that on it is over."""
    _, ended, finder = found(levels((100, 0.0), (80, high_db), (40, low_db)))
    if not ends:
        assert ended == [] and 490 in [one.start for one in finder.open]
        return
    one = next(each for each in ended if each.start == 490)
    assert one.stop == 905
    assert one.fall_db == pytest.approx(min(60.0, high_db) - max(-3.0, low_db), abs=1e-4)


def test_what_falls_far_below_is_over_a_step_sooner() -> None:
    """As three decibels below what was before it, no further."""
    one = next(each for each in found(levels((100, 0.0), (80, 10.0), (9, -20.0)))[1] if each.start == 490)
    assert (one.stop, one.fall_db) == (900, pytest.approx(10.0 - (10.0 - 3.0) / 2))


def test_a_step_that_drops_out_ends_nothing() -> None:
    """Nor do two; three are a pause."""
    for steps, ends in ((1, False), (2, False), (3, True)):
        _, ended, _ = found(levels((100, 0.0), (40, 10.0), (steps, 0.0), (40, 10.0)))
        assert bool(ended) is ends


@pytest.mark.parametrize(("loud", "ends"), [(52, False), (53, True)])
def test_what_is_usual_within_is_the_better_part_of_the_last_three_seconds(loud: int, *, ends: bool) -> None:
    """Of 75 steps 22 may be lower; by then what was told long ago does not count."""
    _, ended, _ = found(levels((100, 0.0), (60, 10.0), (loud, 20.0), (3, 9.9)))
    assert (490 in [one.start for one in ended]) is ends


@pytest.mark.parametrize("piece", [1, 3, 7, 250])
def test_pieces_of_any_size_tell_the_same(piece: int) -> None:
    """What is left of a step waits for the next piece."""
    sound = levels((60, 0.0), (50, 10.0), (60, 0.0), (30, 6.0), (40, 0.0))
    whole, cut = found(sound), found(sound, piece)
    for one, other in zip(whole[:2], cut[:2], strict=True):
        assert [(each.start, each.stop, each.rise_db) for each in one] == [
            (each.start, each.stop, each.rise_db) for each in other
        ]
    assert len(whole[1]) == 4
