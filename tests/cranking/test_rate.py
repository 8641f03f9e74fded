"""How often a starter's load pulses, held against libraries, brute force and worked examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import ndimage, signal

from assistant.cranking import rate
from assistant.cranking.levels import BANDS, LEVEL_RATE_HZ
from assistant.cranking.rate import Pulses, comb, comb_at, find_pulses, likeness, rhythm, speed_track, swings
from tests.cranking.test_plain_measures import EVEN, flat, pulsing


def noise(count: int, seed: int = 0, spread: float = 3.0) -> np.ndarray:
    """Levels that hold nothing."""
    return np.random.default_rng(seed).normal(-50, spread, (count, BANDS)).astype(np.float32)


@pytest.mark.parametrize("count", [2, 3, 40, 187, 188, 400])
def test_swings_are_what_is_left_without_the_slow_course(count: int) -> None:
    """Less their mean over 1.5 s, cut off at 10 dB, less that once more. Source: scipy.ndimage.uniform_filter1d."""
    levels = np.random.default_rng(count).uniform(-61, -39, (count, BANDS)).astype(np.float32)
    levels[[0, 1, -2, -1]] = -50.0  # so that nothing drowns the ends, which are held
    width = max(3, min(187, count))
    slow = ndimage.uniform_filter1d(levels.astype(np.float64), width, axis=0, mode="nearest")
    less = np.clip(levels - slow, -10, 10)
    less -= ndimage.uniform_filter1d(less, width, axis=0, mode="nearest")
    assert swings(levels) == pytest.approx(less, abs=1e-3)


@pytest.mark.parametrize(
    ("long", "by_db", "drowned"),
    [(120, 6.3, True), (120, 5.7, False), (20, 12.0, False), (30, 12.0, True), (150, 6.3, True), (280, 6.3, False)],
)
def test_what_is_drowned_by_something_louder_counts_for_nothing(long: int, by_db: float, *, drowned: bool) -> None:
    """By 6 dB for 0.4 s; what is there for most of the time is what is usual."""
    levels = pulsing(12.5, 400, 1.5)
    levels[200 - long // 2 : 200 + long // 2, 3] += by_db
    found = np.abs(swings(levels))
    assert (found[197:203, 3] == 0).all() == drowned and found[197:203, 4].max() > 1.0


def test_the_rhythm_of_a_background_is_its_spectrum_over_the_usual_one() -> None:
    """By pieces of two seconds, a quarter of that apart; one at least. Source: scipy.signal.welch."""
    swing = noise(700, 4) + 50
    swing[:, 2] += 4 * np.cos(2 * np.pi * 5 * np.arange(700) / LEVEL_RATE_HZ)
    about = {"nperseg": 256, "noverlap": 192, "detrend": False, "return_onesided": False, "axis": 0}
    power = signal.welch(swing.astype(np.float64), window=np.hanning(256), **about)[1][:129].T
    wanted = np.maximum(1.0, (power / np.median(power[:, 3:52], axis=1, keepdims=True)).mean(axis=0))
    assert rhythm(swing) == pytest.approx(wanted, rel=1e-5)
    assert np.argmax(rhythm(swing)) == 10  # of 128 up to 62.5 Hz
    assert (rhythm(swing[:255]) == np.ones(129)).all() and (rhythm(swing[:256]) != 1).any()


@pytest.mark.parametrize(("count", "blur"), [(150, 2), (150, 3), (400, 2), (31, 2)])
def test_likeness_is_autocorrelation_of_bands_alone_and_together(count: int, blur: int) -> None:
    """Half each band by its weight and half all together; and as much the third that fits best. By brute force."""
    swing, weights = swings(noise(count, 7)), np.linspace(0.1, 1.0, BANDS)
    quiet = ndimage.uniform_filter1d(swing.astype(np.float64), blur, axis=0, mode="nearest")
    channels = [*quiet.T, quiet @ (weights / weights.sum())]
    longest = min(200, count * 2 // 3)
    alike = np.array(
        [[one[: count - lag] @ one[lag:] / (count - lag) for lag in range(longest + 1)] for one in channels]
    )
    alike /= alike[:, :1] + 0.05
    even = (alike[:-1] * (weights / weights.sum())[:, None]).sum(axis=0) / 2 + alike[-1] / 2
    best = np.sort(alike * np.append(np.sqrt(weights / weights.max()), 1.0)[:, None], axis=0)[-5:].mean(axis=0)
    assert likeness(swing, weights, blur=blur) == pytest.approx((even + best) / 2, abs=1e-4)


def test_a_rhythm_that_was_there_before_is_played_down() -> None:
    """In bands that hardly rose, and the less the more they did."""
    at = np.arange(500) / LEVEL_RATE_HZ
    swing = (
        (3 * np.cos(2 * np.pi * 5 * at) + 3 * np.cos(2 * np.pi * 8 * at))[:, None].repeat(BANDS, 1).astype(np.float32)
    )
    known = np.ones(129)
    known[8:13] = 50.0  # some 5 Hz
    low, high = np.full(BANDS, 0.1), EVEN
    eight, five = round(125 / 8), 25
    assert likeness(swing, low, known)[eight] > likeness(swing, low)[eight] + 0.2
    assert likeness(swing, low, known)[five] < likeness(swing, low)[five]
    assert likeness(swing, high, known) == pytest.approx(likeness(swing, high), abs=1e-4)


def test_the_comb_of_a_plain_wave_is_as_reckoned_by_hand() -> None:
    """A cosine of 5 Hz. At 5 Hz it is 1 after one, two and three periods, -1 in between, and at most cos(0.6 pi) around
    the half. At 10 Hz it is -1, 1 and -1 after these periods, 0 between them, and at most cos(0.3 pi)."""
    curve = np.cos(2 * np.pi * 5 * np.arange(201) / LEVEL_RATE_HZ)
    rates, score, strength = comb(curve, 2.0, 20.0)
    assert rates[0] == pytest.approx(2.0) and np.diff(np.log(rates)) == pytest.approx(0.01)
    assert 19.7 < rates[-1] < 20.0
    for hz, whole, half, between in (
        (5.0, 1.0, -1.0, math.cos(0.6 * math.pi)),
        (10.0, -1 / 3, 0.0, math.cos(0.3 * math.pi)),
        (2.5, 1.0, 1.0, 1.0),  # all of them whole periods of its own
    ):
        at = np.array([np.interp(np.log(hz), np.log(rates), one) for one in (strength, score)])
        wanted = whole, whole - 0.4 * between - 0.4 * half + 0.09 * math.log(hz)
        assert at == pytest.approx(wanted, abs=0.012)


def test_periods_longer_than_the_curve_are_not_looked_for() -> None:
    """A tenth more than a period must be heard; of two and three periods those that are."""
    curve = np.cos(2 * np.pi * 5 * np.arange(61) / LEVEL_RATE_HZ)
    rates, _, strength = comb(curve, 1.0, 20.0)
    assert rates[0] == pytest.approx(1.1 * 125 / 60, rel=0.011)
    assert np.interp(5.0, rates, strength) == pytest.approx(1.0, abs=0.01)  # after one period and two
    assert [len(one) for one in comb(curve[:5], 1.0, 20.0)] == [0, 0, 0]


@pytest.mark.parametrize("hz", [5.0, 4.7, 5.35, 5.8, 10.0, 2.5])
def test_the_likeness_at_a_rate_allows_for_drift(hz: float) -> None:
    """Half of what it is after one period less what it is after half of one, best within 8 %, by steps of 2 %."""
    curve = np.cos(2 * np.pi * 5 * np.arange(201) / LEVEL_RATE_HZ)
    near = 2 * math.pi * 5 / (hz * np.array([0.92, 0.94, 0.96, 0.98, 1.0, 1.02, 1.04, 1.06, 1.08]))
    assert comb_at(curve, hz) == pytest.approx(float((np.cos(near) - np.cos(near / 2)).max()) / 2, abs=0.01)


@pytest.mark.parametrize("hz", [2.0, 5.9, 6.15, 12.1])
def test_a_rate_is_refined_to_where_the_swings_add_up_best(hz: float) -> None:
    """From a guess 2 % off, to a part in five hundred; over pieces of four seconds by how plain each is."""
    swing = swings(pulsing(hz, 1000))
    assert rate._refine(swing, EVEN, hz * 1.02) == pytest.approx(hz, rel=2e-3)
    two = np.concatenate([pulsing(6.0, 500, 4.0), pulsing(6.3, 500, 0.5)])
    assert rate._refine(swings(two), EVEN, 6.1) == pytest.approx(6.0, abs=0.03)


def found(
    monkeypatch: pytest.MonkeyPatch, *scores: tuple[float, float], holds: int = 1, cylinders: int | None = None
) -> Pulses:
    """The pulses where the comb gives these rates and scores. `holds`: how many a period that may be a cycle has."""
    rates, score = (np.array(one) for one in zip(*scores, strict=True))
    monkeypatch.setattr(rate, "comb", lambda *_: (rates, score, score / 2))
    monkeypatch.setattr(rate, "_refine", lambda _swing, _weights, hz: hz)
    monkeypatch.setattr(rate, "_pulses_in", lambda *_: holds)
    pulses = find_pulses(flat(200), EVEN, cylinders=cylinders)
    assert pulses is not None
    return pulses


def test_the_clearest_rate_stands_against_its_rivals(monkeypatch: pytest.MonkeyPatch) -> None:
    """Those that lie more than 15 % away; a rate quicker than any starter's must be better by a tenth."""
    assert found(monkeypatch, (5.0, 0.4), (8.0, 0.9), (9.2, 0.8)) == Pulses(hz=8.0, strength=0.45, clear=0.5)
    assert found(monkeypatch, (5.0, 0.4), (8.0, 0.9), (9.4, 0.8)).clear == pytest.approx(0.1)
    assert found(monkeypatch, (8.0, 0.9)).clear == pytest.approx(0.9)
    assert found(monkeypatch, (8.0, 0.7), (27.0, 0.79)) == Pulses(hz=8.0, strength=0.35, clear=pytest.approx(0.01))
    quick = found(monkeypatch, (8.0, 0.7), (27.0, 0.81))
    assert quick == Pulses(hz=27.0, strength=pytest.approx(0.405), clear=pytest.approx(0.01))
    assert found(monkeypatch, (8.0, 0.7), (26.0, 0.75)).hz == 26.0


