"""A made-up network: letters are its tokens, and it hears what the test tells it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.hearing.passage import log_softmax
from assistant.hearing.phones import PHONES, numbered
from assistant.hearing.tokens import Vocabulary

PIECES = [
    None,
    None,
    None,
    *" .,-'abcdefghijklmnopqrstuvwxyz0123456789",
    *(f" {letter}" for letter in "abcdefghijklmnopqrstuvwxyz"),
]
BEGIN, END = 1, 2


class Dictated:
    """A passage in which the network would write `text`, sure of it to the degree `nats`; every other token alike."""

    def __init__(self, vocabulary: Vocabulary, text: str, nats: float = 6.0, phones: str = "") -> None:
        self._wanted = [*vocabulary.encode(text), END]
        self._nats = nats
        self._phones = numbered(phones.split())
        self._rows: list[int] = []

    def begin(self) -> NDArray[np.float32]:
        """Before the first token."""
        self._rows = [0]
        return self._logits()

    def step(self, parents: NDArray[np.int64], tokens: NDArray[np.int64]) -> NDArray[np.float32]:
        """Each row is as far on as its parent; a wrong token neither helps nor holds up."""
        self._rows = [self._rows[int(parent)] + 1 for parent in parents]
        return self._logits()

    def phones(self) -> NDArray[np.float32]:
        """One ear: each phone for two steps, sure of it to 3 nats, between steps without one."""
        heard = [0, *(number for phone in self._phones for number in (phone, phone, 0))]
        logs = np.zeros((len(heard), len(PHONES) + 1), np.float32)
        logs[np.arange(len(heard)), heard] = 3.0
        return log_softmax(logs)[None]

    def spoken(self, sentences: Sequence[tuple[int, ...]]) -> list[float]:
        """A wrong token costs what it costs in `begin` and `step`."""
        found = []
        for tokens in sentences:
            self._rows = list(range(len(tokens) + 1))
            logs = log_softmax(self._logits())
            found.append(float(logs[np.arange(len(logs)), [*tokens, END]].sum()))
        return found

    def again(self) -> Dictated:
        """It is heard the same."""
        return self

    def _logits(self) -> NDArray[np.float32]:
        logits = np.zeros((len(self._rows), len(PIECES)), np.float32)
        for row, place in enumerate(self._rows):
            logits[row, self._wanted[min(place, len(self._wanted) - 1)]] = self._nats
        return logits


@dataclass
class MadeHabits:
    """Habits as a function tells them. `asked`: the prefixes and sentences that were looked up."""

    tells: Callable[[Sequence[tuple[int, ...]]], NDArray[np.float32]]
    asked: list[tuple[int, ...]] = field(default_factory=list)

    def __call__(self, prefixes: Sequence[tuple[int, ...]]) -> NDArray[np.float32]:
        """Of each next token."""
        self.asked.extend(prefixes)
        return self.tells(prefixes)

    def whole(self, sentences: Sequence[tuple[int, ...]]) -> list[float]:
        """Of each sentence, token by token."""
        self.asked.extend(sentences)
        return [
            float(sum(self.tells([tokens[:place]])[0, token] for place, token in enumerate((*tokens, END))))
            for tokens in sentences
        ]


def no_habits(prefixes: Sequence[tuple[int, ...]]) -> NDArray[np.float32]:
    """A network without habits: everything alike."""
    return np.zeros((len(prefixes), len(PIECES)), np.float32)


@pytest.fixture
def vocabulary() -> Vocabulary:
    """Single letters, each also as the first of a word."""
    return Vocabulary(PIECES, begin=BEGIN, end=END)
