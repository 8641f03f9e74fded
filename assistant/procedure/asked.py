"""What a question offers: the options that it names, and whether a bare yes or no can be an answer to it. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

Means = Callable[[str], str | None]
"""The result that an answer gives."""

_SENTENCE = re.compile(r"[^.!?]+[.!?]?")
_BETWEEN = re.compile(r",? or |, ")
_DENIED = re.compile(r"(?:no|not) ")
_NOTHING = frozenset(("nothing", "none", "neither", "not at all"))
"""Options that a bare no means."""


def questions_in(asked: str) -> list[str]:
    """Each question of a text, in small letters."""
    return [each.strip() for each in _SENTENCE.findall(asked.lower()) if each.strip().endswith("?")]


def options_of(question: str) -> Iterator[tuple[str, list[str]]]:
    """Each option of a question that names some, and what may be said for it: of the first the end is the option."""
    pieces = [piece.strip(" ?,") for piece in _BETWEEN.split(question)]
    for number, piece in enumerate(pieces):
        words = re.findall(r"[a-z']+", piece)
        if words:
            yield piece, [" ".join(words[begin:]) for begin in range(len(words) if number == 0 else min(3, len(words)))]


def is_open(word: str, asked: Iterable[str], means: Means) -> bool:
    """Whether a bare yes or no leaves open what is meant, though it is an answer: one of the results among which the
    question has to be chosen. "Does it turn, or stand still?" has no yes; to "have you a pack or a charger?" a no is
    neither, and so it is where "or nothing" is asked. A thing and the same denied, "flicker or no flicker?", are no
    choice."""
    given = means(word)
    return given is not None and any(given in _choices(each, means) for text in asked for each in _together(text))


def _together(asked: str) -> list[str]:
    """The questions of a text, one that begins with "or" with what it goes on from."""
    joined: list[str] = []
    for question in questions_in(asked):
        if joined and question.startswith("or "):
            joined[-1] = f"{joined[-1].rstrip('?')}, {question}"
        else:
            joined.append(question)
    return joined


def _choices(question: str, means: Means) -> frozenset[str]:
    """The results that a question for one of several names, but what a bare no means."""
    if " or " not in question:
        return frozenset()
    options = list(options_of(question))
    named = {option: next(filter(None, map(means, said)), None) for option, said in options}
    last = options[-1][0]
    pair = len(options) == 2 and _DENIED.match(last) and _DENIED.sub("", last, count=1) in options[0][1]
    found = frozenset(result for option, result in named.items() if result and option not in _NOTHING)
    return found if len(set(named.values()) - {None}) > 1 and not pair else frozenset()
