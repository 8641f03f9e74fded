"""The quick beat of a running engine."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking.firing import find_beat


def beating(hz: float, seconds: float = 3.0) -> np.ndarray:
    """Bangs at a steady rate."""
    time = np.arange(int(seconds * 16_000)) / 16_000
    bangs = np.exp(-(time * hz % 1) * 6) * np.random.default_rng(1).standard_normal(len(time))
    return (bangs * 4_000).astype(np.int16)


@pytest.mark.parametrize("hz", [14.0, 25.0, 60.0, 110.0])
def test_a_beat_is_found_at_its_own_rate(hz):
    """Neither at half of it nor at double, from a slow engine's to a quick tool's."""
    beat = find_beat(beating(hz))
    assert beat is not None
    assert beat.hz == pytest.approx(hz, rel=0.05)
    assert beat.strength > 0.3


def test_noise_has_no_beat_and_half_a_second_is_too_short():
    """What does not repeat is weak; of too little sound nothing is told."""
    noise = np.random.default_rng(2).normal(0, 3_000, 48_000).astype(np.int16)
    beat = find_beat(noise)
    assert beat is not None and beat.strength < 0.12
    assert find_beat(noise[:8_191]) is None and find_beat(noise[:8_192]) is not None
