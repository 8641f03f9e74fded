"""What a burst sounded like, as a few numbers for its picture."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking.levels import levels_of
from assistant.cranking.scenes import make_scene
from assistant.cranking.synthetic import CrankPlan
from assistant.cranking.trace import trace_of
from tests.cranking.test_plain_measures import raised


def test_loudness_rises_with_the_burst_and_the_speed_is_the_starters():
    """A second before, the burst, a second after; louder within; the pulses as fast as they were made."""
    plan = CrankPlan(cylinders=4, rpm=200.0, burst_s=4.0)
    scene = make_scene(np.random.default_rng(3), plan=plan, snr_db=15.0, noise="hum")
    start, stop = int(scene.start_s * 125), int(scene.end_s * 125)
    trace = trace_of(levels_of(scene.pcm), start, stop, None, scene.pulse_hz)
    loud = np.asarray(trace.loud_db)
    at_s = (np.arange(len(loud)) + 0.5) * trace.step_s - trace.before_s
    assert trace.before_s == 1.0
    assert at_s[-1] == pytest.approx(5.0, abs=0.2)
    assert np.median(loud[(at_s > 0.3) & (at_s < 3.7)]) > np.median(loud[at_s < -0.2]) + 6
    assert np.mean(trace.speed_hz) == pytest.approx(scene.pulse_hz, rel=0.03)
    assert len(trace.speed_hz) == len(trace.speed_at_s) <= 40


@pytest.mark.parametrize(
    ("span", "rest_stop", "before_s", "values", "louder"),
    [
        ((500, 700), None, 1.0, 37, range(11, 27)),  # from 375 to 825, by twelve levels
        ((100, 300), None, 0.8, 35, range(9, 25)),
        ((500, 700), 900, 1.0, 52, range(11, 27)),
        ((700, 950), None, 1.0, 35, range(11, 31)),  # no more than there is
    ],
)
def test_loudness_is_that_of_all_bands_together(span, rest_stop, before_s, values, louder):
    """A second before the burst, a second after it or the engine; fourteen bands at -60 dB are -48.5 dB."""
    trace = trace_of(raised(1000, *span, 10.0), *span, rest_stop, None)
    assert (trace.before_s, trace.step_s, len(trace.loud_db)) == (before_s, 0.096, values)
    assert (trace.loud_db[0], trace.loud_db[20]) == (-48.5, -38.5)
    assert all(trace.loud_db[n] == -38.5 for n in louder) and trace.speed_hz == trace.speed_at_s == ()


@pytest.mark.parametrize(("found", "kept"), [(40, 40), (41, 21), (80, 40), (81, 27)])
def test_of_many_speeds_some_are_kept(monkeypatch, found, kept):
    """Forty at most, evenly chosen; in seconds from the beginning of the burst, to a hundredth."""
    asked = []

    def track(levels, hz):
        asked.append((len(levels), hz))
        return np.arange(found) * 2.5, np.arange(found) + 0.123

    monkeypatch.setattr("assistant.cranking.trace.speed_track", track)
    trace = trace_of(raised(1000, 500, 700, 10.0), 500, 700, None, 6.0)
    each = -(-found // kept)
    assert asked == [(200, 6.0)] and len(trace.speed_hz) == len(trace.speed_at_s) == kept
    assert trace.speed_hz[:2] == (0.12, each + 0.12) and trace.speed_at_s[:2] == (0.0, round(each * 0.02, 2))
