"""What each kind of fact changes in a state. The mode is not changed here: the table decides it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from assistant import facts
from assistant.cranking import duty as starter
from assistant.cranking.model import Kind as Sounds
from assistant.english import sayings
from assistant.facts import Fact, FactKind
from assistant.guide import told
from assistant.guide.places import Library, MissingStep, asks_what_ran, duty_of, is_spray, step_of, try_key, waits_on
from assistant.guide.plan_changes import frames, left_out, plan_changed, repair_done, repair_settled, still_wanted
from assistant.guide.proposal import RAN_ON
from assistant.guide.state import A_YES, Burst, Frame, Kept, Measured, Mode, Pending, Position, State, Timed, Visit
from assistant.guide.table import ASKED_OVER
from assistant.language.manner import Manner
from assistant.language.out_of_turn import ASKED_NEXT

CUT_SHORT = frozenset({"stop", "pause", "back", "end", "lost"})
"""A burst that ended by one of these leaves nothing to ask about: its step is entered anew."""


def _job_started(library: Library, state: State, fact: Fact) -> State:
    said, root = fact.says(facts.JobStarted), str(fact.procedure)
    if root not in library:
        raise MissingStep(f"there is no procedure '{root}'")
    return replace(
        state,
        job=fact.job,
        key=said.key,
        root=root,
        position=Position(at=Frame(procedure=root, step="")),
        always_confirm=said.always_confirm,
        ear=said.ear,
        guarded=said.guarded,
        manner=said.manner or Manner.FULL,
        leads=said.leads,
        duty=_inherited(said.inherits, fact.at_s),
        offer=said.offers,
    )


def _inherited(left: facts.Left | None, at_s: float) -> starter.DutyState:
    """What the starter did in an earlier job on the same car, as long ago as is proved."""
    turned = left.starter if left is not None else None
    if turned is None:
        return starter.NOT_CRANKED
    return starter.DutyState(cranked_s=turned.cranked_s, ended_s=at_s - turned.rested_s)


def _vehicle_noted(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.VehicleNoted)
    name, value = said.fact, said.value
    noted = replace(state, vehicle={**state.vehicle, name: value})
    if said.inherits is not None:
        before = _inherited(said.inherits, fact.at_s)
        ended_s = before.ended_s if state.duty.ended_s is None else state.duty.ended_s
        duty = replace(state.duty, cranked_s=state.duty.cranked_s + before.cranked_s, ended_s=ended_s)
        noted = replace(noted, duty=duty, offer=None)
    return _keep(noted, fact, "vehicle", str(value), name) if said.answered else noted


def _step_entered(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.StepEntered)
    how, target = said.how, Frame(procedure=str(fact.procedure), step=str(fact.step))
    fresh = how not in ("resume", "again")
    stack = state.position.stack
    if how == "call":
        stack = (*stack, state.at)
    elif how == "return":
        stack = stack[:-1]
    elif how in ("plan", "check"):
        stack = frames(library, said.stack)
    visited = fresh and how != "back" and state.instructed and not told.joined(library, state)
    entered = replace(
        state,
        position=Position(at=target, stack=stack),
        named=state.named | told.named(library, state),
        history=(*state.history, Visit(position=state.position, kept=state.kept)) if visited else state.history,
        kept=() if fresh else state.kept,
        ahead="" if fresh else state.ahead,
        acknowledged=frozenset(),
        passed=frozenset(),
        instructed=False,
        burst_done=False,
        pending=None,
        timed=None,
        rest_until_s=None,
        wait_until_s=None if fresh and not waits_on(library, state, target) else state.wait_until_s,
        clearing=False if fresh else state.clearing,
        airing=state.airing and not fresh,
        may_plan=state.may_plan or _behind(library, state, how),
        ran=state.ran and not asks_what_ran(library, state.root, target),
        wanted=still_wanted(state, how),
    )
    step_of(library, entered)
    return entered


def _behind(library: Library, state: State, how: str) -> bool:
    """Whether the step behind which a plan may lead is being left."""
    led = library[state.root].led if state.root in library else None
    return led is not None and how in ("next", "plan") and state.at == Frame(procedure=state.root, step=led.after)


def _instruction_spoken(library: Library, state: State, fact: Fact) -> State:
    return replace(state, instructed=True)


def _result_heard(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.ResultHeard)
    pending = Pending(
        kind="code" if said.code else "facts" if said.facts else "result",
        words=said.words,
        name=said.code or said.result,
        offered=said.offered,
        by=said.by,
        facts=said.facts,
        said=said.said or "",
    )
    return replace(state, pending=pending, echoed=False)


def _reading_heard(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.ReadingHeard)
    pending = Pending(kind="reading", words=said.words, value=said.value, unit=said.unit, offered=said.offered)
    return replace(state, pending=pending, echoed=False)


def _no_pending(library: Library, state: State, fact: Fact) -> State:
    return replace(state, pending=None, ahead="")


def _result_logged(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.ResultLogged)
    if not said.words:  # an outcome or a known fact: nobody said it, so nobody strikes it
        return replace(state, pending=None)
    ran = state.ran and said.result not in RAN_ON  # what a crank came to is asked on from there
    state = replace(state, pending=None, named=_confirmed(state), echoed=said.echoed, ran=ran)
    return _keep(state, fact, "result", said.words, said.result)


def _confirmed(state: State) -> frozenset[str]:
    """What is named by now, with how a read-back is answered once one was."""
    return state.named | ({A_YES} if state.pending else set())


def _reading_logged(library: Library, state: State, fact: Fact) -> State:
    place = try_key(Frame(procedure=str(fact.procedure), step=str(fact.step)))
    said = fact.says(facts.ReadingLogged)
    read = {**state.readings, place: Measured(fact=fact.id, value=said.value)}
    kept = replace(state, pending=None, named=_confirmed(state), readings=read, echoed=said.echoed)
    return _keep(kept, fact, "reading", said.spoken, said.name)


def _code_logged(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.CodeLogged)
    kept = replace(state, pending=None, echoed=True)
    return _keep(kept, fact, "code", sayings.code_named(said.spoken), said.code)


def _test_told(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.TestTold)
    return _keep(told.told_unasked(state, said), fact, "told", said.words, said.test)


def _words_kept(library: Library, state: State, fact: Fact) -> State:
    return _keep(replace(state, echoed=True), fact, "words", fact.says(facts.WordsKept).words)


def _note_taken(library: Library, state: State, fact: Fact) -> State:
    return _keep(replace(state, echoed=True), fact, "note", sayings.THE_NOTE)


def _keep(state: State, fact: Fact, kind: str, words: str, name: str = "") -> State:
    kept = Kept(fact=fact.id, kind=kind, words=words, name=name)
    of_job = kind in ("note", "item", "told") or (kind == "words" and fact.step is None)
    of_step = state.kept if of_job else (*state.kept, kept)
    return replace(state, kept=of_step, strikable=(*state.strikable, kept))


def _struck(library: Library, state: State, fact: Fact) -> State:
    gone = fact.says(facts.Struck).struck
    lost = next((kept for kept in state.strikable if kept.fact == gone), None)
    strikable = tuple(kept for kept in state.strikable if kept.fact != gone)
    vehicle: Mapping[str, str | float] = state.vehicle
    if lost is not None and lost.kind == "vehicle":
        vehicle = {name: value for name, value in vehicle.items() if name != lost.name}
    kept = tuple(each for each in state.kept if each.fact != gone)
    readings = {place: read for place, read in state.readings.items() if read.fact != gone}
    ahead = "" if lost is not None and lost.name == ASKED_NEXT else state.ahead
    return replace(state, strikable=strikable, kept=kept, vehicle=vehicle, readings=readings, ahead=ahead)


def _ready_given(library: Library, state: State, fact: Fact) -> State:
    """An ear that heard nothing where a burst was due is not waited for again, until it hears one."""
    deaf = fact.says(facts.TimedPlan).by == "tones" and state.mode is Mode.TIMING
    return replace(state, timed=_timed(fact, begun=False), ear=state.ear and not deaf, echoed=False)


def _action_begun(library: Library, state: State, fact: Fact) -> State:
    timed = _timed(fact, begun=True)
    if not is_spray(timed.action):
        return replace(state, timed=timed)
    tries = {**state.tries, try_key(state.at): state.tries.get(try_key(state.at), 0) + 1}
    return replace(state, timed=timed, tries=tries)


def _timed(fact: Fact, *, begun: bool) -> Timed:
    said = fact.says(facts.TimedPlan)
    return Timed(
        action=said.action, by=said.by, begin_s=said.begin_s, release_s=said.release_s, stop_s=said.stop_s, begun=begun
    )


def _release_called(library: Library, state: State, fact: Fact) -> State:
    return replace(state, timed=replace(state.timed, calls=state.timed.calls + 1) if state.timed else None)


def _burst_ended(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.BurstEnded)
    before = state.burst.before if said.corrects and state.burst else state.duty
    duty = starter.burst(before, said.start_s, said.end_s, duty_of(library, state))
    burst = Burst(
        start_s=said.start_s,
        end_s=said.end_s,
        by=said.by,
        before=before,
        rpm=said.rpm,
        caught=said.caught,
        run_s=said.run_s,
        kind=said.kind or Sounds.CRANK,
        assumed=bool(said.assumed),
    )
    timed_here = state.mode is Mode.TIMING and state.timed is not None and state.timed.action == "crank"
    ended = replace(state, duty=duty, burst=burst, ear=state.ear or said.by == "ear")
    return replace(ended, timed=None, burst_done=said.by not in CUT_SHORT) if timed_here else ended


def _action_ended(library: Library, state: State, fact: Fact) -> State:
    return replace(state, timed=None)


def _rest_begun(library: Library, state: State, fact: Fact) -> State:
    return replace(state, rest_until_s=fact.says(facts.RestBegun).until_s, timed=None)


def _wait_begun(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.WaitBegun)
    return replace(state, wait_until_s=said.until_s, clearing=said.clearing)


def _wait_ended(library: Library, state: State, fact: Fact) -> State:
    return replace(state, wait_until_s=None, clearing=False)


def _held(library: Library, state: State, fact: Fact) -> State:
    return replace(state, pending=None, timed=None, echoed=False)


def _resumed(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.Resumed)
    return replace(
        state,
        pending=None,
        timed=None,
        warned=(),  # nobody knows what was done meanwhile
        echoed=False,
        manner=said.manner or state.manner,
        always_confirm=state.always_confirm if said.always_confirm is None else said.always_confirm,
        ear=state.ear if said.ear is None else said.ear,
        guarded=state.guarded or said.guarded,
    )


def _went_back(library: Library, state: State, fact: Fact) -> State:
    visits = fact.says(facts.WentBack).visits
    visit = state.history[-visits]
    checks = visit.position.at.procedure == state.at.procedure
    return replace(
        state,
        history=state.history[:-visits],
        echoed=False,
        position=visit.position,
        kept=(),
        instructed=False,
        pending=None,
        timed=None,
        finding=False,
        leaving=False,
        proposed="",
        repaired=state.repaired if checks else None,
    )


def _asked_over(library: Library, state: State, fact: Fact) -> State:
    """A note in the middle of an explanation gives back what was under both."""
    return replace(state, under=state.mode if state.mode in ASKED_OVER else state.under)


def _put_back_asked(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.PutBackAsked)
    return replace(_asked_over(library, state, fact), wanted=(said.to, said.name))


def _item_settled(library: Library, state: State, fact: Fact) -> State:
    said = fact.says(facts.ItemSettled)
    return _keep(state, fact, "item", sayings.item_named(said.item), said.item) if said.said else state


def _finding_reached(library: Library, state: State, fact: Fact) -> State:
    return replace(state, finding=True, found=fact.says(facts.FindingReached).fault or "", found_s=fact.at_s)


def _end_confirmed(library: Library, state: State, fact: Fact) -> State:
    return replace(state, leaving=True, pending=None, timed=None)


Change = Callable[[Library, State, Fact], State]
"""The state without and with the fact."""

CHANGES: Mapping[FactKind, Change] = {
    FactKind.JOB_STARTED: _job_started,
    FactKind.VEHICLE_NOTED: _vehicle_noted,
    FactKind.STEP_ENTERED: _step_entered,
    FactKind.CAUTION_SPOKEN: told.caution_spoken,
    FactKind.CAUTION_ACKNOWLEDGED: told.caution_acknowledged,
    FactKind.GATE_PASSED: told.gate_passed,
    FactKind.INSTRUCTION_SPOKEN: _instruction_spoken,
    FactKind.INSTRUCTION_DONE: told.instruction_done,
    FactKind.RESULT_HEARD: _result_heard,
    FactKind.READING_HEARD: _reading_heard,
    FactKind.RESULT_REJECTED: _no_pending,
    FactKind.RESULT_LOGGED: _result_logged,
    FactKind.READING_LOGGED: _reading_logged,
    FactKind.CODE_LOGGED: _code_logged,
    FactKind.TEST_TOLD: _test_told,
    FactKind.WORDS_KEPT: _words_kept,
    FactKind.NOTE_TAKEN: _note_taken,
    FactKind.STRUCK: _struck,
    FactKind.READY_GIVEN: _ready_given,
    FactKind.BURST_BEGUN: _action_begun,
    FactKind.ACTION_BEGUN: _action_begun,
    FactKind.RELEASE_CALLED: _release_called,
    FactKind.BURST_DROPPED: _ready_given,
    FactKind.BURST_ENDED: _burst_ended,
    FactKind.ACTION_ENDED: _action_ended,
    FactKind.REST_BEGUN: _rest_begun,
    FactKind.WAIT_BEGUN: _wait_begun,
    FactKind.WAIT_ENDED: _wait_ended,
    FactKind.STOPPED: _held,
    FactKind.PAUSED: _held,
    FactKind.RESUMED: _resumed,
    FactKind.WENT_BACK: _went_back,
    FactKind.SKIP_ASKED: _asked_over,
    FactKind.NOTE_ASKED: _asked_over,
    FactKind.END_ASKED: _asked_over,
    FactKind.STRIKE_ASKED: _asked_over,
    FactKind.ITEM_REFITTED: _item_settled,
    FactKind.ITEM_LEFT_OFF: _item_settled,
    FactKind.PLAN_CHANGED: plan_changed,
    FactKind.VOICE_SET: told.voice_set,
    FactKind.CANNOT_ASKED: _asked_over,
    FactKind.PUT_BACK_ASKED: _put_back_asked,
    FactKind.TEST_LEFT_OUT: left_out,
    FactKind.REPAIR_DONE: repair_done,
    FactKind.REPAIR_FAILED: repair_settled,
    FactKind.REPAIR_CONFIRMED: repair_settled,
    FactKind.FINDING_REACHED: _finding_reached,
    FactKind.END_CONFIRMED: _end_confirmed,
}
