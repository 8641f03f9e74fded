"""What a fault model is: frozen types, as written in a `*.faults.yaml` file. No reading, no arithmetic.

One hypothesis says which faults the car has: none of these, one, or two at once. Conditions are things nobody sees
directly (the voltage while cranking sags); tests are what a technician can find out. Both are variables with a short
table: a default and the rows that differ from it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from assistant.procedure.model import Place, Spot

NONE_OF_THESE = "none-of-these"
"""The hypothesis that no fault of the model is there; may stand in `under` like a fault."""

JUDGEMENT = "judgement"
"""The source of a number that nobody published."""


NOWHERE = Spot()
"""The place of what was not read from a file."""


class Priors(StrEnum):
    """How the `prior` of a fault is meant."""

    SHARES = "shares"  # out of all such cars; faults and none-of-these add up to 1
    INDEPENDENT = "independent"  # each fault by itself; zero, one or two may be there


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Something that can be wrong with the car. `prior`: probability, 0 to 1.

    `good_first`: tests of its supply, ground and command that must be seen good before it alone is named.
    `tried_first`: cheap tests that decide what is to be mended, done before its repair is proposed.
    `repair_min`: minutes of its repair; `fits_part`: whether that fits a new part. `comes_and_goes`: share of the cars
    with this fault that show nothing of it at present. `covers`: other ids that procedures give to what is this fault
    here, e.g. a tripped crash switch to "no feed". `leaves_open`: what its repair does not answer, in a sentence.
    `followed_by`: the procedure that answers it, offered once the repair has held.
    """

    id: str
    say: str
    prior: float
    source: str
    spot: Spot = NOWHERE
    covers: tuple[str, ...] = ()
    good_first: tuple[str, ...] = ()
    tried_first: tuple[str, ...] = ()
    repair_min: float = 60.0
    fits_part: bool = False
    leaves_open: str = ""
    followed_by: str = ""
    comes_and_goes: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """One thing a variable can be; `say` completes "if …": "spark is present".

    `makes`: what a test with this result leaves so of car and bay, in the words of `procedure.condition`. `outdates`:
    tests whose earlier result is so no more, as that of a lamp once a key put it out.
    """

    id: str
    say: str
    makes: tuple[str, ...] = ()
    outdates: tuple[str, ...] = ()
    spot: Spot = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Probabilities (one for each value, in their order) where one of the faults `under` is there, and each named
    variable of `given` is one of the values listed. Empty means: whatever."""

    under: tuple[str, ...]
    given: Mapping[str, tuple[str, ...]]
    likely: tuple[float, ...]
    spot: Spot = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A range of a reading that stands for one result: at_least <= value < below; None is open. In the test's unit."""

    result: str
    at_least: float | None
    below: float | None
    source: str
    spot: Spot = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """Where a procedure logs this test: its result or band ids, each with the value that it means here.

    `once`: not asked there where the test's result is known already. `done_before`: the test was done before one comes
    there, and its result is only told: nobody is led there for it."""

    procedure: str
    step: str
    results: Mapping[str, str]
    once: bool = False
    done_before: bool = False
    spot: Spot = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfed:
    """Steps that ask, "procedure/step", and feed no test; `why` says it."""

    steps: tuple[str, ...]
    why: str
    spot: Spot = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """`test` seen with one of `results` (any result where empty) opens the way to another test."""

    test: str
    results: tuple[str, ...]
    spot: Spot = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What a test costs and when it is safe.

    `minutes`: each time, without set-up and moving. `set_ups`: made once in a job, shared between tests.
    `opened_by`: one of these must have been seen first, where there are any; and one of `cranked_by`, where what it
    shows supposes that the engine was cranked. `cranks_s`: seconds of cranking.
    `leaves`: what hangs about afterwards. `not_during`: what must be gone first. `makes`: as of a value, whatever the
    result; `needs`: what must be so of car and bay before it. `risk_min`: how many minutes more it counts for where a
    test is chosen, since it can hurt or opens the fuel; nobody waits them. `unless`: what, where it is not here, makes
    it impossible.
    """

    place: Place
    minutes: float
    set_ups: tuple[str, ...] = ()
    opened_by: tuple[Opening, ...] = ()
    cranked_by: tuple[Opening, ...] = ()
    cranks_s: float = 0.0
    leaves: tuple[str, ...] = ()
    not_during: tuple[str, ...] = ()
    risk_min: float = 0.0
    needs: tuple[str, ...] = ()
    makes: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Variable:
    """A condition (`work` is None) or a test. Values run from healthy to bad: with two faults the worse one shows.

    `wrong`: share of its results that are seen or told wrong, where it is not the model's. `cures`: it takes a fault
    away and asks whether the engine starts then; with two faults the least change shows, for both must be taken away.
    `lasting`: it shows a fault that is not there at present too: it asks for the past. `away`: what it shows of a car
    whose fault is not there at present, where that is another thing than of one whose fault is none of these.
    """

    id: str
    say: str
    values: tuple[Value, ...]
    default: tuple[float, ...]
    rows: tuple[Row, ...]
    source: str
    work: Work | None = None
    unit: str | None = None
    bands: tuple[Band, ...] = ()
    seen_from: tuple[Seen, ...] = ()
    heard: Mapping[str, str] = field(default_factory=dict)
    spot: Spot = NOWHERE
    wrong: float | None = None
    cures: bool = False
    lasting: bool = False
    away: tuple[float, ...] = ()

    @property
    def depends(self) -> tuple[str, ...]:
        """The variables that its rows look at, each once, in order of first mention."""
        return tuple(dict.fromkeys(name for row in self.rows for name in row.given))

    def made(self, value: str) -> tuple[str, ...]:
        """What the test leaves so of car and bay where it came out so. Raises KeyError."""
        own = self.values[self.index(value)].makes
        return tuple(dict.fromkeys((*(self.work.makes if self.work else ()), *own)))

    def index(self, value: str) -> int:
        """Where a value stands. Raises KeyError."""
        for number, known in enumerate(self.values):
            if known.id == value:
                return number
        raise KeyError(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """Something besides the tests that takes time.

    A set-up: `minutes` to make it ready and, later, to put it away. Something that lingers: `minutes` until it is gone.
    `risk_min`: as for a test.
    """

    id: str
    say: str
    minutes: float
    source: str
    spot: Spot = NOWHERE
    risk_min: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A step of the procedure of the model's name where a plan may go on, with all that it calls, up to the next block.

    `say`: its name, also after "take me to"; by default its step's words. `also`: what else it is called there.
    `opened_by`: as for a test; `cranked_by`: it begins with a test that supposes that the engine was cranked. `first`:
    a cheap fact, asked before anything is weighed, in the order written; `first_when`: it is one where one of these was
    told. `before_search`: conditions and tests; where all were seen good it is led to before a search, paying or not.
    """

    step: str
    say: str
    also: tuple[str, ...] = ()
    first: bool = False
    first_when: tuple[Opening, ...] = ()
    opened_by: tuple[Opening, ...] = ()
    cranked_by: tuple[Opening, ...] = ()
    before_search: tuple[str, ...] = ()
    spot: Spot = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The numbers of the model as a whole.

    `two_faults`: share of cars with two faults at once (with independent priors it follows from them).
    `wrong_answers`: share of test results that are seen or told wrong, alike for every other result of the test.
    `proved_at`: probability at which a fault counts as found. `minutes_a_bit`: minutes of work that one bit is worth.
    `search_min`: minutes of a search by the maker's information, which finds what no test found.
    `prior_repairs`: how many repairs the priors weigh against the shop's own.
    `moving`: minutes between each place and the driver's door; a move costs the sum of both ends.
    """

    priors: Priors
    none_of_these: float
    two_faults: float = 0.0
    wrong_answers: float = 0.0
    proved_at: float = 0.9
    minutes_a_bit: float = 30.0
    search_min: float = 120.0
    prior_repairs: float = 50.0
    moving: Mapping[Place, float] = field(default_factory=dict)
    source: str = JUDGEMENT


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """One checked `*.faults.yaml` file. Every name in it is known, every row sums to one, there is no cycle.

    `beyond`: ids that procedures give to faults that are none of these. `feeds_nothing`: what is asked for another
    purpose than the odds.
    """

    id: str
    version: int
    title: str
    settings: Settings
    faults: tuple[Fault, ...]
    conditions: tuple[Variable, ...]
    tests: tuple[Variable, ...]
    set_ups: tuple[Timed, ...] = ()
    lingers: tuple[Timed, ...] = ()
    beyond: tuple[str, ...] = ()
    path: str = ""
    blocks: tuple[Block, ...] = ()
    feeds_nothing: tuple[Unfed, ...] = ()
    text: str = field(default="", compare=False, repr=False)  # the file as it was read
    digest: str = field(default="", compare=False, repr=False)  # of the text, by which a job names it

    @property
    def variables(self) -> tuple[Variable, ...]:
        """Conditions, then tests."""
        return self.conditions + self.tests

    def fault(self, fault: str) -> Fault:
        """The fault of that id. Raises KeyError."""
        return {known.id: known for known in self.faults}[fault]

    def test(self, test: str) -> Variable:
        """The test of that id. Raises KeyError."""
        return {known.id: known for known in self.tests}[test]

    def meant_by(self, found: str) -> str | None:
        """The fault that the finding or repair `found` of a procedure is here, none of these for one beyond the model.

        None for what is no fault of a car (it runs now, the place is not safe) or is not known.
        """
        if found == NONE_OF_THESE or found in self.beyond:
            return NONE_OF_THESE
        return next((fault.id for fault in self.faults if found == fault.id or found in fault.covers), None)

    def say_fault(self, fault: str) -> str:
        """A fault in words, "something else" for none of these."""
        return "something else" if fault == NONE_OF_THESE else self.fault(fault).say
