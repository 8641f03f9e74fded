"""What is answered to a question: by odds where a fault model thinks along, by the record, by the step."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.english import asked, sayings
from assistant.english import live as texts
from assistant.english.reasoned import BY_TEST
from assistant.guide import Library, State
from assistant.guide.places import limits_of, procedure_of, step_of
from assistant.guide.words import hint
from assistant.language.questions import Ask, Question, of_the_step
from assistant.language.speak import say_amount
from assistant.language.speech import Sentence
from assistant.procedure.model import Band, Kind, Limit
from assistant.record.asked_of import told_of
from assistant.record.model import JobRecord
from assistant.record.spoken import amount_of, read_aloud
from assistant.session.adviser import Adviser

ANSWERS = frozenset({"result", "reading"})
"""Kinds of what was kept that lead on."""


def answer(
    ask: Ask, adviser: Adviser | None, library: Library, state: State, record: Callable[[], JobRecord]
) -> tuple[Sentence, ...]:
    """At most two short sentences, but what is read of the record and of limits. Without odds: why, by what was found
    or answered last; of what comes next, that the answer decides it."""
    match ask.question:
        case Question.RECORD:
            told = told_of(record(), ask.about, library)
            read = read_aloud(record()) if told is None else told or (asked.NOTHING_OF_IT,)
            return (*(Sentence(text=text) for text in read), *hint(library, state))
        case Question.SHOULD_BE:
            return (*(Sentence(text=text) for text in _should_be(library, state, record)), *hint(library, state))
        case Question.NEED:
            things = (*procedure_of(library, state).tools, *procedure_of(library, state).consumables)
            return (Sentence(text=asked.needed(things) if things else asked.NO_TOOL_NAMED), *hint(library, state))
        case _:
            return (Sentence(text=_thought(ask, adviser, library, state)),)


def _thought(ask: Ask, adviser: Adviser | None, library: Library, state: State) -> str:
    if adviser is not None:
        of_step = ask.question is Question.WHY and of_the_step(ask.about)
        return (adviser.why_here(state) if of_step else "") or adviser.answer(ask, state)
    if ask.question is Question.WHY:
        return _why(library, state)
    return texts.OWN_ORDER if ask.question in (Question.NEXT, Question.LEFT) else texts.NO_ODDS


def _why(library: Library, state: State) -> str:
    found = step_of(library, state).finding if state.finding else None
    if found is not None and found.proved:
        return sayings.under(BY_TEST, found.proved)
    told = next((kept.words for kept in reversed(state.strikable) if kept.kind in ANSWERS), None)
    return texts.FIRST_HERE if told is None else f"{texts.you_told(told)} {texts.FOLLOWS}"


def _should_be(library: Library, state: State, record: Callable[[], JobRecord]) -> tuple[str, ...]:
    """The limits of the reading that is asked; elsewhere of the latest one, as it was judged."""
    step = step_of(library, state)
    if step.kind is Kind.READING:
        limits, values = {each.id: each for each in procedure_of(library, state).limits}, limits_of(library, state)
        spans = [(each, _span(each, limits, values)) for each in step.bands]
        told = [asked.judged(span, each.say or each.id.replace("-", " ")) for each, span in spans if span]
        return (*told, asked.MAKERS_FIGURE_FIRST) if told else (asked.NO_FIGURE,)
    latest = next((one for one in reversed(record().readings) if one.mark.struck_by is None), None)
    if latest is None:
        return (asked.NO_FIGURE,)
    return (asked.was(latest.name, amount_of(latest), latest.verdict), asked.MAKERS_FIGURE_FIRST)


def _span(band: Band, limits: Mapping[str, Limit], values: Mapping[str, float]) -> str:
    low, high = (say_amount(values[end], limits[end].unit) if end else "" for end in (band.at_least, band.below))
    if low and high:
        return asked.between(low, high)
    return asked.or_more(low) if low else asked.below(high) if high else ""
