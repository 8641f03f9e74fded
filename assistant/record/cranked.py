"""Cranking bursts and what they asked of the starter."""

from __future__ import annotations

from assistant.cranking.duty import NOT_CRANKED, burst, rest_left_s
from assistant.facts import ActionBegun, BurstEnded, Fact, FactKind
from assistant.procedure.model import Duty
from assistant.record.duty_use import DayUse, DutyUse
from assistant.record.model import Burst, TimedAction
from assistant.record.walk import Walk
from assistant.record.wording import known

_ENDS = {
    FactKind.ACTION_BEGUN: FactKind.ACTION_ENDED,
    FactKind.WAIT_BEGUN: FactKind.WAIT_ENDED,
    FactKind.REST_BEGUN: FactKind.REST_ENDED,
}
_NAMES = {FactKind.ACTION_BEGUN: "action", FactKind.WAIT_BEGUN: "wait", FactKind.REST_BEGUN: "starter rest"}


def bursts(walk: Walk, limits: Duty) -> tuple[Burst, ...]:
    """Every burst that ended, in order. A struck burst still turned the starter: it counts for duty."""
    found: list[Burst] = []
    begun: float | None = None
    state = NOT_CRANKED
    ended_before: float | None = None
    before = state, ended_before
    for fact in walk.of(FactKind.BURST_BEGUN, FactKind.BURST_ENDED):
        if fact.kind is FactKind.BURST_BEGUN:
            begun = fact.at_s
            continue
        said = fact.shows(BurstEnded)
        if said.corrects and found:  # the ear heard better what the timer had counted
            found.pop()
            state, ended_before = before
        start, end = _span(fact, said, begun)
        if said.by == "word" and found and _counted(found[-1], start, end):
            begun = None
            continue
        before = state, ended_before
        due = rest_left_s(state, start, limits)
        state = burst(state, start, end, limits)
        found.append(
            Burst(
                mark=walk.mark(fact),
                began_s=round(start, 3),
                ended_s=round(end, 3),
                seconds=round(end - start, 3),
                rpm=said.rpm,
                caught=said.caught,
                run_s=said.run_s,
                confidence=said.confidence,
                timed_by=said.by or ("timer" if said.rpm is None else "ear"),
                rest_before_s=None if ended_before is None else round(start - ended_before, 3),
                rest_due_s=round(due, 3),
                uneven=said.uneven,
                sound=said.sound,
                kind=said.kind,
            )
        )
        begun, ended_before = None, end
    return tuple(found)


def _counted(last: Burst, start: float, end: float) -> bool:
    """Whether a burst that was told by word is the one that the ear has counted: it lies over it, or leaves nothing."""
    return last.timed_by == "ear" and (start < last.ended_s or end <= start)


def _span(fact: Fact, said: BurstEnded, begun: float | None) -> tuple[float, float]:
    """Start and end of a burst, seconds since the job started, as far as the fact tells them."""
    end = known(said.end_s)
    end = fact.at_s if end is None else end
    start = known(said.start_s)
    if start is None:
        seconds = known(said.seconds)
        start = end - seconds if seconds is not None else (end if begun is None else begun)
    return start, max(start, end)


def duty_use(all_bursts: tuple[Burst, ...], limits: Duty) -> DutyUse:
    """What the starter was asked in all."""
    rests = [one.rest_before_s for one in all_bursts if one.rest_before_s is not None]
    return DutyUse(
        bursts=len(all_bursts),
        total_s=round(sum(one.seconds for one in all_bursts), 3),
        longest_s=max((one.seconds for one in all_bursts), default=0.0),
        shortest_rest_s=min(rests, default=None),
        burst_limit_s=limits.burst_s,
        stop_limit_s=limits.stop_s,
        rest_limit_s=limits.rest_s,
        source=limits.source,
        days=_days(all_bursts),
    )


def _days(all_bursts: tuple[Burst, ...]) -> tuple[DayUse, ...]:
    """The totals of each day on which the starter turned, in order."""
    of_day: dict[str, list[float]] = {}
    for one in all_bursts:
        of_day.setdefault(one.mark.utc[:10], []).append(one.seconds)
    return tuple(
        DayUse(day=day, bursts=len(seconds), total_s=round(sum(seconds), 3)) for day, seconds in of_day.items()
    )


def actions(walk: Walk) -> tuple[TimedAction, ...]:
    """Paced actions, waits and rests, each with how long it lasted; None where it never ended."""
    found: list[TimedAction] = []
    for fact in walk.of(*_ENDS):
        end = next(
            (
                later
                for later in walk.facts[fact.number :]
                if later.kind in (_ENDS[fact.kind], fact.kind) and later.step == fact.step
            ),
            None,
        )
        said = fact.legible
        lasted = end.at_s - fact.at_s if end is not None and end.kind is _ENDS[fact.kind] else None
        found.append(
            TimedAction(
                mark=walk.mark(fact),
                action=(said.action if isinstance(said, ActionBegun) else "") or _NAMES[fact.kind],
                seconds=None if lasted is None else round(lasted, 3),
            )
        )
    return tuple(found)
