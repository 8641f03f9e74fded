"""The running mean, held against a library's."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import uniform_filter1d

from assistant.cranking.smooth import running_mean


@pytest.mark.parametrize("width", [1, 2, 5, 25, 50, 120])
@pytest.mark.parametrize("shape", [(120,), (200, 14), (121, 3)])
def test_it_is_what_the_library_makes_of_it(width: int, shape: tuple[int, ...]) -> None:
    """Odd and even widths, courses and bands, up to as wide as the course. Source: scipy.ndimage.uniform_filter1d."""
    values = np.random.default_rng(width).normal(-40, 20, shape)
    wanted = uniform_filter1d(values, width, axis=0, mode="nearest")
    np.testing.assert_allclose(running_mean(values, width), wanted, rtol=0, atol=1e-9)
    assert running_mean(values.astype(np.float32), width).dtype == np.float32


def test_a_quiet_tail_stays_quiet_behind_a_loud_beginning() -> None:
    """What is subtracted again leaves no trace that counts, over the range of powers that levels have."""
    power = np.concatenate([np.full(5_000, 1.0), np.full(5_000, 1e-9)])
    assert running_mean(power, 25)[-1] == pytest.approx(1e-9, rel=1e-2)
