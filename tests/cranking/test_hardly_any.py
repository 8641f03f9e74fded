"""Sounds that are hardly there: too short, silent, cut off. What cannot be told is not told, and nothing breaks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.layers_starter import starter_layers
from assistant.cranking.description import described
from assistant.cranking.ear import listen
from assistant.cranking.edges import find_step
from assistant.cranking.evenness import weakest_share
from assistant.cranking.judge import doubted
from assistant.cranking.layers import PARTS
from assistant.cranking.levels import BANDS, FLOOR_DB, HOP, levels_of
from assistant.cranking.rate import LOWEST_HZ, find_pulses, range_hz, rhythm, rpm_of, swings
from assistant.cranking.running import unless_plain
from assistant.cranking.synthetic import CrankPlan, crank
from assistant.cranking.traits import STEP
from tests.cranking.test_judge import RAN, sound

LAYERS = starter_layers()
EVEN = np.ones(BANDS)
START = (crank(CrankPlan(cylinders=4, rpm=200, burst_s=2.0), np.random.default_rng(1)).samples * 3_000).astype(np.int16)


@settings(max_examples=40)
@given(st.integers(0, len(START)), st.integers(0, len(START)), st.sampled_from(["start", "zeros", "click"]))
def test_any_piece_of_a_sound_is_heard_to_its_end(first: int, frames: int, kind: str) -> None:
    """Whatever is cut out: bursts lie within it, in order, each with a length, and silence has none."""
    pcm = START[first : first + frames].copy()
    if kind == "zeros":
        pcm[:] = 0
    elif kind == "click" and len(pcm):
        pcm[:] = 0
        pcm[len(pcm) // 2] = 32_767
    heard = listen(pcm, LAYERS, 4)
    assert heard.seconds == pytest.approx(len(pcm) / 16_000, abs=0.02)
    edges = [at for burst in heard.bursts for at in (burst.start_s, burst.end_s)]
    assert edges == sorted(edges) and all(0 <= at <= heard.seconds for at in edges)
    assert kind == "start" or heard.bursts == ()


@settings(max_examples=60)
@given(st.integers(0, 240), st.integers(0, 240), st.booleans())
def test_any_stretch_has_a_description(start: int, long: int, silent: bool) -> None:
    """The same numbers of it, each finite, however short it is and wherever it lies."""
    pcm = np.zeros_like(START) if silent else START
    levels = levels_of(pcm)
    odds = np.zeros((len(levels) // STEP, PARTS), np.float32)
    row = described(levels, pcm, odds, (start, min(start + max(1, long), len(levels))))
    assert row.shape == described(levels, pcm, odds, (0, len(levels))).shape
    assert np.isfinite(row).all()


@pytest.mark.parametrize("cylinders", [3, 4, 5, 6, 8])
def test_the_rates_that_are_looked_for_hold_every_starter(cylinders: int) -> None:
    """From the slowest to the quickest crankshaft, and no wider; unknown cylinders leave room for all."""
    low, high = range_hz(cylinders)
    assert low <= 60 * cylinders / 120 and 350 * cylinders / 120 <= high
    assert rpm_of(low, cylinders) >= 24 and rpm_of(high, cylinders) <= 600
    widest = range_hz(None)
    assert widest[0] == LOWEST_HZ and widest[1] >= 350 * 8 / 120


@pytest.mark.parametrize("levels", [2, 5, 12])
def test_too_short_a_stretch_has_no_rate(levels: int) -> None:
    """Not even one period of the quickest fits in."""
    assert find_pulses(levels_of(START)[:levels], EVEN, cylinders=4) is None


def test_a_background_too_short_for_a_rhythm_counts_as_usual() -> None:
    """One at each rate: nothing is played down."""
    assert (rhythm(swings(levels_of(START))[:100]) == 1).all()


def test_a_step_too_near_the_end_stays_where_it_was_thought() -> None:
    """There is nothing to tell the two sounds by; in the midst it is found."""
    levels = sound(12.0)
    assert find_step(levels, 0, 3, 700, forward=True) == 3
    assert find_step(levels, 0, 698, 700, forward=False) == 698
    for forward in (True, False):
        assert find_step(levels if forward else -levels, 0, 385, 700, forward=forward) == pytest.approx(375, abs=2)


def test_a_burst_with_nothing_to_hold_against_each_other_is_not_doubted() -> None:
    """The sound ends with it, or it was over before it had spun up."""
    assert doubted(sound(0.0)[: RAN.stop + 1], RAN) == RAN
    brief = replace(RAN, start=100, stop=110)
    assert doubted(sound(0.0), brief) == brief
    silent = np.zeros(0, np.int16)
    assert unless_plain(sound(0.0)[: RAN.stop + 1], silent, RAN) == RAN


def test_no_pulses_show_no_weak_cylinder() -> None:
    """Steady noise has no pulses to tell one by one; one cylinder has none to differ from."""
    noise = (np.random.default_rng(3).standard_normal(8 * 16_000) * 1_500).astype(np.int16)
    assert weakest_share(levels_of(noise), EVEN, 6.667, 4) in (None, 0.0)
    assert weakest_share(levels_of(noise), EVEN, 6.667, 1) is None
    flat = np.full((1_000, BANDS), FLOOR_DB, np.float32)
    assert weakest_share(flat, EVEN, 6.667, 4) in (None, 0.0)


def test_levels_come_one_each_hop() -> None:
    """125 a second, whatever is left over."""
    assert len(levels_of(np.zeros(10 * HOP, np.int16))) == 10
    assert len(levels_of(np.zeros(10 * HOP + HOP - 1, np.int16))) == 10
    assert levels_of(np.zeros(10 * HOP, np.int16)).max() == pytest.approx(FLOOR_DB, abs=0.1)
