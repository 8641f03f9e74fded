"""What is answered to a question: by the odds, or where no fault model thinks along what is known without them."""

from __future__ import annotations

from assistant.english import live as texts
from assistant.english import sayings
from assistant.english.reasoned import BY_TEST
from assistant.guide import Library, State
from assistant.guide.places import step_of
from assistant.language.questions import Ask, Question
from assistant.session.adviser import Adviser

ANSWERS = frozenset({"result", "reading"})
"""Kinds of what was kept that lead on."""


def answer(ask: Ask, adviser: Adviser | None, library: Library, state: State) -> str:
    """At most two short sentences. Without odds: why, by what was found or answered last; of what comes next, that the
    answer decides it."""
    if adviser is not None:
        return adviser.answer(ask, state)
    if ask.question is Question.WHY:
        return _why(library, state)
    return texts.OWN_ORDER if ask.question in (Question.NEXT, Question.LEFT) else texts.NO_ODDS


def _why(library: Library, state: State) -> str:
    found = step_of(library, state).finding if state.finding else None
    if found is not None and found.proved:
        return sayings.under(BY_TEST, found.proved)
    told = next((kept.words for kept in reversed(state.strikable) if kept.kind in ANSWERS), None)
    return texts.FIRST_HERE if told is None else f"{texts.you_told(told)} {texts.FOLLOWS}"
