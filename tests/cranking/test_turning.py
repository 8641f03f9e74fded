"""Whether something turns as slowly as a crankshaft, told from a slow and even swell."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking.levels import BANDS, levels_of
from assistant.cranking.likely import TURNS_FROM
from assistant.cranking.synthetic import free_whine
from assistant.cranking.turning import NONE, steady_turn

EVEN = np.full(BANDS, 1 / BANDS)
BEFORE, START = 500, 600


def swelling(hz: float, depth_db: float, seconds: float, wanders: float = 0.0, since: int = START) -> np.ndarray:
    """Levels of noise of 3 dB; from `since` on they swell by so much, each swell early or late by a share `wanders`."""
    rng = np.random.default_rng(7)
    count = START + int(seconds * 125)
    time = np.arange(count) / 125
    marks = np.arange(int(hz * time[-1]) + 3)
    late = np.cumsum(1 + rng.uniform(-wanders, wanders, len(marks)))
    turns = np.interp(time * hz, late - 1, marks)
    swell = np.where(np.arange(count) >= since, depth_db * np.cos(2 * np.pi * turns), 0.0)
    return (rng.normal(-50, 3, (count, BANDS)) + swell[:, None]).astype(np.float32)


def told(levels: np.ndarray, start: int = START) -> float:
    return steady_turn(levels, start, len(levels), BEFORE, EVEN)


@pytest.mark.parametrize("hz", [2.0, 3.5, 6.0, 8.5])
def test_a_swell_of_a_decibel_as_slow_as_a_crankshaft_is_heard(hz: float) -> None:
    """In noise three times as strong in each band; the longer it goes on the plainer it is."""
    found = [told(swelling(hz, 1.0, seconds)) for seconds in (3, 9)]
    assert found[1] > found[0] > TURNS_FROM


@pytest.mark.parametrize("hz", [12.0, 25.0])
def test_what_is_quicker_than_a_crankshaft_is_none(hz: float) -> None:
    """Nor is what does not swell at all."""
    assert told(swelling(hz, 1.0, 5)) < TURNS_FROM
    assert told(swelling(4.0, 0.0, 5)) < TURNS_FROM


def test_what_no_flywheel_keeps_even_is_less_plain() -> None:
    """Swells that are each a third early or late add up to little."""
    assert told(swelling(4.0, 1.0, 6, wanders=0.35)) < told(swelling(4.0, 1.0, 6)) - 1


def test_what_swelled_before_is_no_sign_of_the_starter() -> None:
    """An engine that idles beside the car goes on."""
    assert told(swelling(4.0, 1.0, 5, since=0)) < TURNS_FROM < told(swelling(4.0, 1.0, 5)) - 2


def test_too_short_a_stretch_tells_nothing() -> None:
    """Of 0.6 s beside its ends something is told; a starter's spinning up, and the run-out, are none of it."""
    levels = swelling(4.0, 3.0, 5)
    assert steady_turn(levels, START, START + 112, BEFORE, EVEN) == NONE
    assert steady_turn(levels, START, START + 113, BEFORE, EVEN) != NONE
    assert steady_turn(levels, 5, 300, BEFORE, EVEN) == pytest.approx(steady_turn(levels, 5, 300, 0, EVEN))


def test_a_motor_that_turns_nothing_has_no_such_swell() -> None:
    """Of twelve free spins in noise, by the first maker's formula, none."""
    for number in range(12):
        rng = np.random.default_rng([11, number])
        sound = np.concatenate([np.zeros(64_000), 2_000 * free_whine(4.0, rng)]) + rng.normal(0, 400, 128_000)
        levels = levels_of(sound.clip(-32_768, 32_767).astype(np.int16))
        assert steady_turn(levels, 500, len(levels), BEFORE, EVEN) < TURNS_FROM
