"""Words that free writing is nudged towards: those that people say where something is asked just now. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.tokens import Vocabulary

Floats = NDArray[np.float32]

OF_WORD, OF_PAIR = 0.5, 0.7
"""Nats by which a word that is said there is liked better than the network alone likes it, and by which it is besides
where it follows the word that it follows there. Source: of 1,740 answers of training writers by made-up voices at 15
and 9 dB free writing speaks most for the right result in 934 without, in 989 with these, in 991 with 1 and 1, with
which talk turns into answers ("no no no"); with 1.5 and 2 it writes whatever is said there."""

BEGINNING = ""
"""Stands before the first word."""


class Nudge:
    """What is liked after each word, token by token: a word of one token at once, others at their end."""

    def __init__(self, vocabulary: Vocabulary, sentences: Iterable[str]) -> None:
        """`sentences`: plain words."""
        self._tokens = vocabulary.whole_words
        self._after: dict[str, set[str]] = {}
        for sentence in sentences:
            for before, word in pairwise((BEGINNING, *sentence.split())):
                self._after.setdefault(before, set()).add(word)
        self._words = frozenset(word for after in self._after.values() for word in after)
        self._everywhere = self._liked(self._words, OF_WORD, np.zeros(vocabulary.size, np.float32))
        self._known: dict[str, Floats] = {}

    def tokens(self, before: str) -> Floats:
        """Nats for each token after that word: (tokens,). They are taken back where the word goes on."""
        if before not in self._known:
            after = self._after.get(before, set())
            self._known[before] = self._liked(after, OF_PAIR, self._everywhere.copy()) if after else self._everywhere
        return self._known[before]

    def ended(self, before: str, word: str) -> float:
        """Nats for a word that several tokens wrote."""
        if word not in self._words:
            return 0.0
        return OF_WORD + (OF_PAIR if word in self._after.get(before, ()) else 0.0)

    def _liked(self, words: Iterable[str], nats: float, found: Floats) -> Floats:
        for word in words:
            found[list(self._tokens.get(word, ()))] += nats
        return found
