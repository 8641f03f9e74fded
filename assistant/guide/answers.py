"""Answers of the technician: acknowledgements, results, readings, codes, words; read back where they choose the way."""

from __future__ import annotations

import re
from dataclasses import replace

from assistant import facts
from assistant.english import prompts, refusals, sayings
from assistant.english.heard import too_rough
from assistant.english.lists import say_list, sentence
from assistant.guide.arrive import (
    ask_next,
    complete,
    enter,
    go_to,
    leaves,
    limits_used,
    prepare,
)
from assistant.guide.banged import warn_of_the_bang
from assistant.guide.built import note_carburettor, with_what_follows
from assistant.guide.closing import settle_item
from assistant.guide.echo import Knows, near_limit, needs_yes
from assistant.guide.excusing import excuse
from assistant.guide.expect import expected
from assistant.guide.fallen import as_fall
from assistant.guide.fuel_told import weigh_fuel
from assistant.guide.not_taken import unclear
from assistant.guide.places import band_of, caution_now, ends_early, gate_now, limits_of, remedy_now
from assistant.guide.proposal import cranked_unseen, other_view
from assistant.guide.putting_back import put_back
from assistant.guide.runs_besides import tell_it_runs
from assistant.guide.state import BY_BUILD, BY_COMPLAINT, Frame, Mode, Pending, Position
from assistant.guide.timing import burst_said, end_by_word
from assistant.guide.turn import Making, Refused
from assistant.guide.words import full_hint, hint, instruction_words, named
from assistant.language.code_meanings import say_meaning
from assistant.language.codes import say_code
from assistant.language.manner import Manner
from assistant.language.model import (
    GiveCode,
    GiveFacts,
    GiveReading,
    GiveResult,
    Unclear,
    UnclearReason,
)
from assistant.language.reading import as_shown, is_rough
from assistant.language.speak import say_amount
from assistant.procedure.condition import ITEMS, UNDOES, Condition
from assistant.procedure.model import Result
from assistant.procedure.remedies import ASSERTS, Remedy

_DENIES = re.compile(r"(?:no|nope|nah)\b")


def acknowledge(making: Making, words: str) -> None:
    """The phrase of the caution or gate now asked."""
    caution, gate = caution_now(making.library, making.state), gate_now(making.library, making.state)
    remedy = remedy_now(making.library, making.state)
    if making.state.mode is Mode.CAUTIONING and caution is not None:
        makes = said_so(caution.id, remedy)
        making.note(facts.CautionAcknowledged(caution=caution.id, words=words, makes=makes, hearing=making.hearing))
    elif making.state.mode is Mode.GATING and gate is not None:
        makes = said_so(gate.id, remedy)
        making.note(facts.GatePassed(gate=gate.id, words=words, makes=makes, hearing=making.hearing))
        put_right(making, makes)
    else:
        raise Refused(refusals.NOTHING_TO_ACKNOWLEDGE)
    if remedy is None:
        prepare(making)
    elif making.state.mode is Mode.CAUTIONING:
        ask_next(making)
    else:
        enter(making, making.state.at, "again")


def said_so(name: str, remedy: Remedy | None) -> tuple[str, ...]:
    """What is so by the phrase that passed this caution or gate; a remedy makes all that it stands for."""
    if remedy is not None and remedy.gate is not None and remedy.gate.id == name:
        return tuple(remedy.makes)
    return (ASSERTS[name],) if name in ASSERTS else ()


def put_right(making: Making, words: tuple[str, ...]) -> None:
    """Things that are back where they belong, by the phrase of a gate, come off the open list."""
    undone = frozenset[Condition]().union(*(UNDOES[word] for word in words if word in UNDOES))
    for item in making.state.open_items:
        if ITEMS.get(item) in undone:
            making.note(facts.ItemRefitted(item=item))


def give_result(making: Making, given: GiveResult) -> None:
    """One of the results asked: read back when it chooses the way, else logged at once and echoed."""
    if making.state.mode is Mode.CLOSING:
        settle_item(making, given)
        return
    if making.state.mode is Mode.EXCUSING:
        excuse(making, given)
        return
    if making.state.mode is Mode.PUTTING_BACK:
        put_back(making, given.words)
        return
    if making.state.mode is Mode.WAITING:
        _end_early(making)
    if making.state.mode is Mode.POISED:
        burst_said(making)
    end_by_word(making)
    if (
        cranked_unseen(making.state)
        or _result_needs_yes(making, given)
        or other_view(making.step, making.state, given.result) is not None
    ):
        said = making.own_words(given.words)
        making.note(facts.ResultHeard(result=given.result, words=given.words, said=said, hearing=making.hearing))
        making.add(*hint(making.library, making.state))
    else:
        told = named(making.step, given.result, given.words, making.own_words(given.words) or "")
        making.say(echo_of(making, told), "readback")
        log_result(making, given.result, given.words, echoed=True)


