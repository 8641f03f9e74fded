"""What is at stake in a sentence of a grammar: one rule for every engine that hears."""

from __future__ import annotations

from collections.abc import Collection

from assistant.language.commands import ROWS, CommandRow, Stakes
from assistant.language.grammars import ACKNOWLEDGE_TAG
from assistant.language.questions import Question

QUESTIONS = frozenset(Question)


def stakes_of(words: str, tags: Collection[str], *, hazardous: bool) -> Stakes:
    """What is at stake when these words are taken. `tags`: of the grammar, on the way through the words. `hazardous`:
    the step can hurt someone, so that every answer is as strict as can be.

    A tag is a command only where its phrase was said, whatever a result may be called; what has no class of its own is
    an answer where it is a result of the step.
    """
    row = _row_of(words, tags)
    if QUESTIONS.intersection(tags) or (row is not None and row.stakes is Stakes.HARMLESS):
        return Stakes.HARMLESS
    if hazardous or ACKNOWLEDGE_TAG in tags:
        return Stakes.STRICT
    return row.stakes if row is not None else Stakes.ANSWER


def _row_of(words: str, tags: Collection[str]) -> CommandRow | None:
    return next((row for row in ROWS if row.control in tags and _said(row, words)), None)


def _said(row: CommandRow, words: str) -> bool:
    """An attention word may stand before the phrase."""
    return any(f" {words}".endswith(f" {phrase}") for phrase in row.phrases)
