"""Adam: how the small layers of the benches' trainings are moved. Source: Kingma and Ba 2015, algorithm 1."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

KEPT = 0.9
"""Share of the mean slope that each step keeps."""

LEAST = 1e-8

Value = TypeVar("Value", bound=NDArray[np.floating[Any]])


class Adam(Generic[Value]):
    """Moves `values`, where they lie, against their slopes; each keeps its own precision.

    `kept_square`: share of the mean squared slope that each step keeps. `decay`: pull to nought of each value, in
    shares of the rate; none where it is left out.
    """

    def __init__(self, values: Sequence[Value], *, kept_square: float, decay: Sequence[float] = ()) -> None:
        self.values = list(values)
        self.steps = 0
        self._kept_square = kept_square
        self._decay = decay or [0.0] * len(self.values)
        self._mean: list[Any] = [np.zeros_like(value) for value in self.values]
        self._square: list[Any] = [np.zeros_like(value) for value in self.values]

    def move(self, slopes: Sequence[Value], rate: float) -> None:
        """One step down these slopes, one for each value."""
        self.steps += 1
        for place, (value, slope) in enumerate(zip(self.values, slopes, strict=True)):
            self._mean[place] = KEPT * self._mean[place] + (1 - KEPT) * slope
            self._square[place] = self._kept_square * self._square[place] + (1 - self._kept_square) * slope**2
            mean = self._mean[place] / (1 - KEPT**self.steps)
            spread = np.sqrt(self._square[place] / (1 - self._kept_square**self.steps)) + LEAST
            moved = rate * (mean / spread + self._decay[place] * value)
            np.subtract(value, moved.astype(value.dtype), out=value)
