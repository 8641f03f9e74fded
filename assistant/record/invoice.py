"""One paragraph for the invoice: what was done, what was found, in words a customer reads."""

from __future__ import annotations

from assistant.reasoning.standing import lead
from assistant.record.model import JobRecord, Repair
from assistant.record.page.repair import WITHOUT_CURE, diagnosed_words, joined, repaired_words
from assistant.record.wording import NOT_AS_RECORDED, NOT_PROOFED, Localise, as_shown, as_sure, bounded, day_and_time


def invoice_text(record: JobRecord, localise: Localise) -> str:
    """A single paragraph, ended by a newline. Readings are those that stand, in the order they were taken."""
    read = [f"{one.name} {as_shown(one)}" for one in record.readings if one.mark.struck_by is None]
    answers = [one for one in record.results if one.mark.struck_by is None]
    parts = [
        f"{record.procedure.title}: diagnosis on {day_and_time(record.started_utc, localise)}, "
        f"{record.minutes:.0f} minutes."
    ]
    if record.complaint and record.complaint[-1].mark.struck_by is None:
        told = record.complaint[-1]
        parts.append(f'Complaint{"" if told.proofed else f" ({NOT_PROOFED})"}: "{told.words}".')
    if read:
        parts.append(f"Measured: {', '.join(read)}.")
    if answers:
        parts.append(f"Checks answered: {len(answers)}.")
    parts += _repaired(record, record.repair) if record.repair is not None else _found(record)
    if record.open_items:
        parts.append(f"Not yet refitted: {', '.join(one.item for one in record.open_items)}.")
    parts += [f"{words} failed." for words in _failed(record)]
    signed = ", ".join(words for words in (record.technician, record.shop) if words)
    if signed:
        parts.append(f"Done by {signed}.")
    if record.damage:
        parts.insert(0, f"{NOT_AS_RECORDED}: do not bill by this. {record.damage[0]}.")
    parts.append("The vehicle maker's information comes first.")
    return " ".join(" ".join(bounded(part).split()) for part in parts) + "\n"


def _found(record: JobRecord) -> list[str]:
    """The finding as sure as it is, and what was repaired before it without cure."""
    found = record.finding
    if found is None:
        return [
            "The diagnosis was ended before a finding." if record.state == "ended" else "The diagnosis is not finished."
        ]
    parts = [f"{WITHOUT_CURE}: {'; '.join(found.failed)}."] if found.failed else []
    parts.append(as_sure(found.standing, found.customer or f"Finding: {found.title}"))
    if lead(found.standing) and found.by_odds:
        parts.append(f"How sure: {found.by_odds}")
    if found.next_step:
        parts.append(f"Next: {found.next_step}")
    if found.untested:
        parts.append(f"Not tested: {joined(found.untested)}.")
    return parts


def _repaired(record: JobRecord, repair: Repair) -> list[str]:
    """What was repaired and what became of it, with what the diagnosis was, and what is to be done next."""
    parts = [repaired_words(record, repair), f"The diagnosis was: {diagnosed_words(record, repair)}."]
    if repair.untested:
        parts.append(f"Not tested: {joined(repair.untested)}.")
    return [*parts, f"Next: {repair.next_step}"] if repair.next_step else parts


def _failed(record: JobRecord) -> list[str]:
    """The tests of compression that failed, each by its name."""
    found = record.compression
    if found is None:
        return []
    failed = [] if found.evenness.passes else ["Compression, evenness of the cylinders"]
    return failed + (["Compression, level"] if found.level is not None and not found.level.passes else [])
