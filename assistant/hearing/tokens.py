"""The pieces of text that the network writes, and which of them may come next.

Left free, the search would find odd spellings ("n o?, sp ark") that the habits of the network make look good; only
pieces in the order in which plain text is written compete.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.spelling import Place, Spelling

# Classes of tokens, and what may follow what.
START, WORD, REST, DIGIT, BLANK, PAUSE, HYPHEN, STOP, POINT, APOSTROPHE = range(10)
_FOLLOWS = {
    START: {WORD, BLANK},
    WORD: {WORD, REST, DIGIT, BLANK, PAUSE, HYPHEN, STOP, APOSTROPHE},
    REST: {WORD, REST, DIGIT, BLANK, PAUSE, HYPHEN, STOP, APOSTROPHE},
    DIGIT: {WORD, REST, DIGIT, BLANK, PAUSE, HYPHEN, STOP},
    BLANK: {DIGIT},
    PAUSE: {WORD, BLANK, DIGIT},
    HYPHEN: {REST, DIGIT},
    STOP: set(),
    POINT: {DIGIT},
    APOSTROPHE: {REST},
}
_MAY_END = {WORD, REST, DIGIT, STOP, POINT}
_WORD = re.compile(r" ?[^\W\d_]+(?:'[^\W\d_]+)?")
_CLASS = {" ": BLANK, ",": PAUSE, "-": HYPHEN, ".": STOP, "?": STOP, "!": STOP, "'": APOSTROPHE, "%": DIGIT}

SHORT = 4
"""Words up to this many letters may be written in capitals (PSI, RPM)."""


@dataclass(slots=True)
class _Branch:
    tokens: list[int] = field(default_factory=list)
    below: dict[str, _Branch] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Legal:
    """Tokens that may come at a place: (n,) int64 ids in rising order, and the place after each."""

    tokens: NDArray[np.int64]
    places: tuple[Place, ...]
    classes: NDArray[np.int64]
    allowed: dict[tuple[int, tuple[int, ...]], NDArray[np.bool_]] = field(default_factory=dict)


class Vocabulary:
    """The texts of the network's tokens by number; None for a token that is no text."""

    def __init__(self, texts: Sequence[str | None], *, begin: int, end: int) -> None:
        self.begin = begin
        self.end = end
        self._texts = texts
        self._numbers = {text: token for token, text in enumerate(texts) if text}
        self._letters = ["".join(letter for letter in (text or "").lower() if letter.isalnum()) for text in texts]
        self._classes = np.array([_class_of(text) for text in texts], np.int64)
        self._root = _Branch()
        for token, text in enumerate(texts):
            if text and self._classes[token] != START:
                self._add(token, text)
        self._follows = np.zeros((10, 10), bool)
        for before, after in _FOLLOWS.items():
            self._follows[before, list(after)] = True

    def _add(self, token: int, text: str) -> None:
        branch = self._root
        for letter in text.lower():
            below = branch.below.get(letter)
            if below is None:  # `setdefault` would make a branch for every letter of 32,000 tokens
                below = branch.below[letter] = _Branch()
            branch = below
        branch.tokens.append(token)

    def text(self, tokens: Sequence[int]) -> str:
        """What the tokens write."""
        return "".join(self._texts[token] or "" for token in tokens)

    @property
    def size(self) -> int:
        """How many tokens there are."""
        return len(self._texts)

    @cached_property
    def whole_words(self) -> dict[str, tuple[int, ...]]:
        """Words in small letters that a single token writes after a blank, and these tokens."""
        found: dict[str, tuple[int, ...]] = {}
        for token, text in enumerate(self._texts):
            word = (text or "")[1:].lower()
            if text and text[0] == " " and word.replace("'", "").isalpha():
                found[word] = (*found.get(word, ()), token)
        return found

    def letters(self, token: int) -> str:
        """The letters and digits of one token, lower case."""
        return self._letters[token]

    def encode(self, text: str) -> tuple[int, ...]:
        """The tokens that the network itself uses for this text: the pair with the lowest number is joined first.

        Source: byte-pair encoding as its vocabulary is built, the earliest joins first. Empty when a letter is unknown.
        """
        if not all(letter in self._numbers for letter in text):
            return ()
        pieces = list(text)
        while True:
            joins = [
                (self._numbers[left + right], index)
                for index, (left, right) in enumerate(pairwise(pieces))
                if left + right in self._numbers
            ]
            if not joins:
                return tuple(self._numbers[piece] for piece in pieces)
            index = min(joins)[1]
            pieces[index : index + 2] = [pieces[index] + pieces[index + 1]]

    def beginnings(self, words: Iterable[str]) -> frozenset[tuple[int, ...]]:
        """Every beginning of a word in tokens, as plain text has it: small, with a capital, in capitals if short."""
        found: set[tuple[int, ...]] = set()
        for word in words:
            forms = {word, word.capitalize()} | ({word.upper()} if len(word) <= SHORT else set())
            for form in forms:
                for text in (" " + form, form):
                    tokens = self.encode(text)
                    found.update(tokens[: length + 1] for length in range(len(tokens)))
        return frozenset(found)

    def legal(self, spelling: Spelling, place: Place) -> Legal:
        """Which tokens may come at this place of the language; remembered at the place."""
        if isinstance(place.tokens, Legal):
            return place.tokens
        found: list[tuple[int, Place]] = []
        pending = [(self._root, place)]
        while pending:
            branch, here = pending.pop()
            found.extend((token, here) for token in branch.tokens)
            for letter in branch.below:
                if letter in here.moves or not letter.isalnum():
                    after = spelling.after(here, letter)
                    if after is not None:
                        pending.append((branch.below[letter], after))
        found.sort(key=lambda pair: pair[0])
        tokens = np.array([token for token, _ in found], np.int64)
        place.tokens = legal = Legal(tokens, tuple(after for _, after in found), self._classes[tokens])
        return legal

    def may_follow(
        self, before: Sequence[int], legal: Legal, beginnings: frozenset[tuple[int, ...]]
    ) -> NDArray[np.bool_]:
        """Which of the legal tokens plain text has after these: (n,)."""
        last = self._last_class(before)
        word = self._open_word(before)
        known = legal.allowed.get((last, word))
        if known is None:
            known = self._follows[last, legal.classes]
            for index in np.flatnonzero(known):
                token, kind = int(legal.tokens[index]), legal.classes[index]
                if kind == WORD:
                    known[index] = (token,) in beginnings
                elif kind in (REST, APOSTROPHE):
                    known[index] = (*word, token) in beginnings or (last == DIGIT and kind == REST)
            legal.allowed[last, word] = known
        return known

    def _open_word(self, before: Sequence[int]) -> tuple[int, ...]:
        """The tokens of the word that the text ends in."""
        start = len(before)
        while start > 0 and self._classes[before[start - 1]] in (WORD, REST, APOSTROPHE):
            start -= 1
            if self._classes[before[start]] == WORD:
                break
        return tuple(before[start:])

    def may_end(self, tokens: Sequence[int]) -> bool:
        """Whether plain text may end after these."""
        return bool(tokens) and self._last_class(tokens) in _MAY_END

    def _last_class(self, tokens: Sequence[int]) -> int:
        if not tokens:
            return START
        last = int(self._classes[tokens[-1]])
        if last == STOP and len(tokens) > 1 and self._texts[tokens[-1]] == "." and self._classes[tokens[-2]] == DIGIT:
            return POINT
        return last


def _class_of(text: str | None) -> int:
    if not text:
        return START
    if text in _CLASS:
        return _CLASS[text]
    if text.isascii() and text.isdigit():
        return DIGIT
    letters = text.strip()
    if _WORD.fullmatch(text) and (letters.islower() or letters.isupper() or letters.istitle()):
        return WORD if text[0] == " " else REST
    return START  # nothing that plain text of our languages holds
