"""What the jobs on one car left of it, for the next job: from their facts alone, and by no clock that proves nothing.

Each thing that is so keeps, from job to job, the id of the fact that made it so. It is gone once a job that knew of it
no longer has it; a job that never knew of it says nothing about it. Vapour never clears by time between jobs, for
nobody saw the hood open; the starter's rest counts what the machine's own clock proves, and nothing over a new start.
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

SAME_CAR = "same-car"
"""The vehicle fact that names an earlier job on the same car."""

HISTORY = 5
"""Earlier jobs that are named, the latest last. Judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """An earlier job on the car: its facts in order, and seconds since the last, as far as proved."""

    facts: Sequence[Fact]
    away_s: float = 0.0


def left_by(jobs: Sequence[Earlier]) -> dict[str, Any]:
    """What the first fact of the next job keeps of these jobs, oldest first; empty where they left nothing."""
    marks: dict[tuple[str, str], None] = {}
    off: dict[tuple[str, str], None] = {}
    gone: set[tuple[str, str]] = set()
    for job in jobs:
        bay, knew = folded(job.facts), _known_from_before(job.facts)
        has = {(str(mark.condition), mark.fact) for mark in bay.marks} | {(each.item, each.fact) for each in bay.off}
        gone |= knew - has
        marks |= {(str(mark.condition), mark.fact): None for mark in bay.marks if mark.condition in OF_THE_CAR}
        off |= {(each.item, each.fact): None for each in bay.off}
    left: dict[str, Any] = {
        "marks": [{"condition": condition, "fact": fact} for condition, fact in marks if (condition, fact) not in gone],
        "off": [{"item": item, "fact": fact} for item, fact in off if (item, fact) not in gone],
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


def words_of_offer(left: Mapping[str, Any]) -> str:
    """What the opening says of the last car, where nobody knows whether it is this one; empty where there is none."""
    if not left:
        return ""
    conditions = {Condition(each["condition"]) for each in left.get("marks", [])}
    about = say_list([SAID[each] for each in Condition if each in conditions])
    return f"Job {left['jobs'][-1]['job']} left {about}. If this is that car, say the same car."


def _known_from_before(facts: Sequence[Fact]) -> set[tuple[str, str]]:
    """What the job was told that earlier ones left, each with the fact that made it: one fact can make several."""
    left = [fact.data["inherits"] for fact in facts if fact.data.get("inherits")]
    kinds = (("marks", "condition"), ("off", "item"))
    return {(str(each[name]), str(each["fact"])) for one in left for kind, name in kinds for each in one.get(kind, [])}


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
    for fact in facts:
        turned = (fact.data.get("inherits") or {}).get("starter")
        if turned and state.ended_s is None:
            ended_s = fact.at_s - float(turned["rested_s"])
            state = before = DutyState(cranked_s=float(turned["cranked_s"]), ended_s=ended_s)
        elif fact.kind is FactKind.BURST_ENDED:
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
