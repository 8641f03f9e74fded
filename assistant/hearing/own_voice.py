"""One person's voice, learnt from a minute of reading: a correction of the last of the phone layers.

What the inner layers make of the sound stays; the last layer is moved, as far as the read words ask for and a strong
pull back to the shipped layers allows. Little sound can move little.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from assistant.hearing.alignment import alignment_loss
from assistant.hearing.correction import Correction
from assistant.hearing.phones import PhoneEar, Reading, fits

Floats = NDArray[np.float32]

PULL = 3.0
"""Nats that a change of the weights costs, times the sum of its squares. Source: single digits of three recorded
people, 40 learnt from and 120 held out each: 3, 0.3 and 0.03 are right alike for two of them, 3 best for the third."""

ROUNDS = 60
"""Of the fit."""

MISREAD = -3.0
"""Nats a phone by which read words may fall short of the best phones of their sound; below, something else was read.
Source: judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """What somebody read: `hidden`, as the network's encoder gives it, (steps, 288), and ways to say the words."""

    hidden: Floats
    readings: Sequence[Reading]


def well_read(ears: Sequence[PhoneEar], read: Read) -> bool:
    """Whether the words are those in the sound, as far as the shipped ears can tell."""
    sound = np.stack([ear(read.hidden) for ear in ears])
    phones = min(map(len, read.readings), default=0)
    return phones > 0 and fits(sound, [read.readings])[0] >= MISREAD * phones


def learnt(ear: PhoneEar, read: Sequence[Read], *, pull: float = PULL) -> Correction:
    """The correction that makes what was read likelier, no further than the pull allows. Of each of the read, the
    reading counts that fits best before."""
    within = [ear.inner(each.hidden) for each in read]
    chosen = [_best(ear, each) for each in read]
    weight, bias = ear.weights[-1], ear.biases[-1]
    lengths = np.array([len(each) for each in within])
    padded = np.zeros((len(within), int(lengths.max()), weight.shape[0]), np.float32)
    for row, each in enumerate(within):
        padded[row, : len(each)] = each

    def loss(flat: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        moved = flat.reshape(weight.shape[0] + 1, weight.shape[1])
        scores = padded @ (weight + moved[:-1]) + (bias + moved[-1])
        logs = scores - np.logaddexp.reduce(scores, axis=2, keepdims=True)
        nats, slope = alignment_loss(logs, chosen, lengths)
        by_weight = np.einsum("rsu,rsp->up", padded, slope)
        slopes = np.concatenate([by_weight, slope.sum(axis=(0, 1))[None]]).ravel()
        return nats + pull * float((flat**2).sum()), slopes + 2 * pull * flat

    start = np.zeros((weight.shape[0] + 1) * weight.shape[1])
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS}).x
    moved = found.reshape(weight.shape[0] + 1, weight.shape[1]).astype(np.float32)
    return Correction(weight=moved[:-1], bias=moved[-1])


def _best(ear: PhoneEar, read: Read) -> Reading:
    sound = ear(read.hidden)[None]
    scores = fits(sound, [[reading] for reading in read.readings])
    return read.readings[int(np.argmax(scores))]
