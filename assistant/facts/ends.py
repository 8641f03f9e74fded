"""What facts say of where the tests lead: the plan's choices, findings, repairs."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.facts.kinds import FactKind
from assistant.facts.said import HowHeard, Said, Weighed


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanChanged(Weighed):
    """`leads`: whether the plan leads from now on, where that was said. Else where `to`, a block of the root procedure.

    `instead`: of which block or step; `put_off`: the block that is left; `aside`: a position to come back to, each a
    procedure and its step; `back`: it is one that was put aside. `test`: what it is entered for; `again`: the same, as
    a second look. `settles`: of which test it decides whether its result was told wrong. `fault`: whose repair is
    proposed there. `by`: technician, where they named it.
    """

    KIND = FactKind.PLAN_CHANGED
    leads: bool | None = None
    to: str = ""
    instead: str = ""
    aside: tuple[tuple[str, str], ...] = ()
    put_off: str = ""
    by: str = ""
    hearing: HowHeard | None = None
    why: str | None = None
    test: str = ""
    again: str = ""
    fault: str = ""
    back: bool = False
    settles: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingReached(Weighed):
    """`say`: its title. `proved`, `likely`, `untested`: a sentence each. `advice`: the next step. `customer`: to them.

    `outcome`: of a procedure that was started by itself.
    """

    KIND = FactKind.FINDING_REACHED
    fault: str | None
    say: str
    proved: tuple[str, ...]
    likely: tuple[str, ...]
    untested: tuple[str, ...]
    advice: str
    customer: str
    outcome: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairDone(Said):
    """It is checked in this job. `fault`: empty where none was named. `minutes`: since it was found."""

    KIND = FactKind.REPAIR_DONE
    fault: str
    minutes: float
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairFailed(Weighed):
    """The fault is still there after its repair. `minutes`: that it took."""

    KIND = FactKind.REPAIR_FAILED
    fault: str
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairConfirmed(Said):
    """`fault`: None takes back what was confirmed before. `by`: recheck, technician or desk."""

    KIND = FactKind.REPAIR_CONFIRMED
    fault: str | None
    by: str
    minutes: float | None = None
    hearing: HowHeard | None = None
