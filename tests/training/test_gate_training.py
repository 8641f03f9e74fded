"""How the gate is trained."""

from __future__ import annotations

import numpy as np

from assistant.hearing.gate import TRAITS
from assistant.training.gate_training import Lesson, trained


def test_layers_learn_to_tell_what_can_be_told() -> None:
    """Speech where the first trait is positive."""
    random = np.random.default_rng(4)
    traits = random.standard_normal((4_000, TRAITS))
    speech = (traits[:, 0] > 0).astype(float)
    layers = trained([Lesson(traits=traits, speech=speech, counts=np.ones(4_000))], seed=0)
    sure = [layers(each) > 0.5 for each in traits[:400]]
    assert np.mean(np.array(sure) == (speech[:400] > 0)) > 0.9
