"""Entering and leaving steps: what must come before a step may be worked on, in its order, and what follows it."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.cranking import duty as starter
from assistant.english import bursts, sayings
from assistant.english.lists import sentence
from assistant.facts import (
    CautionSpoken,
    FindingReached,
    GateAsked,
    InstructionDone,
    InstructionSpoken,
    ItemRefitted,
    ItemRemoved,
    LimitUsed,
    RepairConfirmed,
    RepairFailed,
    RestBegun,
    ResultLogged,
    StepEntered,
    StepSkipped,
    WaitBegun,
)
from assistant.guide.banged import before_the_starter
from assistant.guide.from_complaint import offer_told, told_before
from assistant.guide.leading import follow_up, lead_on
from assistant.guide.manner import is_known
from assistant.guide.mended import check_mended
from assistant.guide.places import (
    Library,
    burst_ahead_s,
    caution_now,
    duty_of,
    forbidden_now,
    gate_now,
    limits_of,
    told_by_bay,
    tries_used,
    way_past,
)
from assistant.guide.plan_changes import written
from assistant.guide.proposal import may_run
from assistant.guide.reckoned import reckoned_words
from assistant.guide.state import Frame, Position, State
from assistant.guide.turn import Known, Making, to_ms
from assistant.guide.words import (
    caution_words,
    gate_words,
    hint,
    instruction_words,
    open_words,
    short_caution_words,
    short_gate_words,
    spoken_finding,
    why_words,
)
from assistant.language.manner import Manner
from assistant.language.speak import say_seconds
from assistant.language.speech import Sentence, Utterance
from assistant.procedure.condition import VAPOUR_CLEARS_S, Condition, begun, finished, words_of
from assistant.procedure.forbidden import why_not
from assistant.procedure.model import Band, Gate, Hazard, Kind, Proof, Result, Step
from assistant.procedure.vehicle import known_as

USEFUL_SHARE = 0.75
"""A burst cut shorter than this share by the starter's duty tells too little, so the rest comes first. Judgement."""

KEY_OUT = "key-out"
_MOST_SILENT_STEPS = 1_000


def go_to(making: Making, target: str, how: str = "next") -> None:
    """Enter a step of the present procedure and everything that follows without a word from the technician."""
    enter(making, Frame(procedure=making.state.at.procedure, step=target), how)


def enter_led(making: Making, position: Position, how: str = "plan") -> None:
    """Enter what the plan chose."""
    enter(making, position.at, how, position.stack)


def enter(making: Making, frame: Frame, how: str, stack: tuple[Frame, ...] = ()) -> None:
    """Enter a step; pass silent steps (choices, calls, returns, facts already known) until one asks something.
    `stack`: the calls that wait there, where the plan comes back to what it put aside."""
    for _ in range(_MOST_SILENT_STEPS):
        led = lead_on(making, frame) if how == "next" else None
        if led is not None:
            frame, how, stack = led.at, "plan", led.stack
        making.note(StepEntered(how=how, stack=written(stack)), at=frame)
        stack = ()
        onward = _pass_silently(making)
        if onward is None:
            settle(making)
            return
        frame, how = onward
    raise RecursionError(f"procedure '{frame.procedure}' goes in a round of silent steps")


