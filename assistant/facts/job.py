"""What facts say of the job as a whole: its beginning, its car, what held it up, how we speak, its end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant.facts.kinds import FactKind
from assistant.facts.said import HowHeard, Left, Said
from assistant.language.manner import Manner


@dataclass(frozen=True, slots=True, kw_only=True)
class JobStarted(Said):
    """What the job began with. What stands first is read where it is taken up again; the rest came with the years."""

    KIND = FactKind.JOB_STARTED
    key: str  # random, the head of every fact's id
    title: str
    version: int  # of the procedure
    always_confirm: bool  # every answer is read back
    ear: bool  # the starter is listened to
    guarded: bool = False  # by the tables of what is forbidden; older jobs are not
    file: str = ""  # of a procedure that is not a shipped one
    inherits: Left | None = None
    offers: Left | None = None  # what the last job left of a car that may be this one
    leads: bool = False  # the plan leads
    manner: Manner | None = None  # None: in full
    texts: Mapping[str, str] | None = None  # procedure → digest
    model: str = ""  # digest of the fault model


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleNoted(Said):
    """One thing about the car, or beside it about the job, by its name."""

    KIND = FactKind.VEHICLE_NOTED
    fact: str
    value: str | float
    answered: bool = False  # it may be struck
    by: str = ""  # "start", "technician"
    inherits: Left | None = None
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceSet(Said):
    """How we speak from now on; None for as before."""

    KIND = FactKind.VOICE_SET
    volume: float  # 0 to 1
    rate_wpm: int
    manner: Manner | None = None
    tones: bool | None = None  # tones stand for words


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped(Said):
    """By word, or by what the machine did: then heard from there."""

    KIND = FactKind.STOPPED
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Paused(Said):
    """As when it is stopped."""

    KIND = FactKind.PAUSED
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed(Said):
    """After a pause; `reopened`: after the program had ended, with what it was begun with this time."""

    KIND = FactKind.RESUMED
    reopened: bool = False
    always_confirm: bool | None = None
    ear: bool | None = None
    guarded: bool = False
    manner: Manner | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WentBack(Said):
    """Over so many visits of steps."""

    KIND = FactKind.WENT_BACK
    visits: int
    makes: tuple[str, ...] = ()


class EndAsked(Said):
    """Whether the job ends waits for its yes."""

    __slots__ = ()
    KIND = FactKind.END_ASKED


class EndDeclined(Said):
    """It goes on."""

    __slots__ = ()
    KIND = FactKind.END_DECLINED


@dataclass(frozen=True, slots=True, kw_only=True)
class EndConfirmed(Said):
    """It ends once nothing is open."""

    KIND = FactKind.END_CONFIRMED
    finding: bool  # one was reached


@dataclass(frozen=True, slots=True, kw_only=True)
class JobEnded(Said):
    """The last fact but for what the desk adds."""

    KIND = FactKind.JOB_ENDED
    finding: bool  # one was reached


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOver(Said):
    """Another bay of the shop goes on with the job."""

    KIND = FactKind.TAKEN_OVER
    bay: str
    from_bay: str = field(metadata={"key": "from"})
