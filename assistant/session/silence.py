"""What is named after a silence, to whom we speak briefly: the answers that were not named with the question."""

from __future__ import annotations

from assistant.guide import Library, Mode, State
from assistant.guide.places import names_of, step_of
from assistant.guide.words import full_hint
from assistant.language.manner import Manner
from assistant.language.speech import Sentence, Utterance
from assistant.procedure.model import Kind

SILENCE_S = 6.0
"""So long nothing is said on either side. Source: the issue's measure; judgement."""

WAITS_FOR_WORDS = frozenset({Mode.ASKING, Mode.GATING, Mode.CAUTIONING, Mode.POISED})


class Silence:
    """Keeps which question's answers were named, so that each is named once."""

    def __init__(self) -> None:
        self._named: object = None

    def heard(self, library: Library, state: State, question: object, reply: tuple[Utterance, ...]) -> None:
        """What was just said by us: the answers may be among it."""
        if state.at.step and state.mode in WAITS_FOR_WORDS and set(full_hint(library, state)) & set(reply):
            self._named = question

    def due(self, library: Library, state: State, question: object, silent_s: float) -> tuple[Sentence, ...]:
        """What is to be named now; empty where nothing is."""
        if state.manner is Manner.FULL or silent_s < SILENCE_S or self._named == question:
            return ()
        if state.mode not in WAITS_FOR_WORDS or _at_work(library, state):
            return ()
        return full_hint(library, state)


def _at_work(library: Library, state: State) -> bool:
    """Whether hands are busy with what was told: who knows that done ends it need not be told so each time."""
    step = step_of(library, state)
    return state.mode is Mode.ASKING and step.kind is Kind.INSTRUCT and bool(state.named & names_of(step, state.at))
