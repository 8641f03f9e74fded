"""What a procedure is: frozen types, no reading, no checking, no running.

A procedure file is data only. `reader` turns its text into these types, `checks` decides whether it is fit to use.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class Signal(StrEnum):
    """Signal words. Source: ANSI Z535.4 / Z535.6, as quoted by the page named in tests/outside."""

    DANGER = "danger"
    WARNING = "warning"
    CAUTION = "caution"
    NOTICE = "notice"


class Hazard(StrEnum):
    """The closed list of what can hurt someone, or the vehicle, in a step."""

    CRANKING = "cranking"
    RUNNING_ENGINE = "running-engine"
    SPRAYING = "spraying"
    FUEL_VAPOUR = "fuel-vapour"
    OPEN_FUEL_LINE = "open-fuel-line"
    EXPOSED_SPARK = "exposed-spark"
    HIGH_SECONDARY_VOLTAGE = "high-secondary-voltage"
    BATTERY_CLAMP = "battery-clamp"
    BATTERY_GAS = "battery-gas"
    HOT_PART = "hot-part"
    HOT_WORK = "hot-work"
    MOVING_PARTS = "moving-parts"
    STORED_PRESSURE = "stored-pressure"
    EXHAUST_GAS = "exhaust-gas"
    UNSUPPORTED_VEHICLE = "unsupported-vehicle"
    ROLL_AWAY = "roll-away"
    CATALYST_DAMAGE = "catalyst-damage"
    STARTER_HEAT = "starter-heat"


IGNITES_VAPOUR = frozenset({Hazard.EXPOSED_SPARK, Hazard.BATTERY_CLAMP, Hazard.HOT_WORK})
"""Never reachable between a spray and a step that clears the vapour."""


class Place(StrEnum):
    """Where the technician is while doing the step."""

    HOOD = "hood"
    SEAT = "seat"
    UNDER = "under"
    AWAY = "away"


class Kind(StrEnum):
    """What a step asks of the technician."""

    INSTRUCT = "instruct"  # do it, say done
    ASK = "ask"  # one of several results
    READING = "reading"  # a number with a unit
    CODES = "codes"  # fault codes, spoken one by one
    TELL = "tell"  # free words, kept as said (the complaint)
    CRANK = "crank"  # a timed burst, then one of several results
    PACE = "pace"  # a timed action with tones, then goes on
    WAIT = "wait"  # a rest that cannot be skipped
    CHOOSE = "choose"  # silent: by a vehicle fact
    CALL = "call"  # another procedure, then by its outcome
    RETURN = "return"  # end of a called procedure
    FINDING = "finding"  # end of the job


class Action(StrEnum):
    """What a pace step times."""

    SPRAY = "spray"
    PUFF = "puff"


HAZARDS_BY_KIND: Mapping[Kind, frozenset[Hazard]] = {
    Kind.CRANK: frozenset({Hazard.CRANKING}),
}
HAZARDS_BY_ACTION: Mapping[Action, frozenset[Hazard]] = {
    Action.SPRAY: frozenset({Hazard.SPRAYING, Hazard.FUEL_VAPOUR}),
    Action.PUFF: frozenset({Hazard.SPRAYING, Hazard.FUEL_VAPOUR, Hazard.RUNNING_ENGINE}),
}


class Quantity(StrEnum):
    """What a reading measures; units, resolution and possible range of each live in `language.quantities`."""

    VOLTAGE = "voltage"
    VOLTAGE_DROP = "voltage-drop"
    CURRENT = "current"
    PARASITIC_CURRENT = "parasitic-current"
    RESISTANCE = "resistance"
    PRESSURE = "pressure"
    COMPRESSION = "compression"
    VACUUM = "vacuum"
    TEMPERATURE = "temperature"
    CRANKING_SPEED = "cranking-speed"
    DURATION = "duration"
    VOLUME = "volume"
    PERCENT = "percent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where something stands in its file: line and column, both from 1."""

    line: int = 0
    column: int = 0


