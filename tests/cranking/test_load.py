"""How hard a starter works, told from how its sound swells and how its lines move."""

from __future__ import annotations

import math

import numpy as np
import pytest

from assistant.cranking.load import UNKNOWN, load_of
from assistant.cranking.rate import Pulses
from tests.cranking.test_plain_measures import EVEN, pulsing

WEIGHTS = EVEN / EVEN.sum()
SIX = Pulses(hz=6.0, strength=0.5, clear=0.3)


def tone(moves: float, seconds: float = 4.0) -> np.ndarray:
    """A line at 1.5 kHz whose pitch goes up and down by this share, six times a second."""
    at = np.arange(int(seconds * 16_000)) / 16_000
    pitch = 1500 * (1 + moves * np.sin(2 * np.pi * 6 * at))
    hiss = np.random.default_rng(3).normal(size=len(at)) * 5
    return (3000 * np.sin(2 * np.pi * np.cumsum(pitch) / 16_000) + hiss).astype(np.int16)


BEFORE = (np.random.default_rng(4).normal(size=24_000) * 5).astype(np.int16)


@pytest.mark.parametrize("depth_db", [0.5, 1.0, 4.0])
def test_the_swell_is_told_in_decibels(depth_db: float) -> None:
    """Of the pulses told, plain against the rates beside them; where none are told there is none."""
    found = load_of(pulsing(6.0, 500, depth_db), tone(0.0), BEFORE, WEIGHTS, SIX)
    assert found.depth == pytest.approx(math.log(0.1 + depth_db), abs=0.02) and found.plain > 7
    other = load_of(pulsing(9.0, 500, depth_db), tone(0.0), BEFORE, WEIGHTS, SIX)
    assert other.depth < found.depth - 1 and other.plain < 1
    none = load_of(pulsing(6.0, 500, depth_db), tone(0.0), BEFORE, WEIGHTS, None)
    assert (none.depth, none.plain, none.wobble) == (math.log(0.1), 0.0, found.wobble)


@pytest.mark.parametrize(("moves", "wobble", "drift"), [(0.0, 0.02, 0.035), (0.02, 0.246, 0.386), (0.1, 0.807, 1.42)])
def test_lines_that_move_fade_in_a_mean_over_time(moves: float, wobble: float, drift: float) -> None:
    """Compressions move them within a tenth of a second; a motor that turns nothing leaves them still."""
    found = load_of(pulsing(6.0, 500), tone(moves), BEFORE, WEIGHTS, SIX)
    assert found.wobble == pytest.approx(wobble, abs=0.02) and found.drift == pytest.approx(drift, abs=0.03)
    alone = load_of(pulsing(6.0, 500), tone(moves), BEFORE[:100], WEIGHTS, SIX)
    assert alone.wobble > found.wobble  # what hisses beside it is taken off where it was there before


def test_too_little_sound_has_no_lines() -> None:
    """Twelve spectra of 32 ms, each 16 ms after the last, are enough."""
    enough = 512 + 11 * 256
    for frames, told in ((enough, True), (enough - 1, False), (100, False)):
        found = load_of(pulsing(6.0, 500), tone(0.1)[:frames], BEFORE, WEIGHTS, SIX)
        assert ((found.wobble, found.drift) != (0.0, 0.0)) is told
    assert load_of(pulsing(6.0, 100), tone(0.1)[:100], BEFORE, WEIGHTS, None) == UNKNOWN
