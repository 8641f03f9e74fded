"""What became of a repair: whether it cured the car, who says so, and how likely its fault was held before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from assistant.facts import Fact, FactKind
from assistant.procedure.model import Proof
from assistant.record.model import Outcome, Repair
from assistant.record.read_fact import mapping, number, plain_words, text, words
from assistant.record.walk import Walk

RECHECK = "recheck"
_SETTLES = (FactKind.REPAIR_DONE, FactKind.REPAIR_FAILED, FactKind.REPAIR_CONFIRMED)


def findings(walk: Walk) -> tuple[tuple[Fact, ...], tuple[Fact, ...]]:
    """The findings that stand: those of the diagnosis, and those of checks of a repair."""
    checks = {fact.procedure for fact in walk.of(FactKind.STEP_ENTERED) if fact.data.get("how") == "check"}
    standing = [fact for fact in walk.of(FactKind.FINDING_REACHED) if fact.id not in walk.struck_by]
    return (
        tuple(fact for fact in standing if fact.procedure not in checks),
        tuple(fact for fact in standing if fact.procedure in checks),
    )


def repair(walk: Walk) -> Repair | None:
    """What became of the last repair; None where there was none, or something else was found after it."""
    settled = [fact for fact in walk.of(*_SETTLES) if fact.id not in walk.struck_by]
    taken_back = bool(settled) and _takes_back(settled[-1])
    settled = [fact for fact in settled if not _takes_back(fact)]
    found, checked = findings(walk)
    if not settled or (found and found[-1].number > settled[-1].number):
        return None
    last = settled[-1]
    done = next((fact for fact in reversed(settled) if fact.kind is FactKind.REPAIR_DONE), None)
    check = next((fact for fact in reversed(checked) if done is not None and fact.number > done.number), None)
    outcome = _outcome(walk, last, check)
    if taken_back and outcome is Outcome.CURED:
        outcome = Outcome.TAKEN_BACK
    fault = text(last.data, "fault") or ""
    told = check.data if check is not None else {}
    return Repair(
        mark=walk.mark(last),
        fault=fault,
        outcome=outcome,
        by=(text(last.data, "by") or RECHECK) if outcome in (Outcome.CURED, Outcome.TAKEN_BACK) else "",
        minutes=number((done or last).data, "minutes"),
        likely=odds_before(walk.facts[: (done or last).number - 1], fault),
        check=text(told, "say") or "",
        shown=words(told, "proved"),
        untested=words(told, "untested"),
        next_step=text(told, "advice") or "",
        customer=text(told, "customer") or "",
    )


def confirmed(walk: Walk) -> str:
    """The fault whose repair was confirmed last; empty where none was, or it was taken back."""
    said = tuple(walk.of(FactKind.REPAIR_CONFIRMED))
    return (text(said[-1].data, "fault") or "") if said else ""


def failed(walk: Walk, names: Mapping[str, str]) -> tuple[str, ...]:
    """Repairs after which the fault was still there, each with its minutes. `names`: what the faults are called."""

    def called(fault: str) -> str:
        return names.get(fault) or plain_words(fault)

    return tuple(
        f"{called(text(fact.data, 'fault') or 'no fault named')}, {number(fact.data, 'minutes') or 0.0:g} min"
        for fact in walk.of(FactKind.REPAIR_FAILED)
    )


def _outcome(walk: Walk, last: Fact, check: Fact | None) -> Outcome:
    if last.kind is FactKind.REPAIR_CONFIRMED:
        return Outcome.CURED
    if last.kind is FactKind.REPAIR_FAILED:
        return Outcome.NOT_CURED
    if check is None:
        return Outcome.UNCHECKED
    step = walk.step(check)  # a repair of nothing that was named is confirmed by no fact of its own
    holds = step is not None and step.finding is not None and step.finding.repair is Proof.HOLDS
    return Outcome.CURED if holds else Outcome.UNSURE


def _takes_back(fact: Fact) -> bool:
    return fact.kind is FactKind.REPAIR_CONFIRMED and not text(fact.data, "fault")


def odds_before(facts: Iterable[Fact], fault: str) -> float | None:
    """The odds of a fault by the last of these facts that keeps any; None where it is not among them."""
    found = None
    for fact in facts:
        odds = mapping(fact.data, "odds")
        chance = number(odds, fault)
        found = chance if chance is not None else None if odds else found
    return found
