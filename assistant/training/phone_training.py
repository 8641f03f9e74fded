"""Fits the phone layers: every alignment of the phones counts, none is given (CTC, Graves et al. 2006)."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.alignment import alignment_loss
from assistant.hearing.phones import PHONES, REACHES, PhoneEar, Reading, around
from assistant.training.adam import Adam

Floats = NDArray[np.float32]
Example = tuple[NDArray[np.floating[Any]], Reading]

CLASSES = len(PHONES) + 1
BATCH = 32
DROPPED, DROPPED_LATER = 0.2, 0.03
"""Share of inputs and of hidden units left out at random, so that none is relied on alone; and when layers learn on."""
FASTEST, SLOWEST = 2e-3, 4e-5
DECAY = 1e-4


def train(
    examples: Sequence[Example],
    *,
    hidden: int,
    rounds: int,
    seed: int,
    tell: Callable[[str], None],
    begun: PhoneEar | None = None,
) -> PhoneEar:
    """The trained layers. `hidden`: outputs of each but the last. `rounds`: over all examples. `begun`: layers that
    learn on, at half the pace, instead of new ones; they keep their width."""
    random = np.random.default_rng(seed)
    kept = [each for each in examples if len(each[0]) > len(each[1]) + 2]
    sample = np.concatenate([sound for sound, _ in kept[:400]]).astype(np.float32)
    mean, spread = sample.mean(axis=0), sample.std(axis=0) + np.float32(1e-3)
    values = _new(len(mean), hidden, random)
    fastest, dropped = FASTEST, DROPPED
    if begun is not None:
        mean, spread, fastest, dropped = begun.mean, begun.spread, FASTEST / 2, DROPPED_LATER
        values = [value.astype(np.float32).copy() for value in (*begun.weights, *begun.biases)]
    fit = Adam(values, kept_square=0.99)
    for number in range(rounds):
        total = 0.0
        rate = SLOWEST + (fastest - SLOWEST) * (1 + np.cos(np.pi * number / rounds)) / 2
        for batch in _batches(kept, random):
            layers = len(REACHES)
            keep = partial(_kept, random, dropped)
            slopes, loss = _slopes(fit.values[:layers], fit.values[layers:], (mean, spread), batch, keep)
            fit.move(slopes, rate * min(1.0, (fit.steps + 1) / 100))
            total += loss
        tell(f"round {number + 1} of {rounds}: {total / len(kept):.2f} nats an utterance")
    layers = len(REACHES)
    ear = PhoneEar(
        mean=mean, spread=spread, weights=tuple(fit.values[:layers]), biases=tuple(fit.values[layers:]),
        usual=np.zeros(CLASSES, np.float32),
    )  # fmt: skip
    likely = np.exp(np.concatenate([ear.log_probabilities(sound.astype(np.float32)) for sound, _ in kept[:3_000]]))
    return replace(ear, usual=np.log(likely.mean(axis=0)).astype(np.float32))


def _new(inputs: int, hidden: int, random: np.random.Generator) -> list[Floats]:
    """Weights of each layer at random, then its biases."""
    widths = [inputs, *[hidden] * (len(REACHES) - 1), CLASSES]
    weights, biases = [], []
    for reach, into, out in zip(REACHES, widths, widths[1:], strict=False):
        seen = len(reach) * into
        weights.append((random.normal(size=(seen, out)) * np.sqrt(2 / seen)).astype(np.float32))
        biases.append(np.zeros(out, np.float32))
    return [*weights, *biases]


def phone_error_rate(ear: PhoneEar, examples: Sequence[Example]) -> float:
    """Edits that turn the likeliest phones of each step into those said, over phones said."""
    wrong = said = 0
    for sound, reading in examples:
        best = ear.log_probabilities(sound).argmax(axis=1)
        heard = [int(phone) for phone, before in zip(best, [0, *best[:-1]], strict=True) if phone and phone != before]
        wrong += edits(heard, reading)
        said += len(reading)
    return wrong / said


def _batches(examples: Sequence[Example], random: np.random.Generator) -> Iterator[list[Example]]:
    """All examples once, those of like length together."""
    lengths = np.array([len(sound) for sound, _ in examples]) + random.uniform(0, 15, len(examples))
    order = np.argsort(lengths)
    starts = np.arange(0, len(order), BATCH)
    random.shuffle(starts)
    for start in starts:
        yield [examples[index] for index in order[start : start + BATCH]]


def _slopes(
    weights: Sequence[Floats],
    biases: Sequence[Floats],
    scale: tuple[Floats, Floats],
    batch: Sequence[Example],
    keep: Callable[[tuple[int, ...]], Floats],
) -> tuple[list[Floats], float]:
    """Slopes of the mean loss by each weight, then by each bias; and the summed loss. `keep`: noughts for what is left
    out now, of a shape."""
    lengths = np.array([len(sound) for sound, _ in batch])
    there = (np.arange(lengths.max()) < lengths[:, None])[:, :, None]
    within = np.zeros((len(batch), lengths.max(), len(scale[0])), np.float32)
    for row, (sound, _) in enumerate(batch):
        within[row, : len(sound)] = (sound - scale[0]) / scale[1]
    within *= keep((len(batch), 1, within.shape[2]))
    seen, gates = [], []
    for reach, weight, bias in zip(REACHES[:-1], weights, biases, strict=False):
        seen.append(around(within, reach))
        sums = seen[-1] @ weight + bias
        # Past the end of its own sound a row has noughts, as it has when it is heard alone.
        gates.append((sums > 0) * there * keep((len(batch), 1, sums.shape[2])))
        within = sums * gates[-1]
    seen.append(around(within, REACHES[-1]))
    scores = seen[-1] @ weights[-1] + biases[-1]
    logs = scores - np.logaddexp.reduce(scores, axis=2, keepdims=True)
    loss, slope = alignment_loss(logs, [reading for _, reading in batch], lengths)
    slope /= len(batch)
    by_weight: list[Floats] = []
    by_bias: list[Floats] = []
    for layer in range(len(REACHES) - 1, -1, -1):
        rows = slope.reshape(-1, slope.shape[2])
        by_weight.append(seen[layer].reshape(len(rows), -1).T @ rows + DECAY * weights[layer])
        by_bias.append(rows.sum(axis=0))
        if layer:
            slope = _back(slope @ weights[layer].T, REACHES[layer]) * gates[layer - 1]
    return [*by_weight[::-1], *by_bias[::-1]], loss


def _back(slopes: Floats, reach: Sequence[int]) -> Floats:
    """What `around` sent to several places, gathered again: (rows, steps, n x reach) -> (rows, steps, n)."""
    most, steps = max(map(abs, reach)), slopes.shape[1]
    parts = np.split(slopes, len(reach), axis=2)
    padded = np.zeros((len(slopes), steps + 2 * most, parts[0].shape[2]), np.float32)
    for shift, part in zip(reach, parts, strict=True):
        padded[:, most + shift : most + shift + steps] += part
    gathered: Floats = padded[:, most : most + steps]
    return gathered


def _kept(random: np.random.Generator, dropped: float, shape: tuple[int, ...]) -> Floats:
    return ((random.random(shape) > dropped) / (1 - dropped)).astype(np.float32)


def edits(heard: Sequence[Hashable], said: Sequence[Hashable]) -> int:
    """Phones or words to be put in, taken out or changed."""
    costs = list(range(len(said) + 1))
    for each in heard:
        before, costs[0] = costs[0], costs[0] + 1
        for place, wanted in enumerate(said, 1):
            cost = min(before + (each != wanted), costs[place] + 1, costs[place - 1] + 1)
            before, costs[place] = costs[place], cost
    return costs[-1]
