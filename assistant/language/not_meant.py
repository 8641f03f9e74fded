"""What a guess may never make of words, however like known answers they are. Pure.

A guess weighs how words are like what people say; it does not know what stands elsewhere in the job.
"""

from __future__ import annotations

from assistant.language.model import Expected
from assistant.language.questions import I_FOUND

_UNTOLD = "<dont_know>"
"""The shared rule in the answers of a result that tells of nothing seen: nobody knows, not looked at."""


def not_meant(words: str, result: str, expected: Expected) -> bool:
    """Whether these plain words cannot mean what they are guessed to.

    What passes a caution or a gate, said where none is asked, and what begins with "i found" tell of another thing.
    That nobody knows is said in more than a word: of 23 single words that were guessed so 13 were "dunno", which is
    known, and 10 were answers to other questions (cross-validated over 26 steps). Nor does it take the place of an
    answer that waits for its yes: what is said then is more likely the answer to the next question.
    """
    if words in expected.passing or words.startswith(f"{I_FOUND} "):
        return True
    if _UNTOLD not in expected.answers.get(result, ""):
        return False
    return " " not in words or (expected.waiting is not None and expected.waiting != result)
