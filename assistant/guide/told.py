"""What facts change of what the technician was told by now: cautions, gates, how one answers, and how it is spoken."""

from __future__ import annotations

from dataclasses import replace

from assistant.facts import CautionAcknowledged, CautionSpoken, Fact, GatePassed, InstructionDone, TestTold, VoiceSet
from assistant.guide.manner import told_as, warned_of
from assistant.guide.places import Library, caution_now, names_of, step_of
from assistant.guide.state import State
from assistant.language.manner import Manner
from assistant.language.out_of_turn import AIRED, ASKED_NEXT
from assistant.procedure.condition import Condition
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


def told_unasked(state: State, said: TestTold) -> State:
    """A test told unasked: what it tells of the air, of the engine, or of what this step asks behind its cautions."""
    airing = state.airing or (said.result == AIRED and state.vapour)
    ran = state.ran or (str(Condition.ENGINE_RUNS) in said.makes and state.repaired is None)
    step, _, result = said.result.partition("=")
    here = said.test == ASKED_NEXT and step == state.at.step
    return replace(state, echoed=True, airing=airing, ran=ran, ahead=result if here else state.ahead)


def voice_set(library: Library, state: State, fact: Fact) -> State:
    """How loud, how fast and how much we say from now on."""
    said = fact.says(VoiceSet)
    tones = state.tones if said.tones is None else said.tones
    manner = said.manner or state.manner
    return replace(state, volume=said.volume, rate_wpm=said.rate_wpm, manner=manner, tones=tones)
