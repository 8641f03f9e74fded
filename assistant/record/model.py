"""The record of a job: frozen types only. Names here are the names in the JSON report.

Times: `at_s` is seconds since the job started; `utc` is the time of day at which the fact was recorded, ISO 8601.
`fact` is the id of the fact that says so, the same in journal, trace and report. What was struck stays, with the id of
the fact that struck it in `struck_by`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from assistant.facts import CLASSES, FactKind, Said, read_legibly
from assistant.language.model import BurstSound
from assistant.reasoning.standing import Standing
from assistant.record.compression import Compression
from assistant.record.duty_use import DutyUse

SCHEMA = "hoodside-record-1"

STATEMENT = (
    "The vehicle maker's service information, local rules and licensed practice come before anything in this record. "
    "It states what was said, measured and heard during one job; whoever signs the repair answers for it."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hearing:
    """Who said it and how sure the hearing was. `confidence` is a probability, None where nothing was heard by ear."""

    words: str | None = None
    by: str = "technician"
    engine: str | None = None
    confidence: float | None = None
    clip: str | None = None  # name of the sound clip, kept only where the user said so


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Where and when something stands in the job. `label`: the step in words, empty where there is none."""

    fact: str
    at_s: float
    utc: str
    procedure: str | None = None
    step: str | None = None
    struck_by: str | None = None
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """Words kept as said: the complaint, a note, a reason for a skip, a fault code.

    `proofed`: false where a recogniser wrote them freely and nobody has read them since; then the confidence of the
    hearing is the share of their words that should be right, None where it was never measured. `cut`: more was said
    than is kept of one saying. `meaning`: of a fault code, in words, as far as its making tells.
    """

    mark: Mark
    words: str
    hearing: Hearing = Hearing()
    about: str | None = None
    proofed: bool = True
    cut: bool = False
    meaning: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Acknowledged:
    """A caution or gate. `acknowledged_at_s` None: it was spoken and never acknowledged."""

    mark: Mark
    id: str
    signal: str | None
    text: str
    acknowledged_at_s: float | None = None
    acknowledged_utc: str | None = None
    words: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One of several results, chosen by voice. `label`: the phrase for it. `question`: what was asked.

    `ear`: the phrase for what the ear heard of the starter in its place, where the two contradicted each other.
    """

    mark: Mark
    result: str
    label: str
    question: str
    hearing: Hearing
    ear: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedLimit:
    """A limit that judged a reading. `overridden`: the vehicle's own figure took its place."""

    id: str
    value: float
    unit: str
    source: str
    overridden: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One measured value. `judgement`: the id of its band; `verdict`: the same in words with its limits.

    `value` in `unit` is what the meter showed, in its own unit; `judged_value` in `judged_unit` is the same as it was
    held against the limits, which may have another unit.
    """

    mark: Mark
    name: str
    quantity: str
    value: float
    unit: str
    judged_value: float
    judged_unit: str
    judgement: str | None
    verdict: str
    at_least: UsedLimit | None
    below: UsedLimit | None
    hearing: Hearing
    cylinder: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Burst:
    """The starter turned. `timed_by`: ear, timer, or technician. `rest_due_s`: rest that was still due at its start.

    `uneven`: by what share the weakest compression fell below the usual one. `sound`: what its picture is drawn from.
    `kind`: what it sounded like, None where it was an engine that turned as usual.
    """

    mark: Mark
    began_s: float
    ended_s: float
    seconds: float
    rpm: float | None
    caught: bool | None
    run_s: float | None
    confidence: float | None
    timed_by: str
    rest_before_s: float | None
    rest_due_s: float
    uneven: float | None = None
    sound: BurstSound | None = None
    kind: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedAction:
    """A paced action or a wait."""

    mark: Mark
    action: str
    seconds: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingCondition:
    """Something that is so of car and bay at the end of the record, e.g. `vapour`. `words`: as it is spoken.

    `since_s`: seconds of the job since when, at the latest; None where an earlier job left it.
    """

    condition: str
    words: str
    since_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenItem:
    """Something that was taken off and is not back. `state`: removed, left-off (said so), or
    unsure (its step was left in the middle)."""

    mark: Mark
    item: str
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """The odds of each fault at one moment, probabilities."""

    mark: Mark
    faults: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the diagnosis came to. `by_odds`: what the odds said of it; `repair`: the fault whose repair was confirmed.

    `failed`: repairs that did not cure it, with their minutes. `likely_fault`: the odds of its fault, None without any.
    `standing`: how sure it is: proved, not-proved, outweighed (another fault is likelier), by-test (no odds are
    reckoned for it) or open. `by_test`: what its tests showed; `proved` holds the same only where the odds prove it.
    """

    mark: Mark
    fault: str | None
    title: str
    proved: tuple[str, ...] = ()
    likely: tuple[str, ...] = ()
    untested: tuple[str, ...] = ()
    next_step: str = ""
    customer: str = ""
    by_odds: str = ""
    repair: str = ""
    standing: str = Standing.BY_TEST
    by_test: tuple[str, ...] = ()
    failed: tuple[str, ...] = ()
    likely_fault: float | None = None


