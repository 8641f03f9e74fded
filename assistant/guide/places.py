"""What the present step is made of: its procedure, cautions, gates, limits, ways on, and what may be skipped."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from assistant.bay import Bay, known
from assistant.guide.state import Frame, Mode, State
from assistant.procedure.condition import ASKED_FOR_ONCE, ITEMS, UNDOES, C, Condition, begun
from assistant.procedure.forbidden import forbids, next_remedy
from assistant.procedure.model import Action, Band, Caution, Duty, Gate, Hazard, Kind, Procedure, Proof, Result, Step
from assistant.procedure.remedies import ASSERTS, NEVER_LEFT, NO_SMELL, REMEDIES, Remedy

Library = Mapping[str, Procedure]

ANSWERED = frozenset({Kind.INSTRUCT, Kind.ASK, Kind.READING, Kind.TELL, Kind.CODES})
"""Kinds whose answer is waited for as soon as the instruction was spoken."""

TIMED = frozenset({Kind.CRANK, Kind.PACE})
OPEN_ANSWERS = frozenset({"unknown", "unclear", "not-sure", "not-tested"})
"""Results that say nothing was learned: where a skipped question goes on."""


class MissingStep(LookupError):
    """A job names a procedure or step that the library does not have."""


def procedure_of(library: Library, state: State) -> Procedure:
    """The procedure of the present step. Raises MissingStep."""
    return _procedure(library, state.at)


def step_of(library: Library, state: State) -> Step:
    """The present step. Raises MissingStep."""
    return step_at(library, state.at)


def step_at(library: Library, frame: Frame) -> Step:
    """The step of a frame. Raises MissingStep."""
    try:
        return _procedure(library, frame).step(frame.step)
    except KeyError:
        raise MissingStep(f"procedure '{frame.procedure}' has no step '{frame.step}'") from None


def _procedure(library: Library, frame: Frame) -> Procedure:
    if frame.procedure not in library:
        raise MissingStep(f"there is no procedure '{frame.procedure}'")
    return library[frame.procedure]


def forbidden_now(library: Library, state: State) -> Condition | None:
    """What must be undone next before the present step may begin; None where nothing forbids it."""
    step, so = step_of(library, state), state.bay.conditions
    so -= begun(step) if state.instructed else frozenset()  # what it made itself was no matter when it began
    if state.guarded:
        besides = frozenset({Condition.VAPOUR}) if state.airing else frozenset[Condition]()
        return next_remedy(step, so, state.passed | state.acknowledged, besides)
    return Condition.VAPOUR if so & forbids(step) & {Condition.VAPOUR} else None


def remedy_now(library: Library, state: State) -> Remedy | None:
    """What makes the present step allowed, where it is not; its question, or its wait, comes before all else."""
    forbidden = forbidden_now(library, state)
    return None if forbidden is None else REMEDIES[forbidden]


def caution_now(library: Library, state: State) -> Caution | None:
    """The first caution not acknowledged since the step was entered: of what makes it allowed, else its own."""
    return _caution(library, state, remedy_now(library, state))


def gate_now(library: Library, state: State) -> Gate | None:
    """The gate of what makes the step allowed, where it is not; else its first one not passed since it was entered."""
    return _gate(library, state, remedy_now(library, state))


def before_it(library: Library, state: State) -> tuple[Remedy | None, Caution | None, Gate | None]:
    """All that stands before the present step: what makes it allowed, and the caution and the gate that come next."""
    remedy = remedy_now(library, state)
    return remedy, _caution(library, state, remedy), _gate(library, state, remedy)


def _caution(library: Library, state: State, remedy: Remedy | None) -> Caution | None:
    if remedy is not None:
        caution = remedy.caution
        return None if caution is None or caution.id in state.acknowledged else caution
    procedure, step = procedure_of(library, state), step_of(library, state)
    known = {caution.id: caution for caution in procedure.cautions}
    return next((known[name] for name in step.cautions if name not in state.acknowledged), None)


def _gate(library: Library, state: State, remedy: Remedy | None) -> Gate | None:
    if remedy is not None:
        return remedy.gate
    if state.airing and NO_SMELL.id not in state.passed:
        return NO_SMELL
    procedure, step = procedure_of(library, state), step_of(library, state)
    known = {gate.id: gate for gate in procedure.gates}
    return next((known[name] for name in step.gates if name not in state.passed), None)


def limits_of(library: Library, state: State) -> Mapping[str, float]:
    """Limit id -> value in its own unit, with the vehicle's figures in place of the procedure's."""
    limits = procedure_of(library, state).limits
    return {limit.id: float(state.vehicle.get(limit.id, limit.value)) for limit in limits}


VEHICLE_DUTY = ("starter-burst-s", "starter-stop-s", "starter-rest-s")
"""Vehicle facts that hold the vehicle maker's own starter duty, in seconds; where given they win."""


