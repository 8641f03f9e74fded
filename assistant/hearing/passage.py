"""A stretch of sound as a network that writes text hears it, and the log-probabilities of what it would write."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]


class Passage(Protocol):
    """One stretch of sound, ready to be written down by the network, several hypotheses at a time."""

    def begin(self) -> Floats:
        """Logits of the first token: (1, tokens)."""

    def step(self, parents: NDArray[np.int64], tokens: NDArray[np.int64]) -> Floats:
        """Logits after each of `tokens` was added to the row `parents` of the last call: (rows, tokens)."""

    def phones(self) -> Floats:
        """By ear, how far each phone is likelier than usual at each step of the sound: (ears, steps, 40)."""

    def spoken(self, sentences: Sequence[tuple[int, ...]]) -> list[float]:
        """Log-probability of each whole sentence of tokens, its end included."""

    def again(self) -> Passage:
        """The same sound, heard a second time in another way."""


def log_softmax(logits: Floats) -> Floats:
    """Log-probabilities of each row."""
    logs: Floats = logits - log_sums(logits)[:, None]
    return logs


def log_sums(logits: Floats) -> Floats:
    """What is taken off the logits of each row to make them log-probabilities.

    Row by row: a row fits the processor's cache, all of them together do not, and take three times as long.
    """
    found = np.empty(len(logits), np.float32)
    for number, row in enumerate(logits):
        top = row.max()
        found[number] = top + np.log(np.exp(row - top).sum())
    return found
