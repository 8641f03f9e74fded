"""The sound that the network is given."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from assistant.hearing.sound import HIGH_PASS_HZ, RATE_HZ, without_rumble


@pytest.mark.parametrize("hz", [20, 50, 80, 120, 400, 3_000])
def test_rumble_goes_as_a_butterworth_filter_takes_it(hz: int) -> None:
    """Outside check: the gain of scipy's high-pass of second order at that frequency, and no delay."""
    tone = np.sin(2 * np.pi * hz * np.arange(2 * RATE_HZ) / RATE_HZ)
    filtered = without_rumble(tone)
    _, gain = signal.freqs(*signal.butter(2, 2 * np.pi * HIGH_PASS_HZ, "highpass", analog=True), [2 * np.pi * hz])
    assert filtered == pytest.approx(abs(gain[0]) * tone, abs=1e-6)


def test_no_sound_stays_none() -> None:
    """An empty stretch has no spectrum."""
    assert len(without_rumble(np.zeros(0))) == 0
