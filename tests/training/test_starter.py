"""The training of the ear for the starter, in small."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.cranking.layers import STARTER, StarterLayers
from assistant.cranking.traits import TRAITS
from assistant.training.crank_practice import make_practice
from assistant.training.crank_practice_noise import made_up
from assistant.training.starter_training import example_of, pieces_of, train


def test_a_scene_to_learn_from_says_what_goes_on_in_each_step():
    """As many parts as steps; where a burst is laid, the starter turns; pieces of it are learnt from, too."""
    made = next(one for seed in range(20) if (one := make_practice(np.random.default_rng([1, seed]), made_up())).bursts)
    traits, parts = example_of(made)
    first, stop = made.bursts[0]
    assert traits.shape == (len(parts), TRAITS)
    assert parts[(first + stop) // 2 // 1280] == STARTER
    assert np.isfinite(traits).all()
    assert all(len(piece.pcm) == len(piece.parts) for piece in pieces_of(made, np.random.default_rng(0)))


@pytest.mark.parametrize("kind", sorted(made_up()))
def test_every_noise_is_sound_of_the_length_asked_for(kind):
    """No noise is silent, broken, or of another length."""
    sound = made_up()[kind][0](40_000, np.random.default_rng(3))
    assert sound.shape == (40_000,)
    assert np.isfinite(sound).all()
    assert np.abs(sound).max() > 0


def test_the_layers_learn_what_tells_the_parts_apart():
    """Three kinds of traits that differ a little in some numbers are told apart after a few rounds."""
    rng = np.random.default_rng(0)
    parts = rng.integers(0, 3, 3_000)
    traits = rng.normal(size=(3_000, TRAITS)).astype(np.float32)
    traits[:, :40] += parts[:, None]
    layers = train(traits.astype(np.float16), parts, hidden=16, rounds=30, seed=0, tell=lambda _: None)
    odds = StarterLayers(**{name: value[None] for name, value in layers.items()})(traits)
    assert (odds.argmax(axis=1) == parts).mean() > 0.9
