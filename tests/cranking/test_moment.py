"""What the latest moment of a starter says: that it lets go, or that an engine took over."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.cranking.layers import ENGINE, STARTER
from assistant.cranking.levels import BANDS, LEVEL_RATE_HZ, Levels
from assistant.cranking.moment import FALLEN_DB, Moment, moment_of

START = 250
TURNS = Moment(loud_db=0.0, below_db=0.0, low_db=0.0, latest=-3.0, late=-3.0)


def odds(latest: float, before: float) -> np.ndarray:
    """An engine by so much against the starter in the last step, and in those before."""
    found = np.full((9, 3), -9.0, dtype=np.float32)
    found[:, STARTER], found[:, ENGINE] = -1.0, -1.0 + before
    found[-1, ENGINE] = -1.0 + latest
    return found


def turned(seconds: float, swing_db: float = 0.0) -> Levels:
    """Two seconds at -60 dB, then a starter 20 dB louder, which falls and rises by so much twice a second."""
    levels = np.full((START + round(seconds * LEVEL_RATE_HZ), BANDS), -60.0, dtype=np.float32)
    time = np.arange(len(levels) - START) / LEVEL_RATE_HZ
    levels[START:] += (20.0 + swing_db * np.cos(4 * np.pi * time))[:, None].astype(np.float32)
    return levels


def heard(levels: Levels, latest: float = -5.0, before: float = -5.0) -> Moment:
    """The latest moment, of which enough was heard."""
    found = moment_of(levels, odds(latest, before), START)
    assert found is not None
    return found


def test_a_moment_is_held_against_the_usual_level_and_the_least_before():
    """Over 0.16 s, and low sounds over 0.08 s; the odds are those of the last step and of four."""
    levels = turned(2.0)
    levels[-20:] -= 6.0
    levels[-10:, :4] += 9.0
    moment = heard(levels, 2.0, -2.0)
    assert (moment.low_db, moment.latest, moment.late) == pytest.approx((3.0, 2.0, -1.0), abs=1e-4)
    assert moment.loud_db == moment.below_db == pytest.approx(-6.0 + 9.0 / 2 * 4 / BANDS, abs=1e-4)


def test_between_two_compressions_it_has_not_let_go_and_below_them_it_has():
    """However deep it falls there each time."""
    levels = turned(4.0, swing_db=6.0)
    assert not any(heard(levels[:stop]).fallen for stop in range(START + 300, len(levels)))
    levels[-20:] = -60.0
    assert heard(levels).fallen


@pytest.mark.parametrize(
    ("loud_db", "below_db", "fallen"),
    [(-FALLEN_DB, 0.0, True), (0.0, -FALLEN_DB, True), (-3.0, -3.9, False), (-9.0, 2.1, False), (-9.0, 2.0, True)],
)
def test_what_it_fell_by_counts_together(loud_db: float, below_db: float, *, fallen: bool):
    """Below its usual level, and below the least before."""
    assert replace(TURNS, loud_db=loud_db, below_db=below_db).fallen is fallen


@pytest.mark.parametrize(
    ("low_db", "loud_db", "latest", "late", "runs"),
    [(1.0, 0.0, 2.2, 2.1, True), (0.9, 0.0, 2.2, 2.1, False), (1.0, 0.0, 2.0, 2.1, False),
     (1.0, -2.0, 2.0, 2.1, True), (1.0, 2.0, 2.2, 2.1, False), (1.0, 0.0, 2.2, 2.3, False)],
)  # fmt: skip
def test_an_engine_runs_where_it_is_likely_of_late_and_low_sounds_come_up(low_db, loud_db, latest, late, *, runs):
    """The more they do, the less it must be likely; what was likely before counts half against it: it is no news."""
    assert replace(TURNS, low_db=low_db, loud_db=loud_db, latest=latest, late=late).runs is runs


def test_nothing_is_said_of_what_was_hardly_heard():
    """Half a second of it beside its spinning up, and four steps of odds."""
    levels = turned(2.0)
    assert moment_of(levels[: START + 84], odds(0, 0), START) is None
    assert moment_of(levels[: START + 85], odds(0, 0), START) is not None
    assert moment_of(levels, odds(0, 0)[:3], START) is None
    assert moment_of(levels, odds(0, 0), -1) is None, "it began before what is kept"
