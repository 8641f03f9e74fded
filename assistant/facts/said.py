"""What a fact says: the type above the classes of all kinds, and the parts that several of them carry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from assistant.facts.kinds import FactKind
from assistant.facts.values import fields_of, plain_value
from assistant.procedure.condition import Condition


class Unsaid(KeyError, ValueError):
    """A fact, of another make or damaged, lacks what its kind says, or says it in no way that can be read."""

    def __str__(self) -> str:
        return str(self.args[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What one fact says beside when and where. Its classes are frozen: a field without a default cannot be left out.

    A field is written unless it is its default. What cannot be read raises Unsaid once it is asked for, not before:
    a fact of another make is good for whatever it does say.
    """

    KIND: ClassVar[FactKind]

    def plain(self) -> dict[str, Any]:
        """As JSON values: what the kind alone has, in the order of its fields, then what it shares with others."""
        written = self.written_as_null()
        plain: dict[str, Any] = {}
        for field in fields_of(type(self)):
            value = getattr(self, field.name)
            if field.required or value != field.default or field.name in written:
                plain[field.key] = plain_value(value)
        return plain

    def written_as_null(self) -> frozenset[str]:
        """Fields that are written though they are None: that nothing is known of it is news."""
        return frozenset()

    # What facts of many kinds can carry, and every other does not: so that it is asked of any fact alike.

    @property
    def hearing(self) -> HowHeard | None:
        """How the technician's words were heard; None for what the world or the guide did."""
        return None

    @property
    def makes(self) -> tuple[str, ...]:
        """What is so, or undone, of car and bay by this fact, in the words of `procedure.condition`."""
        return ()

    @property
    def vapour_cleared(self) -> bool:
        """Whether the vapour had its time to clear."""
        return False

    @property
    def inherits(self) -> Left | None:
        """What earlier jobs on the same car left of it."""
        return None

    @property
    def odds(self) -> Mapping[str, float] | None:
        """Fault → its odds after this fact, 0 to 1, those worth keeping."""
        return None

    @property
    def standing(self) -> str | None:
        """How sure the finding is after this fact, as `reasoning.standing` names it."""
        return None

    @property
    def by_odds(self) -> str | None:
        """What the odds say of the finding, as a sentence."""
        return None

    if not TYPE_CHECKING:  # a checker must not believe that anything can be asked for

        def __getattr__(self, name: str) -> Any:
            if any(name == field.name for field in fields_of(type(self))):
                raise Unsaid(f"{self.KIND.value} says no '{name}' that can be read")
            raise AttributeError(f"{type(self).__name__} has no '{name}'")


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed(Said):
    """A fact that can move the odds of the faults: it keeps what they are by then, where a fault model thinks along."""

    odds: Mapping[str, float] | None = None  # fault → 0 to 1
    standing: str | None = None  # of the finding that stands by then
    by_odds: str | None = None  # a sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class HowHeard:
    """Where words came from. `confidence`: 0 to 1. `clip`: the file of the sound, where it was kept."""

    engine: str
    confidence: float
    clip: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftMark:
    """A condition of the car that an earlier job left, and the fact that made it so."""

    condition: Condition
    fact: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOff:
    """A thing off the car, or added to it, by an earlier job, and the fact that made it so."""

    item: str
    fact: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """What the starter did in an earlier job, and how long it has rested since, as far as that is proved."""

    cranked_s: float
    rested_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierJob:
    """An earlier job on the car by its name, and the fault that it found, empty where none stands."""

    job: str
    fault: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What earlier jobs left of a car. `jobs`: the latest last."""

    marks: tuple[LeftMark, ...] = ()
    off: tuple[LeftOff, ...] = ()
    starter: Turned | None = None
    jobs: tuple[EarlierJob, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitUsed:
    """One end of a band as it was when a reading was judged by it. `source`: its text, or that it is the vehicle's."""

    limit: str
    value: float
    unit: str
    source: str
