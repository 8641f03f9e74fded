"""What a guess may never make of words, however like known answers they are. Pure.

A guess weighs how words are like what people say; it does not know what stands elsewhere in the job.
"""

from __future__ import annotations

import re

from assistant.language.model import Expected
from assistant.language.questions import I_FOUND

_UNTOLD = "<dont_know>"
"""The shared rule in the answers of a result that tells of nothing seen: nobody knows, not looked at."""

_SEEN = re.compile(
    r"\b(?:know|knows|knew|see|saw|seen|tell|sure|look\w*|find|found|reach|notic\w*|idea|clue|check\w*|hear|heard|guess\w*"
    r"|say|said|told|remember|dunno|cannot|miss|missed|hard|dark|maybe|measured?|tested|tried|read|figure|no|not|nothing"
    r"|none|nobody|never|neither|without|too|beats|forgot|unsure|anybody|[a-z]+n't)\b"
)
"""What is said of seeing and knowing, or denies it."""
_SMALL = frozenset(
    (
        "i", "it", "it's", "is", "was", "a", "an", "the", "at", "in", "on", "of", "to", "and", "have", "had", "has",
        "my", "me", "that", "this", "there", "just", "i'm", "for", "with", "one", "up", "out", "he", "she", "we",
        "they", "really",
    )
)  # fmt: skip


def not_meant(words: str, result: str, expected: Expected) -> bool:
    """Whether these plain words cannot mean what they are guessed to.

    What passes a caution or a gate, said where none is asked, and what begins with "i found" tell of another thing.
    That nobody knows is said in more than a word: of 23 single words that were guessed so 13 were "dunno", which is
    known, and 10 were answers to other questions (cross-validated over 26 steps). Nor does it take the place of an
    answer that waits for its yes: what is said then is more likely the answer to the next question. And it is of seeing
    or knowing, or shares a word with what people say so: "I have a pacemaker" was once guessed to be it.
    """
    if words in expected.passing or words.startswith(f"{I_FOUND} "):
        return True
    if _UNTOLD not in expected.answers.get(result, ""):
        return False
    if " " not in words or (expected.waiting is not None and expected.waiting != result):
        return True
    known = {word for each in expected.examples.get(result, ()) for word in each.split()}
    return _SEEN.search(words) is None and not (set(words.split()) & known) - _SMALL
