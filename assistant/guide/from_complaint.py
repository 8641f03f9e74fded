"""What complaint or answer told already is offered for a yes in place of the open question, never taken by itself."""

from __future__ import annotations

from assistant.facts import InstructionSpoken, ResultHeard
from assistant.guide.state import BY_COMPLAINT, State
from assistant.guide.turn import Making
from assistant.guide.words import hint
from assistant.language.clauses import told_plainly
from assistant.language.out_of_turn import ASKED_NEXT
from assistant.procedure.answers import tells_nothing
from assistant.procedure.model import Result, Step


def told_before(step: Step, state: State) -> tuple[Result, ...]:
    """The answers of the step that the complaint gives plainly, or that were given at the question before it."""
    if not step.told_before:
        return ()
    told = [kept.words for kept in state.strikable if kept.kind == "words"]
    given = {kept.words for kept in state.strikable if kept.name == ASKED_NEXT}
    asked = [each for each in step.results if not tells_nothing(each.answers)]
    results = {each.id: each.phrases for each in asked}
    answers = {each.id: each.answers for each in asked if each.answers}
    found = frozenset[str]().union(*(told_plainly(words, results, answers, step.told_before) for words in told))
    return tuple(each for each in asked if each.id in found or not given.isdisjoint(each.phrases))


def offer_told(making: Making, step: Step) -> bool:
    """Ask for a yes to what the complaint told of the step: was it so? Of two, none: the question is asked."""
    told = told_before(step, making.state)
    if len(told) != 1:
        return False
    making.note(InstructionSpoken(makes=(), spoken=""))
    making.note(ResultHeard(result=told[0].id, words=told[0].phrases[0], offered=True, by=BY_COMPLAINT))
    making.add(*hint(making.library, making.state))
    return True
