"""What the latest moment of a starter says: that it lets go, or that an engine took over."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.cranking.layers import ENGINE, STARTER
from assistant.cranking.levels import BANDS, LEVEL_RATE_HZ, Levels
from assistant.cranking.moment import FALLEN, FALLEN_DB, Moment, moment_of

START = 250
TURNS = Moment(loud_db=0.0, below_db=0.0, fall=0.0, low_db=0.0, latest=-3.0, late=-3.0)


def odds(latest: float, before: float) -> np.ndarray:
    """An engine by so much against the starter in the last step, and in those before."""
    found = np.full((9, 3), -9.0, dtype=np.float32)
    found[:, STARTER], found[:, ENGINE] = -1.0, -1.0 + before
    found[-1, ENGINE] = -1.0 + latest
    return found


def turned(seconds: float, swing_db: float = 0.0, swings: slice = slice(None)) -> Levels:
    """Two seconds at -60 dB, then a starter 20 dB louder, of which these bands fall and rise by so much twice a second,
    in noise of 1 dB."""
    levels = np.full((START + round(seconds * LEVEL_RATE_HZ), BANDS), -60.0, dtype=np.float32)
    time = np.arange(len(levels) - START) / LEVEL_RATE_HZ
    levels[START:] += 20.0
    levels[START:, swings] += swing_db * np.cos(4 * np.pi * time)[:, None].astype(np.float32)
    levels[START:] += np.random.default_rng(3).normal(0, 1, levels[START:].shape).astype(np.float32)
    return levels


def heard(levels: Levels, latest: float = -5.0, before: float = -5.0) -> Moment:
    """The latest moment, of which enough was heard."""
    found = moment_of(levels, odds(latest, before), START)
    assert found is not None
    return found


def test_a_moment_is_held_against_the_usual_level_and_the_least_before():
    """Over 0.16 s, and low sounds over 0.08 s; the odds are those of the last step and of four."""
    levels = turned(2.0)
    levels[START:] = -40.0
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


def test_a_motor_that_falls_by_itself_is_heard_within_the_swing_of_its_compressions():
    """The flywheel presses air as before: on the whole it is louder than between any two compressions."""
    air, motor = slice(0, 10), slice(10, None)
    levels = turned(4.0, swing_db=8.0, swings=air)
    assert not any(heard(levels[:stop]).fallen for stop in range(START + 300, len(levels)))
    loudest = len(levels) - len(levels) % 62 + 11 - 62  # a tenth of a second after a compression
    levels[loudest - 20 : loudest, motor] -= 6.0
    moment = heard(levels[:loudest])
    assert moment.fallen and moment.loud_db > 0


def test_a_noise_that_stops_beside_it_is_no_end_where_it_came_and_went_before():
    """A ratchet over the upper bands, each half second."""
    levels = turned(4.0)
    for at in range(START + 40, len(levels), 62):
        levels[at : at + 31, 7:] += 5.0
    assert not any(heard(levels[:stop]).fallen for stop in range(START + 300, len(levels)))


def test_of_few_moments_it_must_fall_far():
    """Two bands by 6 dB after four seconds, but not after one: it is not known yet what it does by itself."""
    for seconds, fallen in ((1.0, False), (4.0, True)):
        levels = turned(seconds)
        levels[-20:, :2] -= 6.0
        assert heard(levels).fallen is fallen


@pytest.mark.parametrize(
    ("fall", "loud_db", "below_db", "fallen"),
    [(FALLEN, 0.0, 0.0, True), (FALLEN - 0.01, 0.0, 0.0, False), (0.0, -FALLEN_DB, 0.0, True),
     (0.0, 0.0, -FALLEN_DB, True), (0.0, -3.0, -3.9, False), (0.0, -9.0, 2.1, False), (0.0, -9.0, 2.0, True)],
)  # fmt: skip
def test_it_has_let_go_where_it_falls_further_than_ever_or_far(fall, loud_db, below_db, *, fallen):
    """By so many spreads; or by so much below its usual level and its least together."""
    assert replace(TURNS, fall=fall, loud_db=loud_db, below_db=below_db).fallen is fallen


def test_after_a_moment_of_silence_it_is_heard_to_let_go_again():
    """Though it fell as far before."""
    levels = turned(4.0, swing_db=3.0)
    levels[-200:-170] = -60.0
    assert heard(levels[:-168]).fallen and not heard(levels[:-25]).fallen
    levels[-20:] = -60.0
    assert heard(levels).fallen


@pytest.mark.parametrize(
    ("low_db", "loud_db", "latest", "late", "runs"),
    [(1.0, 0.0, 2.2, 2.1, True), (0.9, 0.0, 2.2, 2.1, False), (1.0, 0.0, 2.0, 2.1, False),
     (1.0, -2.0, 2.0, 2.1, True), (1.0, 2.0, 2.2, 2.1, False), (1.0, 0.0, 2.2, 2.3, False)],
)  # fmt: skip
def test_an_engine_runs_where_it_is_likely_of_late_and_low_sounds_come_up(low_db, loud_db, latest, late, *, runs):
    """The more they do, the less it must be likely; what was likely before counts half against it: it is no news."""
    assert replace(TURNS, low_db=low_db, loud_db=loud_db, latest=latest, late=late).runs() is runs


@pytest.mark.parametrize(
    ("latest", "late", "usual", "runs"),
    [(1.5, 1.2, None, False), (1.5, 1.2, 0.0, False), (1.5, 1.2, -1.0, False), (1.5, 1.2, -1.1, True),
     (2.2, 2.1, None, True), (2.2, 2.1, 0.4, True), (2.2, 2.1, 0.5, False)],
)  # fmt: skip
def test_an_engine_runs_rather_where_it_is_likelier_than_it_was(latest, late, usual, *, runs):
    """By 2 nats, beside which it was as likely as now: a shop that sounds like an engine all the time is none."""
    assert replace(TURNS, low_db=1.0, latest=latest, late=late).runs(usual) is runs


def test_nothing_is_said_of_what_was_hardly_heard():
    """Half a second of it beside its spinning up, and four steps of odds."""
    levels = turned(2.0)
    assert moment_of(levels[: START + 84], odds(0, 0), START) is None
    assert moment_of(levels[: START + 85], odds(0, 0), START) is not None
    assert moment_of(levels, odds(0, 0)[:3], START) is None
    assert moment_of(levels, odds(0, 0), -1) is None, "it began before what is kept"
