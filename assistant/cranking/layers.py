"""The trained layers of the ear: from the traits of each moment to what goes on in it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.kinds import KindLayers
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
    (n, second, 3), (n, 3). `kinds`: what tells a starter that turns an
    engine from one that cannot; None: all turn one. `one_core`: while it lasts, array sums stay on one core; a stream
    asks for sums so small that cores wait for each other longer than they work.
    """

    mean: Floats
    spread: Floats
    first: Floats
    first_bias: Floats
    second: Floats
    second_bias: Floats
    third: Floats
    third_bias: Floats
    kinds: KindLayers | None = None
    one_core: Callable[[], AbstractContextManager[object]] = nullcontext
    _wide: Floats = field(init=False, repr=False)
    _wide_bias: Floats = field(init=False, repr=False)

    def __post_init__(self) -> None:
        # The first layers of all trainings as one, mean and spread within: a stream asks for a few steps at a time.
        scaled = self.first / self.spread[:, :, None].astype(np.float64)
        bias = self.first_bias - np.einsum("nt,ntf->nf", self.mean, scaled)
        object.__setattr__(self, "_wide", np.hstack(list(scaled)).astype(np.float32))
        object.__setattr__(self, "_wide_bias", bias.reshape(-1).astype(np.float32))

    def __call__(self, traits: Traits) -> Odds:
        """What goes on in each step, (steps, TRAITS) -> (steps, 3): the mean of what the trainings say."""
        steps, trainings = len(traits), len(self.mean)
        within = (
            np.maximum(traits @ self._wide + self._wide_bias, 0)
            .reshape(steps, trainings, self.first.shape[2])
            .swapaxes(0, 1)
        )
        within = np.maximum(within @ self.second + self.second_bias[:, None], 0)
        each = _logs(within @ self.third + self.third_bias[:, None])
        return _logs(each.mean(axis=0, dtype=np.float32))


def _logs(scores: Floats) -> Odds:
    top = scores.max(axis=-1, keepdims=True)
    logs: Odds = scores - top - np.log(np.exp(scores - top).sum(axis=-1, keepdims=True))
    return logs
