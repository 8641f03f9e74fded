"""The facts of a job as the record's parts read them: with their marks, their hearing, and the steps they belong to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from assistant.facts import Fact, FactKind
from assistant.language.model import BY_KEY, BY_KNOCK, BY_MACHINE
from assistant.procedure.forbidden import CAUTIONS, GATES
from assistant.procedure.model import Caution, Gate, Limit, Procedure, Step
from assistant.record.chain import Entry, facts_of
from assistant.record.model import Hearing, Mark
from assistant.record.read_fact import mapping, number, plain_words, text

_HEARD = frozenset({FactKind.RESULT_HEARD, FactKind.READING_HEARD})
_SETTLED = frozenset(
    {
        FactKind.RESULT_LOGGED,
        FactKind.READING_LOGGED,
        FactKind.CODE_LOGGED,
        FactKind.RESULT_REJECTED,
        FactKind.STEP_ENTERED,
    }
)
"""What ends the search backwards for the answer that waited for its yes."""


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
            label=self.label(fact),
        )

    def label(self, fact: Fact) -> str:
        """The step of the fact in words: what it measures, asks or tells; from its id where no procedure is at hand."""
        step = self.step(fact)
        return step_label(step) if step is not None else plain_words(fact.step or "")

    def hearing(self, fact: Fact) -> Hearing:
        """Who said it and how sure: of the answer itself, not of the yes that confirmed it."""
        before = self._heard_before(fact) if fact.kind in _SETTLED else None
        sources = [before.data, fact.data] if before else [fact.data]
        flat = [{**data, **mapping(data, "hearing")} for data in sources]

        def first(*keys: str) -> str | None:
            return next((found for data in flat for key in keys if (found := text(data, key)) is not None), None)

        said = first("words", "spoken", "said")
        unsaid = "known before" if "known" in fact.data else "outcome of a part" if "outcome_of" in fact.data else None
        return Hearing(
            words=said,
            by=unsaid or first("by") or "technician",
            engine=first("engine"),
            confidence=next((one for data in flat if (one := number(data, "confidence")) is not None), None),
            clip=first("clip"),
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
        own = procedure.cautions if procedure else ()
        return next((one for one in (*own, *CAUTIONS) if one.id == caution_id), None)

    def gate(self, fact: Fact, gate_id: str) -> Gate | None:
        """A gate of the fact's procedure."""
        procedure = self.procedures.get(fact.procedure or "")
        own = procedure.gates if procedure else ()
        return next((one for one in (*own, *GATES) if one.id == gate_id), None)

    def _heard_before(self, fact: Fact) -> Fact | None:
        for one in reversed(self.facts[: fact.number - 1]):
            if one.kind in _HEARD:
                return one
            if one.kind in _SETTLED:
                return None
        return None


LONGEST_LABEL = 70
_SENTENCE = re.compile(r"[^.?!]+[.?!]?")


def step_label(step: Step) -> str:
    """What a step measures, else the question it asks, else its first sentence; cut where it is long."""
    if step.name:
        return step.name
    parts = [part.strip() for part in _SENTENCE.findall(step.say) if part.strip()]
    asked = next((part for part in parts if part.endswith("?")), parts[0] if parts else plain_words(step.id))
    words = asked.rstrip(".")
    return words if len(words) <= LONGEST_LABEL else words[:LONGEST_LABEL].rsplit(maxsplit=1)[0].rstrip(",;") + "…"


def walk(entries: Sequence[Entry], procedures: Mapping[str, Procedure]) -> Walk:
    """The walk over a job's chain. Raises RecordError when a fact can no longer be read."""
    facts = facts_of(entries)
    struck: dict[str, str] = {}
    for fact in facts:
        if fact.kind is FactKind.STRUCK:
            target = text(fact.data, "struck")
            if target is not None:
                struck.setdefault(target, fact.id)
    engines = ({**fact.data, **mapping(fact.data, "hearing")} for fact in facts)
    engine = next(
        (found for data in engines if (found := text(data, "engine")) not in (None, BY_KEY, BY_KNOCK, BY_MACHINE)), None
    )
    return Walk(
        facts=facts,
        utc={entry.id: entry.recorded_utc for entry in entries},
        struck_by=struck,
        procedures=procedures,
        engine=engine,
    )