Spots = Mapping[str, Spot]
"""Where each value of a part stands: by key, `key.0` for the items of a list, `key.inner` for an inner table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a number or rule comes from: published text, or the words "common practice, no source" / "from memory"."""

    id: str
    text: str
    spot: Spot = Spot()


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A number that decides; `--vehicle <id>=<value>` overrides it for one vehicle."""

    id: str
    value: float
    unit: str
    source: str  # a Source id
    spot: Spot = Spot()
    spots: Spots = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """Spoken in full and acknowledged before its step: hazard, how to avoid it, consequence."""

    id: str
    signal: Signal
    hazard: str
    avoid: str
    consequence: str
    covers: frozenset[Hazard]
    acknowledge: tuple[str, ...]  # phrases of at least two words naming the state, e.g. "area is clear"
    spot: Spot = Spot()
    spots: Spots = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """A state that must be answered aloud before a step may start, and is kept as a fact."""

    id: str
    say: str
    acknowledge: tuple[str, ...]
    spot: Spot = Spot()
    spots: Spots = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One thing the technician can answer, its spoken phrases, and where it leads.

    `phrases`: plain words; the first is the one we speak of. `answers`: what else is understood, one right-hand side
    in the JSpeech Grammar Format, `[the] lamp (is | went) out | <no>`. `examples`: what people have answered; not of
    the file, see `procedure.examples`.
    """

    id: str
    phrases: tuple[str, ...]
    goes: str
    answers: str | None = None
    examples: tuple[str, ...] = ()
    say: str | None = None
    makes: tuple[str, ...] = ()  # what is so once this was answered, in the words of `procedure.condition`
    names: bool = False  # own words name what it is: read back and reported with it
    spot: Spot = Spot()
    spots: Spots = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A range of a reading: at_least <= value < below; None is open. The ends are Limit ids."""

    id: str
    at_least: str | None
    below: str | None
    goes: str
    say: str | None = None
    makes: tuple[str, ...] = ()
    spot: Spot = Spot()
    spots: Spots = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """A timed action: `times` stretches of `on_s` seconds with `off_s` between; at most `tries` entries in a job."""

    action: Action
    on_s: float
    off_s: float = 0.0
    times: int = 1
    tries: int = 1


class Proof(StrEnum):
    """What an end says of a repair."""

    HOLDS = "holds"
    FAILS = "fails"
    NONE = "none"  # it found nothing to repair
    DONE = "done"  # there was one before the guide was told: it is checked at once, and the job does not end


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What the job ends in."""

    fault: str | None = None  # id for the reasoning model and the record
    proved: tuple[str, ...] = ()
    likely: tuple[str, ...] = ()
    untested: tuple[str, ...] = ()
    advice: str = ""  # the next step for the technician
    customer: str = ""  # without jargon
    repair: Proof | None = None  # what it says of a repair that is checked; none: nothing here could be repaired


class Reckoning(StrEnum):
    """What the guide works out from the readings of a procedure, to propose the result of a question."""

    COMPRESSION = "compression"  # the lowest cylinder over the highest


COMPRESSION_RATIO, COMPRESSION_FLOOR = "compression-ratio", "compression-floor"
"""Limits that a compression reckoning uses: least share of the highest cylinder, and what any cylinder must have."""

