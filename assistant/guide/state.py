"""Where a job stands: one frozen value, rebuilt from facts alone. Times are seconds since the job started."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from assistant.bay import Bay
from assistant.cranking.duty import NOT_CRANKED, DutyState
from assistant.facts import Left
from assistant.guide.manner import Warned
from assistant.language.manner import Manner
from assistant.procedure.condition import Condition

USUAL_VOLUME = 0.8
USUAL_RATE_WPM = 165

A_YES = "a yes"
"""Named once a read-back was answered."""


BY_COMPLAINT = "complaint"
"""Who proposed an answer that the complaint gave."""

BY_BUILD = "build"
"""Who proposed an answer that follows from how the car is built."""


class Mode(StrEnum):
    """What the conversation waits for. The position in a procedure is data, not a mode."""

    NEW = "new"  # nothing has happened
    MOVING = "moving"  # between two things asked; never at the end of a turn
    CAUTIONING = "cautioning"  # a caution was spoken; waits for its phrase
    GATING = "gating"  # a state was asked; waits for its phrase
    POISED = "poised"  # a timed action was explained; waits for "ready"
    TIMING = "timing"  # the timed action is counted
    ASKING = "asking"  # waits for the answer of the step
    CONFIRMING = "confirming"  # an answer was read back; waits for its yes
    RESTING = "resting"  # the starter rests
    WAITING = "waiting"  # a wait counts down
    HELD = "held"  # stopped or paused
    EXPLAINING = "explaining"  # a skip was asked; waits for the reason
    EXCUSING = "excusing"  # "I can't do that" was said; waits for which of the reasons it is
    PUTTING_BACK = "putting-back"  # somebody is to be led elsewhere; waits until what is off the car is put right
    NOTING = "noting"  # waits for the words of a note
    ENDING = "ending"  # the end was asked; waits for its yes
    STRIKING = "striking"  # what is to be struck was said; waits for its yes
    CLOSING = "closing"  # the finding was spoken, or the end confirmed; open items are settled
    ENDED = "ended"  # nothing more can happen


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A step of a procedure; in a stack, the call step that waits for its outcome."""

    procedure: str
    step: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """The step now worked on, and the call steps that wait, outermost first."""

    at: Frame
    stack: tuple[Frame, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A fact that may be struck. `name`: what it is of.

    `kind`: result, reading, code, words, note, vehicle, item or told.
    """

    fact: str
    kind: str
    words: str
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """A step that was worked on and left, and what was kept there."""

    position: Position
    kept: tuple[Kept, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pending:
    """An answer that waits for its yes. `offered`: we asked whether it was said. `by`: ear or figures, if proposed."""

    kind: str  # result, reading, code or facts
    words: str
    said: str = ""  # the words themselves, where they are others
    name: str = ""  # result id or code
    value: float = 0.0
    unit: str = ""
    offered: bool = False
    by: str = ""
    facts: tuple[tuple[str, str], ...] = ()  # of kind facts: each with its value


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """A timed action. `by`: tones, or ear once the starter is heard. `calls`: release calls given.

    `begin_s`: when it begins, or began; `release_s`: when to let go; `stop_s`: the hard limit.
    """

    action: str  # crank, spray or puff
    by: str
    begin_s: float
    release_s: float
    stop_s: float
    begun: bool = False
    calls: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Burst:
    """The latest burst of the starter. `before`: the duty as it was without it.

    `rpm`, `caught`, `run_s`: what the ear made of it; None where it was not sure, or did not hear it. `kind`: what it
    sounded like. `assumed`: its result was said before it was seen to begin.
    """

    start_s: float
    end_s: float
    by: str
    before: DutyState
    rpm: float | None = None
    caught: bool | None = None
    run_s: float | None = None
    kind: str = "crank"
    assumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """The latest reading of a step, in the unit of the step. `fact`: the id of the fact that keeps it."""

    fact: str
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """Everything the guide knows of a job.

    `key`: the job's random key, the head of every fact id. `number`: number of the latest fact. `under`: the mode to
    go back to after a note, a strike, a declined skip or a declined end. `acknowledged`, `passed`, `instructed`,
    `burst_done` and `kept` belong to the present entry of the step.
    """

    job: str = ""
    key: str = ""
    number: int = 0
    at_s: float = 0.0
    mode: Mode = Mode.NEW
    under: Mode = Mode.NEW
    root: str = ""
    position: Position = Position(at=Frame(procedure="", step=""))
    history: tuple[Visit, ...] = ()
    vehicle: Mapping[str, str | float] = field(default_factory=dict)
    acknowledged: frozenset[str] = frozenset()
    passed: frozenset[str] = frozenset()
    instructed: bool = False
    burst_done: bool = False
    kept: tuple[Kept, ...] = ()
    strikable: tuple[Kept, ...] = ()
    readings: Mapping[str, Measured] = field(default_factory=dict)  # "procedure/step" -> what was read there
    pending: Pending | None = None
    timed: Timed | None = None
    wait_until_s: float | None = None
    clearing: bool = False  # the wait that clears vapour before a step that could light it
    airing: bool = False  # it was said unasked that the vapour is gone, so wait and nose come before this step
    rest_until_s: float | None = None
    duty: DutyState = NOT_CRANKED
    burst: Burst | None = None
    tries: Mapping[str, int] = field(default_factory=dict)  # "procedure/step" -> timed actions begun
    bay: Bay = field(default_factory=Bay)
    offer: Left | None = None  # what an earlier job left, if this is the same car
    guarded: bool = False  # the table of `procedure.forbidden` holds; not in facts older than it
    finding: bool = False  # the finding was spoken
    leaving: bool = False  # the end was confirmed
    volume: float = USUAL_VOLUME
    rate_wpm: int = USUAL_RATE_WPM
    tones: bool = True  # whether tones stand for words
    always_confirm: bool = False
    ear: bool = False
    leads: bool = False  # the plan chooses the next block, not the procedure
    ahead: str = ""  # the result of the present step that was told before its cautions and gates were passed
    manner: Manner = Manner.FULL
    warned: tuple[Warned, ...] = ()  # cautions told in full and acknowledged; their names are enough by now
    named: frozenset[str] = (
        frozenset()
    )  # steps, kinds of step, gates, and `A_YES`: whose answers were named once in this job
    echoed: bool = False  # the latest answer was taken without a yes, and nothing was answered since
    may_plan: bool = False  # what comes before any plan, intake and safety, is behind
    chosen: frozenset[str] = frozenset()  # blocks that the plan chose already, or that were left for another test
    left: Mapping[str, Position] = field(default_factory=dict)  # step of the root -> where what was put aside goes on
    proposed: str = ""  # the fault whose repair the plan proposes
    found: str = ""  # the fault of the latest finding
    found_s: float = 0.0  # when it was told
    repaired: str | None = None  # the fault whose repair is being checked; empty where none was named
    mended: str = ""  # the fault whose repair was seen to hold
    ran: bool = False  # it was told that the engine runs, and what was done before is still to be asked
    wanted: tuple[str, str] = ("", "")  # the block that was named while something was off the car, and its name
    repair_min: float = 0.0  # minutes from its finding until it was said to be repaired

    @property
    def vapour(self) -> bool:
        """Whether vapour may be about."""
        return Condition.VAPOUR in self.bay.conditions

    @property
    def open_items(self) -> tuple[str, ...]:
        """What is off the car, or added to it, and still to be settled."""
        return self.bay.open_items

    @property
    def at(self) -> Frame:
        """The step now worked on."""
        return self.position.at


NEW = State()
