"""What the complaint told already is offered for a yes in place of the open question; it is never taken by itself."""

from __future__ import annotations

from assistant.facts import InstructionSpoken, ResultHeard
from assistant.guide.state import BY_COMPLAINT, State
from assistant.guide.turn import Making
from assistant.guide.words import hint
from assistant.language.clauses import told_plainly
from assistant.procedure.answers import tells_nothing
from assistant.procedure.model import Result, Step


def told_before(step: Step, state: State) -> Result | None:
    """The answer of the step that the complaint gives plainly; None where it gives none, or more than one."""
    told = [kept.words for kept in state.strikable if kept.kind == "words"] if step.told_before else []
    asked = [each for each in step.results if not tells_nothing(each.answers)]
    results = {each.id: each.phrases for each in asked}
    answers = {each.id: each.answers for each in asked if each.answers}
    found = frozenset[str]().union(*(told_plainly(words, results, answers, step.told_before) for words in told))
    return next((each for each in asked if found == {each.id}), None)


def offer_told(making: Making, step: Step) -> bool:
    """Ask for a yes to what the complaint told of the step, where it did: whether that was so."""
    told = told_before(step, making.state)
    if told is None:
        return False
    making.note(InstructionSpoken(makes=(), spoken=""))
    making.note(ResultHeard(result=told.id, words=told.phrases[0], offered=True, by=BY_COMPLAINT))
    making.add(*hint(making.library, making.state))
    return True