def _pass_silently(making: Making) -> tuple[Frame, str] | None:
    """The next step and how it is entered, when the present one asks nothing."""
    step, state = making.step, making.state
    here = state.at.procedure
    if step.kind is Kind.CHOOSE and step.vehicle and step.otherwise:
        target = step.cases.get(str(state.vehicle.get(step.vehicle, "")), step.otherwise)
        return Frame(procedure=here, step=target), "next"
    if step.kind is Kind.CALL and step.calls:
        making.say(sentence(step.say))
        return Frame(procedure=step.calls, step=making.library[step.calls].begin), "call"
    if step.kind is Kind.RETURN and state.position.stack:
        return _return(making, step)
    if step.kind is Kind.ASK and step.vehicle and step.vehicle in state.vehicle:
        value = str(state.vehicle[step.vehicle])
        return _known(making, Known(result=value, test=step.vehicle, words=known_as(step.vehicle, value)))
    if step.kind is Kind.ASK and (so := told_by_bay(step, making.library[here], state.bay)) is not None:
        return Frame(procedure=here, step=so.goes), "next"
    if step.next and str(Condition.ENGINE_RUNS) in step.makes and Condition.ENGINE_RUNS in state.bay.conditions:
        return Frame(procedure=here, step=step.next), "next"  # nobody starts an engine that runs
    if (recheck := check_mended(making)) is not None:
        return recheck, "check"
    if step.kind is Kind.ASK and not step.all_hazards and making.choose and not told_before(step, state):
        told = making.choose.known(state, making.facts)
        return None if told is None else _known(making, told)
    return None


def _return(making: Making, step: Step) -> tuple[Frame, str]:
    caller = making.state.position.stack[-1]
    making.note(StepEntered(how="return", outcome=step.outcome), at=caller)
    making.note(ResultLogged(result=str(step.outcome), outcome_of=making.step.calls))
    result = next(each for each in making.step.results if each.id == step.outcome)
    making.say(result.say or "")
    return Frame(procedure=caller.procedure, step=result.goes), "next"


def _known(making: Making, told: Known) -> tuple[Frame, str] | None:
    result = next((each for each in making.step.results if each.id == told.result), None)
    if result is None:
        return None
    making.note(ResultLogged(result=told.result, known=told.test))
    if making.state.manner is Manner.FULL:
        making.say(sayings.known(told.words))
    making.say(result.say or "")
    return Frame(procedure=making.state.at.procedure, step=result.goes), "next"


def settle(making: Making) -> None:
    """Begin the present step: allowed, starter rested, tries left; then its cautions, gates and instruction."""
    step, state = making.step, making.state
    if step.kind in (Kind.FINDING, Kind.RETURN):
        _find(making, step)
    elif (forbidden := forbidden_now(making.library, state)) is not None:
        _lead_out(making, forbidden)
    elif not tries_used(step, state) and rest_due_s(making, step) > 0:
        begin_rest(making, step)
    elif tries_used(step, state):
        making.note(StepSkipped(reason=sayings.NO_TRY_LEFT_REASON, by="guide"))
        making.say(sayings.NO_TRY_LEFT, "refusal")
        go_to(making, step.next or "", how="skip")
    else:
        prepare(making)


def _lead_out(making: Making, forbidden: Condition) -> None:
    """Say why the step may not begin, and ask or wait for what makes it allowed."""
    state = making.state
    if forbidden is Condition.VAPOUR:
        until_s = state.wait_until_s if state.clearing and state.wait_until_s else making.at_s + VAPOUR_CLEARS_S
        making.note(WaitBegun(until_s=to_ms(until_s), clearing=True))
    if not _was_passed(state, gate_now(making.library, state)):
        plain = why_not(making.step, Condition.KEY_ON)  # "Switch off, and take the key out" says that by itself
        making.add(*(each for each in why_words(making.library, making.state) if each.text != plain))
    if forbidden is Condition.VAPOUR:
        making.say(sayings.stand_clear(say_seconds(VAPOUR_CLEARS_S)), "caution")
        making.add(*hint(making.library, making.state))
    else:
        ask_next(making)


def prepare(making: Making) -> None:
    """What makes the step allowed, where something forbids it by now; else the next of what comes before it."""
    if forbidden_now(making.library, making.state) is not None:
        enter(making, making.state.at, "again")
    else:
        ask_next(making)


