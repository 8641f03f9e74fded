"""A step asks one thing: what must be so first is a gate of its own, what takes minutes is a wait before the question.

Else one "no" means either of two things, and an answer is taken before the time that it tells of has passed.
"""

from __future__ import annotations

import re

from assistant.procedure.checks.book import Page
from assistant.procedure.flow import ways_of
from assistant.procedure.model import Kind

_ASKS_BEFORE_IT_ACTS = re.compile(r"\?\s+(?:only )?then\b", re.IGNORECASE)
_MINUTES = re.compile(r"\b(?:let|after|for|wait)\b[^.?]*\bminutes?\b", re.IGNORECASE)
ANSWERED = frozenset({Kind.ASK, Kind.READING})


def check_one_thing(page: Page) -> None:
    """Questions with an order behind them, and questions about minutes that nobody counted."""
    waited = {way.goes for step in page.procedure.steps if step.kind is Kind.WAIT for way in ways_of(step)}
    for step in page.procedure.steps:
        if step.kind not in ANSWERED:
            continue
        if _ASKS_BEFORE_IT_ACTS.search(step.say):
            page.step_fault(
                step,
                "say",
                "found a question before an order; expected one question to a step, at its end; "
                "do ask the first by a gate, or in a step before",
            )
        found = _MINUTES.search(step.say)
        if found and step.id not in waited:
            page.step_fault(
                step,
                "say",
                f"found '{found.group()}' in a question; expected a step of kind wait before it, which counts; "
                "do write one that leads here",
            )