def duty_of(library: Library, state: State) -> Duty:
    """The starter duty in force: the vehicle's, else the stricter of the job's procedure and the one now called."""
    root, called = library[state.root].duty, procedure_of(library, state).duty
    usual = (
        min(root.burst_s, called.burst_s),
        min(root.stop_s, called.stop_s),
        max(root.rest_s, called.rest_s),
    )
    burst_s, stop_s, rest_s = (
        float(state.vehicle.get(name, seconds)) for name, seconds in zip(VEHICLE_DUTY, usual, strict=True)
    )
    return Duty(burst_s=burst_s, stop_s=max(burst_s, stop_s), rest_s=rest_s)


def targets_of(step: Step) -> frozenset[str]:
    """Ids of the steps to which the answers of this step lead."""
    ways = [step.next] if step.next else []
    return frozenset([*ways, *(result.goes for result in step.results), *(band.goes for band in step.bands)])


def chooses_way(step: Step) -> bool:
    """Whether the answer decides where the job goes."""
    return len(targets_of(step)) > 1


def decides_later(library: Library, vehicle_fact: str) -> bool:
    """Whether some step chooses its way by this vehicle fact, so that filling it wrongly would lead astray."""
    steps = (step for procedure in library.values() for step in procedure.steps if step.vehicle == vehicle_fact)
    return any(step.kind is Kind.CHOOSE or chooses_way(step) for step in steps)


def way_past(step: Step) -> str | None:
    """Where the job goes when this step is skipped, or None when only its answer can tell."""
    targets = targets_of(step)
    if len(targets) == 1:
        return next(iter(targets))
    return next((result.goes for result in step.results if result.id in OPEN_ANSWERS), None)


def may_skip(step: Step, state: State) -> bool:
    """Whether the step can be left undone: never a wait, never what clears vapour, never before its cautions."""
    clears = step.clears_vapour and state.vapour
    return state.instructed and step.kind in ANSWERED | TIMED and not clears and way_past(step) is not None


def may_turn_back(library: Library, state: State) -> bool:
    """Whether there is a step before this one, and a try left in it where its tries are counted."""
    if not state.history:
        return False
    at = state.history[-1].position.at
    step = step_at(library, at)
    return step.pace is None or state.tries.get(try_key(at), 0) < step.pace.tries


NO_READER = str(C.NO_READER)


def told_by_bay(step: Step, procedure: Procedure, bay: Bay) -> Result | None:
    """The answer that car and bay give to a question whether something still is so: the one that leads to the step that
    `needs` it so, where it is known to be so and another answer would undo it; or the one that says that a tool is
    missing, where it is known to be. None where somebody must be asked."""
    missing = {str(mark.condition) for mark in known(bay)} & {*map(str, ASKED_FOR_ONCE)}
    for lacks in (missing, {NO_READER} if str(C.NO_COMPUTER) in missing else set()):  # nor is there a code to clear
        without = next((result for result in step.results if lacks & {*result.makes}), None)
        if without is not None:
            return without
    undone = {each for result in step.results for word in result.makes for each in UNDOES.get(word, ())}
    so = undone & {mark.condition for mark in known(bay)}
    if not so:
        return None
    needing = (
        result
        for result in step.results
        if so & {C(word) for word in procedure.step(result.goes).needs if word not in UNDOES}
    )
    return next(needing, None)


