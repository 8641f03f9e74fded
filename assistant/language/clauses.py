"""What free words tell of one question, clause by clause: only what is an answer to it as it stands. Pure.

A complaint is a story: "it cut out on the motorway and he had just filled it up". Whatever of it answers a question as
people answer it, word for word, is told plainly; nothing is guessed, and nothing that is denied is an answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from assistant.language.complaints import told_in
from assistant.language.own_words import meant_by
from assistant.language.plain import plain_words

_BETWEEN = re.compile(
    r"(?:[\s,.;:!?]+(?:and|but|then|since|after|because|so|when|now|once|though|while)\b|\s*[,.;:!?]+(?=\s))+\s+"
)
"""Where one thing told may end and the next begin. Plain English, our own choice; no source."""

LEAST_WORDS = 3
"""Fewer words are no plain clause: "nothing" is said of the key as of what came before."""

BANG = "bang"
"""With a bang it stopped at once as well: the bang is how."""

_SELDOM = re.compile(r"\b(?:if|might|may|maybe|perhaps|could|would|asks?|asked|says? not|or)\b")

JOINED = ("and", "but", "so")
"""What joins two things that are told."""

ANYTHING = "anything"
"""In place of what a clause must name: the question is for the whole story."""


def told_plainly(
    words: str, results: Mapping[str, tuple[str, ...]], answers: Mapping[str, str], naming: Sequence[str]
) -> frozenset[str]:
    """The results of a question that these free words give, each by a clause of its own or several in a row.

    `naming`: words of which such a clause must hold one, or ANYTHING."""
    open_to_all = ANYTHING in naming
    clauses = [each for each in _clauses(words) if open_to_all or not set(naming).isdisjoint(each.split())]
    found = {meant for clause in clauses if (meant := meant_by(clause, results, answers)) is not None}
    passing = set(told_in(words)) & set(results) if open_to_all else set()
    return frozenset(passing if BANG in passing else found | passing)


def parts_of(words: str, *joined: str) -> Iterator[str]:
    """What stands between marks and joining words, each once, as plain words. `joined`: what joins besides JOINED."""
    between = rf"[,.;:!?]+|\b(?:{'|'.join((*JOINED, *joined))})\b"
    return map(plain_words, re.split(between, words.lower()))


def _clauses(words: str) -> Iterator[str]:
    """Every stretch from one boundary to another."""
    text = f" {words.lower()} "
    cuts = [(0, 0), *((found.start(), found.end()) for found in _BETWEEN.finditer(text)), (len(text), len(text))]
    for first, (before, begin) in enumerate(cuts):
        for end, _ in cuts[first + 1 :]:
            for clause in {plain_words(text[begin:end]), plain_words(text[before:end])}:  # "after filling up", too
                if len(clause.split()) >= LEAST_WORDS and not _SELDOM.search(clause):
                    yield clause
