"""The trained layers of the ear: from the traits of each moment to what goes on in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.traits import Traits

Floats = NDArray[np.float32]

Odds = NDArray[np.float32]
"""Log-probability of each part (elsewhere, starter, engine) in each step, (steps, 3)."""

ELSE, STARTER, ENGINE = 0, 1, 2
"""Columns of `Odds`: neither, the starter turns the engine, the engine runs after it."""

PARTS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class StarterLayers:
    """Layers of several trainings side by side, which together are surer than each.

    By their shapes: (n, traits), (n, traits), (n, traits, first), (n, first), (n, first, second), (n, second),
    (n, second, 3), (n, 3).
    """

    mean: Floats
    spread: Floats
    first: Floats
    first_bias: Floats
    second: Floats
    second_bias: Floats
    third: Floats
    third_bias: Floats

    def __call__(self, traits: Traits) -> Odds:
        """What goes on in each step, (steps, TRAITS) -> (steps, 3): the mean of what the trainings say."""
        return _logs(np.mean([self._one(traits, at) for at in range(len(self.mean))], axis=0, dtype=np.float32))

    def _one(self, traits: Traits, at: int) -> Odds:
        within = np.maximum((traits - self.mean[at]) / self.spread[at] @ self.first[at] + self.first_bias[at], 0)
        within = np.maximum(within @ self.second[at] + self.second_bias[at], 0)
        return _logs(within @ self.third[at] + self.third_bias[at])


def _logs(scores: Floats) -> Odds:
    top = scores.max(axis=1, keepdims=True) if len(scores) else scores
    logs: Odds = scores - top - np.log(np.exp(scores - top).sum(axis=1, keepdims=True))
    return logs
