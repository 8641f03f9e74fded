"""What the ear tells of: plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """What a stretch of raised sound was."""

    CRANK = "crank"
    LIGHT = "light"  # the engine turns, light and even: hardly any compression
    WHINE = "whine"  # the starter spins, the engine does not turn: the drive is not engaged
    CLUNK = "clunk"  # one knock: the starter only clicks
    CHATTER = "chatter"  # many knocks: the starter's switch lets go as soon as it pulls
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Burst:
    """One time that the starter turned the engine.

    `start_s`, `end_s`: seconds in the sound; the end is the starter's release or the engine taking over.
    `pulse_hz`: compressions a second, None where the ear is not sure. `rpm`: None without the number of cylinders.
    `caught`: whether the engine ran afterwards, None where not sure; `run_s`: for how long, up to the end of the sound.
    `uneven`: by what share the weakest compression of the cycle falls below the usual one, None where not told.
    `confidence`: 0 to 1. `kind`: what it sounded like; a whine or a chatter turned no engine.
    """

    start_s: float
    end_s: float
    pulse_hz: float | None
    rpm: float | None = None
    caught: bool | None = None
    run_s: float | None = None
    uneven: float | None = None
    confidence: float = 1.0
    kind: Kind = Kind.CRANK


@dataclass(frozen=True, slots=True, kw_only=True)
class Sound:
    """Something that was not cranking but tells the technician something: a whine, a chatter or a clunk."""

    kind: Kind
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Hearing:
    """All that was heard in one sound. `caught`, `run_s`: of the last burst."""

    bursts: tuple[Burst, ...] = ()
    others: tuple[Sound, ...] = ()
    seconds: float = 0.0

    @property
    def caught(self) -> bool | None:
        """Whether the engine ran after any burst; None when nothing was heard or it is not sure."""
        known = [burst.caught for burst in self.bursts]
        if any(known):
            return True
        return False if known and None not in known else None

    @property
    def run_s(self) -> float | None:
        """How long the engine ran after the last burst that caught."""
        return next((burst.run_s for burst in reversed(self.bursts) if burst.caught), None)
