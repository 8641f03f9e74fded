"""What is said, cut into what is said in one breath: at the ends of sentences, and long ones where a speaker would."""

from __future__ import annotations

import re
from collections.abc import Iterator

LONGEST = 200
"""Characters. The longest sentence of the procedures has 130; past this the first sound would wait too long."""

_SENTENCE_ENDS = re.compile(r"(?<=[.!?…]) +(?![a-z])|(?<=[.!?…][\"')]) +(?![a-z])|\s*\n\s*")
_CLAUSE_ENDS = re.compile(r"(?<=[,;:]) +")
_SPACES = re.compile(r" +")


def breaths(text: str) -> tuple[str, ...]:
    """The pieces in their order, none longer than LONGEST; together they are the text but for the spaces between."""
    return tuple(piece for said in _SENTENCE_ENDS.split(text) for piece in _short(said.strip()) if piece)


def _short(text: str) -> Iterator[str]:
    """A sentence in pieces: at its clauses, else between words, else anywhere."""
    for ends in (_CLAUSE_ENDS, _SPACES):
        if len(text) <= LONGEST:
            break
        begun = [found.end() for found in ends.finditer(text) if found.end() <= LONGEST]
        if begun:
            yield text[: begun[-1]].rstrip()
            yield from _short(text[begun[-1] :])
            return
    while len(text) > LONGEST:
        yield text[:LONGEST]
        text = text[LONGEST:]
    yield text
