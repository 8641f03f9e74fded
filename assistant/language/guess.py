"""A second chance for words that the grammar of a step refuses: which of its results do they mean? Pure.

A small model learns, for each step anew, from its phrases, from sentences of its grammars, and from what people have
answered there (`Result.examples`): multinomial logistic regression over words, pairs of words and pieces of words. It
is only asked about results: no acknowledgement, gate, command, reading or code passes by it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

from assistant.grammar.sample import sentences_of
from assistant.language.dialect import plainly
from assistant.language.model import Expected
from assistant.procedure.answers import answers_of, shared_rules

Floats = NDArray[np.float64]

NONE = ""
"""Stands for what gives no result."""

SENTENCES = 50
"""Drawn from the grammar of each result."""

OF_PHRASES, OF_EXAMPLES, OF_GRAMMAR = 2.0, 3.0, 12.0
"""What a phrase, an example and all sentences of a result's grammar together count."""

OF_ELSEWHERE = 0.15
"""What all that gives no result counts, where all of a result counts 1: people answer more often than they talk."""

PULL = 20.0
"""How far the weights may go: the inverse of their penalty."""

TAKEN, LIKE_TAKEN = 0.5, 0.3
"""By so much a result must be likelier than the next to be taken, and so like some sentence of the step, from 0 to 1:
other talk is like none of them. Source: one writer's 1,878 answers, learnt from another's: of all, 88 % are so far
ahead as to be taken, 0.2 % wrongly. Of answers to other questions 18 % would be taken."""

LEADS, TALK_AT_MOST, LIKE_OFFERED = 0.55, 0.6, 0.25
"""To be offered for a yes: its share of itself and the next result, how likely it may be that none was meant, and how
like a known answer it must be. Source: of 1,723 answers of three groups of writers 18 more are offered rightly than by
a lead of 0.2 on all else, 4 wrongly; of 300 times plain talk 5."""

UNTOLD = "<dont_know>"
"""The shared rule in the answers of a result that tells of nothing seen: nobody knows, not looked at."""

UNTOLD_TAKEN, UNTOLD_OFFERED, UNTOLD_LIKE = 0.7, 0.3, 0.3
"""By so much such a result must be ahead to be taken, and to be offered, and so like a known answer; for talk is
guessed to be it before all others. Source: of 1,723 answers 7 that were taken are only offered now, 4 offered no more,
and 4 wrong no more; of 399 times talk 17 were taken and 7 are, 22 were offered and 6 are."""

_ROUNDS = 40
_PIECES = (2, 3, 4)


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """`ahead`: by how much likelier than all else, -1 to 1. `leads`: its share of itself and the next result. `talk`:
    how likely none is meant. `like`: how like the nearest known sentence. `untold`: it tells that nobody knows."""

    result: str
    ahead: float
    leads: float
    talk: float
    like: float
    untold: bool

    @property
    def sure(self) -> bool:
        """Whether it may be taken at once, to be read back."""
        return self.ahead >= (UNTOLD_TAKEN if self.untold else TAKEN) and self.like >= LIKE_TAKEN

    @property
    def clear(self) -> bool:
        """Whether it may be offered."""
        if self.untold:
            return self.ahead >= UNTOLD_OFFERED and self.like >= UNTOLD_LIKE
        return self.leads >= LEADS and self.talk <= TALK_AT_MOST and self.like >= LIKE_OFFERED


def shares_of(words: str, expected: Expected) -> tuple[dict[str, float], float]:
    """How likely each result is by these plain words, or none of them (NONE), and how like a known answer they are."""
    return _model_of(expected).shares(words) if words and _learnt(expected) else ({}, 0.0)


def said_for(expected: Expected) -> tuple[str, ...]:
    """What people say for the results: phrases and examples."""
    every = (words for each in (expected.results, expected.examples) for told in each.values() for words in told)
    return tuple(dict.fromkeys(every))


def guess(words: str, expected: Expected) -> Guess | None:
    """The result that these plain words mean most likely; None where nothing was said, nothing is to choose, or the
    step knows nothing but its phrases: from these few nothing can be learnt."""
    shares, like = shares_of(words, expected)
    if not shares:
        return None
    best, second = sorted(expected.results, key=lambda result: -shares.get(result, 0.0))[:2]
    share, next_one, talk = (shares.get(one, 0.0) for one in (best, second, NONE))
    return Guess(
        result=best,
        ahead=share - max(next_one, talk),
        leads=share / (share + next_one),
        talk=talk,
        like=like,
        untold=tells_nothing(best, expected),
    )


def tells_nothing(result: str, expected: Expected) -> bool:
    """Whether it tells that nothing was seen or nobody knows."""
    return UNTOLD in expected.answers.get(result, "")


def get_ready(expected: Expected) -> None:
    """Learn by now what the next guess needs, so that nobody waits for it then."""
    if _learnt(expected):
        _model_of(expected)


def _learnt(expected: Expected) -> bool:
    return len(expected.results) > 1 and bool(expected.answers or expected.examples)


def _model_of(expected: Expected) -> _Model:
    results, answers, examples = (tuple(one.items()) for one in (expected.results, expected.answers, expected.examples))
    return _model(results, answers, examples, expected.elsewhere)


