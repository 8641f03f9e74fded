"""A second opinion: how well the sounds of a sentence fit, heard phone by phone.

The network that writes text judges whole words, by ear and by habit; small trained layers on top of what it makes of
the sound tell the phone of each moment. A sentence is scored by all ways in which its phones can lie along the sound
(connectionist temporal classification, Graves et al. 2006), against the best phones that the sound could be if nothing
bound it: near zero when it is just what was said, far below for anything else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

PHONES = (
    "AA", "AE", "AH", "AO", "AW", "AY", "B", "CH", "D", "DH", "EH", "ER", "EY", "F", "G", "HH", "IH", "IY", "JH", "K",
    "L", "M", "N", "NG", "OW", "OY", "P", "R", "S", "SH", "T", "TH", "UH", "UW", "V", "W", "Y", "Z", "ZH",
)  # fmt: skip
"""ARPAbet without stress, as the CMU Pronouncing Dictionary has it; number 0 is `no new phone`, AA is 1."""

_NUMBERS = {phone: number for number, phone in enumerate(PHONES, 1)}
_NEVER = np.float32(-1e9)

USUAL_SHARE = 0.7
"""How much of what is usual is taken off. Where noise hides the sounds `no new phone` is likeliest, and short sentences
would win. Source: at 6 dB the sentence said was the best of 190 for 82 % of the tuning voices without, 94 % with it."""

REACHES = ((-1, 0, 1), (-2, 0, 2), (-4, 0, 4), (0,))
"""For each layer the steps, counted from the present one, that it sees: together seven before and seven after. The last
sees the present one alone."""

UNSOUNDED = 4.0
"""Nats by which words of unknown sound fall short of the worst of the others that they are weighed with: what cannot be
borne out never wins for want of it. Judgement."""

Reading = tuple[int, ...]
"""The phones of one way to say a sentence, by number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneEar:
    """The trained layers. `mean`, `spread`: of what the network makes of sound, (inputs,). `weights`, `biases`: of each
    layer of REACHES, (steps seen x inputs, outputs) and (outputs,); the last gives 40. `usual`: logarithm of how often
    each phone was judged likely where the layers learnt, (40,)."""

    mean: Floats
    spread: Floats
    weights: tuple[Floats, ...]
    biases: tuple[Floats, ...]
    usual: Floats

    def __call__(self, hidden: Floats) -> Floats:
        """What the network made of the sound, (steps, inputs) -> how far each phone is likelier than usual, in nats:
        (steps, 40). Not log-probabilities: of what is usual only `USUAL_SHARE` is taken off."""
        return self.log_probabilities(hidden) - np.float32(USUAL_SHARE) * self.usual

    def log_probabilities(self, hidden: Floats) -> Floats:
        """The same before anything is taken off."""
        scores = self.inner(hidden) @ self.weights[-1] + self.biases[-1]
        top = scores.max(axis=1, keepdims=True)
        logs: Floats = scores - top - np.log(np.exp(scores - top).sum(axis=1, keepdims=True))
        return logs

    def inner(self, hidden: Floats) -> Floats:
        """What all layers but the last make of it: (steps, units)."""
        within = (hidden - self.mean) / self.spread
        for reach, weight, bias in zip(REACHES[:-1], self.weights, self.biases, strict=False):
            within = np.maximum(around(within, reach) @ weight + bias, 0)
        return within


def around(steps: Floats, reach: Sequence[int]) -> Floats:
    """Each step together with those of its reach, noughts past the ends: (..., steps, n) -> (..., steps, n x reach)."""
    most = max(map(abs, reach))
    padded = np.pad(steps, [(0, 0)] * (steps.ndim - 2) + [(most, most), (0, 0)])
    length = steps.shape[-2]
    return np.concatenate([padded[..., most + shift : most + shift + length, :] for shift in reach], axis=-1)


def numbered(phones: Sequence[str]) -> Reading:
    """Phones with or without stress marks, by number."""
    return tuple(_NUMBERS[phone.rstrip("012")] for phone in phones)


def fits(ears: Floats, sentences: Sequence[Sequence[Reading]]) -> list[float]:
    """For each sentence, of its readings the best: nats by which it falls short of the best phones of the sound.

    `ears`: what each ear makes of the sound, (ears, steps, 40); the mean of what they find. At most 0 but for rounding;
    far below where the sentence has more phones than the sound steps.
    """
    readings = [(number, reading) for number, each in enumerate(sentences) for reading in each]
    free = ears.max(axis=2).sum(axis=1)
    best = np.full((len(sentences), len(ears)), _NEVER, np.float32)
    if readings:
        scores = _likelihoods(ears, [each for _, each in readings])
        for (number, _), score in zip(readings, scores.T, strict=True):
            best[number] = np.maximum(best[number], score - free)
    return [float(each) for each in best.mean(axis=1)]


def nearest(ears: Floats, sentences: Sequence[Sequence[Reading]], most: int) -> list[int]:
    """The places of the `most` sentences whose phones are there at all, whatever their order: a bound that costs
    little. Each phone counts by the moment at which it is least below the best one."""
    if len(sentences) <= most:
        return list(range(len(sentences)))
    there = (ears - ears.max(axis=2, keepdims=True)).max(axis=1).mean(axis=0).tolist()
    bounds = [max(sum(there[phone] for phone in reading) for reading in each) for each in sentences]
    return [int(place) for place in np.argsort(bounds)[::-1][:most]]


def _likelihoods(ears: Floats, readings: Sequence[Reading]) -> Floats:
    """Log-likelihood of each reading over all its alignments, by each ear, all at once: (ears, readings)."""
    rows = len(readings)
    ends = np.array([2 * len(reading) for reading in readings])
    places = np.zeros((rows, int(ends.max()) + 1), np.int64)
    for row, reading in enumerate(readings):
        places[row, 1 : ends[row] : 2] = reading
    may_skip = np.zeros(places.shape, bool)
    may_skip[:, 2:] = (places[:, 2:] != 0) & (places[:, 2:] != places[:, :-2])
    shape = (len(ears), *places.shape)
    reached = np.full(shape, _NEVER, np.float32)
    reached[:, :, :2] = ears[:, 0][:, places[:, :2]]
    for step in range(1, ears.shape[1]):
        moved = np.full(shape, _NEVER, np.float32)
        moved[:, :, 1:] = reached[:, :, :-1]
        skipped = np.full(shape, _NEVER, np.float32)
        skipped[:, :, 2:] = np.where(may_skip[:, 2:], reached[:, :, :-2], _NEVER)
        reached = np.logaddexp(np.logaddexp(reached, moved), skipped) + ears[:, step][:, places]
    every = np.arange(rows)
    whole: Floats = np.logaddexp(reached[:, every, ends], reached[:, every, np.maximum(ends - 1, 0)])
    return whole
