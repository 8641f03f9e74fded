"""What the recogniser is told of a turn: one rule for the session, the rehearsal and the bench."""

from __future__ import annotations

from assistant.grammar.model import Grammar
from assistant.language.grammars import grammar_of
from assistant.language.guess import said_for
from assistant.language.model import Expected
from assistant.ports import Listening


def listening_for(now: Expected, grammar: Grammar | None = None) -> Listening:
    """`grammar`: of what is understood now, where it is made already."""
    return Listening(
        grammar=grammar if grammar is not None else grammar_of(now),
        hazardous=now.hazardous,
        timed=now.timed,
        read_back=now.read_back,
        dictation=now.dictation,
        second_chance=bool(now.results or now.quantity),
        said=said_for(now),
    )
