"""The facts of a job as the record's parts read them: with their marks, their hearing, and the steps they belong to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from assistant.facts import Fact, FactKind
from assistant.procedure.model import Caution, Gate, Limit, Procedure, Step
from assistant.record.chain import Entry, facts_of
from assistant.record.model import Hearing, Mark
from assistant.record.read_fact import number, text

HEARD_BEFORE = {
    FactKind.RESULT_LOGGED: FactKind.RESULT_HEARD,
    FactKind.READING_LOGGED: FactKind.READING_HEARD,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """The facts of one job. `utc`: fact id -> when recorded. `struck_by`: fact id -> id of the fact that struck it."""

    facts: tuple[Fact, ...]
    utc: Mapping[str, str]
    struck_by: Mapping[str, str]
    procedures: Mapping[str, Procedure]
    engine: str | None

    def of(self, *kinds: FactKind) -> Iterable[Fact]:
        """The facts of these kinds, in order, struck ones included."""
        return (fact for fact in self.facts if fact.kind in kinds)

    def mark(self, fact: Fact) -> Mark:
        """Where and when the fact stands."""
        return Mark(
            fact=fact.id,
            at_s=round(fact.at_s, 3),
            utc=self.utc[fact.id],
            procedure=fact.procedure,
            step=fact.step,
            struck_by=self.struck_by.get(fact.id),
        )

    def hearing(self, fact: Fact) -> Hearing:
        """Who said it and how sure; what was heard before the yes tells where the logged fact does not."""
        before = self._heard_before(fact)
        sources = [fact.data] + ([before.data] if before else [])

        def first_text(*keys: str) -> str | None:
            return next((found for data in sources if (found := text(data, *keys)) is not None), None)

        confidence = next((one for data in sources if (one := number(data, "confidence")) is not None), None)
        return Hearing(
            words=first_text("words", "heard", "said"),
            by=first_text("by", "who") or "technician",
            engine=first_text("engine") or self.engine,
            confidence=confidence,
            clip=first_text("clip"),
        )

    def step(self, fact: Fact) -> Step | None:
        """The step of the fact, where its procedure is at hand."""
        procedure = self.procedures.get(fact.procedure or "")
        if procedure is None or fact.step is None:
            return None
        return next((step for step in procedure.steps if step.id == fact.step), None)

    def limit(self, fact: Fact, limit_id: str) -> tuple[Limit, str] | None:
        """A limit of the fact's procedure and the text of its source."""
        procedure = self.procedures.get(fact.procedure or "")
        found = next((one for one in procedure.limits if one.id == limit_id), None) if procedure else None
        if procedure is None or found is None:
            return None
        return found, next((source.text for source in procedure.sources if source.id == found.source), found.source)

    def caution(self, fact: Fact, caution_id: str) -> Caution | None:
        """A caution of the fact's procedure."""
        procedure = self.procedures.get(fact.procedure or "")
        return next((one for one in procedure.cautions if one.id == caution_id), None) if procedure else None

    def gate(self, fact: Fact, gate_id: str) -> Gate | None:
        """A gate of the fact's procedure."""
        procedure = self.procedures.get(fact.procedure or "")
        return next((one for one in procedure.gates if one.id == gate_id), None) if procedure else None

    def _heard_before(self, fact: Fact) -> Fact | None:
        wanted = HEARD_BEFORE.get(fact.kind)
        earlier = self.facts[: fact.number - 1]
        return next((one for one in reversed(earlier) if one.kind is wanted and one.step == fact.step), None)


def walk(entries: Sequence[Entry], procedures: Mapping[str, Procedure]) -> Walk:
    """The walk over a job's chain. Raises RecordError when a fact can no longer be read."""
    facts = facts_of(entries)
    struck: dict[str, str] = {}
    for fact in facts:
        if fact.kind is FactKind.STRUCK:
            target = text(fact.data, "struck", "fact", "id")
            if target is not None:
                struck.setdefault(target, fact.id)
    engine = next((found for fact in facts if (found := text(fact.data, "engine", "recogniser"))), None)
    return Walk(
        facts=facts,
        utc={entry.id: entry.recorded_utc for entry in entries},
        struck_by=struck,
        procedures=procedures,
        engine=engine,
    )