RECKONED_RESULTS = {Reckoning.COMPRESSION: ("good", "one-low", "pair-low", "all-low")}
"""Ids of the results that a question must have for its reckoning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step. Only the fields of its kind are filled; `checks` proves it."""

    id: str
    kind: Kind
    say: str
    hazards: frozenset[Hazard]  # as written; `all_hazards` adds those that come with the kind
    minutes: float
    place: Place
    cautions: tuple[str, ...] = ()
    gates: tuple[str, ...] = ()
    removes: tuple[str, ...] = ()
    refits: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()  # what must be so, or undone, before it begins; words of `procedure.condition`
    makes: tuple[str, ...] = ()  # what it makes so, or undoes, beside what `procedure.condition` reads off it
    alone: str | None = None  # how one person does it
    briefly: str | None = None  # what is said in place of `say` and `alone` to who knows the work
    tersely: str | None = None  # the same in words of the trade alone; `briefly` where there is none
    joins: bool = False  # instruct: needs no hands or eyes, so that it is told in one breath with what follows
    needs_two: bool = False
    done: tuple[str, ...] = ()  # instruct: further phrases beside "done"
    next: str | None = None  # instruct, tell, codes, pace, wait
    elsewhere: tuple[str, ...] = ()  # what people said that answers nothing here; not of the file
    results: tuple[Result, ...] = ()  # ask, crank, call (ids are the outcomes; no phrases)
    vehicle: str | None = None  # ask: the vehicle fact that the result fills; choose: the fact that decides
    told_before: tuple[str, ...] = ()  # ask: what a complaint that holds one of these words tells of it is offered
    reckons: Reckoning | None = None  # ask: what the guide works out to propose a result
    name: str | None = None  # reading: what is measured, e.g. "battery at rest"
    quantity: Quantity | None = None
    unit: str | None = None
    bands: tuple[Band, ...] = ()
    falls_from: tuple[str, ...] = ()  # reading: steps with the first reading, of which this one asks what was lost
    burst_s: float | None = None  # crank: release call after this many seconds
    walk_s: float = 0.0  # crank: time allowed from hood to seat
    pace: Pace | None = None
    wait_s: float | None = None
    clears_vapour: bool = False
    cases: Mapping[str, str] = field(default_factory=dict)  # choose: value -> step
    otherwise: str | None = None  # choose: unknown or any other value; wait: asks what ended it early
    calls: str | None = None  # call: procedure id
    outcome: str | None = None  # return
    advice: str | None = None  # return: what it means and what comes next, for whom this very part was what was begun
    finding: Finding | None = None
    spot: Spot = Spot()
    spots: Spots = field(default_factory=dict, compare=False, repr=False)

    def texts(self) -> Iterator[tuple[str, str]]:
        """All that the step may say, each with its key."""
        for key in ("say", "alone", "briefly", "tersely", "advice"):
            text: str | None = getattr(self, key)
            if text:
                yield key, text

    @property
    def all_hazards(self) -> frozenset[Hazard]:
        """Hazards as written and those that come with the kind, whatever the author wrote."""
        by_action = HAZARDS_BY_ACTION[self.pace.action] if self.pace else frozenset()
        return self.hazards | HAZARDS_BY_KIND.get(self.kind, frozenset()) | by_action


SHORTEST_REST_S = 120.0
"""Of the published duties. Source: TM 10-3930-671-24, page F-303."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """Starter duty. Source: facts in `cranking.duty`; adding bursts up is judgement."""

    burst_s: float = 10.0
    stop_s: float = 15.0
    rest_s: float = SHORTEST_REST_S
    source: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """A procedure beside this one: first of all where a complaint tells `told`; `say`: why, in a sentence."""

    procedure: str
    told: str = ""
    say: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leading:
    """How a plan may lead through a procedure. Until the step `after` is behind it, none does.
    `only`: steps that nothing but a plan enters. Of these `repair` is the finding that proposes a repair, `search` the
    one that says that no test is left. `recheck`: the procedure that checks a repair in the same job. `runs`: the step
    to go on at once it is told out of turn that the engine runs; empty where none is. `beside`: what may be gone to.
    """

    after: str
    only: tuple[str, ...]
    repair: str
    search: str
    recheck: str
    runs: str = ""
    beside: tuple[Neighbour, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure:
    """One checked procedure file."""

    id: str
    version: int
    title: str
    applies_to: str
    tools: tuple[str, ...]
    consumables: tuple[str, ...]
    sources: tuple[Source, ...]
    limits: tuple[Limit, ...]
    cautions: tuple[Caution, ...]
    gates: tuple[Gate, ...]
    begin: str
    steps: tuple[Step, ...]
    outcomes: tuple[str, ...] = ()  # what `return` steps may hand to a caller
    duty: Duty = Duty()
    led: Leading | None = None
    passing: frozenset[str] = frozenset()  # what passes cautions and gates; not of the file, see `procedure.examples`
    path: str = ""
    spots: Spots = field(default_factory=dict, compare=False, repr=False)
    text: str = field(default="", compare=False, repr=False)  # the file as it was read
    digest: str = field(default="", compare=False, repr=False)  # of the text, by which a job names what led it

    def step(self, step_id: str) -> Step:
        """The step of that id. Raises KeyError; a checked procedure never does for its own targets."""
        for step in self.steps:
            if step.id == step_id:
                return step
        raise KeyError(step_id)
