"""The made-up noises are what they say: their level, and the one trait by which each is told from the others."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking.scenes import draw_plan, make_scene
from assistant.cranking.shop_noise import (
    NOISES,
    compressor,
    hum,
    idling_engine,
    impact_wrench,
    microphone,
    music,
    room,
    talk,
)
from assistant.cranking.synthetic import RATE_HZ, CrankPlan, crank, free_whine

SEEDS = range(6)


def loudness_db(sound: np.ndarray, each_s: float = 0.02) -> np.ndarray:
    """Of each piece, against the whole."""
    frames = int(each_s * RATE_HZ)
    pieces = sound[: len(sound) // frames * frames].reshape(-1, frames)
    return 10 * np.log10((pieces**2).mean(axis=1) / (sound**2).mean() + 1e-12)


def beat_hz(sound: np.ndarray, low_hz: float, high_hz: float) -> tuple[float, float]:
    """The strongest rhythm of the loudness between two rates, and by how much it stands out."""
    height = loudness_db(sound, 0.005)
    power = np.abs(np.fft.rfft((height - height.mean()) * np.hanning(len(height)))) ** 2
    hz = np.fft.rfftfreq(len(height), 0.005)
    inside = (hz >= low_hz) & (hz <= high_hz)
    best = int(np.argmax(np.where(inside, power, 0)))
    return float(hz[best]), float(power[best] / np.median(power[inside]))


def share_between(sound: np.ndarray, low_hz: float, high_hz: float) -> float:
    """Of its power."""
    power = np.abs(np.fft.rfft(sound)) ** 2
    hz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    return float(power[(hz >= low_hz) & (hz < high_hz)].sum() / power.sum())


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("kind", NOISES)
def test_each_has_its_length_and_power_one(kind, seed) -> None:
    """So that a scene's ratio means the same whatever the noise; the same chance makes the same sound."""
    made = NOISES[kind](3.0, np.random.default_rng(seed))
    assert len(made) == 3 * RATE_HZ and np.isfinite(made).all()
    assert np.mean(made**2) == pytest.approx(1.0)
    assert (made == NOISES[kind](3.0, np.random.default_rng(seed))).all()


@pytest.mark.parametrize("seed", SEEDS)
def test_a_hum_is_steady_and_low(seed) -> None:
    """Each fifth of a second is as loud as the others, and its lower half has most of the power."""
    made = hum(4.0, np.random.default_rng(seed))
    assert np.ptp(loudness_db(made, 0.2)) < 6.0
    assert share_between(made, 0, 4_000) > 0.6


@pytest.mark.parametrize("seed", SEEDS)
def test_a_compressor_knocks_evenly(seed) -> None:
    """8 to 25 times a second, and hums at the mains' 50 Hz."""
    made = compressor(6.0, np.random.default_rng(seed))
    hz, stands_out = beat_hz(made, 7.5, 26.0)
    assert 8.0 <= hz <= 25.5 and stands_out > 30.0
    assert share_between(made, 48, 52) > share_between(made, 60, 64)


@pytest.mark.parametrize("seed", SEEDS)
def test_an_impact_wrench_rattles_between_pauses(seed) -> None:
    """Loud for a while, then nearly silent."""
    height = loudness_db(impact_wrench(12.0, np.random.default_rng(seed)), 0.1)
    assert np.mean(height > -8) > 0.15 and np.mean(height < -15) > 0.1
    changes = np.flatnonzero(np.diff((height > -12).astype(int)))
    assert len(changes) >= 2 and np.diff(changes).max() <= 50  # neither lasts longer than 4 s and a bit


@pytest.mark.parametrize("seed", SEEDS)
def test_an_idling_engine_fires_as_it_turns(seed) -> None:
    """600 to 1000 rpm with 3 to 8 cylinders fire 15 to 67 times a second, or a part of that where one is weak."""
    hz, stands_out = beat_hz(idling_engine(6.0, np.random.default_rng(seed)), 4.0, 70.0)
    assert 4.5 <= hz <= 69.0 and stands_out > 30.0


@pytest.mark.parametrize("seed", SEEDS)
def test_talk_has_syllables_and_pauses(seed) -> None:
    """It is loud in most moments, silent in some, and has no steady beat."""
    made = talk(8.0, np.random.default_rng(seed))
    height = loudness_db(made, 0.05)
    assert np.mean(height > -12) > 0.4
    assert np.mean(height < -25) > 0.02


@pytest.mark.parametrize("seed", SEEDS)
def test_music_keeps_its_beat(seed) -> None:
    """80 to 160 a minute with eighths: 2.7 to 5.4 onsets a second, or their half or double."""
    hz, stands_out = beat_hz(music(12.0, np.random.default_rng(seed)), 1.0, 12.0)
    rate = hz
    while rate > 1.35:
        rate /= 2
    assert 0.6 < rate <= 1.35 and stands_out > 20.0