def rolls_again(library: Library, frames: Iterable[Frame]) -> tuple[str, ...]:
    """What going back over these steps makes so: where it was settled that nothing can roll, that is open again."""
    settles = {name for name, word in ASSERTS.items() if word == "cannot-roll"}
    gone = {frame.procedure for frame in frames}
    steps = (step for each in gone for step in library[each].steps)
    return ("can-roll",) if any(settles & set(step.gates) for step in steps) else ()


def names_of(step: Step, frame: Frame) -> frozenset[str]:
    """The names under which it is kept that the answers of a step, and of all of its kind, were told of."""
    return frozenset({try_key(frame), f"kind {step.kind}"})


def try_key(frame: Frame) -> str:
    """The name under which timed actions of a step are counted."""
    return f"{frame.procedure}/{frame.step}"


def tries_used(step: Step, state: State) -> bool:
    """Whether a paced action has had all its tries in this job."""
    return step.pace is not None and state.tries.get(try_key(state.at), 0) >= step.pace.tries


def action_of(step: Step) -> str:
    """What the step times: crank, spray or puff."""
    return step.pace.action.value if step.pace else "crank"


def paced_s(step: Step) -> float:
    """Seconds from the first tone to the last of a paced action."""
    pace = step.pace
    return pace.on_s * pace.times + pace.off_s * (pace.times - 1) if pace else 0.0


def burst_ahead_s(library: Library, state: State) -> float:
    """Seconds of cranking that follow a spray without another answer in between; 0 when none do.

    What was sprayed does not wait for the starter to rest, so the rest must come before the spray.
    """
    procedure, step = procedure_of(library, state), step_of(library, state)
    if step.pace is None or step.pace.action is not Action.SPRAY:
        return 0.0
    for _ in range(len(procedure.steps)):
        if step.kind is Kind.CRANK:
            return step.burst_s or 0.0
        if step.next is None:
            return 0.0
        step = procedure.step(step.next)
    return 0.0


def is_spray(action: str) -> bool:
    """Whether the timed action puts fuel into the air."""
    return action in {Action.SPRAY.value, Action.PUFF.value}


def band_of(step: Step, value: float, limits: Mapping[str, float]) -> Band | None:
    """The band that a value falls into: at_least <= value < below."""
    for band in step.bands:
        low = limits[band.at_least] if band.at_least else float("-inf")
        high = limits[band.below] if band.below else float("inf")
        if low <= value < high:
            return band
    return None


def clears_here(library: Library, state: State) -> bool:
    """Whether vapour is about in a procedure that sprays and leads to its clearing, or that is the clearing. Of all
    other vapour the table of forbidden work takes care, wherever somebody is led."""
    frames = (*state.position.stack, state.at) if state.vapour and state.mode is not Mode.CLOSING else ()
    return any(
        step.clears_vapour or Hazard.SPRAYING in step.all_hazards
        for frame in frames
        for step in library[frame.procedure].steps
    )


def ends_early(library: Library, state: State) -> Step | None:
    """The question for what ended a wait before its time, which its answers may be told to while it runs: "it died".
    None where the wait has none, or vapour clears."""
    step = step_of(library, state)
    if step.kind is not Kind.WAIT or step.otherwise is None or state.clearing:
        return None
    return library[state.at.procedure].step(step.otherwise)


def waits_on(library: Library, state: State, target: Frame) -> bool:
    """Whether a wait goes on as this step is entered: it is left for the question for what ended it, or come back to
    from there."""
    if not state.at.step or target.procedure != state.at.procedure:
        return False
    left, entered = step_of(library, state), step_at(library, target)
    asks = left.kind is Kind.WAIT and left.otherwise == target.step
    return asks or (entered.kind is Kind.WAIT and entered.otherwise == state.at.step)


def may_check(library: Library, state: State) -> bool:
    """Whether a repair of what was found could be checked now: by a recheck that the procedure names, and never where
    the place or the car is not for us, which is found out before any plan may lead."""
    if not state.may_plan or library[state.root].led is None:
        return False
    if state.vehicle.get("hybrid") == "yes" or state.vehicle.get("fuel") == "diesel":
        return False  # told late: its recheck cranks a petrol car without high voltage
    found = step_of(library, state).finding
    return found is not None and (found.repair is Proof.DONE or (state.finding and found.repair in (None, Proof.FAILS)))


