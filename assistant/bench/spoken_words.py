"""Text that the network wrote, as the words that were spoken."""

from __future__ import annotations

import re

from assistant.hearing.digits import DIGITS

_WORDS = {digit: word for word, digit in list(DIGITS.items())[::-1]}


def spoken_words(text: str) -> list[str]:
    """Lower case, without marks; single digits as words, longer numbers as they stand."""
    return [_WORDS.get(word, word) for word in re.findall(r"[a-z0-9']+", text.lower())]
