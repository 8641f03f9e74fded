"""How likely phones are in a sound, over all the ways in which they can lie along it, and how that changes with the
scores: what phone layers learn by."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.phones import Reading

Floats = NDArray[np.float32]

_NEVER = -1e9


def alignment_loss(logs: Floats, readings: Sequence[Reading], lengths: NDArray[np.int64]) -> tuple[float, Floats]:
    """Minus the summed log-likelihood of the readings, and its slope by the scores before the softmax.

    `logs`: (rows, steps, classes), of which the first `lengths` steps of each row count.
    Source: Graves et al. 2006, forward and backward variables, eq. 5 to 16.
    """
    rows, steps, _ = logs.shape
    every = np.arange(rows)
    ends = np.array([2 * len(reading) for reading in readings])
    places = np.zeros((rows, int(ends.max()) + 1), np.int64)
    for row, reading in enumerate(readings):
        places[row, 1 : ends[row] : 2] = reading
    skips = np.zeros(places.shape, bool)
    skips[:, 2:] = (places[:, 2:] != 0) & (places[:, 2:] != places[:, :-2])
    sounds = np.take_along_axis(logs, np.broadcast_to(places[:, None], (rows, steps, places.shape[1])), axis=2)
    ahead = np.full(sounds.shape, _NEVER)
    ahead[:, 0, :2] = sounds[:, 0, :2]
    for step in range(1, steps):
        ahead[:, step] = _gather(ahead[:, step - 1], skips) + sounds[:, step]
    behind = np.full(sounds.shape, _NEVER)
    back_skips = np.zeros(places.shape, bool)
    back_skips[:, :-2] = skips[:, 2:]
    last = np.full(places.shape, _NEVER)
    last[every, ends] = last[every, ends - 1] = 0.0
    for step in range(steps - 1, -1, -1):
        if step + 1 < steps:
            later = behind[:, step + 1] + sounds[:, step + 1]
            behind[:, step] = _gather(later[:, ::-1], back_skips[:, ::-1])[:, ::-1]
        behind[lengths - 1 == step, step] = last[lengths - 1 == step]
    whole = np.logaddexp(ahead[every, lengths - 1, ends], ahead[every, lengths - 1, ends - 1])
    shares = np.exp(np.minimum(ahead + behind - whole[:, None, None], 0.0))
    slope = np.exp(logs)
    for row in range(rows):
        np.subtract.at(slope[row].T, places[row], shares[row].T)
    slope[np.arange(steps) >= lengths[:, None]] = 0.0
    possible = whole > _NEVER / 2
    slope[~possible] = 0.0
    return float(-whole[possible].sum()), slope.astype(np.float32)


def _gather(reached: Floats, skips: NDArray[np.bool_]) -> Floats:
    """From each place its own, the one before, and where allowed the one before that."""
    moved = np.full(reached.shape, _NEVER)
    moved[:, 1:] = reached[:, :-1]
    skipped = np.full(reached.shape, _NEVER)
    skipped[:, 2:] = np.where(skips[:, 2:], reached[:, :-2], _NEVER)
    gathered: Floats = np.maximum(np.logaddexp(np.logaddexp(reached, moved), skipped), _NEVER)
    return gathered
