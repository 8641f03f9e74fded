"""What a network that writes text would write over noise alone: its habits, remembered as they become known."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.tokens import Legal, Vocabulary

Floats = NDArray[np.float32]


class Habits(Protocol):
    """What a network would write over noise alone, as log-probabilities."""

    def __call__(self, prefixes: Sequence[tuple[int, ...]]) -> Floats:
        """Of each next token after each prefix, all of one length: (prefixes, tokens)."""

    def whole(self, sentences: Sequence[tuple[int, ...]]) -> Sequence[float]:
        """Of each whole sentence, its end included."""


PREFIXES_KNOWN = SENTENCES_KNOWN = 30_000
"""Prefixes and sentences whose habits are remembered: some 200 bytes each."""


class HabitBook:
    """Remembers what the network would write over noise after each prefix met so far, in whatever language.

    Most of what may be said is the same in every step of a job, so a new step begins with most of it known.
    """

    def __init__(self, habits: Habits, vocabulary: Vocabulary) -> None:
        self._habits = habits
        self._end = vocabulary.end
        self._known: OrderedDict[tuple[int, ...], tuple[NDArray[np.int64], Floats]] = OrderedDict()
        self._whole: OrderedDict[tuple[int, ...], float] = OrderedDict()

    def of_sentences(self, sentences: Sequence[tuple[int, ...]]) -> list[float]:
        """Log-probability of each over noise alone, its end included."""
        missing = [tokens for tokens in sentences if tokens not in self._whole]
        if missing:
            self._whole.update(zip(missing, self._habits.whole(missing), strict=True))
        found = [self._whole[tokens] for tokens in sentences]
        while len(self._whole) > SENTENCES_KNOWN:
            self._whole.popitem(last=False)
        return found

    def look_up(self, rows: Mapping[tuple[int, ...], Legal]) -> dict[tuple[int, ...], tuple[Floats, float]]:
        """For each prefix, all of one length: log-probabilities of its legal tokens, and of the end."""
        found = {prefix: self._remembered(prefix, legal) for prefix, legal in rows.items()}
        missing = [prefix for prefix, known in found.items() if known is None]
        if missing:
            for prefix, row in zip(missing, self._habits(missing), strict=True):
                tokens = np.append(rows[prefix].tokens, self._end)
                if prefix in self._known:
                    tokens = np.concatenate([tokens, self._known[prefix][0]])
                tokens = np.unique(tokens)
                self._known[prefix] = (tokens, row[tokens])
                found[prefix] = self._remembered(prefix, rows[prefix])
        while len(self._known) > PREFIXES_KNOWN:
            self._known.popitem(last=False)
        return {prefix: known for prefix, known in found.items() if known is not None}

    def _remembered(self, prefix: tuple[int, ...], legal: Legal) -> tuple[Floats, float] | None:
        if prefix not in self._known:
            return None
        self._known.move_to_end(prefix)
        tokens, scores = self._known[prefix]
        places = np.minimum(np.searchsorted(tokens, legal.tokens), len(tokens) - 1)
        if not np.array_equal(tokens[places], legal.tokens):
            return None
        return scores[places], float(scores[np.searchsorted(tokens, self._end)])
