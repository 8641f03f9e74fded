"""What is at stake in a sentence of a grammar: one rule for every engine that hears."""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum, auto

from assistant.language.commands import Control, Stakes
from assistant.language.grammars import ACKNOWLEDGE_TAG, DONE_TAG, READING_TAG, SEVERAL_TAG, TOLD_TAG
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
AT_ONCE = QUESTIONS | {ACKNOWLEDGE_TAG, DONE_TAG, TOLD_TAG}
"""Tags of sentences that are no commands and that nobody reads back before they count."""


def stakes_of(words: str, tags: Collection[str], *, hazardous: bool) -> Stakes:
    """What is at stake when these words are taken. `tags`: of the grammar, on the way through the words. `hazardous`:
    the step can hurt someone, so that every answer is as strict as can be.

    A tag is a command only where its phrase was said, whatever a result may be called; what has no class of its own is
    an answer where it is a result of the step.
    """
    control = control_said(words, tags)
    if not MANY_ALIKE.isdisjoint(tags):
        return Stakes.SUPPOSED
    if QUESTIONS.intersection(tags) or (control is not None and control.row.stakes is Stakes.HARMLESS):
        return Stakes.HARMLESS
    if hazardous or ACKNOWLEDGE_TAG in tags:
        return Stakes.STRICT
    return control.row.stakes if control is not None else Stakes.ANSWER


def tail_of(words: str, tags: Collection[str], *, read_back: bool) -> Tail:
    """How long a silence these words need. `read_back`: an answer is logged only after a yes.

    What logs or moves something, yes and done above all, counts only once nothing more is said, and so does any command
    of one word: talk begins so too.
    """
    control = control_said(words, tags)
    if control is not None and control.row.cuts_speech:
        return Tail.NONE
    if ACKNOWLEDGE_TAG in tags:
        return Tail.WHOLE
    if control is not None:
        return Tail.SHORT if control.row.stakes is Stakes.HARMLESS and len(words.split()) > 1 else Tail.WHOLE
    return Tail.SHORT if read_back or QUESTIONS.intersection(tags) else Tail.WHOLE


def done_at_once(words: str, tags: Collection[str], *, read_back: bool) -> bool:
    """Whether these words do something by themselves: no stop, which is always safe, nothing that waits for a yes."""
    control = control_said(words, tags)
    if control is not None:
        return not control.row.cuts_speech
    return not read_back or not AT_ONCE.isdisjoint(tags)


def control_said(words: str, tags: Collection[str]) -> Control | None:
    """The command that the words are, None where they are none."""
    return next((each for each in Control if each in tags and _said(each, words)), None)


def _said(control: Control, words: str) -> bool:
    """An attention word or a hesitation may stand before the phrase, politeness after; behind some, what is meant."""
    row = control.row
    if row.followed:
        return any(f" {phrase} " in f" {words}" for phrase in row.phrases)
    bare = next((words.removesuffix(f" {end}") for end in POLITENESS if words.endswith(f" {end}")), words)
    return any(f" {bare}".endswith(f" {phrase}") for phrase in row.phrases)
