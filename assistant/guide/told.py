"""What facts change of what the technician was told by now: cautions, gates, how one answers, and how it is spoken."""

from __future__ import annotations

from dataclasses import replace

from assistant.facts import CautionAcknowledged, CautionSpoken, Fact, GatePassed, InstructionDone, VoiceSet
from assistant.guide.manner import told_as, warned_of
from assistant.guide.places import Library, caution_now, names_of, step_of
from assistant.guide.state import State
from assistant.language.manner import Manner
from assistant.procedure.remedies import NO_SMELL


def joined(library: Library, state: State) -> bool:
    """Whether the present step was told in one breath with what follows, so that nobody goes back to it."""
    return state.manner is not Manner.FULL and step_of(library, state).joins


def named(library: Library, state: State) -> frozenset[str]:
    """What need not be named again once the step is left: its own answers, and how one answers such a step at all."""
    return names_of(step_of(library, state), state.at) if state.instructed else frozenset()


def caution_spoken(library: Library, state: State, fact: Fact) -> State:
    """One that is told in full anew counts as told from its acknowledgement on."""
    caution = caution_now(library, state)
    if caution is None or fact.says(CautionSpoken).short:
        return state
    return replace(state, warned=tuple(each for each in state.warned if each.told != told_as(caution)))


def caution_acknowledged(library: Library, state: State, fact: Fact) -> State:
    """What was told in full is known from now on."""
    caution, warned = caution_now(library, state), state.warned
    if caution is not None and not any(each.told == told_as(caution) for each in warned):
        warned = (*warned, warned_of(caution, fact.at_s))
    acknowledged = state.acknowledged | {fact.says(CautionAcknowledged).caution}
    return replace(state, acknowledged=acknowledged, warned=warned, echoed=False)


def gate_passed(library: Library, state: State, fact: Fact) -> State:
    """Its phrase need not be named again in this job."""
    name = fact.says(GatePassed).gate
    airing = state.airing and name != NO_SMELL.id
    named = state.named | {f"gate {name}"}
    return replace(state, passed=state.passed | {name}, named=named, airing=airing, echoed=False)


def instruction_done(library: Library, state: State, fact: Fact) -> State:
    """Said by the technician, unless the step was told in one breath with what follows."""
    return state if fact.says(InstructionDone).joined else replace(state, echoed=False)


def voice_set(library: Library, state: State, fact: Fact) -> State:
    """How loud, how fast and how much we say from now on."""
    said = fact.says(VoiceSet)
    tones = state.tones if said.tones is None else said.tones
    manner = said.manner or state.manner
    return replace(state, volume=said.volume, rate_wpm=said.rate_wpm, manner=manner, tones=tones)