def ask_next(making: Making) -> None:
    """The next caution, else the next gate, else the instruction."""
    caution, gate = caution_now(making.library, making.state), gate_now(making.library, making.state)
    if caution is not None:
        short = making.state.manner is not Manner.FULL and is_known(caution, making.state.warned, making.at_s)
        words = short_caution_words(caution) if short else caution_words(caution)
        signal = caution.signal.value
        making.note(CautionSpoken(caution=caution.id, signal=signal, short=short, spoken=as_spoken(words)))
        making.add(*words)
    elif gate is not None:
        words = short_gate_words(gate) if _was_passed(making.state, gate) else gate_words(gate)
        words = words if making.state.manner is Manner.FULL else words[:1]  # a silence has the phrase named
        making.note(GateAsked(gate=gate.id, spoken=as_spoken(words)))
        making.add(*words)
    elif rest_due_s(making, making.step) > 0:  # somebody cranked while the cautions were answered
        begin_rest(making, making.step)
    else:
        _instruct(making, making.step)


def _was_passed(state: State, gate: Gate | None) -> bool:
    """Whether the gate was asked and passed before in this job, and we speak to somebody for whom that is enough. The
    key's is not, where the engine may run: it has to be switched off first."""
    if gate is not None and gate.id == KEY_OUT and may_run(state):
        return False
    return state.manner is not Manner.FULL and gate is not None and f"gate {gate.id}" in state.named


def _instruct(making: Making, step: Step) -> None:
    if offer_told(making, step):
        return
    making.add(*before_the_starter(step, making.state))
    words = instruction_words(step, making.state.manner)
    making.note(InstructionSpoken(makes=tuple(words_of(begun(step))), spoken=as_spoken(words)))
    making.add(*words)
    if step.kind is Kind.WAIT and step.wait_s is not None:
        state = making.state
        until_s = state.wait_until_s if state.wait_until_s is not None else making.at_s + step.wait_s
        making.note(WaitBegun(until_s=to_ms(until_s), wait_s=step.wait_s))
        if until_s - making.at_s < step.wait_s:
            making.say(sayings.left(say_seconds(max(0.0, until_s - making.at_s))))
    if step.joins and making.state.manner is not Manner.FULL:
        making.note(InstructionDone(joined=True, makes=leaves(step), vapour_cleared=step.clears_vapour))
        complete(making)
        go_to(making, step.next or "")
        return
    making.add(*reckoned_words(making.library, making.state))
    if step.kind is Kind.CRANK:
        left_s = seconds_to_crank(making)
        if left_s < duty_of(making.library, making.state).burst_s and making.state.manner is Manner.FULL:
            making.say(sayings.cranking_left(say_seconds(left_s)))
    making.add(*hint(making.library, making.state))


def seconds_to_crank(making: Making) -> float:
    """Seconds that the starter may turn from now."""
    return starter.seconds_left(making.state.duty, making.at_s, duty_of(making.library, making.state))


def rest_due_s(making: Making, step: Step) -> float:
    """Seconds of rest before this step may begin; 0 when it may, and for steps that need no starter.

    A burst that the duty would cut well short waits for it, too. A spray needs the starter too: what was sprayed does
    not wait for a rest. So does an instruction to start the engine that nobody times, by a remote switch or a partner,
    alone or before puffs that keep it alive.
    """
    ahead_s = burst_ahead_s(making.library, making.state)
    untimed = step.kind in (Kind.INSTRUCT, Kind.PACE) and Hazard.CRANKING in step.all_hazards
    if step.kind is not Kind.CRANK and not ahead_s and not untimed:
        return 0.0
    limits, duty = duty_of(making.library, making.state), making.state.duty
    if untimed or not starter.may_crank(duty, making.at_s, limits):
        return starter.rest_left_s(duty, making.at_s, limits)
    if duty.ended_s is None:
        return 0.0
    needed_s = ahead_s or USEFUL_SHARE * min(step.burst_s or limits.burst_s, limits.burst_s)
    if seconds_to_crank(making) < min(needed_s, limits.burst_s):
        return max(0.0, duty.ended_s + limits.rest_s - making.at_s)
    return 0.0


def begin_rest(making: Making, step: Step) -> None:
    """Rest the starter until its time is over, counted from the end of the last burst."""
    left_s = rest_due_s(making, step)
    making.note(RestBegun(until_s=to_ms(making.at_s + left_s), rest_s=to_ms(left_s)))
    must_rest = bursts.must_rest if making.state.manner is Manner.FULL else bursts.must_rest_short
    making.say(must_rest(say_seconds(left_s)), "caution")
    making.add(*hint(making.library, making.state))


