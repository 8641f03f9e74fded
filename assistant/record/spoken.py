"""The record in short sentences for the ear: what "read me the record" says."""

from __future__ import annotations

from assistant.english.lists import say_list, sentence
from assistant.language.numbers import say_whole
from assistant.language.speak import cut_tenths, say_amount, say_seconds
from assistant.procedure.condition import OF_THE_CAR
from assistant.record.compression import Compression
from assistant.record.model import JobRecord, Reading, Saying
from assistant.record.page import UNSAID
from assistant.record.page.repair import diagnosed_words, repaired_words
from assistant.record.wording import NOT_PROOFED, as_sure, plain_words

MOST_READINGS = 8
MOST_RESULTS = 6
MOST_NOTES = 3


def read_aloud(record: JobRecord) -> tuple[str, ...]:
    """Sentences in the order in which a technician asks: where it stands, what was measured, answered, left open.

    The latest values of each kind are read; older ones are counted. What was struck is only counted.
    """
    said = [_opening(record)]
    if record.complaint and record.complaint[-1].mark.struck_by is None:
        said.append(f"Complaint{_unread(record.complaint[-1])}: {record.complaint[-1].words}")
    said += _readings(record)
    said += _compression(record.compression) if record.compression else []
    said += _results(record)
    if record.bursts:
        count = len(record.bursts)
        said.append(
            f"{count} cranking {'burst' if count == 1 else 'bursts'}, {say_seconds(record.duty.total_s)} in all"
        )
    said += [f"Code {' '.join(one.words)}" for one in record.codes if one.mark.struck_by is None]
    standing = [one for one in record.notes if one.mark.struck_by is None]
    said += [f"Note{_unread(one)}: {one.words}" for one in standing[-MOST_NOTES:]]
    struck = sum(one.struck_by is not None for one in record.facts)
    if struck:
        entries = "entry was struck and stays" if struck == 1 else "entries were struck and stay"
        said.append(f"{struck} {entries} in the record")
    if record.open_items:
        said.append(f"Still off the vehicle: {say_list([one.item for one in record.open_items])}")
    left = [one.words for one in record.bay if one.condition in OF_THE_CAR]
    said += [f"As far as was said, of car and bay: {say_list(left)}"] if left else []
    said += _finding(record)
    return tuple(sentence(words) for words in said)


def _unread(one: Saying) -> str:
    return "" if one.proofed else f", {NOT_PROOFED}"


def _opening(record: JobRecord) -> str:
    minutes = round(record.minutes)
    length = "less than a minute" if minutes < 1 else "one minute" if minutes == 1 else f"{minutes} minutes"
    return f"Job {plain_words(record.job)}: {record.procedure.title}, {length} of work, {record.state}"


def _readings(record: JobRecord) -> list[str]:
    latest: dict[str, Reading] = {}
    for one in record.readings:
        if one.mark.struck_by is None:
            latest.pop(one.name, None)
            latest[one.name] = one
    shown = list(latest.values())[-MOST_READINGS:]
    said = [
        f"{one.name}: {amount_of(one)}" + (f", {plain_words(one.judgement)}" if one.judgement else "") for one in shown
    ]
    left_out = len(latest) - len(shown)
    return [f"{left_out} earlier readings are in the record", *said] if left_out else said


def amount_of(one: Reading) -> str:
    """The figure and its unit, as they are spoken."""
    try:
        return say_amount(one.value, one.unit)
    except KeyError:  # a unit of a newer version
        return f"{one.value:g} {one.unit}"


def _compression(found: Compression) -> list[str]:
    """The two tests by name, each with its own verdict."""
    even = found.evenness
    share, line = (say_amount(cut_tenths(each * 100), "%") for each in (even.share, even.limit_share))
    said = [
        f"Compression, evenness {'passes' if even.passes else 'fails'}: "
        f"the lowest is {share} of the highest, the line stands at {line}"
    ]
    if found.level is not None:
        floor = say_amount(float(f"{found.level.floor:.3g}"), found.unit)
        low = [say_whole(number) for number in found.level.low]
        which = f"cylinder{'s' * (len(low) > 1)} {say_list(low)} below {floor}" if low else f"none is below {floor}"
        said.append(f"Compression, level {'passes' if found.level.passes else 'fails'}: {which}")
    return said


def _results(record: JobRecord) -> list[str]:
    standing = [one for one in record.results if one.mark.struck_by is None and one.hearing.by not in UNSAID]
    return [f"{one.mark.label or one.question}: {one.label}" for one in standing[-MOST_RESULTS:]]


def _finding(record: JobRecord) -> list[str]:
    repair = record.repair
    if repair is not None:
        said = [repaired_words(record, repair).rstrip("."), f"Diagnosis was: {diagnosed_words(record, repair)}"]
        return [*said, f"Next: {repair.next_step}"] if repair.next_step else said
    if record.finding is None:
        return ["Ended without a finding" if record.state == "ended" else "No finding yet"]
    found = [f"Finding: {as_sure(record.finding.standing, record.finding.title)}"]
    return [*found, f"Next: {record.finding.next_step}"] if record.finding.next_step else found
