"""The measure of the ear counts against it whatever it did not hear."""

from __future__ import annotations

import numpy as np

from assistant.bench.crank import score, shares
from assistant.cranking.model import Burst
from assistant.cranking.scenes import Scene

TRUE = Scene(
    pcm=np.zeros(0, dtype=np.int16),
    cylinders=4,
    start_s=2.0,
    end_s=6.0,
    pulse_hz=6.0,
    rpm=180.0,
    caught=False,
    run_s=None,
    snr_db=10.0,
    noise="hum",
)


def test_a_burst_that_is_right_counts_in_every_share():
    """Edges within 0.3 s, speed within 2 %, caught right."""
    one = score(TRUE, [Burst(start_s=2.2, end_s=5.8, pulse_hz=6.1, caught=False)])
    assert (one.edges, one.caught, one.extra) == (True, True, 0)
    assert shares([one])["speed_within_2_percent_from_6_db"] == 1.0


def test_a_scene_that_is_not_heard_counts_against_every_share():
    """No burst, or one elsewhere: nothing is right, and the other is an extra one."""
    one = score(TRUE, [Burst(start_s=8.0, end_s=9.0, pulse_hz=6.0, caught=False)])
    found = shares([one])
    assert (found["heard"], found["edges_within_0.3_s"], found["caught_right"], found["extra_bursts"]) == (0, 0, 0, 1)


def test_half_the_speed_is_gross_and_an_unsure_answer_is_not_right():
    """Half the rate is told apart from a small error; null for caught is unsure, not right."""
    found = shares([score(TRUE, [Burst(start_s=2.0, end_s=6.0, pulse_hz=3.0, caught=None)])])
    assert (found["half_or_double"], found["caught_right"], found["caught_unsure"]) == (1.0, 0.0, 1.0)
