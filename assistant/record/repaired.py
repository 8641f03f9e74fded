"""What became of a repair: whether it cured the car, who says so, and how likely its fault was held before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from assistant.facts import Fact, FactKind, FindingReached, RepairConfirmed, RepairDone, RepairFailed, Said, StepEntered
from assistant.procedure.model import Proof
from assistant.record.model import Outcome, Repair
from assistant.record.walk import Walk
from assistant.record.wording import known, plain_words

RECHECK = "recheck"
_SETTLES = (FactKind.REPAIR_DONE, FactKind.REPAIR_FAILED, FactKind.REPAIR_CONFIRMED)


def findings(walk: Walk) -> tuple[tuple[Fact, ...], tuple[Fact, ...]]:
    """The findings that stand: those of the diagnosis, and those of checks of a repair."""
    checks = {fact.procedure for fact in walk.of(FactKind.STEP_ENTERED) if fact.shows(StepEntered).how == "check"}
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
    held = last.number if last.kind is FactKind.REPAIR_CONFIRMED and _who(last.legible) == RECHECK else None
    since = [fact for fact in checked if done is not None and fact.number > done.number]
    check = next((fact for fact in reversed(since) if held is None or fact.number < held), None)
    beside = since[-1].shows(FindingReached) if since and since[-1] is not check else None
    outcome = _outcome(walk, last, check)
    if taken_back and outcome is Outcome.CURED:
        outcome = Outcome.TAKEN_BACK
    said, told = last.legible, check.shows(FindingReached) if check is not None else None
    fault = _fault(last)
    return Repair(
        mark=walk.mark(last),
        fault=fault,
        outcome=outcome,
        by=_who(said) if outcome in (Outcome.CURED, Outcome.TAKEN_BACK) else "",
        minutes=_minutes(done or last),
        likely=odds_before(walk.facts[: (done or last).number - 1], fault),
        check=told.say if told else "",
        shown=told.proved if told else (),
        untested=told.untested if told else (),
        next_step=f"{beside.say} {beside.advice}" if beside else told.advice if told else "",
        customer=" ".join(each.customer for each in (told, beside) if each and each.customer),
    )


def _who(said: Said) -> str:
    return (said.by if isinstance(said, RepairConfirmed) else "") or RECHECK


def _fault(fact: Fact) -> str:
    said = fact.legible
    return (said.fault if isinstance(said, RepairDone | RepairFailed | RepairConfirmed) else None) or ""


def _minutes(fact: Fact) -> float | None:
    said = fact.legible
    return known(said.minutes) if isinstance(said, RepairDone | RepairFailed | RepairConfirmed) else None


def confirmed(walk: Walk) -> str:
    """The fault whose repair was confirmed last; empty where none was, or it was taken back."""
    said = tuple(walk.of(FactKind.REPAIR_CONFIRMED))
    return _fault(said[-1]) if said else ""


def failed(walk: Walk, names: Mapping[str, str]) -> tuple[str, ...]:
    """Repairs after which the fault was still there, each with its minutes. `names`: what the faults are called."""

    def called(fault: str) -> str:
        return names.get(fault) or plain_words(fault)

    return tuple(
        f"{called(_fault(fact) or 'no fault named')}, {_minutes(fact) or 0.0:g} min"
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
    return fact.kind is FactKind.REPAIR_CONFIRMED and not _fault(fact)


def odds_before(facts: Iterable[Fact], fault: str) -> float | None:
    """The odds of a fault by the last of these facts that keeps any; None where it is not among them."""
    found = None
    for fact in facts:
        odds = fact.legible.odds or {}
        chance = odds.get(fault)
        found = chance if chance is not None else None if odds else found
    return found
