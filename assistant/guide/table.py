"""The one transition table of the conversation. Facts are its triggers; it alone decides which may happen when.

Rules
1. A job starts once. Nothing happens before it starts or after it has ended, but that the desk confirms a repair.
2. Every fact that changes what is waited for is a row here. A fact without a row for the present mode is refused.
3. A step is worked on only after all its cautions were acknowledged and all its gates passed since it was entered;
   a crank step, in addition, only while no rest is due; any step only while the state of car and bay does not forbid
   it (`procedure.forbidden`); a timed action only while a try is left (`may_start`). The same holds when its timed
   action begins.
4. A caution or a gate is passed only while it is the one being asked.
5. An answer is logged only while it is asked or has been read back. A test told unasked moves nothing.
   Silence is no trigger: no fact, no move.
6. Stop and pause hold in every live mode. A timed action that runs is ended first, by a fact of its own.
7. From held only `resumed`, moving elsewhere, or the end lead on. A resumed step is entered anew, so that rule 3 asks
   everything again; only the result of a burst that is over, and the closing of a job, go on where they were.
8. A note, a skip, a strike, "I can't do that", what is to be put right before somebody is led elsewhere, and the end
   are asked over another mode and, when dropped, give back the mode under them.
9. A rest and a wait are left by their clock, by stop or pause, by going back or by the end; never by a skip.
10. A job ends only from closing, or from a confirmed end, and only when no item is still off the car. From the closing
   of a finding a repair leads on to its check, and another test back into the job. What was mended before we were
   told is checked on the way (`guide.mended`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from types import SimpleNamespace

from transitions import Machine, MachineError

from assistant.facts import FactKind as F
from assistant.guide.state import Mode as M

ASKED_OVER = (M.CAUTIONING, M.GATING, M.POISED, M.ASKING, M.CONFIRMING, M.RESTING, M.WAITING, M.HELD, M.CLOSING)
"""Modes over which a note, a strike or the end may be asked, and to which they give back."""

LIVE = (M.MOVING, *ASKED_OVER, M.TIMING, M.EXPLAINING, M.EXCUSING, M.PUTTING_BACK, M.NOTING, M.ENDING, M.STRIKING)
EXCUSED_FROM = (M.CAUTIONING, M.GATING, M.POISED, M.ASKING, M.CONFIRMING)
"""Modes in which a test may be asked that cannot be done."""

PASSED_FROM = (M.ASKING, M.POISED, M.CONFIRMING)
"""Those of them in which its cautions are answered, so that the step itself may be passed over."""

ENTERED_FROM = (M.MOVING, M.CAUTIONING, M.GATING, M.POISED, M.ASKING, M.CONFIRMING, M.PUTTING_BACK)
SAME = "="

ROWS: tuple[tuple[F, tuple[M, ...], M | str, tuple[str, ...]], ...] = (
    # what happened          in which modes                                   leads to       only if
    (F.JOB_STARTED, (M.NEW,), M.MOVING, ()),
    (F.VEHICLE_NOTED, (M.MOVING, *ASKED_OVER), SAME, ()),
    (F.STEP_ENTERED, ENTERED_FROM, M.MOVING, ("nothing_runs",)),
    # cautions, gates, work
    (F.CAUTION_SPOKEN, (M.MOVING, M.CAUTIONING), M.CAUTIONING, ("caution_open",)),
    (F.CAUTION_ACKNOWLEDGED, (M.CAUTIONING,), SAME, ("caution_open",)),
    (F.GATE_ASKED, (M.MOVING, M.CAUTIONING, M.GATING), M.GATING, ("cautions_acknowledged", "gate_open")),
    (F.GATE_PASSED, (M.GATING,), SAME, ("gate_open",)),
    (F.INSTRUCTION_SPOKEN, (M.MOVING, M.CAUTIONING, M.GATING), M.ASKING, ("may_start", "asks")),
    (F.INSTRUCTION_SPOKEN, (M.MOVING, M.CAUTIONING, M.GATING), M.POISED, ("may_start", "times")),
    (F.INSTRUCTION_SPOKEN, (M.MOVING, M.CAUTIONING, M.GATING), M.WAITING, ("may_start", "waits")),
    (F.INSTRUCTION_DONE, (M.ASKING,), M.MOVING, ()),
    # answers
    (F.RESULT_HEARD, (M.ASKING, M.CONFIRMING), M.CONFIRMING, ()),
    (F.READING_HEARD, (M.ASKING, M.CONFIRMING), M.CONFIRMING, ()),
    (F.RESULT_REJECTED, (M.CONFIRMING,), M.ASKING, ()),
    (F.RESULT_LOGGED, (M.MOVING, M.ASKING, M.CONFIRMING), M.MOVING, ()),
    (F.READING_LOGGED, (M.ASKING, M.CONFIRMING), M.MOVING, ()),
    (F.CODE_LOGGED, (M.ASKING, M.CONFIRMING), M.ASKING, ()),
    (F.WORDS_KEPT, (M.ASKING,), M.MOVING, ("tells",)),
    (F.WORDS_KEPT, (M.CAUTIONING, M.GATING, M.POISED, M.ASKING), SAME, ("untold",)),
    (F.TEST_TOLD, (*ASKED_OVER, M.EXCUSING, M.PUTTING_BACK, M.ENDING, M.STRIKING), SAME, ()),
    # timed actions and the starter
    (F.READY_GIVEN, (M.POISED, M.TIMING), M.TIMING, ("may_start", "nothing_runs")),
    (F.BURST_BEGUN, (M.POISED, M.TIMING), M.TIMING, ("may_start", "cranks")),
    (F.ACTION_BEGUN, (M.TIMING,), SAME, ("may_start", "nothing_runs")),
    (F.RELEASE_CALLED, (M.TIMING,), SAME, ("burst_runs",)),
    (F.BURST_DROPPED, (M.TIMING,), SAME, ("burst_runs",)),
    (F.BURST_ENDED, (M.TIMING,), M.ASKING, ("burst_timed",)),
    (F.BURST_ENDED, LIVE, SAME, ()),
    (F.ACTION_ENDED, (M.TIMING,), M.MOVING, ("action_runs",)),
    # rests and waits
    (F.REST_BEGUN, (M.MOVING, M.CAUTIONING, M.GATING, M.POISED, M.RESTING), M.RESTING, ()),
    (F.REST_ENDED, (M.RESTING,), M.MOVING, ("rest_over",)),
    (F.WAIT_BEGUN, (M.MOVING, M.WAITING), M.WAITING, ()),
    (F.WAIT_ENDED, (M.WAITING,), M.MOVING, ("wait_over",)),
    # holding and going on
    (F.STOPPED, LIVE, M.HELD, ("nothing_runs",)),
    (F.PAUSED, LIVE, M.HELD, ("nothing_runs",)),
    (F.RESUMED, LIVE, M.ASKING, ("nothing_runs", "burst_unanswered")),
    (F.RESUMED, LIVE, M.CLOSING, ("nothing_runs", "closes")),
    (F.RESUMED, LIVE, M.MOVING, ("nothing_runs",)),
    # moving elsewhere
    (F.WENT_BACK, LIVE, M.MOVING, ("nothing_runs",)),
    (F.SKIP_ASKED, (M.ASKING, M.POISED, M.CONFIRMING, M.HELD), M.EXPLAINING, ("may_skip",)),
    (F.STEP_SKIPPED, (M.EXPLAINING,), M.MOVING, ("may_skip",)),
    (F.STEP_SKIPPED, (M.MOVING,), M.MOVING, ("tries_used",)),
    (F.CANNOT_ASKED, EXCUSED_FROM, M.EXCUSING, ()),
    (F.TEST_LEFT_OUT, (M.EXCUSING,), M.MOVING, ("nothing_runs",)),
    # over another mode
    (F.NOTE_ASKED, ASKED_OVER, M.NOTING, ()),
    (F.STRIKE_ASKED, ASKED_OVER, M.STRIKING, ()),
    (F.PUT_BACK_ASKED, (M.MOVING, *ASKED_OVER), M.PUTTING_BACK, ()),
    (F.END_ASKED, (*ASKED_OVER, M.NOTING, M.EXPLAINING, M.EXCUSING, M.PUTTING_BACK), M.ENDING, ()),
    *((F.NOTE_TAKEN, (M.NOTING,), mode, (f"under_{mode}",)) for mode in ASKED_OVER),
    *((F.NOTE_DROPPED, (M.NOTING,), mode, (f"under_{mode}",)) for mode in ASKED_OVER),
    *((F.CANNOT_DECLINED, (M.EXCUSING,), mode, (f"under_{mode}",)) for mode in EXCUSED_FROM),
    *((F.PUT_BACK_DECLINED, (M.PUTTING_BACK,), mode, (f"under_{mode}",)) for mode in ASKED_OVER),
    *((F.SKIP_DECLINED, (M.EXPLAINING,), mode, (f"under_{mode}",)) for mode in ASKED_OVER),
    *((F.STRIKE_DECLINED, (M.STRIKING,), mode, (f"under_{mode}",)) for mode in ASKED_OVER),
    *((F.STRUCK, (M.STRIKING,), mode, (f"under_{mode}",)) for mode in ASKED_OVER),
    *((F.END_DECLINED, (M.ENDING,), mode, (f"under_{mode}",)) for mode in ASKED_OVER),
    # the end
    (F.FINDING_REACHED, (M.MOVING,), M.CLOSING, ()),
    (F.END_CONFIRMED, (M.ENDING,), M.CLOSING, ()),
    (F.JOB_ENDED, (M.CLOSING,), M.ENDED, ("nothing_open",)),
    (F.REPAIR_CONFIRMED, (M.CLOSING, M.ENDED), SAME, ()),
    # a repair, and its check
    (F.REPAIR_DONE, (M.CLOSING, M.MOVING), M.MOVING, ("nothing_open", "may_check")),
    (F.REPAIR_FAILED, (M.MOVING,), SAME, ()),
    # the plan
    (F.PLAN_CHANGED, (*ASKED_OVER, M.PUTTING_BACK), M.MOVING, ("nothing_runs", "leaves_block")),
    (F.PLAN_CHANGED, LIVE, SAME, ()),
    # what never changes the mode
    (F.STRUCK, LIVE, SAME, ()),
    (F.ITEM_REMOVED, LIVE, SAME, ()),
    (F.ITEM_REFITTED, (M.MOVING, M.GATING, M.CLOSING, M.PUTTING_BACK), SAME, ()),
    (F.ITEM_LEFT_OFF, (M.CLOSING,), SAME, ()),
    (F.VOICE_SET, LIVE, SAME, ()),
    (F.TAKEN_OVER, LIVE, SAME, ()),
    (F.PICTURE_TAKEN, LIVE, SAME, ()),
)

CONDITIONS = tuple(dict.fromkeys(condition for *_, conditions in ROWS for condition in conditions))
"""Every condition named in the table; the fold says which of them hold."""


@lru_cache(maxsize=1)
def _machine() -> Machine:
    # Plain strings: the library takes an enum member for its name, and our states go by their values.
    rows = [
        {"trigger": str(kind), "source": [str(mode) for mode in modes], "dest": str(dest), "conditions": [*only_if]}
        for kind, modes, dest, only_if in ROWS
    ]
    return Machine(
        model=None,
        states=[str(mode) for mode in M],
        transitions=rows,
        initial=M.NEW.value,
        auto_transitions=False,
        queued=False,
        send_event=False,
    )


@lru_cache(maxsize=4096)
def _move(mode: M, kind: F, holding: frozenset[str]) -> M | None:
    """The machine's own answer, asked once for each combination: it is a pure function of them."""
    moment = SimpleNamespace(**{condition: condition in holding for condition in CONDITIONS})
    machine = _machine()
    machine.add_model(moment, initial=mode.value)
    try:
        moved = machine.events[kind.value].trigger(moment) if kind.value in machine.events else False
        return M(moment.state) if moved else None
    except MachineError:  # no row for this mode
        return None
    finally:
        machine.remove_model(moment)


CONDITIONS_OF: Mapping[F, frozenset[str]] = {
    kind: frozenset(each for row, _, _, conditions in ROWS if row is kind for each in conditions) for kind in F
}
"""What the rows of a fact look at: nothing else can change whether it may happen."""


def next_mode(mode: M, kind: F, holding: Iterable[str]) -> M | None:
    """The mode after this fact while these conditions hold; None when the table refuses the fact."""
    return _move(mode, kind, frozenset(holding))
