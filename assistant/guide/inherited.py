"""What the jobs on one car left of it, for the next job: from their facts alone, and by no clock that proves nothing.

Each thing that is so keeps, from job to job, the id of the fact that made it so. It is gone once a job that knew of it
no longer has it; a job that never knew of it says nothing about it. Vapour never clears by time between jobs, for
nobody saw the hood open; the starter's rest counts what the machine's own clock proves, and nothing over a new start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.bay import SAID, folded
from assistant.cranking.duty import NOT_CRANKED, DutyState, burst
from assistant.english import sayings
from assistant.english.lists import say_list
from assistant.facts import BurstEnded, EarlierJob, Fact, FactKind, FindingReached, Left, LeftMark, LeftOff, Turned
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


def left_by(jobs: Sequence[Earlier]) -> Left | None:
    """What the first fact of the next job keeps of these jobs, oldest first; None where they left nothing."""
    marks: dict[LeftMark, None] = {}
    off: dict[LeftOff, None] = {}
    gone: set[LeftMark | LeftOff] = set()
    for job in jobs:
        bay = folded(job.facts)
        has = {LeftMark(condition=mark.condition, fact=mark.fact): mark for mark in bay.marks}
        has_off = {LeftOff(item=each.item, fact=each.fact): None for each in bay.off}
        gone |= _known_from_before(job.facts) - {*has, *has_off}
        marks |= {left: None for left in has if left.condition in OF_THE_CAR}
        off |= has_off
    left = Left(
        marks=tuple(each for each in marks if each not in gone),
        off=tuple(each for each in off if each not in gone),
        starter=_starter(jobs),
        jobs=tuple(_history(job.facts) for job in jobs if job.facts)[-HISTORY:],
    )
    return None if left == Left() else left


def words_of_left(left: Left | None) -> str:
    """What the opening says of it; empty where nothing is left."""
    if left is None:
        return ""
    conditions = {each.condition for each in left.marks}
    items = dict.fromkeys(each.item for each in left.off)
    about = [SAID[each] for each in Condition if each in conditions]
    return " ".join(sayings.from_earlier_job(left.jobs[-1].job if left.jobs else "", about, tuple(items)))


def words_of_offer(left: Left | None) -> str:
    """What the opening says of the last car, where nobody knows whether it is this one; empty where there is none."""
    if left is None:
        return ""
    conditions = {each.condition for each in left.marks}
    about = say_list([SAID[each] for each in Condition if each in conditions])
    return sayings.perhaps_same_car(left.jobs[-1].job, about)


def _known_from_before(facts: Sequence[Fact]) -> set[LeftMark | LeftOff]:
    """What the job was told that earlier ones left, each with the fact that made it: one fact can make several."""
    known = (fact.said.inherits for fact in facts)
    there = [left for left in known if left is not None]
    return {*(mark for left in there for mark in left.marks), *(off for left in there for off in left.off)}


def _starter(jobs: Sequence[Earlier]) -> Turned | None:
    """What the starter did in the job that turned it last; it rests from the latest burst of all jobs."""
    turned = [(job, state) for job in jobs if (state := _duty(job.facts)).ended_s is not None]
    rested = [(job.facts[-1].at_s - (state.ended_s or 0.0) + job.away_s, state) for job, state in turned]
    if not rested:
        return None
    rested_s, state = min(rested, key=lambda each: each[0])
    if rested_s >= LONGEST_REST_S:
        return None
    return Turned(cranked_s=round(state.cranked_s, 3), rested_s=round(max(0.0, rested_s), 3))


def _duty(facts: Sequence[Fact]) -> DutyState:
    state = before = NOT_CRANKED
    for fact in facts:
        said = fact.said
        turned = said.inherits.starter if said.inherits is not None else None
        if turned is not None and state.ended_s is None:
            state = before = DutyState(cranked_s=turned.cranked_s, ended_s=fact.at_s - turned.rested_s)
        elif isinstance(said, BurstEnded):
            before = before if said.corrects else state
            state = burst(before, said.start_s, said.end_s)
    return state


def _history(facts: Sequence[Fact]) -> EarlierJob:
    """The job's name and what it found, as far as that was not gone back from."""
    found: str | None = None
    for fact in facts:
        if isinstance(fact.said, FindingReached):
            found = fact.said.fault
        elif fact.kind is FactKind.WENT_BACK:
            found = None
    return EarlierJob(job=facts[0].job, fault=found or "")