def test_a_rate_as_slow_as_a_working_cycle_may_hold_several(monkeypatch: pytest.MonkeyPatch) -> None:
    """Below 3.6 a second: two turns at 420 rpm are 3.5."""
    assert found(monkeypatch, (3.5, 0.9), holds=4).hz == 14.0 and found(monkeypatch, (3.6, 0.9), holds=4).hz == 3.6


@pytest.mark.parametrize(
    ("told", "cylinders", "holds"),
    [
        ({1: 1.0}, None, 1),
        ({1: 1.0, 4: 1.11}, None, 4),
        ({1: 1.0, 4: 1.09}, None, 1),
        ({1: 0.5, 2: 1.0, 4: 1.09}, None, 1),
        ({1: 0.5, 2: 1.0, 4: 1.11}, None, 4),
        ({1: 0.5, 2: 1.0}, None, 1),
        ({1: 0.5, 3: 1.0}, None, 3),
        ({1: 0.5, 8: 1.0}, None, 8),
        ({1: 0.5, 3: 1.0, 4: 0.9}, None, 3),
        ({1: 1.0, 4: 0.71}, 4, 4),
        ({1: 1.0, 4: 0.69}, 4, 1),
        ({1: 0.5, 3: 1.0, 4: 0.71}, 4, 4),
        ({1: 0.5, 3: 1.0, 4: 0.69}, 4, 3),
        ({1: 1.0, 3: 0.8}, 3, 3),
        ({1: 1.0, 2: 0.9}, 2, 1),
        ({1: 1.0, 8: 0.8}, 8, 8),
    ],
)
def test_a_cycle_holds_as_many_pulses_as_stand_out_in_it(
    monkeypatch: pytest.MonkeyPatch, told: dict[int, float], cylinders: int | None, holds: int
) -> None:
    """Three at least, and plainer by a tenth than one or two; 70 % of the plainest where that is the engine told."""
    pieces = list[int]()

    def power(waves: np.ndarray, piece: np.ndarray) -> np.ndarray:
        pieces.append(len(piece))
        return np.full((13, BANDS), told.get(round(float(waves.max())), 0.0))

    monkeypatch.setattr(rate, "_waves_at", lambda rates, time: np.full((13, len(time)), rates.mean() / 2.0))
    monkeypatch.setattr(rate, "_power", power)
    assert rate._pulses_in(np.zeros((1179, BANDS), np.float32), EVEN, 2.0, cylinders) == holds
    assert pieces == [590] * 8 + [589] * 8  # of some four seconds


def test_waves_are_those_of_their_rates() -> None:
    """Each by itself, whatever the rate before it; and how strongly they are in a band is the square of their sum."""
    time, rates = np.arange(300) / LEVEL_RATE_HZ, np.linspace(5.0, 6.0, 11)
    waves = rate._waves_at(rates, time)
    assert waves == pytest.approx(np.exp(-2j * np.pi * rates[:, None] * time), abs=1e-9)
    piece = noise(300, 9)
    assert rate._power(waves, piece) == pytest.approx(np.abs(waves @ piece.astype(np.float64)) ** 2, rel=1e-9)


def test_a_stretch_shorter_than_a_piece_has_one_speed() -> None:
    """Five pulses, a second at least; in the midst of it."""
    at, hz = speed_track(pulsing(6.0, 100), 6.0)
    assert at.tolist() == [50.0] and hz == pytest.approx(6.0, abs=0.1)
    at, _ = speed_track(pulsing(6.0, 156), 6.0)
    assert at.tolist() == [62.5, 93.5]
