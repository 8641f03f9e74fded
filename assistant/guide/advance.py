"""Begin, advance and take up a job again. Pure: the same state, command and time always give the same turn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from assistant.english import refusals, sayings
from assistant.english.lists import sentence
from assistant.facts import JobStarted, Left, PictureTaken, Resumed, VehicleNoted
from assistant.guide.answers import (
    acknowledge,
    give_code,
    give_facts,
    give_reading,
    give_result,
)
from assistant.guide.arrive import enter
from assistant.guide.controls import go_on, obey, take_me_to
from assistant.guide.expect import expected
from assistant.guide.fold import MoveRefused
from assistant.guide.free_words import dictate
from assistant.guide.inherited import words_of_left, words_of_offer
from assistant.guide.opening_words import keep_beside, not_understood
from assistant.guide.places import Library
from assistant.guide.speaking import speak_as_before
from assistant.guide.state import NEW, Frame, Mode, State
from assistant.guide.timing import burst_caught, burst_dropped, burst_heard, burst_started, end_timed, pass_time
from assistant.guide.turn import Choose, Making, Refused, Turn
from assistant.guide.unasked import tell_test
from assistant.guide.words import asked_again, open_words
from assistant.language.manner import Manner
from assistant.language.model import (
    Acknowledge,
    BurstCaught,
    BurstDropped,
    BurstHeard,
    BurstStarted,
    Command,
    Dictate,
    GiveCode,
    GiveControl,
    GiveFacts,
    GiveReading,
    GiveResult,
    Heard,
    KeepPicture,
    StarterCommand,
    TakeTo,
    TellTest,
    TimePassed,
    Unclear,
)
from assistant.language.speech import Sentence


def begin(
    library: Library,
    procedure_id: str,
    job_key: str,
    job: str,
    vehicle: Mapping[str, str | float],
    *,
    at_s: float = 0.0,
    always_confirm: bool = False,
    ear: bool = False,
    file: str | None = None,
    inherits: Left | None = None,
    offers: Left | None = None,
    manner: Manner = Manner.FULL,
    model: str = "",
    leads: bool = False,
    voice: Mapping[str, Any] | None = None,
) -> Turn:
    """The opening turn of a new job.

    `job_key`: random and unique, the head of every fact id. `vehicle`: facts known before, and limits of this vehicle
    by limit id. `always_confirm`: the recogniser's accuracy is unmeasured, so every answer is read back. `ear`: the
    starter is listened to. `file`: where the procedure lies when it is not a shipped one. `inherits`: what earlier jobs
    left of the same car, as `guide.inherited` tells it. `offers`: what the last job left of a car that may be this one.
    `manner`: how much is said.
    `model`: the digest of the fault model that thinks along; the procedures' own go into the first fact as well.
    `leads`: a plan leads, from where the procedure lets it. `voice`: how the speaker was wished last, as the fact of a
    voice that was set has it.

    Raises KeyError for an unknown procedure.
    """
    procedure = library[procedure_id]
    making = Making(library, replace(NEW, job=job, key=job_key), at_s)
    started = JobStarted(
        key=job_key,
        title=procedure.title,
        version=procedure.version,
        always_confirm=always_confirm,
        ear=ear,
        guarded=True,
        file=file or "",
        inherits=inherits,
        offers=offers,
        leads=leads,
        manner=None if manner is Manner.FULL else manner,
        texts={each.id: each.digest for each in library.values() if each.digest} or None,
        model=model,
    )
    making.note(started, at=Frame(procedure=procedure_id, step=""))
    for name, value in vehicle.items():
        making.note(VehicleNoted(fact=name, value=value, by="start"))
    speak_as_before(making, voice)
    title = f"{sentence(procedure.title)} " if manner is Manner.FULL else ""
    making.say(f"{title}{sayings.MAKER_FIRST}")
    if manner is Manner.FULL:
        making.say(sayings.HOW_TO_TALK)
    making.say(words_of_left(inherits))
    making.say(words_of_offer(offers))
    enter(making, Frame(procedure=procedure_id, step=procedure.begin), "next")
    return making.done()


def advance(
    library: Library,
    state: State,
    said: Command | Unclear,
    at_s: float,
    *,
    heard: Heard | None = None,
    choose: Choose | None = None,
) -> Turn:
    """The turn that one command leads to. What may not be done now is a turn with `refused` and an unchanged state.

    `heard`: what the command was understood from, so that the facts say how sure the hearing was. `choose`: the plan,
    asked for the next block where the technician let it lead.
    """
    if state.mode in (Mode.NEW, Mode.ENDED):
        return _refusal(library, state, refusals.CLOSED)
    if not _is_asked(library, state, said):
        return _refusal(library, state, refusals.NOT_ASKED)
    making = Making(library, state, at_s, heard, choose=choose)
    try:
        _obey(making, said, at_s)
    except Refused as reason:
        return _refusal(library, state, str(reason))
    except MoveRefused:
        return _refusal(library, state, refusals.NOT_NOW)
    return making.done()


def reopen(
    library: Library,
    state: State,
    at_s: float,
    *,
    always_confirm: bool = False,
    ear: bool = False,
    manner: Manner | None = None,
    voice: Mapping[str, Any] | None = None,
) -> Turn:
    """Take a job up again after the program ended, whatever ended it: says where it stands and enters its step anew.
    `manner`: how much is said from now on; None for as much as before. `voice`: as `begin` has it.

    What is hazardous is asked again. A timed action that was cut off counts as having run to its end.
    """
    if state.mode in (Mode.NEW, Mode.ENDED):
        return _refusal(library, state, refusals.CLOSED)
    making = Making(library, state, at_s)
    timed = state.timed
    if timed is not None and timed.begun:
        now_s = making.at_s
        making.at_s = max(state.at_s, min(now_s, timed.release_s))
        end_timed(making, "lost")
        making.at_s = now_s
        making.reply.clear()
    making.note(Resumed(reopened=True, always_confirm=always_confirm, ear=ear, guarded=True, manner=manner))
    speak_as_before(making, voice)
    making.say(sayings.job_goes_on(state.job, library[state.root].title))
    making.say(f"{sayings.step_named(state.at.step.replace('-', ' '))} {open_words(making.state)}".strip())
    go_on(making)
    return making.done()


def _obey(making: Making, said: Command | Unclear, at_s: float) -> None:
    match said:
        case GiveControl(control=control):
            obey(making, control)
        case Acknowledge(words=words):
            acknowledge(making, words)
        case GiveResult():
            give_result(making, said)
        case GiveFacts():
            give_facts(making, said)
        case GiveReading():
            give_reading(making, said)
        case GiveCode():
            give_code(making, said)
        case TakeTo():
            take_me_to(making, said)
        case TellTest():
            tell_test(making, said)
            keep_beside(making)
        case Dictate():
            dictate(making, said)
        case KeepPicture(name=name):
            making.note(PictureTaken(picture=name))
            making.say("" if making.state.mode is Mode.TIMING else sayings.PICTURE_KEPT)
        case Unclear():
            not_understood(making, said)
        case _:
            _happen(making, said, at_s)


def _is_asked(library: Library, state: State, said: Command | Unclear) -> bool:
    """Whether it is no answer, or one to what is asked: one that comes late must not answer the next question."""
    if not isinstance(said, GiveResult | GiveReading | GiveCode | GiveFacts):
        return True
    now = expected(library, state)
    match said:
        case GiveResult(result=result):
            return result in now.results or (now.turned is not None and result in now.turned.results)
        case GiveReading():
            return now.quantity is not None
        case GiveCode():
            return now.codes
        case GiveFacts(facts=facts):
            return bool(facts) and {told.fact for told in facts} <= {each.fact for each in now.several}


def _happen(making: Making, event: TimePassed | StarterCommand, at_s: float) -> None:
    match event:
        case TimePassed():
            pass_time(making, at_s)
        case BurstStarted():
            burst_started(making, event)
        case BurstDropped():
            burst_dropped(making)
        case BurstCaught():
            burst_caught(making)
        case BurstHeard():
            burst_heard(making, event)


def _refusal(library: Library, state: State, why: str) -> Turn:
    prompt = tuple(each for each in asked_again(library, state) if each.text != why) if state.at.step else ()
    return Turn(state=state, reply=(Sentence(text=why, kind="refusal"), *prompt), refused=why)
