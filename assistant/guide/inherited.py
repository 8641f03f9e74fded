"""What the jobs on one car left of it, for the next job: from their facts alone, and by no clock that proves nothing.

Each thing that is so keeps, from job to job, the id of the fact that made it so. It is gone once a job that knew of it
no longer has it; a job that never knew of it says nothing about it. Vapour never clears by time between jobs, for
nobody saw the hood open; the starter's rest counts what the wall clock shows, and nothing where that was set back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assistant.bay import SAID, folded
from assistant.cranking.duty import NOT_CRANKED, DutyState, burst
from assistant.facts import Fact, FactKind
from assistant.language.speak import say_list
from assistant.procedure.condition import OF_THE_CAR, Condition

LONGEST_REST_S = 3_600.0
"""No starter asks for a longer rest: what turned longer ago is no matter. Source: the bound of `--vehicle`."""

HISTORY = 5
"""Earlier jobs that are named, the latest last. Judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """An earlier job on the car: its facts in order, and seconds on the wall since the last, as far as proved."""

    facts: Sequence[Fact]
    away_s: float = 0.0


def left_by(jobs: Sequence[Earlier]) -> dict[str, Any]:
    """What the first fact of the next job keeps of these jobs, oldest first; empty where they left nothing."""
    marks: dict[tuple[str, str], None] = {}
    off: dict[tuple[str, str], None] = {}
    gone: set[str] = set()
    for job in jobs:
        bay, inherited = folded(job.facts), _inherited_ids(job.facts)
        has = {mark.fact for mark in bay.marks} | {each.fact for each in bay.off}
        gone |= inherited - has
        marks |= {(str(mark.condition), mark.fact): None for mark in bay.marks if mark.condition in OF_THE_CAR}
        off |= {(each.item, each.fact): None for each in bay.off}
    left: dict[str, Any] = {
        "marks": [{"condition": condition, "fact": fact} for condition, fact in marks if fact not in gone],
        "off": [{"item": item, "fact": fact} for item, fact in off if fact not in gone],
    }
    starter = _starter(jobs)
    told = {name: value for name, value in left.items() if value} | ({"starter": starter} if starter else {})
    history = [each for job in jobs if (each := _history(job.facts))]
    return told | ({"jobs": history[-HISTORY:]} if history else {})


def words_of_left(left: Mapping[str, Any]) -> str:
    """What the opening says of it; empty where nothing is left."""
    if not left:
        return ""
    before = [str(each["job"]) for each in left.get("jobs", [])]
    conditions = {Condition(each["condition"]) for each in left.get("marks", [])}
    items = dict.fromkeys(str(each["item"]) for each in left.get("off", []))
    about = [SAID[each] for each in Condition if each in conditions]
    parts = [f"This car was in job {before[-1]}."] if before else []
    parts += [f"From there, as far as I know: {say_list(about)}."] if about else []
    parts += [f"Off the car, or added to it: {say_list(list(items))}."] if items else []
    return " ".join(parts)


def _inherited_ids(facts: Sequence[Fact]) -> set[str]:
    left: Mapping[str, Any] = (facts[0].data.get("inherits") or {}) if facts else {}
    return {str(each["fact"]) for name in ("marks", "off") for each in left.get(name, [])}


def _starter(jobs: Sequence[Earlier]) -> dict[str, float]:
    """What the starter did in the job that turned it last; it rests from the latest burst of all jobs."""
    turned = [(job, state) for job in jobs if (state := _duty(job.facts)).ended_s is not None]
    rested = [(job.facts[-1].at_s - (state.ended_s or 0.0) + job.away_s, state) for job, state in turned]
    if not rested:
        return {}
    rested_s, state = min(rested, key=lambda each: each[0])
    if rested_s >= LONGEST_REST_S:
        return {}
    return {"cranked_s": round(state.cranked_s, 3), "rested_s": round(max(0.0, rested_s), 3)}


def _duty(facts: Sequence[Fact]) -> DutyState:
    state = before = NOT_CRANKED
    left = (facts[0].data.get("inherits") or {}).get("starter") if facts else None
    if left:
        state = before = DutyState(cranked_s=float(left["cranked_s"]), ended_s=-float(left["rested_s"]))
    for fact in facts:
        if fact.kind is FactKind.BURST_ENDED:
            before = before if fact.data.get("corrects") else state
            state = burst(before, float(fact.data["start_s"]), float(fact.data["end_s"]))
    return state


def _history(facts: Sequence[Fact]) -> dict[str, Any]:
    """The job's name and what it found, as far as that was not gone back from."""
    if not facts:
        return {}
    found: Fact | None = None
    for fact in facts:
        if fact.kind is FactKind.FINDING_REACHED:
            found = fact
        elif fact.kind is FactKind.WENT_BACK:
            found = None
    fault = found.data.get("fault") if found is not None else None
    return {"job": facts[0].job} | ({"fault": fault} if fault else {})
