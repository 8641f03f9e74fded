"""What one step makes of words, outside a job: for who writes procedures and tries words with them."""

from __future__ import annotations

from dataclasses import replace

from assistant.errors import UsageError
from assistant.guide import Library, Mode, expected
from assistant.guide.places import step_of
from assistant.guide.state import NEW, Frame, Position, State
from assistant.language.model import (
    Acknowledge,
    Command,
    Dictate,
    GiveCode,
    GiveControl,
    GiveFacts,
    GiveReading,
    GiveResult,
    Heard,
    TakeTo,
    TellTest,
    Unclear,
)
from assistant.language.plain import plain_words
from assistant.language.understand import asked, meaning_of_offer, understand
from assistant.procedure.affirmed import passes
from assistant.procedure.model import Caution, Gate


class StepWords:
    """Understands words as the step would while it asks."""

    def __init__(self, library: Library, procedure: str, step: str) -> None:
        """`expected`: what is understood there. Raises UsageError where the procedure has no such step."""
        at = Frame(procedure=procedure, step=step)
        if step not in (each.id for each in library[procedure].steps):
            raise UsageError(f"Procedure '{procedure}' has no step '{step}'.")
        self._state = replace(NEW, mode=Mode.ASKING, root=procedure, position=Position(at=at))
        self.expected = replace(expected(library, self._state), questions=True)
        self._acknowledged = _acknowledged(library, self._state)

    def of(self, said: str) -> dict[str, str | None]:
        """What is taken at once (`result`), what would be asked about (`offer`), or why neither (`unclear`)."""
        return self.made_of(Heard(words=said, confidence=1.0, free_text=said))

    def made_of(self, heard: Heard) -> dict[str, str | None]:
        """The same of what a recogniser has heard."""
        question = asked(heard, self.expected)
        if question is not None:
            return _answer(result=f"question:{question.question.value}")
        meant = understand(heard, self.expected)
        if not isinstance(meant, Unclear):
            own = self._own(meant)
            among = isinstance(meant, GiveFacts) and meant.partly  # which waits for its yes
            return _answer(offer=own) if own and among else _answer(result=own or named(meant))
        if plain_words(heard.words or "") in self._acknowledged:
            return _answer(result="acknowledge")
        offer = meaning_of_offer(meant.offer, self.expected) if meant.offer else None
        if offer is not None:
            return _answer(offer=named(offer))
        return _answer(unclear=meant.reason.value)

    def _own(self, meant: Command) -> str | None:
        """The result of the step, where it was told together with other facts of the car."""
        if not isinstance(meant, GiveFacts):
            return None
        asked = {each.fact for each in self.expected.several if each.results == self.expected.results}
        return next((told.value for told in meant.facts if told.fact in asked), None)


def named(command: Command) -> str:
    """The command in one word, a result by its id."""
    match command:
        case GiveResult(result=result):
            return result
        case GiveControl(control=control):
            return f"control:{control.value}"
        case GiveFacts(facts=facts):
            return "facts:" + ",".join(f"{told.fact}={told.value}" for told in facts)
        case GiveReading(value=value, unit=unit):
            return f"reading:{value:g} {unit}"
        case GiveCode(code=code):
            return f"code:{code}"
        case Acknowledge():
            return "acknowledge"
        case TellTest(test=test, result=result):
            return f"told:{test}={result}"
        case TakeTo(block=block):
            return f"take:{block}"
        case Dictate():
            return "words"
        case _:
            return "time"


def _acknowledged(library: Library, state: State) -> frozenset[str]:
    """Phrases that pass a caution or a gate of the step."""
    step, procedure = step_of(library, state), library[state.at.procedure]
    every: tuple[Caution | Gate, ...] = (*procedure.cautions, *procedure.gates)
    parts = [each for each in every if each.id in (*step.cautions, *step.gates)]
    return frozenset(words for part in parts for words in passes(part))


def _answer(
    *, result: str | None = None, offer: str | None = None, unclear: str | None = None
) -> dict[str, str | None]:
    return {"result": result, "offer": offer, "unclear": unclear}
