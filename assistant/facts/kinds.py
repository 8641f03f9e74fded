"""The closed list of what can have happened in a job. What each kind carries is its class beside this file."""

from __future__ import annotations

from enum import StrEnum


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
    PICTURE_TAKEN = "picture-taken"
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
    STRUCK = "struck"
    CANNOT_ASKED = "cannot-asked"  # "I can't do that" was said; waits for the reason
    CANNOT_DECLINED = "cannot-declined"
    PUT_BACK_ASKED = "put-back-asked"  # what is off the car is asked for, before somebody is led elsewhere
    PUT_BACK_DECLINED = "put-back-declined"
    TEST_LEFT_OUT = "test-left-out"
    ITEM_REMOVED = "item-removed"
    ITEM_REFITTED = "item-refitted"
    ITEM_LEFT_OFF = "item-left-off"
    PLAN_CHANGED = "plan-changed"  # whether the plan leads; or which block, instead of which, why, for which fault
    VOICE_SET = "voice-set"  # how loud, fast and in full we speak, and whether tones stand for words
    END_ASKED = "end-asked"
    END_DECLINED = "end-declined"
    END_CONFIRMED = "end-confirmed"
    FINDING_REACHED = "finding-reached"
    JOB_ENDED = "job-ended"
    REPAIR_DONE = "repair-done"  # it is checked in this job
    REPAIR_FAILED = "repair-failed"  # the fault is still there after its repair
    TAKEN_OVER = "taken-over"  # another bay of the shop goes on with the job
    REPAIR_CONFIRMED = "repair-confirmed"  # of several the last holds