class _Model:
    """What one step has learnt."""

    def __init__(self, sentences: Sequence[str], meant: Sequence[str], counts: Sequence[float]) -> None:
        self._results = sorted(set(meant))
        traits = [traits_of_words(sentence) for sentence in sentences]
        held = Counter(trait for one in traits for trait in one)
        self._places = {trait: place for place, trait in enumerate(held)}
        self._rarity = np.array([log((1 + len(sentences)) / (1 + many)) + 1 for many in held.values()])
        self._rows = np.stack([self._row(one) for one in traits])
        classes = np.array([self._results.index(result) for result in meant])
        self._answers = np.array([result != NONE for result in meant])
        evened = _evened(classes, np.array(counts)) * np.where(self._answers, 1.0, OF_ELSEWHERE)
        self._weights, self._bias = _fit(self._rows, classes, evened)

    def shares(self, words: str) -> tuple[dict[str, float], float]:
        """How likely each result is, and how like the nearest known answer these words are, 0 to 1."""
        row = self._row(traits_of_words(words))
        scores = row @ self._weights + self._bias
        odds = np.exp(scores - scores.max())
        like = float((self._rows @ row)[self._answers].max()) / 2  # words and pieces each have length 1
        return dict(zip(self._results, (odds / odds.sum()).tolist(), strict=True)), like

    def _row(self, traits: Mapping[str, float]) -> Floats:
        """The traits that are known here, rare ones more, words and pieces each of length 1."""
        row = np.zeros(len(self._places))
        lengths = {"w": 0.0, "p": 0.0}
        known = [(trait, value) for trait, value in traits.items()]
        for trait, value in known:
            place = self._places.get(trait)
            rarity = self._rarity[place] if place is not None else self._rarity.max()
            lengths[trait[0]] += (value * rarity) ** 2
            if place is not None:
                row[place] = value * rarity
        for trait, place in ((trait, self._places.get(trait)) for trait, _ in known):
            if place is not None:
                row[place] /= sqrt(lengths[trait[0]])
        return row


def traits_of_words(words: str) -> dict[str, float]:
    """Words and pairs of neighbours (`w…`), and pieces of two to four letters inside words (`p…`), each by the
    logarithm of how often."""
    said = plainly(words).split()
    found = [f"w{word}" for word in said]
    found += [f"w{one} {other}" for one, other in pairwise(said)]
    for word in said:
        edged = f" {word} "
        found += [f"p{edged[at : at + size]}" for size in _PIECES for at in range(max(1, len(edged) - size + 1))]
    return {trait: 1 + log(many) for trait, many in Counter(found).items()}


def _evened(classes: NDArray[np.int64], counts: Floats) -> Floats:
    """Each result counts as much as the next, however much is known of it."""
    many = np.bincount(classes).astype(float)
    evened: Floats = counts * (len(classes) / (len(many) * many))[classes]
    return evened


def _fit(rows: Floats, classes: NDArray[np.int64], counts: Floats) -> tuple[Floats, Floats]:
    """Weights and biases of multinomial logistic regression with a quadratic penalty.

    Found in the space of the sentences, of which there are fewer than traits: weights are sums of sentences.
    """
    from scipy.optimize import minimize  # noqa: PLC0415 - takes a third of a second that most sessions never need

    kernel = rows @ rows.T
    many, kinds = len(rows), int(classes.max()) + 1
    wanted = np.eye(kinds)[classes]

    def loss(flat: Floats) -> tuple[float, Floats]:
        shares, bias = flat[: many * kinds].reshape(many, kinds), flat[many * kinds :]
        pulled = kernel @ shares
        scores = pulled + bias
        scores -= scores.max(axis=1, keepdims=True)
        logs = scores - np.log(np.exp(scores).sum(axis=1, keepdims=True))
        off = counts[:, None] * (np.exp(logs) - wanted)
        value = -float((counts[:, None] * logs * wanted).sum()) + float((shares * pulled).sum()) / (2 * PULL)
        return value, np.concatenate([(kernel @ (off + shares / PULL)).ravel(), off.sum(axis=0)])

    start = np.zeros((many + 1) * kinds)
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": _ROUNDS}).x
    weights: Floats = rows.T @ found[: many * kinds].reshape(many, kinds)
    bias: Floats = found[many * kinds :]
    return weights, bias


@lru_cache(maxsize=32)
def _model(
    results: tuple[tuple[str, tuple[str, ...]], ...],
    answers: tuple[tuple[str, str], ...],
    examples: tuple[tuple[str, tuple[str, ...]], ...],
    elsewhere: tuple[str, ...],
) -> _Model:
    known: list[tuple[str, str, float]] = [(words, NONE, OF_EXAMPLES) for words in elsewhere]
    for result, phrases in results:
        known += [(words, result, OF_PHRASES) for words in phrases]
    for result, told in examples:
        known += [(words, result, OF_EXAMPLES) for words in told]
    for result, text in answers:
        drawn = sentences_of(answers_of(text), shared_rules(), SENTENCES)
        known += [(words, result, OF_GRAMMAR / len(drawn)) for words in drawn]
    sentences, meant, counts = zip(*known, strict=True)
    return _Model(sentences, meant, counts)