@pytest.mark.parametrize("seed", SEEDS)
def test_a_room_adds_an_echo_and_takes_nothing_away(seed) -> None:
    """The first sample stays what it was; what follows dies down within 0.8 s."""
    click = np.zeros(RATE_HZ)
    click[100] = 1.0
    made = room(click, np.random.default_rng(seed))
    assert len(made) == len(click)
    assert np.abs(made[:100]).max() < 1e-9 and abs(made[100] - 1.0) < 0.5
    early, late = np.sum(made[101:4_000] ** 2), np.sum(made[13_500:] ** 2)
    assert 0.001 < early < 1.0 and late < early / 100


@pytest.mark.parametrize("seed", range(12))
def test_a_microphone_hands_over_whole_numbers_in_its_range(seed) -> None:
    """Without rumble; as loud as asked for, and clipped where that is more than there is."""
    rng = np.random.default_rng(seed)
    sound = rng.normal(size=2 * RATE_HZ) + 5 * np.sin(2 * np.pi * 5 * np.arange(2 * RATE_HZ) / RATE_HZ)
    soft = microphone(sound, np.random.default_rng(seed), level=0.1)
    assert soft.dtype == np.int16
    assert np.quantile(np.abs(soft), 0.999) == pytest.approx(3_277, rel=0.01)
    assert share_between(soft.astype(float), 0, 20) < 0.05
    loud = microphone(sound, np.random.default_rng(seed), level=4.0)
    assert loud.max() == 32_767 and loud.min() == -32_768


def test_plans_are_drawn_from_the_whole_range() -> None:
    """Of 300 attempts: all numbers of cylinders, slow and quick, some that catch, some weak, some that fire."""
    plans = [draw_plan(np.random.default_rng(seed)) for seed in range(300)]
    assert {plan.cylinders for plan in plans} == {3, 4, 5, 6, 8}
    speeds = [plan.rpm for plan in plans]
    assert 60 <= min(speeds) < 80 and 330 < max(speeds) <= 350
    assert min(plan.burst_s for plan in plans) >= 1 and max(plan.burst_s for plan in plans) <= 15
    assert 0.25 < np.mean([plan.run_s is not None for plan in plans]) < 0.45
    assert 0.1 < np.mean([plan.weak is not None for plan in plans]) < 0.3
    assert all(plan.weak is None or 0 <= plan.weak < plan.cylinders for plan in plans)
    assert {plan.firings for plan in plans} == {0, 1, 2, 3}
    assert {plan.dies for plan in plans} == {True, False}


@pytest.mark.parametrize("seed", range(8))
def test_a_scene_is_as_loud_against_its_noise_as_asked_for(seed) -> None:
    """The truth fits the sound: it is no longer than what is told of it, and the burst rises where it is said to."""
    scene = make_scene(np.random.default_rng(seed), snr_db=15.0, noise="hum")
    assert 1.0 <= scene.start_s <= 5.0 and scene.start_s < scene.end_s <= len(scene.pcm) / RATE_HZ
    assert (scene.run_s is None) == (not scene.caught)
    sound = scene.pcm.astype(float)
    start, end = int(scene.start_s * RATE_HZ), int(scene.end_s * RATE_HZ)
    burst, before = np.mean(sound[start:end] ** 2), np.mean(sound[: start - 1_600] ** 2)
    assert 10 * np.log10(burst / before) > 3.0


def test_single_firings_are_bangs_within_the_burst() -> None:
    """Three of them are louder than anything that the starter does by itself."""
    quiet = crank(CrankPlan(cylinders=4, rpm=200, burst_s=4.0), np.random.default_rng(8))
    firing = crank(CrankPlan(cylinders=4, rpm=200, burst_s=4.0, firings=3), np.random.default_rng(8))
    crest = [np.abs(made.samples).max() / np.sqrt(np.mean(made.samples**2)) for made in (quiet, firing)]
    assert crest[1] > crest[0]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_starter_that_spins_free_runs_up_and_holds_its_pitch(seed) -> None:
    """No pulses; half its power is one tone and its multiples."""
    made = free_whine(3.0, np.random.default_rng(seed))
    assert len(made) == 3 * RATE_HZ and np.mean(made**2) == pytest.approx(1.0)
    assert np.ptp(loudness_db(made[RATE_HZ:], 0.25)) < 3.0
    power = np.abs(np.fft.rfft(made[RATE_HZ:] * np.hanning(2 * RATE_HZ))) ** 2
    assert np.sort(power)[-120:].sum() / power.sum() > 0.35
