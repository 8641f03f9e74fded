"""Tables of what was answered and measured: readings, results, cranking bursts."""

from __future__ import annotations

from assistant.english.lists import say_list
from assistant.language.speak import cut_tenths
from assistant.record.compression import Compression
from assistant.record.duty_use import DutyUse
from assistant.record.model import Burst, JobRecord, Result
from assistant.record.page.cells import UNSAID, heard, row, without_empty
from assistant.record.page.model import Table
from assistant.record.wording import amount, as_shown, elapsed, unbroken


def readings(record: JobRecord) -> Table:
    """Every reading with its judgement; how even the cylinders are stands below."""
    rows = tuple(
        row(
            one.mark,
            elapsed(one.mark.at_s),
            one.name,
            as_shown(one),
            unbroken(one.verdict),
            "; ".join(dict.fromkeys(limit.source for limit in (one.at_least, one.below) if limit and limit.source)),
            heard(one.hearing),
        )
        for one in record.readings
    )
    note = _compression(record.compression) if record.compression else ""
    columns = ("At", "Measured", "Value", "Judgement", "Source of the limit", "Heard")
    return Table(name="readings", title="Readings", columns=columns, rows=rows, numbers=(0, 2), note=note)


def _compression(found: Compression) -> str:
    """The two tests of compression by name, each with its own verdict: how even the cylinders are, and how high."""
    even, level = found.evenness, found.level
    lowest, highest = amount(even.lowest, found.unit), amount(even.highest, found.unit)
    told = (
        f"Compression, two tests. Evenness {'passes' if even.passes else 'fails'}: the lowest, {lowest}, is "
        f"{amount(cut_tenths(even.share * 100), '%')} of the highest, {highest}; the line stands at "
        f"{amount(even.limit_share * 100, '%')} ({even.source})."
    )
    if level is None:
        return told
    low = [str(number) for number in level.low]
    floor = amount(float(f"{level.floor:.3g}"), found.unit)
    which = f"cylinder{'s' * (len(low) > 1)} {say_list(low)} below" if low else "none below"
    return f"{told} Level {'passes' if level.passes else 'fails'}: {which} {floor} ({level.source})."


def results(record: JobRecord) -> Table:
    """Every answer that somebody gave."""
    rows = tuple(
        row(one.mark, elapsed(one.mark.at_s), asked(one), _answered(one), heard(one.hearing))
        for one in record.results
        if one.hearing.by not in UNSAID
    )
    return Table(name="results", title="Results", columns=("At", "Asked", "Answer", "Heard"), rows=rows, numbers=(0,))


def bursts(record: JobRecord) -> Table:
    """Every time the starter turned; the duty it was held to stands below."""
    rows = tuple(
        row(
            one.mark,
            elapsed(one.began_s),
            amount(round(one.seconds, 1), "s"),
            "" if one.rpm is None else amount(round(one.rpm), "rpm"),
            _caught(one),
            "" if one.rest_before_s is None else amount(round(one.rest_before_s), "s"),
            one.timed_by,
        )
        for one in record.bursts
    )
    duty = record.duty
    source = f" ({duty.source})" if duty.source else ""
    note = (
        f"In all {amount(round(duty.total_s, 1), 's')}; limits: release after {amount(duty.burst_limit_s, 's')}, "
        f"stop at {amount(duty.stop_limit_s, 's')}, then {amount(duty.rest_limit_s, 's')} of rest{source}."
        f"{_by_day(duty)}"
    )
    columns = ("At", "Length", "Speed", "Engine", "Rest before", "Timed by")
    table = Table(
        name="bursts", title="Cranking bursts and duty", columns=columns, rows=rows, numbers=(0, 1, 2, 4), note=note
    )
    return without_empty(table)


def _answered(one: Result) -> str:
    """The answer, and what the ear heard in its place where they contradict each other."""
    return one.label if one.ear is None else f"{one.label} (it sounded like: {one.ear})"


def _by_day(duty: DutyUse) -> str:
    """The totals of each day, where the job took more than one."""
    if len(duty.days) < 2:
        return ""
    told = (f"{one.bursts} on {one.day}, {amount(round(one.total_s, 1), 's')}" for one in duty.days)
    return f" By day: {'; '.join(told)}."


def asked(one: Result) -> str:
    """The question itself, out of the words that led to it; for a test of one's own choice, the test."""
    return one.mark.label or one.question


_SOUNDED = {
    "whine": "spun easily, may not have turned the engine",
    "chatter": "only chattered",
    "light": "light and even, did not catch",
}


def _caught(one: Burst) -> str:
    if one.kind in _SOUNDED:
        return _SOUNDED[one.kind]
    if one.caught is None:
        return ""
    if not one.caught:
        return "did not catch"
    return "caught" + ("" if one.run_s is None else f", ran {amount(round(one.run_s, 1), 's')}")
