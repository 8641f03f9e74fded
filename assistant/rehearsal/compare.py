"""Whether the record says what the made-up technician said: each answer, and each word that was dictated."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.facts import Fact, FactKind, FindingReached, NoteTaken, ReadingLogged, ResultLogged, Struck, WordsKept
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
            kept=free.words,
            # Words without a mark would be read as what was said.
            proofed=free.proofed is not False,
        )
        for free, one in zip(_free_words(facts), said, strict=False)
    )


def differences(
    facts: Iterable[Fact], meant: Sequence[Meant], finding: str, said: Sequence[Meant] = ()
) -> tuple[str, ...]:
    """Sentences that tell each difference between the record and what was meant; empty when they agree.

    `finding`: the fault id that the answers lead to, before a repair. `said`: what was dictated. Struck facts do not
    count; answers taken from vehicle facts known before the job are nobody's words and do not count either.
    """
    kept = list(facts)
    answered = ((fact, _answer(fact)) for fact in _standing(kept))
    found = [f"{fact.procedure}/{fact.step}: {answer}" for fact, answer in answered if answer is not None]
    wanted = [f"{one.procedure}/{one.step}: {one.answer}" for one in meant]
    told = [f"meant {want}, logged {have}" for want, have in zip(wanted, found, strict=False) if want != have]
    told += [f"meant {want}, logged nothing" for want in wanted[len(found) :]]
    told += [f"meant nothing, logged {have}" for have in found[len(wanted) :]]
    told += [f"said '{one.said}', kept '{one.kept}' without a mark" for one in dictations(kept, said) if not one.honest]
    free = _free_words(kept)
    told += [f"said '{one.answer}', kept nothing" for one in said[len(free) :]]
    told += [f"said nothing, kept '{one.words}'" for one in free[len(said) :]]
    checked = next((place for place, fact in enumerate(kept) if fact.kind is FactKind.REPAIR_DONE), len(kept))
    reached = [str(last.fault) for fact in kept[:checked] if isinstance(last := fact.said, FindingReached)]
    if reached[-1:] != [finding]:
        told.append(f"the finding should be {finding}, and is {reached[-1] if reached else 'none'}")
    return tuple(told)


def _standing(facts: Iterable[Fact]) -> list[Fact]:
    kept = list(facts)
    struck = {said.struck for fact in kept if isinstance(said := fact.said, Struck)}
    return [fact for fact in kept if fact.id not in struck and fact.said.hearing is not None]


def _free_words(facts: Iterable[Fact]) -> list[WordsKept | NoteTaken]:
    return [said for fact in _standing(facts) if isinstance(said := fact.said, WordsKept | NoteTaken)]


def _answer(fact: Fact) -> str | None:
    match fact.said:
        case ResultLogged(result=result):
            return result
        case ReadingLogged(spoken=spoken):
            return spoken
        case _:
            return None