def _end_early(making: Making) -> None:
    """What is told while a wait runs ends it, and answers the question for what ended it."""
    early = ends_early(making.library, making.state)
    if early is None:
        raise Refused(refusals.NOT_ASKED)
    making.note(facts.Stopped())
    making.note(facts.Resumed())
    enter(making, replace(making.state.at, step=early.id), "next")
    making.reply.clear()  # it is answered already


def give_facts(making: Making, given: GiveFacts) -> None:
    """Several facts of the car in one breath: read back together, since some of them decide what is safe on it."""
    note_carburettor(making, making.words)
    told = with_what_follows(given, expected(making.library, making.state), making.state)
    pairs = tuple((each.fact, each.value) for each in told)
    words = say_list([each.words for each in told])
    making.note(facts.ResultHeard(facts=pairs, words=words, hearing=making.hearing))
    making.say(sayings.REST_LATER if given.partly else "", "refusal")
    making.add(*hint(making.library, making.state))


def _log_facts(making: Making, pending: Pending) -> None:
    """Keep each fact, that of the present step last, so that it leads on past all that is known."""
    own = dict(pending.facts).get(making.step.vehicle or "")
    for name, value in pending.facts:
        weigh_fuel(making, name, value)
        if name != making.step.vehicle:
            making.note(facts.VehicleNoted(fact=name, value=value, answered=True, hearing=making.hearing))
    if own is None:
        making.note(facts.ResultRejected(words="", facts_kept=True))
        making.add(*instruction_words(making.step, making.state.manner), *hint(making.library, making.state))
    else:
        log_result(making, own, next(each.phrases[0] for each in making.step.results if each.id == own))


def give_reading(making: Making, given: GiveReading) -> None:
    """A reading: read back when its band chooses the way, else logged at once and echoed."""
    given = as_fall(making.library, making.state, given, making.words)
    spoken = given.spoken or say_amount(given.value, given.unit)
    if is_rough(spoken) and near_limit(making.library, making.state, making.step, given.value):
        unclear(making, Unclear(reason=UnclearReason.UNSURE, detail=too_rough(as_shown(spoken))))
        return
    if _reading_needs_yes(making, given):
        value, unit, said = given.value, given.unit, given.words
        making.note(facts.ReadingHeard(value=value, unit=unit, words=spoken, said=said, hearing=making.hearing))
        making.add(*hint(making.library, making.state))
    else:
        making.say(echo_of(making, spoken), "readback")
        log_reading(making, given.value, given.unit, spoken, echoed=True)


def give_code(making: Making, given: GiveCode) -> None:
    """Fault codes: kept and echoed; none chooses the way. Where each waits for its yes they are asked one by one."""
    if needs_yes(making.library, making.state, making.step, None, making.heard):
        making.note(facts.ResultHeard(code=given.code, words=say_code(given.code), hearing=making.hearing))
        making.say(sayings.ONE_CODE if given.more else "", "refusal")
    else:
        for code in (given.code, *given.more):
            log_code(making, code)
    making.add(*hint(making.library, making.state))


def confirm(making: Making) -> None:
    """Yes to what was read back."""
    pending = making.state.pending
    if pending is None:
        raise Refused(refusals.NOTHING_TO_CONFIRM)
    _log(making, pending)


def take_reckoned(making: Making, result: Result) -> None:
    """Yes to what was worked out from the readings: kept as proposed by the figures, then logged. Where it may have
    been meant for what was just echoed, it is asked for once more."""
    doubtful = making.state.echoed and making.state.manner is not Manner.FULL
    making.note(facts.ResultHeard(result=result.id, words=result.phrases[0], offered=True, by="figures"))
    if doubtful:
        making.add(*hint(making.library, making.state))
    else:
        confirm(making)


def reject(making: Making) -> None:
    """No to what was read back: it is asked again."""
    pending = making.state.pending
    making.note(facts.ResultRejected(words=pending.words if pending else ""))
    making.say(sayings.NOT_LOGGED, "readback")
    if cranked_unseen(making.state):
        enter(making, making.state.at, "again")
        return
    if pending is not None and pending.by in (BY_COMPLAINT, BY_BUILD):
        making.add(*instruction_words(making.step, making.state.manner))
    making.add(*(full_hint if making.state.burst_done else hint)(making.library, making.state))


def echo_of(making: Making, words: str) -> str:
    """The echo of what was logged."""
    return to_strike(making, sayings.noted(words) if making.state.manner is Manner.FULL else sentence(as_shown(words)))


def to_strike(making: Making, text: str) -> str:
    """How to strike what was logged is said the first time only, and not to who knows it by now."""
    known = making.state.strikable or making.state.manner is not Manner.FULL
    return text if known else f"{text} {prompts.STRIKE_IF_WRONG}"


