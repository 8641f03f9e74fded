"""What begins by taking back what was read back or logged, and is no answer. Plain English, our own choice."""

from __future__ import annotations

import re

from assistant.language.commands import phrase_of
from assistant.language.model import Command, Control, Expected, GiveControl, Unclear
from assistant.language.obeyed import say_if_meant

_TAKES_BACK = re.compile(
    r"(?:(?:no|nope|nah|wait no|oh no|hang on no)\b(?: (?:no|wait|sorry|hang on|hold on|actually|mate|i mean|not))"
    r"|wait no|hang on no|scrap that|that's not (?:it|right|what)|no the other)\b"
)
"""How words begin that take back what was read back: "no sorry, the other one"."""


def taken_back(words: str, expected: Expected) -> Command | Unclear | None:
    """What is meant by words that take back more than they tell: a no to what was read back, else how to strike it."""
    if _TAKES_BACK.match(words) is None:
        return None
    if expected.waiting is not None:
        return GiveControl(control=Control.NO) if Control.NO in expected.controls else None
    return say_if_meant(phrase_of(Control.STRIKE), words) if Control.STRIKE in expected.controls else None
