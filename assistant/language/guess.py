"""A second chance for words that the grammar of a step refuses: which of its results do they resemble? Pure.

Said and legal sentences are compared by what carries meaning in them: stems, with words of one sense taken together,
pairs of neighbours, and whether something is negated. What all results of the step share weighs little. A guess is
only ever offered, never obeyed, and none is made where polarity differs or two results are near.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from math import log, sqrt

import snowballstemmer

from assistant.grammar.sample import sentences_of
from assistant.language.senses import EMPTY_WORDS, NEGATIONS, SENSES
from assistant.procedure.answers import answers_of, shared_rules

SENTENCES = 240
"""Drawn from each result's answers, besides its phrases."""

LEAST = 0.42
"""Likeness from which on a result is offered."""

AHEAD = 0.12
"""By so much it must be more like it than any other result.
Source of both: `hoodside bench understand` on the first writers' answers."""

UNKNOWN = 0.5
"""Weight of a word that no sentence of the step has, against one that only one result has."""

NOT = "~"
"""Stands in a sentence that negates something."""

Features = Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """`likeness`: 0 to 1. `ahead`: of the next result."""

    result: str
    likeness: float
    ahead: float

    @property
    def clear(self) -> bool:
        """Whether it may be offered."""
        return self.likeness >= LEAST and self.ahead >= AHEAD


def guess(words: str, results: Mapping[str, tuple[str, ...]], answers: Mapping[str, str]) -> Guess | None:
    """The result that these plain words resemble most; None where nothing that matters was said."""
    said = features_of(words)
    if not said or not results:
        return None
    book = _book(tuple(results.items()), tuple(answers.items()))
    ranked = sorted(((book.likeness(said, result), result) for result in results), reverse=True)
    second = ranked[1][0] if len(ranked) > 1 else 0.0
    return Guess(result=ranked[0][1], likeness=ranked[0][0], ahead=ranked[0][0] - second)


def features_of(words: str) -> frozenset[str]:
    """What carries meaning in plain words: senses, pairs of neighbours, and NOT."""
    senses = _senses(words)
    if not any(sense != NOT for sense in senses):
        return frozenset(senses)
    pairs = {f"{one} {other}" for one, other in pairwise(senses)}
    return frozenset(senses) | pairs


def _senses(words: str) -> list[str]:
    found: list[str] = []
    for word in words.split():
        plain = word.replace("'", "")
        if word in NEGATIONS:
            found.append(NOT)
            if plain in ("nothing", "none", "nobody"):
                found.append("any")
        elif word not in EMPTY_WORDS and plain not in EMPTY_WORDS:
            stem = _stem(plain)
            found.append(_by_stem().get(stem, stem))
    return found


@lru_cache(maxsize=8192)
def _stem(word: str) -> str:
    stemmed: str = _stemmer().stemWord(word)
    return stemmed


@cache
def _stemmer() -> snowballstemmer.EnglishStemmer:
    return snowballstemmer.stemmer("english")


@cache
def _by_stem() -> dict[str, str]:
    """The name of a sense by the stems of its words."""
    return {_stem(word): f"={sense.split()[0]}" for sense in SENSES for word in sense.split()}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Book:
    """The sentences of each result of a step by their features, and what each feature weighs here."""

    sentences: Mapping[str, tuple[frozenset[str], ...]]
    weights: Features

    def likeness(self, said: frozenset[str], result: str) -> float:
        own = self._weight(said)
        return max((self._alike(said, own, legal) for legal in self.sentences[result]), default=0.0)

    def _alike(self, said: frozenset[str], own: float, legal: frozenset[str]) -> float:
        if (NOT in said) != (NOT in legal):
            return 0.0
        shared = self._weight(said & legal)
        both = sqrt(own * self._weight(legal))
        return shared / both if both else 0.0

    def _weight(self, features: frozenset[str]) -> float:
        return sum(self.weights.get(feature, UNKNOWN if " " not in feature else 0.0) for feature in features)


@lru_cache(maxsize=64)
def _book(results: tuple[tuple[str, tuple[str, ...]], ...], answers: tuple[tuple[str, str], ...]) -> _Book:
    texts = dict(answers)
    sentences = {}
    for result, phrases in results:
        drawn = sentences_of(answers_of(texts[result]), shared_rules(), SENTENCES) if result in texts else ()
        sentences[result] = tuple(dict.fromkeys(map(features_of, (*phrases, *drawn))))
    held = Counter(feature for each in sentences.values() for feature in frozenset().union(*each))
    many = len(sentences)
    weights = {}
    for feature, count in held.items():
        distinct = log((1 + many) / count) / log(1 + many)
        weights[feature] = distinct * (0.5 if " " in feature else 1.0)
    return _Book(sentences=sentences, weights=weights)
