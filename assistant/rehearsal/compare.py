"""Whether the record says what the made-up technician said: each answer, and each word that was dictated."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.facts import Fact, FactKind
from assistant.language.edits import words_wrong
from assistant.rehearsal.technician import Meant


@dataclass(frozen=True, slots=True, kw_only=True)
class Dictation:
    """Free words as they were said and as they are kept. `proofed`: the record gives them out for read by somebody."""

    place: str
    said: str
    kept: str
    proofed: bool

    @property
    def wrong(self) -> int:
        """Words that are other, missing or too many; case and marks do not count."""
        return words_wrong(self.said, self.kept)

    @property
    def honest(self) -> bool:
        """Whether they are word for word as said, or marked as not proofed."""
        return not self.wrong or not self.proofed


def dictations(facts: Iterable[Fact], said: Sequence[Meant]) -> tuple[Dictation, ...]:
    """What was dictated beside what is kept of it, in order; the shorter of the two ends the list. Struck words are
    nobody's."""
    return tuple(
        Dictation(
            place=f"{one.procedure}/{one.step}",
            said=one.answer,
            kept=str(fact.data["words"]),
            # Words without a mark would be read as what was said.
            proofed=fact.data.get("proofed") is not False,
        )
        for fact, one in zip(_free_words(facts), said, strict=False)
    )


def differences(
    facts: Iterable[Fact], meant: Sequence[Meant], finding: str, said: Sequence[Meant] = ()
) -> tuple[str, ...]:
    """Sentences that tell each difference between the record and what was meant; empty when they agree.

    `finding`: the fault id that the answers lead to, before a repair. `said`: what was dictated. Struck facts do not
    count; answers taken from vehicle facts known before the job are nobody's words and do not count either.
    """
    kept = list(facts)
    found = [f"{fact.procedure}/{fact.step}: {_words(fact)}" for fact in _standing(kept) if _is_answer(fact)]
    wanted = [f"{one.procedure}/{one.step}: {one.answer}" for one in meant]
    told = [f"meant {want}, logged {have}" for want, have in zip(wanted, found, strict=False) if want != have]
    told += [f"meant {want}, logged nothing" for want in wanted[len(found) :]]
    told += [f"meant nothing, logged {have}" for have in found[len(wanted) :]]
    told += [f"said '{one.said}', kept '{one.kept}' without a mark" for one in dictations(kept, said) if not one.honest]
    free = _free_words(kept)
    told += [f"said '{one.answer}', kept nothing" for one in said[len(free) :]]
    told += [f"said nothing, kept '{fact.data['words']}'" for fact in free[len(said) :]]
    checked = next((place for place, fact in enumerate(kept) if fact.kind is FactKind.REPAIR_DONE), len(kept))
    reached = [str(fact.data.get("fault")) for fact in kept[:checked] if fact.kind is FactKind.FINDING_REACHED]
    if reached[-1:] != [finding]:
        told.append(f"the finding should be {finding}, and is {reached[-1] if reached else 'none'}")
    return tuple(told)


def _standing(facts: Iterable[Fact]) -> list[Fact]:
    kept = list(facts)
    struck = {fact.data["struck"] for fact in kept if fact.kind is FactKind.STRUCK}
    return [fact for fact in kept if fact.id not in struck and "hearing" in fact.data]


def _free_words(facts: Iterable[Fact]) -> list[Fact]:
    return [fact for fact in _standing(facts) if fact.kind in (FactKind.WORDS_KEPT, FactKind.NOTE_TAKEN)]


def _is_answer(fact: Fact) -> bool:
    return fact.kind in (FactKind.RESULT_LOGGED, FactKind.READING_LOGGED)


def _words(fact: Fact) -> str:
    key = "result" if fact.kind is FactKind.RESULT_LOGGED else "spoken"
    return str(fact.data[key])
