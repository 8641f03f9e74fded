"""Questions that change nothing: what the assistant thinks, why, what to test next, what is left, what if, the record,
what a figure should be, what is needed.

They are no commands: the guide never sees them. Plain English, our own choice; no phrase stands under two meanings.
"I found" tells the result of a test that nobody asked for; it is a command, and stands here because its clauses are
those of "what if".
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

WHAT_IF = "what if"
"""Stands before what is supposed: "what if spark is present"."""

I_FOUND = "i found"
"""Stands before the result of a test of the technician's own choice: "i found spark is present"."""


class Question(StrEnum):
    """What is asked; each by the phrase that we speak of."""

    THINK = "what do you think"
    WHY = "why"
    AGAINST = "what speaks against it"
    NEXT = "what next"
    LEFT = "what is left to test"
    IF = WHAT_IF
    RECORD = "read the record"
    SHOULD_BE = "what should it be"
    NEED = "what do i need"


UNLISTENED = frozenset((Question.SHOULD_BE, Question.NEED))
"""Understood of what is typed and written freely, and no phrase of the grammars: each more is one more to mishear."""


QUESTION_PHRASES: Mapping[Question, tuple[str, ...]] = MappingProxyType(
    {
        Question.THINK: ("what do you think", "what is most likely"),
        Question.WHY: ("why", "why is that", "tell me why"),
        Question.AGAINST: ("what speaks against it", "why not something else", "could it be something else"),
        Question.NEXT: ("what next", "what should i test next"),
        Question.LEFT: ("what is left to test", "what tests are left"),
        Question.RECORD: ("read the record", "read me the record"),
    }
)
"""Each question but "what if" and the phrases that ask it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A question. `supposed`: what "what if" supposes, a key of `Expected.supposed`; empty for the others. `about`: the
    plain words, where they were one's own and may name what is asked about."""

    question: Question
    supposed: str = ""
    about: str = ""


def question_phrases() -> tuple[str, ...]:
    """Every phrase that asks something by itself: no result, acknowledgement or done phrase may equal one."""
    return tuple(phrase for phrases in QUESTION_PHRASES.values() for phrase in phrases)


_OF_THE_STEP = re.compile(
    r"\b(?:tests?|steps?|checks?|do|doing|does|for|point|good|use|ask|asking|need|needed|want|bother|matters?|show|tell"
    r"|aid|this|one)\b"
)
"""What is said of what is to be done, not of what is thought."""


def of_the_step(words: str) -> bool:
    """Whether a "why" in one's own words is of the step that is asked for: "why that test", "what's the point"."""
    return _OF_THE_STEP.search(words) is not None
