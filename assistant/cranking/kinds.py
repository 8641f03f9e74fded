"""Small nets that tell what a stretch of raised sound was, from its description: a starter that turns the engine, one
that cannot, or something else.

They stand apart from the layers that find starters: those know the engine's swell and fade, these ask whether there is
one at all, or only the steady tone of a motor that turns nothing, the blows of a solenoid, or a tool.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.model import Kind

KINDS = (Kind.CRANK, Kind.LIGHT, Kind.WHINE, Kind.CHATTER, Kind.CLUNK, Kind.OTHER)
"""In the order of the layers."""

MOST_SPREADS = 5.0
"""What lies further from the mean says no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KindLayers:
    """Small nets side by side, from a description to how likely each of `KINDS` is. (width,), (width,),
    (n, width, hidden), (n, hidden), (n, hidden, kinds), (n, kinds)."""

    mean: NDArray[np.float32]
    spread: NDArray[np.float32]
    first: NDArray[np.float32]
    first_bias: NDArray[np.float32]
    second: NDArray[np.float32]
    second_bias: NDArray[np.float32]

    def __call__(self, described: NDArray[np.float32]) -> NDArray[np.float32]:
        """How likely each kind is, (kinds,): the mean of what the nets say."""
        given = np.clip((described - self.mean) / self.spread, -MOST_SPREADS, MOST_SPREADS)
        within = np.tanh(np.einsum("t,nth->nh", given, self.first) + self.first_bias)
        scores = np.einsum("nh,nhk->nk", within, self.second) + self.second_bias
        odds = np.exp(scores - scores.max(axis=1, keepdims=True))
        return np.asarray((odds / odds.sum(axis=1, keepdims=True)).mean(axis=0), dtype=np.float32)
