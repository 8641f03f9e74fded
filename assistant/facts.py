"""What has happened in a job: one frozen type, a closed list of kinds, and its plain form for journal and trace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any


class FactKind(StrEnum):
    """Past tense: each is something that became true. The guide's fold rebuilds its state from these alone."""

    JOB_STARTED = "job-started"
    VEHICLE_NOTED = "vehicle-noted"
    STEP_ENTERED = "step-entered"
    CAUTION_SPOKEN = "caution-spoken"
    CAUTION_ACKNOWLEDGED = "caution-acknowledged"
    GATE_ASKED = "gate-asked"
    GATE_PASSED = "gate-passed"
    INSTRUCTION_SPOKEN = "instruction-spoken"
    INSTRUCTION_DONE = "instruction-done"
    RESULT_HEARD = "result-heard"  # waits for its yes
    RESULT_LOGGED = "result-logged"
    RESULT_REJECTED = "result-rejected"
    READING_HEARD = "reading-heard"
    READING_LOGGED = "reading-logged"
    CODE_LOGGED = "code-logged"
    TEST_TOLD = "test-told"  # a test of the technician's own choice and its result, whatever step is worked on
    WORDS_KEPT = "words-kept"  # complaint, reason for a skip
    NOTE_ASKED = "note-asked"
    NOTE_TAKEN = "note-taken"
    NOTE_DROPPED = "note-dropped"
    PICTURE_TAKEN = "picture-taken"  # data["picture"]: the name of the file beside the record
    READY_GIVEN = "ready-given"  # the timed action may begin
    BURST_BEGUN = "burst-begun"
    RELEASE_CALLED = "release-called"
    BURST_DROPPED = "burst-dropped"  # what was heard was not the starter
    BURST_ENDED = "burst-ended"
    ACTION_BEGUN = "action-begun"
    ACTION_ENDED = "action-ended"
    WAIT_BEGUN = "wait-begun"
    WAIT_ENDED = "wait-ended"
    REST_BEGUN = "rest-begun"
    REST_ENDED = "rest-ended"
    STOPPED = "stopped"
    PAUSED = "paused"
    RESUMED = "resumed"
    WENT_BACK = "went-back"
    SKIP_ASKED = "skip-asked"
    SKIP_DECLINED = "skip-declined"
    STEP_SKIPPED = "step-skipped"
    STRIKE_ASKED = "strike-asked"  # waits for its yes
    STRIKE_DECLINED = "strike-declined"
    STRUCK = "struck"  # data["struck"]: the id of the fact that no longer counts
    CANNOT_ASKED = "cannot-asked"  # "I can't do that" was said; waits for the reason
    CANNOT_DECLINED = "cannot-declined"
    TEST_LEFT_OUT = "test-left-out"  # data["why"]: no-tool, no-reach, too-loud or not-on-car
    ITEM_REMOVED = "item-removed"
    ITEM_REFITTED = "item-refitted"
    ITEM_LEFT_OFF = "item-left-off"
    PLAN_CHANGED = "plan-changed"  # whether the plan leads; or which block, instead of which, why, for which fault
    VOICE_SET = "voice-set"  # louder, softer, slower, faster
    END_ASKED = "end-asked"
    END_DECLINED = "end-declined"
    END_CONFIRMED = "end-confirmed"
    FINDING_REACHED = "finding-reached"
    JOB_ENDED = "job-ended"
    REPAIR_DONE = "repair-done"  # data["fault"], data["minutes"]; it is checked in this job
    REPAIR_FAILED = "repair-failed"  # data["fault"], data["minutes"]: the fault is still there after its repair
    REPAIR_CONFIRMED = "repair-confirmed"  # data["fault"]; of several the last holds, and None takes it back


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that became true in a job; never changed, only struck by a later fact.

    `id` is unique for all time: the job's random key and `number`, which counts from 1 without gaps in the job.
    `at_s`: seconds since the job started, never falling. `data` holds JSON values only, units in its keys.
    """

    id: str
    job: str
    number: int
    at_s: float
    kind: FactKind
    procedure: str | None = None
    step: str | None = None
    data: Mapping[str, Any] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """The fact as JSON values, the same in journal, trace and report."""
        return {
            "id": self.id,
            "job": self.job,
            "number": self.number,
            "at_s": round(self.at_s, 3),
            "kind": self.kind.value,
            "procedure": self.procedure,
            "step": self.step,
            "data": dict(self.data),
        }


def key_of(fact_id: str, number: int) -> str:
    """The job's random key in the id of its fact of that number; the whole id where it is not made in that way."""
    return fact_id.removesuffix(f"-{number}")


def fact_from_plain(plain: Mapping[str, Any]) -> Fact:
    """The fact that `plain` came from. Raises KeyError or ValueError on anything else."""
    return Fact(
        id=str(plain["id"]),
        job=str(plain["job"]),
        number=int(plain["number"]),
        at_s=float(plain["at_s"]),
        kind=FactKind(plain["kind"]),
        procedure=plain.get("procedure"),
        step=plain.get("step"),
        data=dict(plain.get("data") or {}),
    )
