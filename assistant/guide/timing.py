"""Whatever has a clock: count-ins, bursts of the starter, paced actions, rests, waits. Times in seconds of the job.

A burst is timed by tones; where an ear listens to the starter it times the burst itself, and tones are the fallback.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from assistant.cranking.arbiter import Place
from assistant.cranking.duty import NOT_CRANKED
from assistant.cranking.model import Kind as Sounds
from assistant.english import bursts, refusals, sayings
from assistant.facts import (
    ActionBegun,
    ActionEnded,
    BurstBegun,
    BurstDropped,
    BurstEnded,
    Paused,
    ReadyGiven,
    ReleaseCalled,
    RestEnded,
    ResultHeard,
    Stopped,
    TimedPlan,
    WaitEnded,
)
from assistant.guide.arrive import begin_rest, complete, enter, go_to, leaves, rest_due_s, seconds_to_crank
from assistant.guide.manner import way_there
from assistant.guide.places import Library, action_of, duty_of, forbidden_now, paced_s, step_of
from assistant.guide.proposal import propose, since_heard
from assistant.guide.state import Mode, State, Timed
from assistant.guide.turn import Making, Refused, to_ms
from assistant.guide.words import RELEASE, hint
from assistant.language.manner import Manner
from assistant.language.model import BY_MACHINE, BurstHeard, BurstStarted
from assistant.language.speak import say_seconds, say_speed
from assistant.language.speech import Pause, Tone, Utterance
from assistant.procedure.condition import VAPOUR_CLEARS_S, Condition
from assistant.procedure.model import Hazard, Kind, Step

P = TypeVar("P", bound=TimedPlan)

COUNT_IN_S = 3.0
"""From "ready" to the first tone when nobody has to walk. Source: judgement."""

RUNNING_S = 0.5
"""From "ready" to the first tone of an action that keeps an engine alive. Source: judgement."""

UNHEARD_S = 8.0
"""No burst heard this long after "crank when ready": the tones take over. Source: judgement; a headset may not hear."""

WEAK_SHARE = 0.25
"""A compression that sounds this much smaller than the others is told of. Source: of 41 and 14 made-up engines of two
makers with one cylinder at 20 to 60 % it tells 80 and 57 %, of 41 and 15 without one each."""

ODDLY: Mapping[str, str] = {
    Sounds.WHINE: bursts.WHINED,
    Sounds.CHATTER: bursts.CHATTERED,
}
"""What is said of a burst in which the engine stood."""

SAME_BURST_SHARE = 0.5
"""A heard burst that overlaps this share of the shorter of the two is the one that the tones timed. Judgement."""

REST_OF_BURST_S = 1.0
"""What begins so soon after an asked burst is its rest, of which the ear heard the end too early. Source: judgement."""

BEGIN_TONE = Tone(hz=880.0, seconds=0.2)
RELEASE_TONE = Tone(hz=440.0, seconds=0.5)


def next_deadline(state: State) -> float | None:
    """When the clock alone will next change something, or None."""
    if state.mode is Mode.RESTING:
        return state.rest_until_s
    if state.mode is Mode.WAITING:
        return state.wait_until_s
    timed = state.timed
    if state.mode is not Mode.TIMING or timed is None:
        return None
    if not timed.begun:
        return timed.begin_s
    if timed.calls == 0:
        return timed.release_s
    return timed.stop_s if timed.calls == 1 and timed.stop_s > timed.release_s else None


def awaits_burst(library: Library, state: State) -> bool:
    """Whether the present step has asked for the starter to be turned."""
    return state.mode in (Mode.POISED, Mode.TIMING) and step_of(library, state).kind is Kind.CRANK


def burst_place(library: Library, state: State, start_s: float, end_s: float) -> Place:
    """What was asked of the starter when a burst was heard then; one that is timed already was asked for.

    Where nothing was asked, what sounds like a starter is mostly a tool or music.
    """
    if _same_burst(state, start_s, end_s):
        return Place.ASKED
    if awaits_burst(library, state):
        on_our_word = state.timed is not None and state.timed.by != "ear"
        return Place.ASKED if state.mode is Mode.TIMING and on_our_word else Place.AWAITED
    step, before = step_of(library, state), state.burst
    if step.kind is not Kind.CRANK and _instructed_to_crank(state, step):
        return Place.TOLD
    asked = step.kind is Kind.CRANK and state.burst_done and state.mode in (Mode.ASKING, Mode.CONFIRMING)
    if asked and before is not None and before.start_s <= start_s <= before.end_s + REST_OF_BURST_S:
        return Place.ASKED
    return Place.UNASKED if Condition.KEY_ON in state.bay.conditions else Place.KEY_OFF


def pass_time(making: Making, at_s: float) -> None:
    """Let every deadline up to `at_s` fall due, each at its own time."""
    while (due_s := next_deadline(making.state)) is not None and due_s <= at_s + 1e-9:
        making.at_s = to_ms(max(due_s, making.state.at_s))
        _fall_due(making)
    making.at_s = to_ms(max(at_s, making.state.at_s))


def _fall_due(making: Making) -> None:
    state = making.state
    if state.mode is Mode.RESTING:
        making.note(RestEnded())
        making.say(bursts.RESTED if making.state.manner is Manner.FULL else bursts.RESTED_SHORT)
        enter(making, state.at, "again")
    elif state.mode is Mode.WAITING:
        _end_wait(making)
    elif state.timed is not None and not state.timed.begun:
        _begin(making, state.timed)
    elif state.timed is not None and state.timed.action == "crank":
        _call_release(making, state.timed)
    else:
        end_timed(making, "tones")
        step = making.step
        complete(making)
        go_to(making, step.next or "")


def _end_wait(making: Making) -> None:
    state, step = making.state, making.step
    if state.clearing:
        making.note(WaitEnded(vapour_cleared=True))
        making.say(sayings.are_over(say_seconds(VAPOUR_CLEARS_S)))
        enter(making, state.at, "again")
        return
    making.note(WaitEnded(makes=leaves(step), vapour_cleared=step.clears_vapour))
    making.say(bursts.TIME_IS_UP)
    complete(making)
    go_to(making, step.next or "")


def ready(making: Making) -> None:
    """The technician is set: count in, or listen for the starter. In a crank step already answered for: once more."""
    step, state = making.step, making.state
    if state.mode is Mode.ASKING or forbidden_now(making.library, state) is not None:
        enter(making, state.at, "again")
        return
    if rest_due_s(making, step) > 0:
        begin_rest(making, step)
        return
    helped = Condition.HELPER in state.bay.conditions  # who turns the key for another waits for a tone
    by = "ear" if state.ear and step.kind is Kind.CRANK and not helped else "tones"
    runs = step.kind is Kind.PACE and Hazard.CRANKING in step.all_hazards
    wait_s = UNHEARD_S if by == "ear" else RUNNING_S if runs else COUNT_IN_S
    making.note(_plan(ReadyGiven, making, step, making.at_s + step.walk_s + wait_s, by))
    if by == "ear":
        making.say(bursts.CRANK_WHEN_THERE, "prompt")
    elif runs:
        pass  # it dies while we speak: the tone is the next that is heard
    elif step.walk_s > 0:
        walk = say_seconds(step.walk_s)
        making.say(way_there(walk, state.manner, first=state.duty == NOT_CRANKED, helped=helped), "prompt")
    else:
        making.say(bursts.COUNT_IN, "prompt")


def _plan(kind: type[P], making: Making, step: Step, begin_s: float, by: str) -> P:
    limits = duty_of(making.library, making.state)
    if step.kind is Kind.PACE:
        release_s = stop_s = begin_s + paced_s(step)
    else:
        release_s = begin_s + min(step.burst_s or limits.burst_s, seconds_to_crank(making))
        stop_s = begin_s + max(limits.stop_s, release_s - begin_s)
    return kind(action=action_of(step), by=by, begin_s=to_ms(begin_s), release_s=to_ms(release_s), stop_s=to_ms(stop_s))


def _begin(making: Making, timed: Timed) -> None:
    """The first tone; or, where the ear heard nothing, a count-in by tones."""
    step = making.step
    if timed.by == "ear":
        making.note(_plan(ReadyGiven, making, step, making.at_s + COUNT_IN_S, "tones"))
        making.say(bursts.UNHEARD, "prompt")
        return
    plan = _plan(BurstBegun if timed.action == "crank" else ActionBegun, making, step, making.at_s, "tones")
    making.note(plan)
    making.add(*tones(step, plan))


def tones(step: Step, plan: TimedPlan) -> list[Utterance]:
    """The whole timed action as one stretch of sound, so that the stream itself keeps the time."""
    if step.pace is None:
        return _stretch(plan.release_s - plan.begin_s)
    sound: list[Utterance] = []
    for count in range(step.pace.times):
        gap_s = step.pace.off_s - RELEASE_TONE.seconds
        sound += [Pause(seconds=max(0.0, gap_s))] if count else []
        sound += _stretch(step.pace.on_s)
    return sound


def _stretch(seconds: float) -> list[Utterance]:
    return [BEGIN_TONE, Pause(seconds=max(0.0, seconds - BEGIN_TONE.seconds)), RELEASE_TONE]


def _call_release(making: Making, timed: Timed) -> None:
    if timed.by == "tones":
        end_timed(making, "tones")
        making.add(*hint(making.library, making.state))
        return
    making.note(ReleaseCalled(hard=timed.calls > 0))
    making.add(RELEASE_TONE)
    making.say(RELEASE["crank"] if timed.calls == 0 else bursts.RELEASE_KEY_NOW, "caution")


def end_timed(making: Making, by: str) -> None:
    """End whatever is timed and say what to let go of. What had not begun yet leaves no fact behind."""
    timed = making.state.timed
    if timed is None:
        return
    if not timed.begun:
        pass
    elif timed.action == "crank":
        making.note(_burst(timed.begin_s, making.at_s, by))
    else:
        making.note(ActionEnded(action=timed.action, by=by, seconds=to_ms(making.at_s - timed.begin_s)))
    making.say(RELEASE[timed.action], "caution")


def hold(making: Making, held: type[Stopped | Paused], by: str) -> None:
    """End what is timed, and hold. Where nobody asked for it but the machine, the fact says so."""
    end_timed(making, by)
    unasked = making.heard is not None and making.heard.engine == BY_MACHINE
    making.note(held(hearing=making.hearing if unasked else None))


def end_by_word(making: Making) -> None:
    """A result said while a burst is timed ends it: the technician's word wins over the clock."""
    timed = making.state.timed
    if making.state.mode is not Mode.TIMING or timed is None:
        return
    if timed.action != "crank":
        raise Refused(refusals.TIMED)
    planned_s = timed.release_s - timed.begin_s
    start_s = since_heard(making.state, timed.begin_s if timed.begun else making.at_s - planned_s, making.at_s)
    making.note(replace(_burst(start_s, making.at_s, "word"), assumed=not timed.begun))


