"""What a moment is like, held against brute force; what it was learnt from is held in `test_learnt_from`."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking import firing, traits
from assistant.cranking.layers import StarterLayers
from assistant.cranking.levels import BANDS
from assistant.cranking.traits import LONG, LONG_HOP, STEP, Moments, _averages, _likeness, _ranks, traits_around


def after(values: np.ndarray, lag: int) -> float:
    """How alike they are to themselves so much later."""
    return float(values[: len(values) - lag] @ values[lag:])


@pytest.mark.parametrize(("size", "window"), [(288, 192), (600, 512)])
def test_likeness_is_autocorrelation_with_the_taper_s_own_taken_out(size: int, window: int) -> None:
    """Against that at no lag, and a little more, so that silence is like nothing."""
    traits._taper.cache_clear()
    traits._waves.cache_clear()
    taper = np.hanning(window + 2)[1:-1]
    part = (np.random.default_rng(1).normal(size=(3, window)) * taper).astype(np.float32)
    lags = np.array([1.0, 5.0, 31.0, 80.0])
    own = [after(taper, int(lag)) / after(taper, 0) for lag in lags]
    for least in (0.5, 1e-3):
        found = _likeness(part, size, window, lags, least)
        for one, told in zip(part.astype(np.float64), found, strict=True):
            whole = after(one, 0) + least * after(taper, 0)
            assert told == pytest.approx(
                [after(one, int(lag)) / whole / share for lag, share in zip(lags, own, strict=True)], abs=1e-4
            )


def test_the_taper_of_beats_is_taken_out_too() -> None:
    """The autocorrelation of a Hann window, turned over."""
    firing._taper.cache_clear()
    taper = np.hanning(512)
    assert firing._taper() == pytest.approx([after(taper, 0) / after(taper, lag) for lag in range(200)], rel=1e-6)


def test_means_over_spans_hold_the_ends() -> None:
    """What lies beyond an end is like that end."""
    values = np.random.default_rng(2).normal(size=(30, 2))
    spans = ((-7, -3), (0, 1), (2, 9))
    for first in (0, 12):
        found = _averages(values.astype(np.float32), spans, first)
        assert found.shape == (30 - first, 3, 2)
        for at, row in enumerate(found, first):
            for (begin, end), told in zip(spans, row, strict=True):
                near = values[np.clip(np.arange(at + begin, at + end), 0, 29)]
                assert told == pytest.approx(near.mean(axis=0), abs=1e-5)


def test_the_usual_levels_are_those_of_each_fifth_step_around() -> None:
    """The tenth, the half and nine tenths of those within twelve seconds on either side, as far as heard."""
    means = np.random.default_rng(3).normal(size=(420, BANDS)).astype(np.float32)
    for first in (0, 207):
        found = _ranks(means, first)
        assert found.shape == (420 - first, 3, BANDS)
        for at in (first, first + 3, 300, 419):
            here = at - at % LONG_HOP
            near = np.sort(means[max(0, here - LONG) : here + LONG + 1 : LONG_HOP], axis=0)
            places = [int(share * (len(near) - 1) + 0.5) for share in (0.1, 0.5, 0.9)]
            assert found[at - first] == pytest.approx(near[places])


def test_a_step_knows_how_much_is_heard_before_and_after_it() -> None:
    """Up to two seconds, as shares of that; what went before and is not kept counts."""
    moments = Moments(
        means=np.zeros((40, BANDS)), dips=np.zeros((40, 1)), pulses=np.zeros((40, 64)), beats=np.zeros((40, 24))
    )
    for heard in (0, 10):
        ends = traits_around(moments, 5, heard=heard)[:, -2:]
        wanted = [(min(heard + at, 25) / 25, min(39 - at, 25) / 25) for at in range(5, 40)]
        assert ends == pytest.approx(np.array(wanted), abs=1e-6)
    assert traits_around(moments, 40).shape == (0, traits.TRAITS) and STEP == 10


def test_the_layers_tell_the_mean_of_what_their_trainings_say() -> None:
    """Two hidden layers, cut off below nothing; the log-odds of all trainings averaged. By brute force."""
    rng = np.random.default_rng(4)
    shapes = (5,), (5,), (5, 4), (4,), (4, 3), (3,), (3, 3), (3,)
    names = ("mean", "spread", "first", "first_bias", "second", "second_bias", "third", "third_bias")
    parts = {name: rng.normal(size=(2, *shape)).astype(np.float32) for name, shape in zip(names, shapes, strict=True)}
    parts["spread"] = np.abs(parts["spread"]) + 0.5
    given = rng.normal(size=(6, 5)).astype(np.float32)
    logs = []
    for n in range(2):
        one = {name: part[n].astype(np.float64) for name, part in parts.items()}
        within = np.maximum((given - one["mean"]) / one["spread"] @ one["first"] + one["first_bias"], 0)
        scores = np.maximum(within @ one["second"] + one["second_bias"], 0) @ one["third"] + one["third_bias"]
        logs.append(np.log(np.exp(scores) / np.exp(scores).sum(axis=1, keepdims=True)))
    mean = np.mean(logs, axis=0)
    wanted = np.log(np.exp(mean) / np.exp(mean).sum(axis=1, keepdims=True))
    assert StarterLayers(**parts)(given) == pytest.approx(wanted, abs=1e-4)