class Outcome(StrEnum):
    """What became of a repair. The values stand in reports."""

    CURED = "cured"  # its check held, or the technician or the desk confirmed it
    NOT_CURED = "not-cured"  # its check failed
    UNSURE = "unsure"  # its check ended with neither, e.g. fault codes came back
    UNCHECKED = "unchecked"
    TAKEN_BACK = "taken-back"  # it was confirmed, and that was taken back


@dataclass(frozen=True, slots=True, kw_only=True)
class Repair:
    """The last repair of the job and what became of it. `outcome`: cured, not-cured, unsure, unchecked or taken-back.

    `by`: who confirmed it: recheck, technician, desk. `minutes`: from finding to repair done. `likely`: the odds of its
    fault before it was repaired, a probability; None where none are reckoned. What its check ended with: `check` in
    words, what it showed, what it left untested, the next step, and what may be said to the customer.
    """

    mark: Mark
    fault: str
    outcome: str
    by: str = ""
    minutes: float | None = None
    likely: float | None = None
    check: str = ""
    shown: tuple[str, ...] = ()
    untested: tuple[str, ...] = ()
    next_step: str = ""
    customer: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTime:
    """Time spent in a step over all its entries, pauses left out. `planned_min` is the procedure's figure.

    `label`: the step in words.
    """

    procedure: str | None
    step: str
    entries: int
    spent_min: float
    planned_min: float | None
    first_s: float
    spans_s: tuple[tuple[float, float], ...] = ()
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """The vehicle as told. `facts`: fuel, ignition and so on. `vin_check`: right, wrong, not-applicable, not-a-vin."""

    make: str | None = None
    model: str | None = None
    year: str | None = None

    facts: Mapping[str, str] = field(default_factory=dict)
    limits: Mapping[str, str] = field(default_factory=dict)
    vin: str | None = None
    vin_check: str | None = None
    mileage: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFact:
    """A fact as it stands in journal, trace and chain. `hash`: hexadecimal."""

    id: str
    job: str
    number: int
    at_s: float
    kind: str
    procedure: str | None
    step: str | None
    data: Mapping[str, Any]
    recorded_utc: str
    hash: str
    struck_by: str | None

    @property
    def said(self) -> Said:
        """What it says, as far as it can be read."""
        return read_legibly(CLASSES[FactKind(self.kind)], self.data)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainHead:
    """Where the job's chain ended when the report was made, for `jobs verify --against`. `hash`: hexadecimal."""

    number: int
    hash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogAnchor:
    """Where the store's log ended when the report was made: it binds all that was in the store then, not one job.

    `root` and `key` are hexadecimal; `key` is the public half of the key that signs, empty where none does.
    """

    store: str
    size: int
    root: str
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcedureUsed:
    """The procedure that led the job."""

    id: str
    version: int | None
    title: str
    applies_to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRecord:
    """Everything that the documents show, in the order of the job."""

    job: str
    state: str  # open, ended
    started_utc: str
    last_utc: str
    duration_s: float
    procedure: ProcedureUsed
    engine: str | None
    technician: str | None
    shop: str | None
    vehicle: Vehicle
    personal: Mapping[str, str]  # plate and owner, apart from the vehicle; "removed on request" where taken out
    complaint: tuple[Saying, ...]
    cautions: tuple[Acknowledged, ...]
    gates: tuple[Acknowledged, ...]
    results: tuple[Result, ...]
    readings: tuple[Reading, ...]
    compression: Compression | None
    codes: tuple[Saying, ...]
    bursts: tuple[Burst, ...]
    duty: DutyUse
    actions: tuple[TimedAction, ...]
    notes: tuple[Saying, ...]
    skipped: tuple[Saying, ...]
    open_items: tuple[OpenItem, ...]
    bay: tuple[StandingCondition, ...]
    odds: tuple[Odds, ...]
    finding: Found | None
    repair: Repair | None
    steps: tuple[StepTime, ...]
    minutes: float
    sources: tuple[str, ...]
    fault_names: Mapping[str, str]  # in words, as far as the fault model of the job is at hand
    facts: tuple[KeptFact, ...]
    chain: ChainHead
    log: LogAnchor | None = None
    damage: tuple[str, ...] = ()  # what is not as it was recorded, a sentence each; empty where everything is
