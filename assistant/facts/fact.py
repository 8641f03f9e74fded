"""One fact: frozen, with its plain form for journal and trace, and what it says as the class of its kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from assistant.facts.classes import CLASSES
from assistant.facts.kinds import FactKind
from assistant.facts.said import Said
from assistant.facts.values import fields_of, legible_field

S = TypeVar("S", bound=Said)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that became true in a job; never changed, only struck by a later fact.

    `id` is unique for all time: the job's random key and `number`, which counts from 1 without gaps in the job.
    `at_s`: seconds since the job started, never falling. `data`: what it says as JSON values, kept as they came, with
    whatever another version put there; nobody outside this room reads them but through `said` and `legible`.
    """

    id: str
    job: str
    number: int
    at_s: float
    kind: FactKind
    procedure: str | None = None
    step: str | None = None
    data: Mapping[str, Any] = field(default_factory=dict)
    _said: Said | None = field(default=None, init=False, repr=False, compare=False)
    _legible: Said | None = field(default=None, init=False, repr=False, compare=False)

    @property
    def said(self) -> Said:
        """What it says. What cannot be read raises Unsaid, a KeyError and a ValueError, once it is asked for."""
        said = self._said
        if said is None:
            said = _read(CLASSES[self.kind], self.data)
            object.__setattr__(self, "_said", said)
        return said

    @property
    def legible(self) -> Said:
        """What it says as far as it can be read: a default or a blank for the rest (see `values`). Raises nothing."""
        legible = self._legible
        if legible is None:
            legible = read_legibly(CLASSES[self.kind], self.data)
            object.__setattr__(self, "_legible", legible)
        return legible

    def says(self, kind: type[S]) -> S:
        """As `said`, of a fact that is of this kind. Raises TypeError for another."""
        return _checked(self.said, kind)

    def shows(self, kind: type[S]) -> S:
        """As `legible`, of a fact that is of this kind. Raises TypeError for another."""
        return _checked(self.legible, kind)

    def saying(self, said: Said) -> Fact:
        """The same fact with this said instead."""
        return fact_of(
            said,
            id=self.id,
            job=self.job,
            number=self.number,
            at_s=self.at_s,
            procedure=self.procedure,
            step=self.step,
        )

    def plain(self) -> dict[str, Any]:
        """The fact as JSON values, the same in journal, trace and report."""
        return {
            "id": self.id,
            "job": self.job,
            "number": self.number,
            "at_s": round(self.at_s, 3),
            "kind": self.kind.value,
            "procedure": self.procedure,
            "step": self.step,
            "data": dict(self.data),
        }


def fact_of(
    said: Said, *, id: str, job: str, number: int, at_s: float, procedure: str | None = None, step: str | None = None
) -> Fact:
    """The fact that says this, of the kind of its class."""
    fact = Fact(
        id=id,
        job=job,
        number=number,
        at_s=at_s,
        kind=said.KIND,
        procedure=procedure,
        step=step,
        data=said.plain(),
    )
    object.__setattr__(fact, "_said", said)
    return fact


def key_of(fact_id: str, number: int) -> str:
    """The job's random key in the id of its fact of that number; the whole id where it is not made in that way."""
    return fact_id.removesuffix(f"-{number}")


def fact_from_plain(plain: Mapping[str, Any]) -> Fact:
    """The fact that `plain` came from. Raises KeyError or ValueError on anything else."""
    return Fact(
        id=str(plain["id"]),
        job=str(plain["job"]),
        number=int(plain["number"]),
        at_s=float(plain["at_s"]),
        kind=FactKind(plain["kind"]),
        procedure=plain.get("procedure"),
        step=plain.get("step"),
        data=dict(plain.get("data") or {}),
    )


def _checked(said: Said, kind: type[S]) -> S:
    if not isinstance(said, kind):
        raise TypeError(f"a fact that is {said.KIND.value} was read as {kind.__name__}")
    return said


def _read(kind: type[Said], data: Mapping[str, Any]) -> Said:
    """What cannot be read is left unset, so that only who asks for it learns so."""
    said = object.__new__(kind)
    for each in fields_of(kind):
        if each.key in data:
            try:
                object.__setattr__(said, each.name, each.strict(data[each.key]))
            except ValueError:
                continue
        elif not each.required:
            object.__setattr__(said, each.name, each.default)
    return said


def read_legibly(kind: type[S], data: Mapping[str, Any]) -> S:
    """What these JSON values say in a fact of this kind, as far as they can be read. Raises nothing."""
    said = object.__new__(kind)
    for each in fields_of(kind):
        object.__setattr__(said, each.name, legible_field(each, data))
    return said