def _find(making: Making, step: Step) -> None:
    """The finding, or the outcome of a procedure that was started by itself; what it says of a repair that is checked.

    The fault whose repair the plan proposes is the plan's; the finding that says so names none by itself.
    """
    found, repaired, minutes = step.finding, making.state.repaired, making.state.repair_min
    proof = found.repair if found is not None and repaired is not None else None
    if proof is Proof.FAILS and repaired is not None:
        making.note(RepairFailed(fault=repaired, minutes=minutes))
        onward = lead_on(making, making.state.at)
        if onward is not None:
            making.reply.insert(0, Sentence(text=sentence(step.say), kind="instruction"))
            enter_led(making, onward)
            return
    led = making.library[making.state.root].led
    proposed = led is not None and making.state.at == Frame(procedure=making.state.root, step=led.repair)
    making.note(
        FindingReached(
            fault=making.state.proposed if proposed else found.fault if found else None,
            say=step.say,
            proved=found.proved if found else (),
            likely=found.likely if found else (),
            untested=found.untested if found else (),
            advice=found.advice if found else step.advice or "",
            customer=found.customer if found else "",
            outcome=step.outcome or None,
        )
    )
    if step.outcome:
        making.say(sayings.came_to(step.say, step.outcome.replace("-", " ")))
        making.say(step.advice or "")
        making.say(sayings.PART_DONE)
    else:
        making.add(*spoken_finding(step, making.state.manner))
    if proof is Proof.HOLDS and repaired:
        making.note(RepairConfirmed(fault=repaired, by="recheck", minutes=minutes))
        making.say(sayings.REPAIR_CONFIRMED, "readback")
        offered = follow_up(making)
        making.say(sayings.offered(offered.why) if offered is not None else "")
    making.say(open_words(making.state))
    making.add(*hint(making.library, making.state))


def complete(making: Making) -> None:
    """What a finished step took off goes on the open list, what it put back comes off it."""
    step = making.step
    for item in step.removes:
        if item not in making.state.open_items:
            making.note(ItemRemoved(item=item))
    for item in step.refits:
        if item in making.state.open_items:
            making.note(ItemRefitted(item=item))


def leave_undone(making: Making) -> None:
    """A step left after its instruction was spoken may have been begun: what it takes off counts as off."""
    if not making.state.instructed:
        return
    for item in making.step.removes:
        if item not in making.state.open_items:
            making.note(ItemRemoved(item=item, unsure=True))


def as_spoken(words: Iterable[Utterance]) -> str:
    """What a fact keeps of the words that were spoken: themselves, so that no later text can stand in their place.

    What only says how to answer is left out.
    """
    return " ".join(each.text for each in words if isinstance(each, Sentence) and each.kind != "prompt")


def leaves(step: Step, answer: Result | Band | None = None) -> tuple[str, ...]:
    """What the last fact of a step says of car and bay: what the step undid, and what its answer tells."""
    return (*finished(step), *(answer.makes if answer else ()))


def limits_used(library: Library, state: State, band: Band) -> dict[str, LimitUsed]:
    """The limits that make the band, with unit and source, as the record needs them."""
    limits = limits_of(library, state)
    written = {limit.id: limit for limit in library[state.at.procedure].limits}
    sources = {source.id: source.text for source in library[state.at.procedure].sources}
    named = {"at_least": band.at_least, "below": band.below}
    return {
        side: LimitUsed(
            limit=name,
            value=limits[name],
            unit=written[name].unit,
            source="vehicle" if name in state.vehicle else sources.get(written[name].source, written[name].source),
        )
        for side, name in named.items()
        if name
    }


def onward(step: Step) -> str:
    """The one step that follows, for steps whose answer does not choose."""
    target = way_past(step)
    if target is None:
        raise LookupError(f"step '{step.id}' leads nowhere by itself")
    return target
