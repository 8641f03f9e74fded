"""What is called by its name: a test after "take me to", and what is supposed after "what if"."""

from __future__ import annotations

from assistant.language.commands import Control
from assistant.language.model import Expected, TakeTo
from assistant.language.questions import WHAT_IF


def place_named(words: str, expected: Expected) -> TakeTo | None:
    """The block that was named after "take me to"."""
    if Control.TAKE_TO not in expected.controls:
        return None
    for begin in Control.TAKE_TO.row.phrases:
        name = words.removeprefix(f"{begin} ").removeprefix("the ")
        if name != words:
            found = (block for block, names in expected.places.items() if name in names)
            block = next(found, None)
            return None if block is None else TakeTo(block=block, name=name)
    return None


def supposed_after(words: str, expected: Expected) -> tuple[str, str] | None:
    """What is supposed after "what if": its "test=result" and its clause."""
    clause = words.removeprefix(f"{WHAT_IF} ")
    if clause == words:
        return None
    return next(((key, clause) for key, clauses in expected.supposed.items() if clause in clauses), None)
