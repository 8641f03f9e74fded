"""The third maker makes what it says, and what is told of it is held against that."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.bench.crank_third import Attempt, draw_engine, make_third, turn
from assistant.bench.crank_third_live import told_as
from assistant.bench.crank_third_place import NO_STARTER
from assistant.bench.crank_variant import make_variant
from assistant.language.model import BurstHeard, StarterClicked


@pytest.mark.parametrize("attempt", list(Attempt))
def test_each_attempt_has_its_truth(attempt):
    """Sound before and after, an end after the beginning, and a pulse rate only where an engine turns."""
    scene = make_third(np.random.default_rng(2), attempt=attempt, snr_db=12.0)
    assert 0 < scene.start_s < scene.end_s < len(scene.pcm) / 16_000
    turns = attempt in (Attempt.TURNS, Attempt.UNEVEN, Attempt.LIGHT)
    assert (scene.pulse_hz > 0) is turns
    assert scene.caught is (scene.run_s is not None)
    assert scene.pcm.dtype == np.int16 and scene.pcm.any()


@pytest.mark.parametrize("make", [make_third, make_variant])
def test_an_engine_fires_before_it_takes_over(make):
    """By a second and a half at most; what does not catch does not fire."""
    scenes = [make(np.random.default_rng([61301, number])) for number in (1, 2, 13, 16)]
    assert {one.caught for one in scenes} == {True, False}
    for one in scenes:
        assert one.fires_s is None if not one.caught else one.end_s - 1.5 < one.fires_s < one.end_s


def test_compression_slows_the_crankshaft_and_none_does_not():
    """The speed swings by more than a tenth between compressions; without them it hardly swings."""
    swings = {}
    for attempt in (Attempt.TURNS, Attempt.LIGHT):
        rng = np.random.default_rng(1)
        course = turn(draw_engine(rng, attempt), 2.0, None, 2.0, rng)
        steady = course.speed[2_000:3_900]
        swings[attempt] = (steady.max() - steady.min()) / steady.mean()
    assert swings[Attempt.TURNS] > 0.1
    assert swings[Attempt.LIGHT] < 0.05


@pytest.mark.parametrize("name", list(NO_STARTER))
def test_every_sound_that_is_no_starter_sounds(name):
    """Three seconds of it, as loud as the others."""
    sound = NO_STARTER[name](48_000, np.random.default_rng(3))
    assert sound.shape == (48_000,)
    assert np.sqrt(np.mean(sound**2)) == pytest.approx(1.0, abs=0.01)


def test_what_was_told_is_held_against_the_attempt():
    """Right, as something else, or not at all; a click has an event of its own."""
    scene = make_third(np.random.default_rng(2), attempt=Attempt.FREE, snr_db=12.0)
    seconds = scene.end_s - scene.start_s

    def told(kind, caught=False, confidence=1.0):
        heard = BurstHeard(seconds=seconds, caught=caught, ago_s=1.0, kind=kind, confidence=confidence)
        return [(scene.end_s + 1, heard)]

    assert told_as(Attempt.FREE, scene, told("whine")) == "right"
    assert told_as(Attempt.FREE, scene, told("whine", confidence=0.6)) == "right, asked first"
    assert told_as(Attempt.FREE, scene, told("crank", caught=True)) == "told as crank that caught"
    assert told_as(Attempt.FREE, scene, []) == "not told"
    assert told_as(Attempt.CLICK, scene, [(scene.end_s, StarterClicked())]) == "right"
    assert told_as(Attempt.CHATTER, scene, [(scene.end_s, StarterClicked())]) == "told as a click"
