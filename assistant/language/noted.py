"""A note in one breath with the word for it: "note fuse twelve". Plain English, our own choice."""

from __future__ import annotations

import re

from assistant.language.model import Control, Dictate, Expected

_NOTE = re.compile(
    r"^\s*(?:please |can you |could you |just )*(?:(?:take|make|keep) (?:a |me a )?note|note)"
    r"(?: down)?(?: that| of)?[:,]?\s+"
    r"(?P<rest>\S.*)$",
    re.IGNORECASE,
)
_NAMES_NOTHING = frozenset(
    ("please", "that", "it", "this", "for", "me", "down", "of", "now", "a", "the", "one", "will", "you")
)


def note_told(text: str, expected: Expected) -> Dictate | None:
    """The note that these words hold beside the word for it; None where they hold none, or none may be taken now."""
    told = _NOTE.match(text)
    if told is None or Control.NOTE not in expected.controls:
        return None
    rest = told["rest"].strip()
    if _NAMES_NOTHING.issuperset(re.sub(r"[^a-z' ]+", " ", rest.lower()).split()) and not re.search(r"\d", rest):
        return None
    return Dictate(words=rest, note=True)
