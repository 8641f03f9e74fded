"""The commands that are legal in every live mode."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant import facts
from assistant.english import prompts, refusals, sayings
from assistant.guide.answers import confirm, reject, take_reckoned
from assistant.guide.arrive import complete, enter, enter_led, go_to, leave_undone, leaves
from assistant.guide.checking import repair_done
from assistant.guide.closing import confirm_end, end
from assistant.guide.excusing import cannot
from assistant.guide.expect import answers
from assistant.guide.free_words import take_note
from assistant.guide.inherited import SAME_CAR, words_of_left
from assistant.guide.leading import take_follow_up
from assistant.guide.leaving import leave_for_diesel, leave_for_high_voltage, refuse_elsewhere
from assistant.guide.occasions import must_put_back, ways_on
from assistant.guide.places import caution_now, forbidden_now, gate_now, may_skip, may_turn_back, rolls_again
from assistant.guide.putting_back import go_elsewhere, put_back, way_kept
from assistant.guide.reckoned import reckoned_result
from assistant.guide.speaking import RATE_STEP_WPM, VOLUME_STEP, sound_tones, speak, voice
from assistant.guide.state import Kept, Mode, State
from assistant.guide.striking import strike_now
from assistant.guide.table import ASKED_OVER
from assistant.guide.timing import hold, next_deadline, ready
from assistant.guide.turn import Making, Refused
from assistant.guide.unasked import break_off, warn_again
from assistant.guide.words import asked_again, current_words, hint, left_words, open_words, where_words
from assistant.language.commands import Control, names_of_commands, phrase_of
from assistant.language.manner import Manner
from assistant.language.model import TakeTo
from assistant.language.speak import say_seconds
from assistant.procedure.model import Kind
from assistant.procedure.remedies import LEAK_ASKED

DROPPED_BY_NO: Mapping[Mode, facts.Said] = {
    Mode.ENDING: facts.EndDeclined(),
    Mode.NOTING: facts.NoteDropped(),
    Mode.EXPLAINING: facts.SkipDeclined(),
    Mode.EXCUSING: facts.CannotDeclined(),
    Mode.PUTTING_BACK: facts.PutBackDeclined(),
}
"""Modes that ask something over another, and what a no to it becomes."""


def obey(making: Making, control: Control) -> None:
    """Do what the command says. Raises Refused in the words that say why not."""
    if control not in OBEY:
        raise Refused(refusals.NO_AID)
    OBEY[control](making)


def _stop(making: Making) -> None:
    hold(making, facts.Stopped, "stop")
    making.say(sayings.STOPPED)
    making.add(*hint(making.library, making.state))


def _pause(making: Making) -> None:
    hold(making, facts.Paused, "pause")
    making.say(f"{sayings.ON_HOLD} {open_words(making.state)}".strip())
    making.add(*hint(making.library, making.state))


def _resume(making: Making) -> None:
    if making.state.mode is not Mode.HELD:
        raise Refused(refusals.NOT_ON_HOLD)
    making.note(facts.Resumed())
    making.say(f"{sayings.GOING_ON} {open_words(making.state)}".strip())
    warn_again(making)
    go_on(making)


def go_on(making: Making) -> None:
    """After `resumed`: enter the step anew, or go on with the result of a burst or the closing where they were."""
    if making.state.mode is Mode.MOVING:
        enter(making, making.state.at, "resume")
    else:
        making.add(*hint(making.library, making.state))


def _say_again(making: Making) -> None:
    making.add(*current_words(making.library, making.state))


def _where(making: Making) -> None:
    making.add(*where_words(making.library, making.state, making.at_s))


def _options(making: Making) -> None:
    said = (*answers(making.library, making.state), *ways_on(making.library, making.state))
    if said:
        making.say(prompts.one_of(said))
    making.say(prompts.or_commands(names_of_commands()))


def _how_long(making: Making) -> None:
    due_s = next_deadline(making.state)
    left = left_words(making.state, making.at_s)
    if left:
        making.add(*left)
    elif due_s is not None:
        making.say(sayings.left(say_seconds(max(0.0, due_s - making.at_s))))
    elif making.step.minutes:
        making.say(sayings.step_takes(say_seconds(60 * making.step.minutes)))
    else:
        making.say(sayings.NOTHING_TIMED)
    making.add(*hint(making.library, making.state))


def _go_back(making: Making) -> None:
    state = making.state
    if not state.history:
        raise Refused(refusals.NO_STEP_BEFORE)
    if not may_turn_back(making.library, state):
        raise Refused(refusals.NO_TRY_BEFORE)
    _hold_if_timed(making, "back")
    leave_undone(making)
    _return_to(making, 1, state.history[-1].kept)
    making.say(sayings.GOING_BACK)
    enter(making, making.state.at, "back")


def _hold_if_timed(making: Making, by: str) -> None:
    if making.state.mode is Mode.TIMING:
        hold(making, facts.Stopped, by)


def _return_to(making: Making, visits: int, struck: tuple[Kept, ...]) -> None:
    """Go back over so many visits; what was answered there no longer counts, and stays in the record, marked."""
    for kept in struck:
        _strike_one(making, kept)
    _go_over(making, visits)


def _go_over(making: Making, visits: int) -> None:
    gone = [visit.position.at for visit in making.state.history[-visits:]]
    making.note(facts.WentBack(visits=visits, makes=rolls_again(making.library, gone)))


def _skip(making: Making) -> None:
    state, step = making.state, making.step
    if state.mode in (Mode.CAUTIONING, Mode.GATING):
        raise Refused(refusals.CAUTION_STAYS)
    if state.mode in (Mode.RESTING, Mode.WAITING):
        raise Refused(refusals.TIME_STAYS)
    if state.mode is Mode.TIMING:
        raise Refused(refusals.COUNTING)
    if state.mode not in (Mode.ASKING, Mode.POISED, Mode.CONFIRMING, Mode.HELD):
        raise Refused(refusals.NOTHING_TO_SKIP)
    if step.clears_vapour and state.vapour:
        raise Refused(refusals.CLEARING_STAYS)
    if not may_skip(step, state):
        raise Refused(refusals.DECIDES_THE_WAY)
    making.note(facts.SkipAsked())
    making.add(*hint(making.library, making.state))


def _note(making: Making) -> None:
    take_note(making)
    making.add(*hint(making.library, making.state))


def _strike(making: Making) -> None:
    """Ask whether the latest answer shall fall; what was only just asked or read back is dropped at once."""
    state = making.state
    if (state.mode is Mode.CONFIRMING and not _just_noted(state)) or state.mode in DROPPED_BY_NO:
        _no(making)
        return
    if state.mode is Mode.STRIKING:
        raise Refused(refusals.YES_OR_NO)
    if state.mode not in ASKED_OVER:
        raise Refused(refusals.COUNTING)
    strike = strike_now(state)
    if strike is None:
        raise Refused(refusals.NOTHING_TO_STRIKE)
    making.note(facts.StrikeAsked(asked=strike.kept[-1].fact))
    making.add(*hint(making.library, making.state))


def _strike_it(making: Making) -> None:
    """Yes to what was asked to be struck."""
    strike = strike_now(making.state)
    if strike is None:
        raise Refused(refusals.NOTHING_TO_STRIKE)
    making.say(sayings.struck(strike.words), "readback")
    asked = _asked_before_work(making)
    for kept in strike.kept:
        _strike_one(making, kept)
    asks = making.state.mode in (Mode.CAUTIONING, Mode.GATING)
    if strike.visits == 0:
        if asks and asked != _asked_before_work(making):
            enter(making, making.state.at, "again")  # what is asked by now was never said
        else:
            making.add(*hint(making.library, making.state))
        return
    leave_undone(making)
    _go_over(making, strike.visits)
    enter(making, making.state.at, "back")


def _asked_before_work(making: Making) -> tuple[str, str]:
    """The caution and the gate that come next in this step."""
    caution, gate = caution_now(making.library, making.state), gate_now(making.library, making.state)
    return caution.id if caution else "", gate.id if gate else ""


def _just_noted(state: State) -> bool:
    """Whether the latest of all facts is a note: it was read back last, whatever read-back waits under it."""
    last = state.strikable[-1] if state.strikable else None
    return last is not None and last.kind == "note" and last.fact == f"{state.key}-{state.number}"


def _strike_one(making: Making, kept: Kept) -> None:
    making.note(facts.Struck(struck=kept.fact, words=kept.words, item=kept.name if kept.kind == "item" else ""))


def _yes(making: Making) -> None:
    mode = making.state.mode
    if mode is Mode.CONFIRMING:
        confirm(making)
    elif mode is Mode.ENDING:
        confirm_end(making)
    elif mode is Mode.STRIKING:
        _strike_it(making)
    elif (reckoned := reckoned_result(making.library, making.state)) is not None:
        take_reckoned(making, reckoned)
    elif making.state.echoed and making.state.manner is not Manner.FULL and mode is Mode.ASKING:
        making.say(sayings.NOTED_ALREADY)  # meant for what was echoed, by who is used to read-backs
        making.add(*asked_again(making.library, making.state))  # or for this, and then it tells nothing
    elif mode in (Mode.CAUTIONING, Mode.GATING):
        raise Refused(refusals.BARE_YES)
    elif mode is Mode.ASKING and making.step.results:
        raise Refused(refusals.WHICH_ONE)
    else:
        enter_led(making, take_follow_up(making), "check")


def _no(making: Making) -> None:
    mode = making.state.mode
    if mode is Mode.CONFIRMING:
        reject(making)
    elif mode is Mode.STRIKING:
        making.note(facts.StrikeDeclined())
        making.say(sayings.KEPT, "readback")
        making.add(*hint(making.library, making.state))
    elif mode in DROPPED_BY_NO:
        if must_put_back(making.state):
            raise Refused(refusals.put_right_first(making.state.open_items[0]))
        making.note(DROPPED_BY_NO[mode])
        making.add(*current_words(making.library, making.state))
    elif mode in (Mode.CAUTIONING, Mode.GATING):
        gate = gate_now(making.library, making.state) if mode is Mode.GATING else None
        raise Refused(refusals.I_WAIT_FOR_DRY if gate is not None and gate.id in LEAK_ASKED else refusals.I_WAIT)
    elif mode is Mode.CLOSING and making.state.open_items:
        raise Refused(refusals.PUT_IT_BACK)
    elif mode is Mode.ASKING and making.step.results:
        raise Refused(refusals.WHICH_ONE)
    else:
        raise Refused(refusals.NOTHING_TO_REJECT)


def _end_job(making: Making) -> None:
    if making.state.mode is Mode.ENDING:
        raise Refused(refusals.END_IS_ASKED)
    _hold_if_timed(making, "end")
    making.note(facts.EndAsked())
    making.say(open_words(making.state))
    making.add(*hint(making.library, making.state))


def _done(making: Making) -> None:
    if making.state.mode is Mode.CLOSING:
        end(making)
        return
    if making.state.mode is Mode.PUTTING_BACK:
        put_back(making, phrase_of(Control.DONE))
        return
    step = making.step
    if making.state.mode is not Mode.ASKING or step.kind not in (Kind.INSTRUCT, Kind.CODES):
        raise Refused(refusals.NOTHING_TO_DO)
    making.note(facts.InstructionDone(makes=leaves(step), vapour_cleared=step.clears_vapour, hearing=making.hearing))
    complete(making)
    if not way_kept(making):
        go_to(making, step.next or "")


def _confirm_repair(making: Making) -> None:
    if making.state.mode is not Mode.CLOSING or not making.state.finding or not making.state.found:
        raise Refused(refusals.NO_REPAIR_TO_CONFIRM)
    fault = making.state.repaired or making.state.found
    confirmed = facts.RepairConfirmed(fault=fault, by="technician", hearing=making.hearing)
    making.note_of_job(confirmed)
    making.say(sayings.REPAIR_NOTED, "readback")
    making.add(*hint(making.library, making.state))


def _lead(making: Making) -> None:
    if making.state.leads:
        raise Refused(refusals.LEADING)
    making.note(facts.PlanChanged(leads=True))
    making.say(sayings.LEAD_FROM_NEXT)
    making.add(*hint(making.library, making.state))


def _by_the_book(making: Making) -> None:
    if not making.state.leads:
        raise Refused(refusals.BY_THE_BOOK)
    making.note(facts.PlanChanged(leads=False))
    making.say(sayings.BOOK_FROM_NEXT)
    making.add(*hint(making.library, making.state))


def _another(making: Making) -> None:
    refuse_elsewhere(making)
    go_elsewhere(making)


def take_me_to(making: Making, told: TakeTo) -> None:
    """Enter the block that was named."""
    refuse_elsewhere(making)
    go_elsewhere(making, told.block, told.name)


def _take_nowhere(making: Making) -> None:
    raise Refused(refusals.WHERE_TO)


def _same_car(making: Making) -> None:
    """The car is that of the job that the opening named: what was left there is so here."""
    offer = making.state.offer
    if offer is None or making.state.mode not in ASKED_OVER:
        raise Refused(refusals.NO_EARLIER_CAR)
    before = forbidden_now(making.library, making.state)
    job = offer.jobs[-1].job
    making.note(facts.VehicleNoted(fact=SAME_CAR, value=job, by="technician", inherits=offer, hearing=making.hearing))
    making.say(words_of_left(offer), "readback")
    break_off(making, before)


OBEY: Mapping[Control, Callable[[Making], None]] = {
    Control.STOP: _stop,
    Control.PAUSE: _pause,
    Control.RESUME: _resume,
    Control.SAY_AGAIN: _say_again,
    Control.GO_BACK: _go_back,
    Control.SKIP: _skip,
    Control.WHERE: _where,
    Control.OPTIONS: _options,
    Control.HOW_LONG: _how_long,
    Control.NOTE: _note,
    Control.STRIKE: _strike,
    Control.YES: _yes,
    Control.NO: _no,
    Control.END_JOB: _end_job,
    Control.LOUDER: voice(VOLUME_STEP, 0, sayings.LOUDER),
    Control.SOFTER: voice(-VOLUME_STEP, 0, sayings.SOFTER),
    Control.SLOWER: voice(0.0, -RATE_STEP_WPM, sayings.SLOWER),
    Control.FASTER: voice(0.0, RATE_STEP_WPM, sayings.FASTER),
    Control.FULL: speak(Manner.FULL, sayings.IN_FULL),
    Control.BRIEF: speak(Manner.BRIEF, sayings.IN_BRIEF),
    Control.TERSE: speak(Manner.TERSE, sayings.TERSE),
    Control.TONES: sound_tones(True, sayings.TONES),
    Control.NO_TONES: sound_tones(False, sayings.NO_TONES),
    Control.DONE: _done,
    Control.READY: ready,
    Control.REPAIR_CONFIRMED: _confirm_repair,
    Control.LEAD: _lead,
    Control.BY_THE_BOOK: _by_the_book,
    Control.ANOTHER: _another,
    Control.TAKE_TO: _take_nowhere,
    Control.CANNOT: cannot,
    Control.REPAIR_DONE: repair_done,
    Control.SAME_CAR: _same_car,
    Control.DIESEL: leave_for_diesel,
    Control.HYBRID: leave_for_high_voltage,
}
