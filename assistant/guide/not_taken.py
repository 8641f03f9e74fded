"""What could not be acted on: the reason, the likely meaning offered for a yes, and what is listened for."""

from __future__ import annotations

from dataclasses import replace

from assistant import facts
from assistant.english import prompts, refusals
from assistant.english.heard import say_if_meant
from assistant.guide.expect import expected
from assistant.guide.fallen import as_fall
from assistant.guide.state import Mode
from assistant.guide.timing import hold
from assistant.guide.turn import Making
from assistant.guide.words import full_hint
from assistant.language.codes import say_code
from assistant.language.commands import Control, phrase_of
from assistant.language.model import GiveCode, GiveReading, GiveResult, Unclear, UnclearReason
from assistant.language.speak import say_amount
from assistant.language.understand import meaning_of_offer


def unclear(making: Making, said: Unclear) -> None:
    """What could not be acted on: the reason, the likely meaning offered for a yes, and what is listened for. Said in
    the count before a timed action it ends the count: it may have been a "wait" in other words."""
    timed, warned = making.state.timed, said.reason is UnclearReason.WARNED
    kind = "caution" if warned else "refusal"
    if making.state.mode is Mode.TIMING and timed is not None and not timed.begun:
        hold(making, facts.Stopped, "stop")
        making.say(said.detail if warned else refusals.NOT_CAUGHT_IN_COUNT, kind)
        making.add(*full_hint(making.library, making.state))
        return
    making.say(said.detail or refusals.NOT_CAUGHT, kind)
    offer = _offered(making, said)
    if offer is not None:
        making.reply.clear()
        making.say(said.detail if said.reason is UnclearReason.IMPOSSIBLE else "", "refusal")
    how = full_hint(making.library, making.state)
    told = said.detail == say_if_meant(phrase_of(Control.DONE)) and [one.text for one in how] == [prompts.DONE]
    making.add(*(() if told or said.reason is UnclearReason.THINKS else how))


def _offered(making: Making, said: Unclear) -> str | None:
    """The phrase now asked about, when the offer is an answer to the present question."""
    if said.offer is None or making.state.mode not in (Mode.ASKING, Mode.CONFIRMING):
        return None
    meaning = meaning_of_offer(said.offer, expected(making.library, making.state))
    heard: facts.ResultHeard | facts.ReadingHeard
    if isinstance(meaning, GiveResult):
        heard = facts.ResultHeard(result=meaning.result, words=meaning.words)
    elif isinstance(meaning, GiveReading):
        meaning = as_fall(making.library, making.state, meaning, said.words or "")
        spoken = meaning.spoken or say_amount(meaning.value, meaning.unit)
        heard = facts.ReadingHeard(value=meaning.value, unit=meaning.unit, words=spoken)
    elif isinstance(meaning, GiveCode):
        heard = facts.ResultHeard(code=meaning.code, words=say_code(meaning.code))
    else:
        return None
    making.note(replace(heard, offered=True, said=said.words, hearing=making.hearing))
    return said.offer
