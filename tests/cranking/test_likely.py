"""What a stretch of raised sound most likely was, and what that makes of a burst."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.cranking.judge import odds_of
from assistant.cranking.kinds import KINDS, WIDTH, described
from assistant.cranking.levels import levels_of
from assistant.cranking.likely import (
    BLOWS_BEFORE,
    BLOWS_DROWNED_DB,
    EASY,
    LIGHT,
    LIGHT_RISE_DB,
    PULSES_CLEAR,
    Likely,
    likely_kinds,
)
from assistant.cranking.model import Burst, Kind
from assistant.cranking.scenes import make_scene
from assistant.cranking.synthetic import CrankPlan
from assistant.training.crank_practice_kinds import chatter, free_spin

LAYERS = starter_layers()
BURST = Burst(start_s=1.0, end_s=4.0, pulse_hz=8.0, rpm=240.0, caught=False, uneven=0.5)


def likely(pcm: np.ndarray, start: int, stop: int) -> Likely:
    levels = levels_of(pcm)
    return likely_kinds(LAYERS.kinds, levels, pcm, odds_of(levels, pcm, LAYERS), (start, stop))


def in_quiet(sound: np.ndarray) -> tuple[np.ndarray, int, int]:
    """The sound after three quiet seconds, and where it is in levels."""
    rng = np.random.default_rng(0)
    whole = np.concatenate([np.zeros(48_000), 3_000 * sound, np.zeros(16_000)]) + rng.normal(0, 30, len(sound) + 64_000)
    return np.clip(whole, -32_768, 32_767).astype(np.int16), 375, 375 + len(sound) // 128


@pytest.mark.parametrize(("make", "kind"), [(free_spin, Kind.WHINE), (chatter, Kind.CHATTER)])
def test_a_motor_that_turns_nothing_and_a_chatter_are_told_in_quiet(make, kind):
    """Of six each at least four."""
    found = [likely(*in_quiet(make(np.random.default_rng([3, number])))) for number in range(6)]
    assert sum(one.kind is kind for one in found) >= 4


def test_a_starter_that_turns_an_engine_is_neither():
    """Six engines at 12 dB stand, chatter and spin lightly in nobody's view."""
    for number in range(6):
        plan = CrankPlan(cylinders=4, rpm=150.0 + 25 * number, burst_s=4.0)
        scene = make_scene(np.random.default_rng(number), plan=plan, snr_db=12.0, noise="hum")
        found = likely(scene.pcm, round(scene.start_s * 125), round(scene.end_s * 125))
        assert not found.stands_surely
        assert found.told(BURST) == BURST


def test_a_light_engine_is_told_only_where_nothing_else_explains_it():
    """Not over pulses that stand out, not hidden in noise, not one that ran; then its speed is not known."""
    light = Likely(kind=Kind.LIGHT, share=0.9, easy=LIGHT, clear=PULSES_CLEAR, rise_db=LIGHT_RISE_DB)
    told = light.told(BURST)
    assert (told.kind, told.pulse_hz, told.rpm, told.uneven) == (Kind.LIGHT, None, None, None)
    ran = replace(BURST, caught=True)
    assert light.told(ran) is ran
    for doubtful in (
        replace(light, easy=LIGHT - 0.01),
        replace(light, clear=PULSES_CLEAR + 0.01),
        replace(light, rise_db=LIGHT_RISE_DB - 0.1),
        replace(light, kind=Kind.WHINE),
    ):
        assert doubtful.told(BURST) is BURST


def test_blows_that_were_there_before_are_no_chatter_and_an_easy_whine_may_be_a_light_engine():
    """A tool beside the car goes on; a whine is sure enough where it or a light engine is."""
    chatters = Likely(kind=Kind.CHATTER, share=0.95)
    assert chatters.stands_surely
    assert not replace(chatters, blows_before=BLOWS_BEFORE).stands
    assert replace(chatters, blows_before=BLOWS_BEFORE, rise_db=BLOWS_DROWNED_DB).stands
    whine = Likely(kind=Kind.WHINE, share=0.5, easy=EASY)
    assert whine.stands_surely
    assert not replace(whine, easy=EASY - 0.01).stands_surely
    assert not Likely(kind=Kind.OTHER, share=1.0).stands


def test_without_layers_or_sound_before_it_everything_turns_an_engine():
    """As before there were kinds; a description has a number for each trait whatever the stretch."""
    pcm, start, stop = in_quiet(chatter(np.random.default_rng(1)))
    levels = levels_of(pcm)
    assert likely_kinds(None, levels, pcm, odds_of(levels, pcm, LAYERS), (start, stop)).kind is Kind.CRANK
    assert likely(pcm, 0, stop).kind is Kind.CRANK
    assert described(levels, pcm, start, start + 9, 0.0).shape == (WIDTH,)
    assert set(LAYERS.kinds(described(levels, pcm, start, stop, 0.0))) == set(KINDS)
