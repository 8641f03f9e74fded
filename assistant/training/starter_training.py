"""Fits the layers of the ear for the starter: three layers by Adam (Kingma and Ba 2015), with dropout."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.layers import ENGINE, PARTS, STARTER
from assistant.cranking.levels import HOP, levels_of
from assistant.cranking.synthetic import RATE_HZ
from assistant.cranking.traits import STEP, Traits, traits_of
from assistant.training.adam import Adam
from assistant.training.crank_practice import Practice

Floats = NDArray[np.float32]
Layers = dict[str, Floats]
Example = tuple[NDArray[np.float16], NDArray[np.int64]]

BATCH, DROPPED, DECAY = 512, 0.2, 3e-4
FASTEST, SLOWEST = 1.5e-3, 5e-5
_WEIGHT = np.array([1.0, 1.0, 1.5], dtype=np.float32)  # engines are rare
_MATRICES = ("first", "second", "third")
_TILE = STEP * HOP


def example_of(made: Practice) -> Example:
    """The traits of each step, and what goes on in it."""
    traits = traits_of(levels_of(made.pcm), made.pcm)
    at = np.minimum(np.arange(len(traits)) * _TILE + _TILE // 2, len(made.parts) - 1)
    return traits.astype(np.float16), made.parts[at].astype(np.int64)


def pieces_of(made: Practice, rng: np.random.Generator) -> Iterator[Practice]:
    """Short pieces: from about the beginning of a burst on, up to soon after it, out of its middle, around its end."""
    spans = []
    for first, stop in made.bursts[:2]:
        spans.append((first - rng.uniform(0, 0.4) * RATE_HZ, stop + rng.uniform(0.2, 3) * RATE_HZ))
        middle = rng.uniform(first, max(first + 1, stop - 0.6 * RATE_HZ))
        after = rng.uniform(0.2, 3) * RATE_HZ if rng.random() < 0.6 else 0.0
        spans.append((middle, min(stop, middle + rng.uniform(0.7, 6) * RATE_HZ) + after))
        spans.append((max(first, stop - rng.uniform(0.4, 1.2) * RATE_HZ), stop + rng.uniform(0.3, 2) * RATE_HZ))
        heard = rng.uniform(0.5, 3) * RATE_HZ  # as heard live: the sound ends soon after the beginning, or the end
        spans.append((first - heard, min(stop, first + rng.uniform(0.4, 1.5) * RATE_HZ)))
        spans.append((max(first - heard, stop - rng.uniform(1, 4) * RATE_HZ), stop + rng.uniform(0.05, 0.5) * RATE_HZ))
    elsewhere = np.flatnonzero(made.parts != STARTER)
    for _ in range(1 if made.bursts else 3):
        quiet = int(rng.choice(elsewhere)) if len(elsewhere) else 0
        next_burst = min((first for first, _ in made.bursts if first > quiet), default=len(made.pcm))
        spans.append((quiet, min(next_burst, quiet + rng.uniform(0.8, 6) * RATE_HZ)))
    for low, high in spans:
        first, stop = max(0, int(low)), min(len(made.pcm), int(high))
        if stop - first > 0.6 * RATE_HZ:
            yield Practice(pcm=made.pcm[first:stop], parts=made.parts[first:stop], bursts=())


def train(
    traits: NDArray[np.float16],
    parts: NDArray[np.int64],
    *,
    hidden: int,
    rounds: int,
    seed: int,
    tell: Callable[[str], None],
) -> Layers:
    """The layers of one training, from the traits of steps, (steps, TRAITS), and what went on in each, (steps,).

    `hidden`: units of the first layer; the second has 24.
    """
    rng = np.random.default_rng(seed)
    sample = traits[np.sort(rng.choice(len(traits), min(len(traits), 40_000), replace=False))].astype(np.float32)
    sizes = (traits.shape[1], hidden, 24, PARTS)
    layers: Layers = {"mean": sample.mean(axis=0), "spread": sample.std(axis=0) + np.float32(0.02)}
    for name, inputs, outputs in zip(_MATRICES, sizes, sizes[1:], strict=False):
        layers[name] = (rng.normal(size=(inputs, outputs)) * np.sqrt(2 / inputs)).astype(np.float32)
        layers[f"{name}_bias"] = np.zeros(outputs, np.float32)
    learnt = [name for name in layers if name not in ("mean", "spread")]
    decay = [DECAY if name in _MATRICES else 0.0 for name in learnt]
    fit = Adam([layers[name] for name in learnt], kept_square=0.99, decay=decay)
    steps = max(1, rounds * (len(traits) // BATCH))
    for step in range(1, steps + 1):
        rows = np.sort(rng.choice(len(traits), min(BATCH, len(traits)), replace=False))
        loss, slopes = _slopes(layers, traits[rows].astype(np.float32), parts[rows], rng)
        rate = SLOWEST + (FASTEST - SLOWEST) * 0.5 * (1 + np.cos(np.pi * step / steps))
        fit.move([slopes[name] for name in learnt], rate)
        if step % max(1, steps // rounds) == 0:
            tell(f"{step} of {steps} steps, loss {loss:.3f}")
    return layers


def _slopes(layers: Layers, traits: Traits, parts: NDArray[np.int64], rng: np.random.Generator) -> tuple[float, Layers]:
    """Mean loss of a batch, and its slope by each layer."""
    inputs = (traits - layers["mean"]) / layers["spread"] * _kept(traits.shape, rng)
    low = inputs @ layers["first"] + layers["first_bias"]
    kept = _kept(low.shape, rng)
    within = np.maximum(low, 0) * kept
    high = within @ layers["second"] + layers["second_bias"]
    above = np.maximum(high, 0)
    scores = above @ layers["third"] + layers["third_bias"]
    share = np.exp(scores - scores.max(axis=1, keepdims=True))
    share /= share.sum(axis=1, keepdims=True)
    rows = np.arange(len(parts))
    loss = float(-np.log(share[rows, parts] + 1e-9).mean())
    share[rows, parts] -= 1
    share *= _WEIGHT[parts][:, None] / len(parts)
    to_high = (share @ layers["third"].T) * (high > 0)
    to_low = (to_high @ layers["second"].T) * kept * (low > 0)
    return loss, {
        "first": inputs.T @ to_low, "first_bias": to_low.sum(axis=0), "second": within.T @ to_high,
        "second_bias": to_high.sum(axis=0), "third": above.T @ share, "third_bias": share.sum(axis=0),
    }  # fmt: skip


def _kept(shape: tuple[int, ...], rng: np.random.Generator) -> Floats:
    return ((rng.random(shape, dtype=np.float32) > DROPPED) / np.float32(1 - DROPPED)).astype(np.float32)


def right_share(odds: Floats, parts: NDArray[np.int64]) -> dict[str, float]:
    """Of the steps of each part, the share for which it is the likeliest."""
    names = {"elsewhere": 0, "starter": STARTER, "engine": ENGINE}
    best = odds.argmax(axis=1)
    return {name: round(float((best == part)[parts == part].mean()), 4) for name, part in names.items()}
