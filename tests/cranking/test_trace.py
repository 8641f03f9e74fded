"""What a burst sounded like, as a few numbers for its picture."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking.levels import levels_of
from assistant.cranking.scenes import make_scene
from assistant.cranking.synthetic import CrankPlan
from assistant.cranking.trace import trace_of


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
