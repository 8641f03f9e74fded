"""Fits the phone layers: every alignment of the phones counts, none is given (CTC, Graves et al. 2006)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.phones import PHONES, PhoneEar, Reading, around

Floats = NDArray[np.float32]
Example = tuple[Floats, Reading]

CLASSES = len(PHONES) + 1
BATCH = 32
DROPPED = 0.1
"""Share of inputs and of hidden units left out at random, so that none is relied on alone."""
FASTEST, SLOWEST = 2e-3, 4e-5
DECAY = 1e-4
_NEVER = -1e9


@dataclass(slots=True)
class _Fit:
    """The layers while they learn, with what Adam remembers of each (Kingma and Ba 2015)."""

    values: dict[str, Floats]
    first: dict[str, Floats]
    second: dict[str, Floats]
    steps: int = 0

    def move(self, slopes: dict[str, Floats], rate: float) -> None:
        self.steps += 1
        for name, slope in slopes.items():
            self.first[name] = 0.9 * self.first[name] + 0.1 * slope
            self.second[name] = 0.99 * self.second[name] + 0.01 * slope**2
            mean = self.first[name] / (1 - 0.9**self.steps)
            spread = np.sqrt(self.second[name] / (1 - 0.99**self.steps)) + 1e-8
            self.values[name] -= (rate * mean / spread).astype(np.float32)


def train(
    examples: Sequence[Example], *, hidden: int, rounds: int, seed: int, tell: Callable[[str], None]
) -> dict[str, Floats]:
    """The layers of a `PhoneEar` by name. `hidden`: units between input and phones. `rounds`: over all examples."""
    random = np.random.default_rng(seed)
    kept = [each for each in examples if len(each[0]) > len(each[1]) + 2]
    sample = np.concatenate([sound for sound, _ in kept[:400]])
    copies = len(around(kept[0][0][:1])[0]) // sample.shape[1]
    scale = {
        "mean": np.tile(sample.mean(axis=0), copies).astype(np.float32),
        "spread": np.tile(sample.std(axis=0) + 1e-3, copies).astype(np.float32),
    }
    inputs = len(scale["mean"])
    values = {
        "first": (random.normal(size=(inputs, hidden)) * np.sqrt(2 / inputs)).astype(np.float32),
        "first_bias": np.zeros(hidden, np.float32),
        "second": (random.normal(size=(hidden, CLASSES)) * np.sqrt(1 / hidden)).astype(np.float32),
        "second_bias": np.zeros(CLASSES, np.float32),
    }
    nothing = {name: np.zeros_like(value) for name, value in values.items()}
    fit = _Fit(values, nothing, dict(nothing))
    for number in range(rounds):
        total = 0.0
        rate = SLOWEST + (FASTEST - SLOWEST) * (1 + np.cos(np.pi * number / rounds)) / 2
        for batch in _batches(kept, random):
            slopes, loss = _slopes(fit.values, scale, batch, random)
            fit.move(slopes, rate * min(1.0, (fit.steps + 1) / 100))
            total += loss
        tell(f"round {number + 1} of {rounds}: {total / len(kept):.2f} nats an utterance")
    return scale | fit.values


def phone_error_rate(ear: PhoneEar, examples: Sequence[Example]) -> float:
    """Edits that turn the likeliest phones of each step into those said, over phones said."""
    edits = said = 0
    for sound, reading in examples:
        best = ear(sound).argmax(axis=1)
        heard = [int(phone) for phone, before in zip(best, [0, *best[:-1]], strict=True) if phone and phone != before]
        edits += _edits(heard, reading)
        said += len(reading)
    return edits / said


def _batches(examples: Sequence[Example], random: np.random.Generator) -> Iterator[list[Example]]:
    """All examples once, those of like length together."""
    lengths = np.array([len(sound) for sound, _ in examples]) + random.uniform(0, 15, len(examples))
    order = np.argsort(lengths)
    starts = np.arange(0, len(order), BATCH)
    random.shuffle(starts)
    for start in starts:
        yield [examples[index] for index in order[start : start + BATCH]]


def _slopes(
    values: dict[str, Floats], scale: dict[str, Floats], batch: Sequence[Example], random: np.random.Generator
) -> tuple[dict[str, Floats], float]:
    """Slopes of the mean loss by layer, and the summed loss."""
    lengths = np.array([len(sound) for sound, _ in batch])
    seen = np.zeros((len(batch), lengths.max(), len(scale["mean"])), np.float32)
    for row, (sound, _) in enumerate(batch):
        seen[row, : len(sound)] = (around(sound) - scale["mean"]) / scale["spread"]
    seen *= _kept(random, (1, 1, seen.shape[2]))
    within = np.maximum(seen @ values["first"] + values["first_bias"], 0)
    kept = _kept(random, (len(batch), 1, within.shape[2]))
    scores = (within * kept) @ values["second"] + values["second_bias"]
    logs = scores - np.logaddexp.reduce(scores, axis=2, keepdims=True)
    loss, wrong = alignment_loss(logs, [reading for _, reading in batch], lengths)
    wrong /= len(batch)
    back = (wrong @ values["second"].T) * kept * (within > 0)
    return {
        "first": np.tensordot(seen, back, ((0, 1), (0, 1))) + DECAY * values["first"],
        "first_bias": back.sum(axis=(0, 1)),
        "second": np.tensordot(within * kept, wrong, ((0, 1), (0, 1))) + DECAY * values["second"],
        "second_bias": wrong.sum(axis=(0, 1)),
    }, loss


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


def _kept(random: np.random.Generator, shape: tuple[int, ...]) -> Floats:
    return ((random.random(shape) > DROPPED) / (1 - DROPPED)).astype(np.float32)


def _edits(heard: Sequence[int], said: Sequence[int]) -> int:
    costs = list(range(len(said) + 1))
    for phone in heard:
        before, costs[0] = costs[0], costs[0] + 1
        for place, wanted in enumerate(said, 1):
            cost = min(before + (phone != wanted), costs[place] + 1, costs[place - 1] + 1)
            before, costs[place] = costs[place], cost
    return costs[-1]
