"""A weak cylinder shows as a pulse that is smaller once in a working cycle."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking import evenness
from assistant.cranking.evenness import weakest_share
from assistant.cranking.levels import BANDS, LEVEL_RATE_HZ, levels_of

EVEN = np.ones(BANDS)


def pulsing(pulse_hz: float, cylinders: int, smaller: float, seconds: float = 8.0) -> np.ndarray:
    """Noise that swells `pulse_hz` times a second; every `cylinders`-th swell is smaller by that share."""
    time = np.arange(int(seconds * 16_000)) / 16_000
    number = np.floor(time * pulse_hz).astype(int)
    strength = np.where(number % cylinders == 2, 1 - smaller, 1.0)
    swell = 1 + 1.5 * strength * np.sin(np.pi * (time * pulse_hz - number)) ** 2
    return (1500 * swell * np.random.default_rng(0).standard_normal(len(time))).astype(np.int16)


def test_one_weak_cylinder_of_six():
    """Worked example: 12.5 pulses a second, every sixth 40 % small: one weak cylinder of six."""
    share = weakest_share(levels_of(pulsing(12.5, 6, 0.4)), EVEN, 12.5, 6)
    assert share == pytest.approx(0.4, abs=0.15)


@pytest.mark.parametrize(("pulse_hz", "cylinders"), [(6.667, 4), (12.5, 6), (12.0, 8), (5.0, 3)])
def test_even_pulses_show_no_weak_cylinder(pulse_hz, cylinders):
    """Where all are alike the share is nothing, not the chance difference of a few pulses."""
    assert weakest_share(levels_of(pulsing(pulse_hz, cylinders, 0.0)), EVEN, pulse_hz, cylinders) == 0.0


def test_a_few_pulses_say_nothing_of_a_cylinder():
    """Less than four working cycles: not told."""
    assert weakest_share(levels_of(pulsing(6.667, 4, 0.4, seconds=2.0)), EVEN, 6.667, 4) is None


def swelling(pulse_hz: float, cylinders: int, smaller: float, count: int = 1500) -> np.ndarray:
    """Levels that swell by 5 dB with each pulse, every so manieth by less."""
    pulse = pulse_hz * np.arange(count) / LEVEL_RATE_HZ
    strength = np.where(np.floor(pulse).astype(int) % cylinders == 1, 1 - smaller, 1.0)
    wave = -45 + 5 * strength * np.sin(np.pi * (pulse % 1)) ** 2
    return wave[:, None].repeat(BANDS, 1).astype(np.float32)


@pytest.mark.parametrize("cylinders", [3, 4, 6])
@pytest.mark.parametrize("smaller", [0.0, 0.1, 0.2, 0.3, 0.5, 0.8])
def test_a_weak_cylinder_is_told_by_how_much_less_it_swells(cylinders, smaller):
    """As a share of the usual one, on levels without any noise."""
    assert weakest_share(swelling(6.0, cylinders, smaller), EVEN, 6.0, cylinders) == pytest.approx(smaller, abs=0.03)


def test_pulses_that_cannot_be_counted_tell_of_no_cylinder():
    """Of one cylinder there is no other; at another rate than theirs they do not come out; four cycles are enough."""
    assert weakest_share(swelling(6.0, 1, 0.5), EVEN, 6.0, 1) is None
    assert weakest_share(swelling(6.0, 4, 0.5), EVEN, 8.0, 4) is None
    assert weakest_share(swelling(6.0, 4, 0.5, 360), EVEN, 6.0, 4) is None
    assert weakest_share(swelling(6.0, 4, 0.5, 420), EVEN, 6.0, 4) == pytest.approx(0.5, abs=0.03)


def share_of(monkeypatch: pytest.MonkeyPatch, heights: list[list[float]], cylinders: int | None = None) -> float | None:
    """What is told of pulses of these heights, a row a cycle."""
    monkeypatch.setattr(evenness, "_heights", lambda *_: np.array([one for row in heights for one in row]))
    return weakest_share(np.zeros((100, BANDS), np.float32), EVEN, 6.0, cylinders or len(heights[0]))


@pytest.mark.parametrize(("wavers", "told"), [(0.0, 0.5), (0.26, 0.5), (0.27, 0.0)])
def test_a_weak_one_must_fall_further_than_chance(monkeypatch, wavers, told):
    """By three standard errors of a median, which is 1.25 times that of a mean: here 3 * 1.25 * wavers / 2."""
    rows = [[1.0, 0.5 + sign * wavers, 1.0, 1.0] for sign in (1, -1, 1, -1)]
    assert share_of(monkeypatch, rows) == pytest.approx(told)


def test_four_cycles_of_two_cylinders_are_the_least_that_tells(monkeypatch):
    """What is left of a cycle is not heeded; a pulse that is lost is all of it; without pulses there is none."""
    assert share_of(monkeypatch, [[1.0, 0.5, 1.0]] * 4) == pytest.approx(0.5)
    assert share_of(monkeypatch, [[1.0, 0.5, 1.0]] * 3 + [[1.0, 0.5]], 3) is None
    assert share_of(monkeypatch, [*[[1.0, 0.5, 1.0]] * 4, [0.0, 9.0]], 3) == pytest.approx(0.5)
    assert share_of(monkeypatch, [[1.0, 0.5]] * 4) == pytest.approx(0.25 / 0.75)
    assert share_of(monkeypatch, [[1.0]] * 8) is None
    assert share_of(monkeypatch, [[1.0, -0.5, 1.0]] * 4) == 1.0
    assert share_of(monkeypatch, [[0.0, 0.0, 0.0]] * 4) is None and share_of(monkeypatch, [[-1.0] * 3] * 4) is None


def test_the_height_of_a_pulse_is_half_its_swing():
    """As the mean of a wave with itself is; the first and the last are cut off. Bands count by their weights."""
    at = np.arange(500) / LEVEL_RATE_HZ
    heights = evenness._heights(3 * np.cos(2 * np.pi * 6 * at), 6.0)
    assert len(heights) == 22 and heights[:-1] == pytest.approx(1.5, abs=0.05)
    # A rate told as much as 15 % wrong still counts them, but for one pulse at an end.
    for wrong, counted in ((1.18, False), (1.13, True), (0.87, True), (0.8, False)):
        assert bool(len(evenness._heights(3 * np.cos(2 * np.pi * 6 * at), 6.0 / wrong))) is counted


def test_bands_count_by_their_weights(monkeypatch):
    """Together one."""
    asked = []
    monkeypatch.setattr(evenness, "_heights", lambda swing, _hz: asked.append(swing) or np.zeros(0))
    monkeypatch.setattr(evenness, "swings", lambda levels: levels)
    weakest_share(np.arange(1.0, 1 + BANDS)[None], np.arange(BANDS) == 3, 6.0, 4)
    weakest_share(np.arange(1.0, 1 + BANDS)[None], 5 * EVEN, 6.0, 4)
    assert [swing.tolist() for swing in asked] == [[4.0], [pytest.approx((1 + BANDS) / 2)]]
