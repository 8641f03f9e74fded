"""What was told already, in the complaint or before its question, is offered for a yes in place of the open question,
never taken by itself."""

from __future__ import annotations

from assistant.facts import InstructionSpoken, ResultHeard
from assistant.guide.built import built_so
from assistant.guide.state import BY_BUILD, BY_COMPLAINT, State
from assistant.guide.turn import Making
from assistant.guide.words import hint
from assistant.language.clauses import told_plainly
from assistant.language.out_of_turn import ASKED_NEXT
from assistant.procedure.answers import tells_nothing
from assistant.procedure.condition import begun, words_of
from assistant.procedure.model import Kind, Result, Step


def told_before(step: Step, state: State) -> tuple[Result, ...]:
    """The answers of the step that the complaint gives plainly, or that were given at the question before it; or the
    one that was told while its cautions were asked."""
    if state.ahead and step.kind is Kind.ASK:
        return tuple(each for each in step.results if each.id == state.ahead)
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
    told, by = told_before(step, making.state), BY_COMPLAINT
    if not told and (follows := built_so(step, making.state)) is not None:
        told, by = (follows,), BY_BUILD
    if len(told) != 1:
        return False
    done = begun(step) if making.state.ahead else frozenset()  # who tells it has done what the step says
    making.note(InstructionSpoken(makes=tuple(words_of(done)), spoken=""))
    making.note(ResultHeard(result=told[0].id, words=told[0].phrases[0], offered=True, by=by))
    making.add(*hint(making.library, making.state))
    return True
