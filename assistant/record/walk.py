"""The facts of a job as the record's parts read them: with their marks, their hearing, and the steps they belong to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from assistant.facts import (
    CodeLogged,
    Fact,
    FactKind,
    NoteTaken,
    ReadingHeard,
    ReadingLogged,
    ResultHeard,
    ResultLogged,
    Said,
    StepSkipped,
    Struck,
    TestLeftOut,
    TestTold,
    WordsKept,
)
from assistant.language.model import BY_KEY, BY_KNOCK, BY_MACHINE
from assistant.procedure.model import Caution, Gate, Limit, Procedure, Step
from assistant.procedure.remedies import CAUTIONS, GATES
from assistant.record.chain import Entry, facts_of
from assistant.record.model import Hearing, Mark
from assistant.record.wording import known, plain_words

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
        said = [one.legible for one in (before, fact) if one is not None]
        heard = [one.hearing for one in said if one.hearing is not None]
        return Hearing(
            words=next((words for one in said if (words := _words(one))), None),
            by=_unsaid(fact.legible) or next((by for one in said if (by := _by(one))), "technician"),
            engine=next((one.engine for one in heard if one.engine), None),
            confidence=next((sure for one in heard if (sure := known(one.confidence)) is not None), None),
            clip=next((one.clip for one in heard if one.clip), None),
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


def _words(said: Said) -> str | None:
    """The words of an answer, or of a read-back of it."""
    match said:
        case ReadingLogged(words=words, spoken=spoken):
            return words or spoken
        case CodeLogged(spoken=words):
            return words
        case ResultHeard(said=own, words=words) | ResultLogged(said=own, words=words):
            return own or words  # what they were taken as is the label of the result
        case ReadingHeard() | TestTold() | TestLeftOut() | WordsKept() | NoteTaken():
            return said.words
        case _:
            return None


def _unsaid(said: Said) -> str | None:
    """Where an answer comes from that nobody gave."""
    if not isinstance(said, ResultLogged) or not said.unsaid:
        return None
    return "outcome of a part" if said.known is None else "known before"


def _by(said: Said) -> str:
    return said.by if isinstance(said, ResultHeard | StepSkipped) else ""


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
        said = fact.legible
        if isinstance(said, Struck) and said.struck:
            struck.setdefault(said.struck, fact.id)
    heard = (fact.legible.hearing for fact in facts)
    engines = (one.engine for one in heard if one is not None)
    engine = next((one for one in engines if one not in ("", BY_KEY, BY_KNOCK, BY_MACHINE)), None)
    return Walk(
        facts=facts,
        utc={entry.id: entry.recorded_utc for entry in entries},
        struck_by=struck,
        procedures=procedures,
        engine=engine,
    )
