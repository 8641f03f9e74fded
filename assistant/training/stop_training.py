"""Training of the ear for stop: from streams to small layers, by Adam and numpy alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.gate import FRAME
from assistant.hearing.stop_ear import INPUTS, OUTPUTS, REACHES, StopLayers, outputs, seen_by, shares_of
from assistant.training.adam import Adam
from assistant.training.stop_sounds import Mark

Floats = NDArray[np.float32]

UNITS = 64
BATCH = 4
STEP, DECAY = 0.002, 1e-4
SOON_S, LATE_S = 0.06, 0.22
"""A word is to be told so long after its end: what follows at once is no "stop" but "stopped"."""

AFTER_S = 0.45
"""So long after it the ear may still be sure of it."""

WEIGHT_OF_WORDS = 4.0
"""Words are rarer than all else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """`traits`: (frames, INPUTS). `word`: (frames,) number of the word that has just ended. `counts`: (frames,)."""

    traits: Floats
    word: NDArray[np.int64]
    counts: Floats


def lesson(traits: Floats, marks: Sequence[Mark]) -> Lesson:
    """Which frames are to tell a word, which are not, and which do not count."""
    ends_s = (np.arange(len(traits)) + 1) * FRAME / 16_000
    word, counts = np.zeros(len(traits), np.int64), np.ones(len(traits), np.float32)
    for mark in marks:
        if mark.word:
            begins, ends = mark.begins / 16_000, mark.ends / 16_000
            counts[(ends_s > begins + 0.1) & (ends_s < ends + AFTER_S)] = 0.0
            told = (ends_s >= ends + SOON_S) & (ends_s <= ends + LATE_S)
            word[told], counts[told] = mark.word, WEIGHT_OF_WORDS
    return Lesson(traits=traits, word=word, counts=counts)


def trained(
    lessons: Sequence[Lesson], *, rounds: int, seed: int, tell: Callable[[str], None] = lambda _words: None
) -> StopLayers:
    """Layers fitted by Adam to cross-entropy."""
    random = np.random.default_rng(seed)
    widths = [INPUTS, *[UNITS] * (len(REACHES) - 1), OUTPUTS]
    weights: list[Floats] = []
    for reach, inputs, units in zip(REACHES, widths[:-1], widths[1:], strict=True):
        fan = len(reach) * inputs
        weights += [
            (random.standard_normal((fan, units)) * np.sqrt(2 / fan)).astype(np.float32),
            np.zeros(units, np.float32),
        ]
    fit = Adam(weights, kept_square=0.999, decay=[DECAY] * len(weights))
    for turn in range(rounds):
        step = STEP * 0.5 * (1 + np.cos(np.pi * turn / rounds)) + STEP / 50
        order, loss = random.permutation(len(lessons)), 0.0
        for at in range(0, len(order), BATCH):
            chosen = [lessons[place] for place in order[at : at + BATCH]]
            found, slopes = _slopes(fit.values, *_batch(chosen))
            loss += found
            fit.move(slopes, step)
        tell(f"round {turn + 1}: {loss / (len(order) / BATCH):.4f}")
    return StopLayers(weights=tuple(fit.values[0::2]), biases=tuple(fit.values[1::2]))


def _batch(lessons: Sequence[Lesson]) -> tuple[Floats, NDArray[np.int64], Floats]:
    length = max(len(each.traits) for each in lessons)
    traits = np.zeros((len(lessons), length, INPUTS), np.float32)
    word, counts = np.zeros((len(lessons), length), np.int64), np.zeros((len(lessons), length), np.float32)
    for row, each in enumerate(lessons):
        traits[row, : len(each.traits)] = each.traits
        word[row, : len(each.word)], counts[row, : len(each.counts)] = each.word, each.counts
    return traits, word, counts


def _slopes(
    weights: Sequence[Floats], traits: Floats, word: NDArray[np.int64], counts: Floats
) -> tuple[float, list[Floats]]:
    """Loss and its slope by each of the weights."""
    layers = StopLayers(weights=tuple(weights[0::2]), biases=tuple(weights[1::2]))
    found = outputs(layers, traits)
    shares = shares_of(found[-1])
    rows, frames = np.indices(word.shape)
    total = counts.sum() + 1e-9
    loss = float(-(counts * np.log(shares[rows, frames, word] + 1e-9)).sum() / total)
    error = shares.copy()
    error[rows, frames, word] -= 1.0
    error *= (counts / total)[..., None]
    slopes: list[Floats] = []
    for place in reversed(range(len(REACHES))):
        inputs = traits if place == 0 else found[place - 1]
        seen = seen_by(inputs, REACHES[place])
        slopes = [
            seen.reshape(-1, seen.shape[2]).T @ error.reshape(-1, error.shape[2]),
            error.sum(axis=(0, 1)),
            *slopes,
        ]
        if place:
            error = _back(error @ weights[2 * place].T, REACHES[place], inputs.shape[2]) * (inputs > 0)
    return loss, slopes


def _back(seen: Floats, reach: Sequence[int], width: int) -> Floats:
    """The slopes of what was seen, gathered at the frames that it was of."""
    length, most = seen.shape[1], -reach[0]
    padded = np.zeros((seen.shape[0], length + most, width), np.float32)
    for place, back in enumerate(reach):
        padded[:, most + back : most + back + length] += seen[..., place * width : (place + 1) * width]
    return padded[:, most:]
