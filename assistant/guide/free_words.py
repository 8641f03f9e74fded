"""Free words: the complaint, notes, reasons. They mean nothing but fuel outside, the wrong one, starting fluid, or a
crash."""

from __future__ import annotations

from assistant import facts
from assistant.english import prompts, refusals, sayings
from assistant.guide.answers import to_strike
from assistant.guide.arrive import complete, go_to, leaves, onward
from assistant.guide.banged import note_by_hand, warn_of_the_bang
from assistant.guide.built import note_carburettor
from assistant.guide.other_fuel import FUEL
from assistant.guide.state import Mode, State
from assistant.guide.table import ASKED_OVER
from assistant.guide.turn import Making, Refused
from assistant.guide.words import hint
from assistant.language.banged import binds_by_hand, tells_a_bang
from assistant.language.dangers import (
    FuelOutside,
    fuel_told_in,
    tells_a_knock,
    tells_it_overheated,
    tells_of_a_spray,
    tells_the_pack_is_on,
    tells_the_wrong_fuel,
)
from assistant.language.manner import Manner
from assistant.language.model import Dictate
from assistant.language.perils import smokes_somewhere
from assistant.language.understand import MAX_KEPT_CHARACTERS
from assistant.procedure.condition import Condition

TOO_LONG = sayings.too_long(MAX_KEPT_CHARACTERS)


def dictate(making: Making, given: Dictate) -> None:
    """Free words: a note, the reason for a skip, or what the step asked to be told."""
    if given.note:
        take_note(making)
    state, words, cut, hearing, proofed = making.state, given.words, given.cut, making.hearing, making.proofed
    outside = fuel_told_in(words)
    kept = sayings.kept(given.words)
    if given.cut:
        kept = TOO_LONG
    if making.dictated:  # free words are often misheard: each time it is said how to be rid of them
        kept = f"{kept} {prompts.STRIKE_IF_WRONG}"
    if state.mode is Mode.NOTING:
        making.note(facts.NoteTaken(words=words, cut=cut, hearing=hearing, proofed=proofed))
        making.say(kept, "readback")
        if outside is not FuelOutside.NONE:  # a note makes nothing so: it may tell of what is mended
            making.say(sayings.FUEL_SMELLS, "caution")
        making.add(*hint(making.library, making.state))
    elif state.mode is Mode.EXPLAINING:
        step = making.step
        making.note(facts.StepSkipped(reason=words, by="technician", cut=cut, hearing=hearing, proofed=proofed))
        leave = [item for item in step.removes if item not in making.state.open_items]
        for item in leave:
            making.note(facts.ItemRemoved(item=item, unsure=True))
        making.say(TOO_LONG if given.cut else sayings.skipped(given.words), "readback")
        go_to(making, onward(step), how="skip")
    else:
        step = making.step
        typed = kept if making.state.manner is Manner.FULL else sayings.KEPT
        making.say(kept if making.dictated else to_strike(making, typed), "readback")
        cleared = step.clears_vapour
        so_before = state.bay.conditions
        note_carburettor(making, words)
        note_by_hand(making, words)
        made = made_by(words, state)
        makes = (*leaves(step), *made)
        making.note(
            facts.WordsKept(words=words, cut=cut, hearing=hearing, proofed=proofed, makes=makes, vapour_cleared=cleared)
        )
        warn_of(making, words, made, so_before)
        complete(making)
        go_to(making, onward(step))


def take_note(making: Making) -> None:
    """Ask for a note. Raises Refused where something else is to be finished before."""
    if making.state.mode not in ASKED_OVER:
        raise Refused(refusals.FINISH_BEFORE_NOTE)
    making.note(facts.NoteAsked())


def made_by(words: str, state: State) -> tuple[str, ...]:
    """What free words make so of car and bay, in the words of its conditions."""
    sprayed, hot = tells_of_a_spray(words), tells_it_overheated(words)
    dangers = (
        (Condition.ENGINE_HOT, hot),
        (Condition.OVERHEATED, hot),
        (Condition.LEAK, fuel_told_in(words) is FuelOutside.RUNS),
        (Condition.VAPOUR, sprayed),
        (Condition.CAN_OUT, sprayed),
        (Condition.WRONG_FUEL, tells_the_wrong_fuel(words, str(state.vehicle.get(FUEL, "")))),
        (Condition.KNOCKED, tells_a_knock(words)),
        (Condition.PACK_ON, tells_the_pack_is_on(words)),
        (Condition.BANGED, tells_a_bang(words)),
        (Condition.BINDS, binds_by_hand(words)),
        (Condition.BURNED, smokes_somewhere(words)),
    )
    return tuple(str(each) for each, told in dangers if told)


def warn_of(making: Making, words: str, made: tuple[str, ...], so_before: frozenset[Condition]) -> None:
    """Say what these words, which were just kept, ask to be heeded. `made`: what they make so; `so_before`: what was so
    before them."""
    outside = fuel_told_in(words)
    if outside is not FuelOutside.NONE:
        making.say(sayings.FUEL_RUNS if outside is FuelOutside.RUNS else sayings.FUEL_SMELLS, "caution")
    making.say(sayings.WRONG_FUEL if Condition.WRONG_FUEL in made else "", "caution")
    making.say(sayings.SPRAYED if Condition.VAPOUR in made else "", "caution")
    making.say(sayings.BINDS if Condition.BINDS in made else "", "caution")
    making.say(sayings.OVERHEATED if Condition.OVERHEATED in made else "", "caution")
    warn_of_the_bang(making, so_before)