def burst_said(making: Making) -> None:
    """A burst that was to come is over by word, before we gave its tone. It began no earlier than the starter had
    rested."""
    planned_s, ended_s = seconds_to_crank(making), making.state.duty.ended_s
    start_s = making.at_s - min(planned_s, making.step.burst_s or planned_s)
    if ended_s is not None and (rested_s := ended_s + duty_of(making.library, making.state).rest_s) <= making.at_s:
        start_s = max(start_s, rested_s)
    start_s = since_heard(making.state, start_s, making.at_s)
    making.note(_plan(BurstBegun, making, making.step, start_s, "word"))
    making.note(replace(_burst(start_s, making.at_s, "word"), assumed=True))


def _burst(start_s: float, end_s: float, by: str) -> BurstEnded:
    return BurstEnded(start_s=to_ms(start_s), end_s=to_ms(end_s), seconds=to_ms(end_s - start_s), by=by)


def burst_started(making: Making, heard: BurstStarted) -> None:
    """The ear hears the starter turn."""
    step, state = making.step, making.state
    waits = state.mode is Mode.TIMING and state.timed is not None and not state.timed.begun
    if (state.mode is Mode.POISED and step.kind is Kind.CRANK) or (waits and step.kind is Kind.CRANK):
        if rest_due_s(making, step) > 0:
            making.say(bursts.RELEASE_KEY, "caution")
            begin_rest(making, step)
        else:
            making.note(_plan(BurstBegun, making, step, making.at_s - heard.ago_s, "ear"))
    elif state.mode is Mode.RESTING:
        left_s = max(0.0, (state.rest_until_s or 0.0) - making.at_s)
        making.say(bursts.release_and_rest(say_seconds(left_s)), "caution")
    elif state.mode is not Mode.TIMING and not _instructed_to_crank(state, step):
        making.say(bursts.UNASKED, "caution")


