"""What the starter did, told before we asked for it to be turned: whoever waits at the key has turned it already."""

from __future__ import annotations

from assistant.language.clauses import ANYTHING, told_plainly
from assistant.language.model import Expected, GiveResult
from assistant.language.own_words import meant_by
from assistant.language.plain import plain_words


def it_turned(words: str, expected: Expected) -> GiveResult | None:
    """The one answer to the step at hand that these words give as a whole or by a clause; nothing of it is guessed."""
    asked = expected.turned
    if asked is None:
        return None
    whole = meant_by(plain_words(words), asked.results, asked.answers)
    found = {whole} if whole else told_plainly(words, asked.results, asked.answers, (ANYTHING,))
    if len(found) != 1:
        return None
    (result,) = found
    return GiveResult(result=result, words=asked.results[result][0])