def _result_needs_yes(making: Making, given: GiveResult) -> bool:
    """Whether the result waits for its yes. Where the last answer was only echoed, a bare yes may be meant for that."""
    state, step = making.state, making.step
    result = next((each for each in step.results if each.id == given.result), None)
    if state.pending is not None and state.pending.name == given.result and _DENIES.match(making.words.lower()):
        return True  # "no, still one click" to "nothing at all": the same to us, and not to who said no
    if needs_yes(making.library, state, step, result, making.heard, knows=_known_by(making, given.result)):
        return True
    return state.manner is not Manner.FULL and (given.guessed or (state.echoed and making.bare_yes))


def _reading_needs_yes(making: Making, given: GiveReading) -> bool:
    library, state, step = making.library, making.state, making.step
    band = band_of(step, given.value, limits_of(library, state))
    doubtful = given.guessed or near_limit(library, state, step, given.value)
    knows = _known_by(making, band.id if band is not None else "")
    if step.falls_from or (doubtful and state.manner is not Manner.FULL):
        return True
    return needs_yes(library, state, step, band, making.heard, knows=knows)


def _known_by(making: Making, result: str) -> Knows:
    """What the plan would know at each step behind the present one, with this answer logged."""
    would = making.would(facts.ResultLogged(result=result), name=f"-{result}")

    def known(frame: Frame) -> str | None:
        if making.choose is None:
            return None
        there = replace(making.state, position=Position(at=frame))
        told = making.choose.known(there, (*making.facts, would))
        return None if told is None else told.result

    return known


def _log(making: Making, pending: Pending) -> None:
    if pending.kind == "code":
        log_code(making, pending.name)
        making.add(*hint(making.library, making.state))
        return
    if making.state.manner is Manner.FULL:
        making.say(sayings.logged(named(making.step, pending.name, pending.words, pending.said)), "readback")
    if pending.kind == "facts":
        _log_facts(making, pending)
    elif pending.kind == "reading":
        log_reading(making, pending.value, pending.unit, pending.words)
    else:
        log_result(making, pending.name, pending.words, said=pending.said)


def log_result(making: Making, result_id: str, words: str, *, echoed: bool = False, said: str = "") -> None:
    """Keep a result, what the ear heard in its place, and the vehicle fact that it fills, and go where it leads.

    `echoed`: it was taken without a yes. `said`: the words that were read back otherwise."""
    step = making.step
    result = next(each for each in step.results if each.id == result_id)
    other, so_before = other_view(step, making.state, result_id), making.state.bay.conditions
    weigh_fuel(making, step.vehicle, result_id)
    tell_it_runs(making, result_id, said or making.own_words(words) or words)
    making.note(
        facts.ResultLogged(
            result=result_id,
            words=words,
            echoed=_as_echo(making, echoed=echoed),
            ear_result=other.id if other else "",
            ear_words=other.phrases[0] if other else "",
            said=making.own_words(words) if echoed else (said or None) if result.names else None,
            makes=leaves(step, result),
            vapour_cleared=step.clears_vapour,
            hearing=making.hearing,
        )
    )
    if step.vehicle:
        making.note(facts.VehicleNoted(fact=step.vehicle, value=result_id, answered=True))
    put_right(making, result.makes)
    warn_of_the_bang(making, so_before)
    complete(making)
    making.say(result.say or "")
    go_to(making, result.goes)


def _as_echo(making: Making, *, echoed: bool) -> bool:
    """Whether a fact was taken without a yes, where that is not how all such answers are taken."""
    return echoed and making.state.manner is not Manner.FULL


def log_reading(making: Making, value: float, unit: str, words: str, *, echoed: bool = False) -> None:
    """Keep a reading with its band, limits and sources, and go where the band leads. `echoed`: as in `log_result`."""
    library, state, step = making.library, making.state, making.step
    band = band_of(step, value, limits_of(library, state))
    if band is None:
        raise LookupError(f"no band of step '{step.id}' holds {value}")
    making.note(
        facts.ReadingLogged(
            name=step.name or step.id.replace("-", " "),
            quantity=step.quantity.value if step.quantity else None,
            value=value,
            unit=unit,
            words=words,
            spoken=words,
            echoed=_as_echo(making, echoed=echoed),
            band=band.id,
            limits=limits_used(library, state, band),
            judgement=band.say or band.id.replace("-", " "),
            goes=band.goes,
            makes=leaves(step, band),
            vapour_cleared=step.clears_vapour,
            hearing=making.hearing,
        )
    )
    complete(making)
    making.say(band.say or "")
    go_to(making, band.goes)


def log_code(making: Making, code: str) -> None:
    """Keep a fault code, said with what it stands for; the step goes on asking."""
    spoken = say_code(code)
    making.note(facts.CodeLogged(code=code, spoken=spoken, hearing=making.hearing))
    told = sayings.noted(spoken) if making.state.manner is Manner.FULL else sentence(spoken)
    making.say(f"{told} {sentence(say_meaning(code))}", "readback")  # one breath: what the odds make of it comes after
