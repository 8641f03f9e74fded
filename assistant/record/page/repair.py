"""What became of a repair, in words that box, invoice and voice share; it stands before its diagnosis."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.english.reasoned import BY_TEST
from assistant.record.model import JobRecord, Outcome, Repair
from assistant.record.wording import as_sure, bounded, percent, plain_words

CONFIRMED_BY = {
    "recheck": "the check after the repair",
    "technician": "the technician",
    "desk": "the desk, after the job",
}
"""Who confirms a repair, in words."""
WITHOUT_CURE = "Repair without cure"


def repaired_words(record: JobRecord, repair: Repair) -> str:
    """What was repaired and what became of it, in one sentence or two."""
    what, by = fault_name(record, repair.fault) or "not named", CONFIRMED_BY.get(repair.by, repair.by)
    return {
        Outcome.CURED: f"Repaired: {what}, confirmed by {by}.",
        Outcome.NOT_CURED: f"Repaired without cure: {what}.",
        Outcome.UNSURE: f"Repaired: {what}. {repair.check}",
        Outcome.UNCHECKED: f"Repaired and not checked: {what}.",
        Outcome.TAKEN_BACK: f"Not counted as cured any more: {what}. Confirmed by {by}, then taken back.",
    }[Outcome(repair.outcome)]


def diagnosed_words(record: JobRecord, repair: Repair) -> str:
    """What the diagnosis was and how likely; that of what was repaired beside it where this was another fault."""
    found = record.finding
    repaired = _chance(record, repair.fault, repair.likely)
    if found is None:
        return "without a finding" + (f"; {repaired}" if repair.likely is not None else "")
    if found.fault == repair.fault:
        return repaired if repair.likely is not None else f"{repaired}, by its tests alone"
    named = fault_name(record, found.fault) if found.likely_fault is not None else found.title
    said = _chance(record, found.fault, found.likely_fault) if found.likely_fault is not None else named.rstrip(". ")
    return f"{said}; {repaired}" if repair.likely is not None else said


def repair_parts(record: JobRecord, repair: Repair) -> tuple[tuple[str, str], ...]:
    """The box after its first line, by its parts; empty parts are left out."""
    found = record.finding
    unchecked = "Check the start before the car is handed over." if repair.outcome == Outcome.UNCHECKED else ""
    parts = (
        ("Its check showed", joined(repair.shown)),
        ("Diagnosis was", diagnosed_words(record, repair)),
        (BY_TEST, joined(found.by_test) if found is not None else ""),
        ("Not tested", joined(repair.untested)),
        (WITHOUT_CURE, "; ".join(found.failed) if found is not None else ""),
        ("Next step", repair.next_step or unchecked),
    )
    return tuple((name, bounded(words)) for name, words in parts if words)


def for_customer(record: JobRecord) -> str:
    """What may be said to the customer: first what was repaired and what its check showed, else the diagnosis."""
    found, repair = record.finding, record.repair
    if repair is None:
        before = f"{WITHOUT_CURE}: {'; '.join(found.failed)}. " if found is not None and found.failed else ""
        return bounded(before + as_sure(found.standing, found.customer)) if found is not None else ""
    what = fault_name(record, repair.fault)
    repaired = f"We repaired: {what}." if what else "Your car was repaired."
    after = {
        Outcome.CURED: repair.customer or "That cured the fault.",
        Outcome.NOT_CURED: repair.customer or "The fault is still there.",
        Outcome.UNSURE: repair.customer or repair.check,
        Outcome.UNCHECKED: "Whether that cured the fault was not checked yet.",
        Outcome.TAKEN_BACK: "We took it for cured, and that holds no more.",
    }[Outcome(repair.outcome)]
    return bounded(f"{repaired} {after}")


def fault_name(record: JobRecord, fault: str | None) -> str:
    """What the fault is called; its id as words where no fault model says."""
    return record.fault_names.get(fault or "") or plain_words(fault or "")


def joined(parts: Sequence[str]) -> str:
    """Sentences as one line."""
    first, *more = (part.rstrip(". ") for part in parts) if parts else ("",)
    return "; ".join([first, *(_within(part) for part in more)])


def _within(part: str) -> str:
    """A sentence as it reads behind a semicolon: an abbreviation keeps its capitals."""
    word = part.split(maxsplit=1)[0] if part else ""
    return part[:1].lower() + part[1:] if word[1:].islower() or word == "A" else part


def _chance(record: JobRecord, fault: str | None, likely: float | None) -> str:
    name = fault_name(record, fault) or "not named"
    return name if likely is None else f"{name}, {percent(likely)} likely"
