"""What is at stake in a sentence of a grammar: one rule for every engine that hears."""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum, auto

from assistant.language.commands import ROWS, CommandRow, Stakes
from assistant.language.grammars import ACKNOWLEDGE_TAG, READING_TAG, SEVERAL_TAG, TOLD_TAG
from assistant.language.model import Control
from assistant.language.own_words import POLITENESS
from assistant.language.questions import Question


class Tail(Enum):
    """The silence after which words are acted on; the recogniser has the seconds."""

    NONE = auto()
    SHORT = auto()
    WHOLE = auto()  # the end of the utterance


QUESTIONS = frozenset(Question)
MANY_ALIKE = frozenset((Question.IF.value, TOLD_TAG, READING_TAG, SEVERAL_TAG))
"""Tags of sentences that go on with a clause or a number, or string facts together: "fifteen" is nearly "fifty"."""


def stakes_of(words: str, tags: Collection[str], *, hazardous: bool) -> Stakes:
    """What is at stake when these words are taken. `tags`: of the grammar, on the way through the words. `hazardous`:
    the step can hurt someone, so that every answer is as strict as can be.

    A tag is a command only where its phrase was said, whatever a result may be called; what has no class of its own is
    an answer where it is a result of the step.
    """
    row = _row_of(words, tags)
    if not MANY_ALIKE.isdisjoint(tags):
        return Stakes.SUPPOSED
    if QUESTIONS.intersection(tags) or (row is not None and row.stakes is Stakes.HARMLESS):
        return Stakes.HARMLESS
    if hazardous or ACKNOWLEDGE_TAG in tags:
        return Stakes.STRICT
    return row.stakes if row is not None else Stakes.ANSWER


def tail_of(words: str, tags: Collection[str], *, read_back: bool) -> Tail:
    """How long a silence these words need. `read_back`: an answer is logged only after a yes.

    What logs or moves something, yes and done above all, counts only once nothing more is said, and so does any command
    of one word: talk begins so too.
    """
    row = _row_of(words, tags)
    if row is not None and row.cuts_speech:
        return Tail.NONE
    if ACKNOWLEDGE_TAG in tags:
        return Tail.WHOLE
    if row is not None:
        return Tail.SHORT if row.stakes is Stakes.HARMLESS and len(words.split()) > 1 else Tail.WHOLE
    return Tail.SHORT if read_back or QUESTIONS.intersection(tags) else Tail.WHOLE


def control_said(words: str, tags: Collection[str]) -> Control | None:
    """The command that the words are, None where they are none."""
    row = _row_of(words, tags)
    return None if row is None else row.control


def _row_of(words: str, tags: Collection[str]) -> CommandRow | None:
    return next((row for row in ROWS if row.control in tags and _said(row, words)), None)


def _said(row: CommandRow, words: str) -> bool:
    """An attention word or a hesitation may stand before the phrase, politeness after; behind some, what is meant."""
    if row.followed:
        return any(f" {phrase} " in f" {words}" for phrase in row.phrases)
    bare = next((words.removesuffix(f" {end}") for end in POLITENESS if words.endswith(f" {end}")), words)
    return any(f" {bare}".endswith(f" {phrase}") for phrase in row.phrases)
