"""What the starter did, told before we asked for it to be turned: whoever waits at the key has turned it already."""

from __future__ import annotations

import re

from assistant.language.clauses import ANYTHING, parts_of, told_plainly
from assistant.language.model import Expected, GiveResult
from assistant.language.own_words import meant_by
from assistant.language.plain import plain_words

_ALREADY = re.compile(
    r"\b(?:already|(?:did|done|tried) (?:it|that|this)|(?:turned|cranked) it|have (?:turned|cranked|tried|done))\b"
)
"""Who says that it was done may be as short with what it did: "turned it already, slow"."""


def it_turned(words: str, expected: Expected) -> GiveResult | None:
    """The one answer to the step at hand that these words give as a whole or by a clause; nothing of it is guessed."""
    asked = expected.turned
    if asked is None:
        return None
    whole = meant_by(plain_words(words), asked.results, asked.answers)
    found = {whole} if whole else told_plainly(words, asked.results, asked.answers, (ANYTHING,))
    if not found and _ALREADY.search(words.lower()):
        parts = (meant_by(part, asked.results, asked.answers) for part in parts_of(words))
        found = frozenset(part for part in parts if part)
    if len(found) != 1:
        return None
    (result,) = found
    return GiveResult(result=result, words=asked.results[result][0])