def may_leave(library: Library, state: State) -> bool:
    """Whether a plan may take the technician elsewhere from here: what comes before any plan is behind, or is being
    left, nothing is off the car, and what was sprayed here is cleared."""
    led = library[state.root].led
    leaving = led is not None and state.at == Frame(procedure=state.root, step=led.after)
    free = led is None or state.may_plan or (leaving and state.mode is Mode.MOVING)
    return free and not state.open_items and not clears_here(library, state)


def asks_what_ran(library: Library, root: str, at: Frame) -> bool:
    """Whether it is asked there what was done before the engine ran, or what is so behind that is known."""
    led = library[root].led
    if led is None or not led.runs or at.procedure != root:
        return False
    return at.step == led.runs or at.step in targets_of(library[root].step(led.runs))


def may_ask_what_ran(library: Library, state: State) -> bool:
    """Whether one may be led to that question: not before intake and safety, with something off the car or in what
    follows a repair, and nobody who is to take something off just now."""
    root = (*state.position.stack, state.at)[0]
    led = library[state.root].led
    if led is None or not led.runs or root.procedure != state.root or asks_what_ran(library, state.root, root):
        return False
    return may_leave(library, state) and not (state.instructed and bool(step_of(library, state).removes))


def taken_off_here(step: Step, state: State) -> tuple[str, ...]:
    """What the step has taken off with its answer: a meter that gave no reading comes off as well. Nothing that decides
    which work is safe."""
    return tuple(each for each in state.open_items if each in step.refits and each not in ITEMS)


def may_be_left_undone(library: Library, state: State) -> bool:
    """Whether a plan may lead away from a step that cannot be done: what it takes off comes off as it is left."""
    step = step_of(library, state)
    begun = state.instructed and bool(step.removes) and not all(puts_back_here(library, state, step.removes))
    own = taken_off_here(step, state)
    open_too = [item for item in state.open_items if item not in own]
    own = (*own, *(item for item in open_too if all(puts_back_here(library, state, open_too))))
    bay = replace(state.bay, off=tuple(each for each in state.bay.off if each.item not in own))
    return state.leads and not begun and may_leave(library, replace(state, bay=bay))


def may_be_led(library: Library, state: State) -> bool:
    """Whether somebody may be led elsewhere by word: what is off the car, or may be by now, can be put right before."""
    off = _off_by_now(library, state) - {each.item for each in state.bay.off if each.left}
    if not all(puts_back_here(library, state, off)):
        return False
    return may_leave(library, replace(state, bay=replace(state.bay, off=())))


def _off_by_now(library: Library, state: State) -> frozenset[str]:
    """What is off the car, and what may be since this step told to take it off."""
    begun = state.instructed and state.mode is not Mode.CLOSING
    return frozenset(state.open_items).union(step_of(library, state).removes if begun else ())


def puts_all_back(library: Library, state: State) -> str | None:
    """The step of the present procedure that puts back all that is off the car, with its cautions; None where there is
    none, or nobody may be led from here anyway. Of several the first that puts back least besides."""
    off = _off_by_now(library, state)
    if not off or not may_leave(library, replace(state, bay=replace(state.bay, off=()))):
        return None
    instructs = (each for each in procedure_of(library, state).steps if each.kind is Kind.INSTRUCT)
    steps = [each for each in instructs if off <= {*each.refits}]
    return min(steps, key=lambda step: len(step.refits)).id if steps else None


def puts_back_here(library: Library, state: State, items: Iterable[str]) -> Iterator[bool]:
    """Of each of these things whether the present procedure puts it back without a caution or a check before it: what
    needs one is put back by its own step alone, and so is all that nobody has written down how to."""
    for item in items:
        steps = [step for step in procedure_of(library, state).steps if item in step.refits]
        safe = (not step.all_hazards and not step.cautions and not step.gates for step in steps)
        yield bool(steps) and all(safe) and ITEMS.get(item) not in NEVER_LEFT