def burst_caught(making: Making) -> None:
    """The engine runs while the starter is still timed: the key is to be let go at once, not only at the limit."""
    timed = making.state.timed
    if making.state.mode is Mode.TIMING and timed is not None and timed.begun and timed.by == "ear" and not timed.calls:
        _call_release(making, timed)


def _instructed_to_crank(state: State, step: Step) -> bool:
    """Whether the step said to turn the starter without timing it, as with a remote switch, or before puffs."""
    return state.mode in (Mode.ASKING, Mode.POISED) and state.instructed and Hazard.CRANKING in step.hazards


def burst_dropped(making: Making) -> None:
    """What was timed by ear was not the starter: listen on, as if nothing had been heard."""
    timed = making.state.timed
    if making.state.mode is Mode.TIMING and timed is not None and timed.begun and timed.by == "ear":
        making.note(_plan(BurstDropped, making, making.step, making.at_s + UNHEARD_S, "ear"))


def burst_heard(making: Making, heard: BurstHeard) -> None:
    """The ear heard a whole burst: it is kept with the duty whatever was asked, spoken back, and proposes a result."""
    step, state = making.step, making.state
    end_s = making.at_s - heard.ago_s
    start_s = end_s - heard.seconds
    if state.mode is Mode.POISED and step.kind is Kind.CRANK and rest_due_s(making, step) <= 0:
        making.note(_plan(BurstBegun, making, step, start_s, "ear"))
    same = _same_burst(making.state, start_s, end_s)
    told = replace(
        _burst(start_s, end_s, "ear"),
        rpm=heard.rpm,
        caught=heard.caught,
        run_s=heard.run_s,
        confidence=heard.confidence,
        uneven=None if heard.uneven is None else round(heard.uneven, 2),
        confirmed=heard.confirmed,
        kind=heard.kind if heard.kind != Sounds.CRANK else None,
        sound=heard.sound,
        corrects=same,
    )
    making.note(told)
    making.say(burst_words(heard, str(making.state.vehicle.get("cylinders", ""))))
    if making.state.mode is Mode.RESTING:
        begin_rest(making, step)
    elif making.state.mode in (Mode.ASKING, Mode.CONFIRMING) and making.state.burst_done:
        _propose(making, step, heard)
    else:
        making.add(*hint(making.library, making.state))


