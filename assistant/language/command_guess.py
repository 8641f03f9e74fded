"""What a sentence wants of the program: the likeliest command or question, by what writers said for each. Pure.

Multinomial logistic regression over words, pairs of words and pieces of words, learnt once (`hoodside bench commands`)
from commands by made-up writers and from answers and talk, which want nothing. The weights are rounded to bytes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from io import BytesIO
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from assistant.language.guess import traits_of_words

FILE = "own_commands.npz"
NOTHING = "none"
"""The class of answers and talk."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """`name`: of a rule of `own_commands.jsgf`. `sure`: its share of the odds, 0 to 1."""

    name: str
    sure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """`places`: term -> row. `rarity`: of each term, then of one that is not known. `weights`: (terms, names)."""

    names: tuple[str, ...]
    places: dict[str, int]
    rarity: Floats
    weights: Floats
    bias: Floats

    def wanted(self, words: str) -> Wanted:
        """The likeliest."""
        rows, values = weighed(words, self.places, self.rarity)
        scores = self.bias + (values @ self.weights[rows] if rows else 0.0)
        odds = np.exp(scores - scores.max())
        best = int(odds.argmax())
        return Wanted(name=self.names[best], sure=min(0.999, float(odds[best] / odds.sum())))


def weighed(words: str, places: dict[str, int], rarity: Floats) -> tuple[list[int], Floats]:
    """The terms of plain words that are known, rare ones more; words and pieces each of length 1 with the unknown."""
    found = [(term, places.get(term), value) for term, value in terms_of(words).items()]
    lengths = {"w": 0.0, "p": 0.0}
    rows, values, kinds = [], [], []
    for term, place, often in found:
        value = often * float(rarity[-1 if place is None else place])
        lengths[term[0]] += value * value
        if place is not None:
            rows.append(place)
            values.append(value)
            kinds.append(term[0])
    return rows, np.array([value / sqrt(lengths[kind]) for value, kind in zip(values, kinds, strict=True)])


def terms_of(words: str) -> dict[str, float]:
    """The terms and what each weighs; where the sentence begins and ends counts as a word."""
    return traits_of_words(f"^ {words} $")


def wanted(words: str) -> Wanted:
    """What these plain words want most likely, or nothing (NOTHING)."""
    return _learnt().wanted(words)


def load(packed: bytes) -> Learnt:
    """What `hoodside bench commands` kept."""
    with np.load(BytesIO(packed)) as kept:
        terms = bytes(kept["terms"]).decode("utf-8").split("\n")
        return Learnt(
            names=tuple(bytes(kept["names"]).decode("utf-8").split("\n")),
            places={term: place for place, term in enumerate(terms)},
            rarity=kept["rarity"].astype(float),
            weights=kept["weights"].astype(float) * kept["scale"].astype(float),
            bias=kept["bias"].astype(float),
        )


@cache
def _learnt() -> Learnt:
    return load(resources.files("assistant.english").joinpath(FILE).read_bytes())
