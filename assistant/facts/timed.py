"""What facts say of whatever has a clock. Times ending in `_s` are seconds of the job, lengths are seconds."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.facts.kinds import FactKind
from assistant.facts.said import Said, Weighed
from assistant.language.model import BurstSound


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedPlan(Said):
    """`action`: crank, spray or puff. `by`: tones or ear. `release_s`: when to let go; `stop_s`: the hard limit."""

    action: str
    by: str
    begin_s: float
    release_s: float
    stop_s: float


class ReadyGiven(TimedPlan):
    """It may begin."""

    __slots__ = ()
    KIND = FactKind.READY_GIVEN


class BurstBegun(TimedPlan):
    """The starter turns."""

    __slots__ = ()
    KIND = FactKind.BURST_BEGUN


class ActionBegun(TimedPlan):
    """The spray, or the puffs, have begun."""

    __slots__ = ()
    KIND = FactKind.ACTION_BEGUN


class BurstDropped(TimedPlan):
    """What was heard was not the starter: as if ready had been given anew."""

    __slots__ = ()
    KIND = FactKind.BURST_DROPPED


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseCalled(Said):
    """`hard`: not for the first time."""

    KIND = FactKind.RELEASE_CALLED
    hard: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstEnded(Weighed):
    """`by`: ear, tones, word, or what cut it short. `assumed`: it was said to be over before it was seen to begin.

    Of the ear: `caught`, `run_s` how long the engine then ran, `confidence` 0 to 1, `uneven` the share by which the
    weakest compression falls below the usual one, `confirmed` by the technician though nobody had asked for it, `kind`
    what it sounded like where that is no plain cranking, `corrects`: it is the one that the timer had counted.
    """

    KIND = FactKind.BURST_ENDED
    start_s: float
    end_s: float
    seconds: float
    by: str
    assumed: bool | None = None
    rpm: float | None = None
    caught: bool | None = None
    run_s: float | None = None
    confidence: float | None = None
    uneven: float | None = None
    confirmed: bool = False
    kind: str | None = None
    sound: BurstSound | None = None
    corrects: bool = False

    def written_as_null(self) -> frozenset[str]:
        """Of what an ear listens for."""
        return frozenset({"rpm", "caught", "run_s", "confidence"} if self.by == "ear" else ())


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionEnded(Said):
    """`by`: tones, or what cut it short."""

    KIND = FactKind.ACTION_ENDED
    action: str
    by: str
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitBegun(Said):
    """`clearing`: for vapour to clear. `wait_s`: how long the step has it wait."""

    KIND = FactKind.WAIT_BEGUN
    until_s: float
    clearing: bool = False
    wait_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitEnded(Said):
    """Its time is up."""

    KIND = FactKind.WAIT_ENDED
    makes: tuple[str, ...] = ()
    vapour_cleared: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RestBegun(Said):
    """Of the starter."""

    KIND = FactKind.REST_BEGUN
    until_s: float
    rest_s: float


class RestEnded(Said):
    """The starter may turn again."""

    __slots__ = ()
    KIND = FactKind.REST_ENDED