def _same_burst(state: State, start_s: float, end_s: float) -> bool:
    """Whether the burst just heard is the one that was timed without an ear, so that it counts once."""
    before = state.burst
    if before is None or before.by == "ear":
        return False
    overlap_s = min(end_s, before.end_s) - max(start_s, before.start_s)
    return overlap_s > SAME_BURST_SHARE * min(end_s - start_s, before.end_s - before.start_s)


def _propose(making: Making, step: Step, heard: BurstHeard) -> None:
    """Offer the result that the burst sounds like; where the technician already said another, their word is asked."""
    result, pending = propose(step, heard), making.state.pending
    if result is not None and (pending is None or (pending.by == "ear" and pending.name != result.id)):
        making.note(ResultHeard(result=result.id, words=result.phrases[0], offered=True, by="ear"))
    making.add(*hint(making.library, making.state))


def burst_words(heard: BurstHeard, cylinders: str = "") -> str:
    """A heard burst as spoken: "Six point two seconds, about one hundred ninety r p m, did not catch." """
    parts = [say_seconds(heard.seconds)]
    parts += [say_speed(heard.rpm)] if heard.rpm is not None else []
    parts += [bursts.LIGHT] if heard.kind == Sounds.LIGHT else []
    if heard.kind in ODDLY:
        parts.append(ODDLY[heard.kind])
    elif heard.caught is None:
        parts.append(bursts.UNSURE)
    elif not heard.caught:
        parts.append(bursts.NOT_CAUGHT)
    else:
        parts.append(bursts.ran(say_seconds(heard.run_s)) if heard.run_s is not None else bursts.CAUGHT)
    if heard.uneven is not None and heard.uneven >= WEAK_SHARE:
        stroke = bursts.STROKES.get(int(cylinders)) if cylinders.isdigit() else None
        parts.append(bursts.uneven_every(stroke) if stroke else bursts.UNEVEN)
    return bursts.burst(parts)
