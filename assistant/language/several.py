"""Several facts of the car in one breath: "it's a petrol four cylinder with coils on the plugs, cranks fine"."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.language.model import FactAsked, FactTold
from assistant.language.own_words import correction_ends, meant_by

LEAST = 2
"""Fewer facts are an answer as any other."""

LONGEST_ANSWER = 8
"""Words of one fact at most."""

SAID_BETWEEN: Sequence[Sequence[str]] = (
    *((word,) for word in ("it's", "it", "is", "a", "an", "the", "and", "with", "has", "got", "this", "that's")),
    *((word,) for word in ("engine", "car", "its", "on")),
    *(("cranks", "fine"), ("cranks", "okay"), ("turns", "fine"), ("cranks", "but", "won't", "start")),
)
"""What may stand between: words that tell nothing against a fact. No "not", and nothing that corrects."""


NAMES_NOTHING = frozenset(
    (
        "yes", "yeah", "yep", "yup", "aye", "no", "nope", "nah", "there", "are", "is", "isn't", "aren't", "ain't", "it",
        "it's", "does", "doesn't", "has", "hasn't", "have", "haven't", "got", "do", "don't", "i", "know", "not", "sure",
        "none", "any", "one", "that", "they",
    )
)  # fmt: skip
"""Words that answer only the question that was asked: a fact told unasked must name what it is of."""


def several(said: Sequence[str], asked: Sequence[FactAsked]) -> tuple[FactTold, ...]:
    """The facts that these words tell, all of which must be understood; empty where they tell fewer than two, or one
    twice. Of one that is corrected at once ("diesel, no wait, petrol") the last counts; a bare "no" may deny too."""
    found: dict[str, FactTold] = {}
    at, latest = 0, ""
    while at < len(said):
        told, length = _fact_at(said, at, asked)
        if told is None and latest:
            told, length = _corrected_at(said, at, [each for each in asked if each.fact == latest])
            found.pop(latest if told else "", None)
        if told is None:
            between = (words for words in SAID_BETWEEN if tuple(said[at : at + len(words)]) == words)
            length = max(map(len, between), default=0)
            if not length:
                return ()
        elif told.fact in found:
            return ()
        else:
            found[told.fact] = told
        latest = told.fact if told is not None else ""
        at += length
    return tuple(found.values()) if len(found) >= LEAST else ()


def _corrected_at(said: Sequence[str], at: int, asked: Sequence[FactAsked]) -> tuple[FactTold | None, int]:
    """The same fact told anew behind a correction, and how many words both are."""
    for end in correction_ends(said, at):
        if list(said[at:end]) == ["no"]:
            continue
        told, length = _fact_at(said, end, asked)
        if told is not None:
            return told, end - at + length
    return None, 0


def _fact_at(said: Sequence[str], at: int, asked: Sequence[FactAsked]) -> tuple[FactTold | None, int]:
    """The fact told by the longest stretch from here, and how many words that is; what tells of two tells of none."""
    for length in range(min(LONGEST_ANSWER, len(said) - at), 0, -1):
        words = " ".join(said[at : at + length])
        if words in {" ".join(each) for each in SAID_BETWEEN} or NAMES_NOTHING.issuperset(words.split()):
            continue
        meant = [(each, value) for each in asked if (value := meant_by(words, each.results, each.answers)) is not None]
        if len(meant) == 1:
            each, value = meant[0]
            return FactTold(fact=each.fact, value=value, words=each.results[value][0]), length
    return None, 0
