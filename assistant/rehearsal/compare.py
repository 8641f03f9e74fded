"""Whether the record says what the made-up technician said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.facts import Fact, FactKind
from assistant.rehearsal.technician import Meant


def differences(facts: Iterable[Fact], meant: Sequence[Meant], finding: str) -> tuple[str, ...]:
    """Sentences that tell each difference between the record and what was meant; empty when they agree.

    `finding`: the fault id that the answers lead to. Struck facts do not count; answers taken from vehicle facts known
    before the job are nobody's words and do not count either.
    """
    kept = list(facts)
    struck = {fact.data["struck"] for fact in kept if fact.kind is FactKind.STRUCK}
    logged = [fact for fact in kept if fact.id not in struck and "hearing" in fact.data and _is_answer(fact)]
    found = [f"{fact.procedure}/{fact.step}: {_words(fact)}" for fact in logged]
    wanted = [f"{one.procedure}/{one.step}: {one.answer}" for one in meant]
    told = [f"meant {want}, logged {have}" for want, have in zip(wanted, found, strict=False) if want != have]
    told += [f"meant {want}, logged nothing" for want in wanted[len(found) :]]
    told += [f"meant nothing, logged {have}" for have in found[len(wanted) :]]
    reached = [str(fact.data.get("fault")) for fact in kept if fact.kind is FactKind.FINDING_REACHED]
    if reached[-1:] != [finding]:
        told.append(f"the finding should be {finding}, and is {reached[-1] if reached else 'none'}")
    return tuple(told)


def _is_answer(fact: Fact) -> bool:
    return fact.kind in (FactKind.RESULT_LOGGED, FactKind.READING_LOGGED)


def _words(fact: Fact) -> str:
    key = "result" if fact.kind is FactKind.RESULT_LOGGED else "spoken"
    return str(fact.data[key])
