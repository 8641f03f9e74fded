"""The record as words on a page, the same for every document: tables of ready texts, nothing left to compute."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.record.model import STATEMENT, Acknowledged, Burst, Hearing, JobRecord, Mark, Saying
from assistant.record.read_fact import plain_words
from assistant.record.wording import Localise, amount, bounded, day_and_time, elapsed, percent, printable, time_of_day

VIN_WORDS = {
    "right": "check digit right",
    "wrong": "check digit WRONG: read the number again",
    "not-applicable": "check digit does not apply",
    "not-a-vin": "not a VIN: it has not 17 legal characters",
}
ABREAST = ("results", "bursts", "codes")
"""Tables after the readings that stand two abreast on paper."""
WIDE = ("cautions", "notes", "skipped")
"""Tables with long words, over the whole width, after the pictures."""
LATE = ("gates", "steps", "actions", "struck")
"""Tables at the end, two abreast on paper."""
SHOWN_STRUCK = frozenset({"result-logged", "reading-logged", "code-logged", "note-taken", "words-kept", "step-skipped"})
"""Kinds whose own table marks what was struck."""
UNSAID = ("known before", "outcome of a part")
"""Results that nobody said: the record keeps them, paper has no room for them."""
LONGEST_QUESTION = 70
MOST_STEPS = 14
"""Steps that stand by themselves in the table of minutes; the JSON report has them all."""
_SENTENCE = re.compile(r"[^.?!]+[.?!]?")
OPEN_WORDS = {"left-off": " (left off, as said)", "unsure": " (perhaps: its step was left in the middle)"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of a table. `struck`: it no longer counts, and stays."""

    cells: tuple[str, ...]
    struck: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table with its caption. `numbers`: columns set to the right. `note` stands below."""

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    numbers: tuple[int, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Everything that a document prints, in words."""

    title: str
    job: str
    state: str
    statement: str
    when: str
    headline: str
    finding_parts: tuple[tuple[str, str], ...]
    customer: str
    warnings: tuple[str, ...]
    vehicle: tuple[tuple[str, str], ...]
    complaint: tuple[Row, ...]
    tables: tuple[Table, ...]
    sources: tuple[str, ...]
    chain: tuple[tuple[str, str], ...]

    def table(self, name: str) -> Table | None:
        """The table of that name, or None where it has no rows."""
        return next((table for table in self.tables if table.name == name), None)


def lay_out(record: JobRecord, localise: Localise) -> Page:
    """The page for a record. `localise` brings times of day into the reader's zone."""
    tables = (
        _readings(record),
        _results(record),
        _bursts(record),
        _acknowledged("cautions", "Cautions acknowledged", record.cautions, localise),
        _acknowledged("gates", "States answered before a step", record.gates, localise),
        _sayings("codes", "Fault codes", "Code", record.codes),
        _sayings("notes", "Notes", "Words", record.notes),
        _sayings("skipped", "Steps skipped", "Reason", record.skipped),
        _actions(record),
        _steps(record),
        _struck(record),
    )
    found = record.finding
    return Page(
        title=printable(record.procedure.title),
        job=bounded(record.job),
        state=record.state,
        statement=STATEMENT,
        when=f"{day_and_time(record.started_utc, localise)}, {record.minutes:.1f} minutes of work",
        headline=bounded(found.title if found else "No finding yet: the job is open."),
        finding_parts=_finding_parts(record),
        customer=bounded(found.customer) if found else "",
        warnings=_warnings(record),
        vehicle=_vehicle(record),
        complaint=tuple(_row(one.mark, bounded(one.words)) for one in record.complaint),
        tables=tuple(table for table in tables if table.rows),
        sources=tuple(printable(one) for one in record.sources),
        chain=(
            ("Facts in the chain", str(record.chain.number)),
            ("Chain head (SHA-256)", record.chain.hash),
            ("Procedure", _procedure(record)),
            ("Heard by", record.engine or "not stated"),
        ),
    )


def _finding_parts(record: JobRecord) -> tuple[tuple[str, str], ...]:
    found = record.finding
    if found is None:
        return ()
    parts = (
        ("Fault", plain_words(found.fault or "")),
        ("Proved", _joined(found.proved)),
        ("Likely", _joined(found.likely)),
        ("Not tested", _joined(found.untested)),
        ("Odds", found.by_odds),
        ("Repair confirmed", plain_words(found.repair)),
        ("Next step", found.next_step),
    )
    return tuple((name, bounded(words)) for name, words in parts if words)


def _joined(parts: Sequence[str]) -> str:
    return "; ".join(part.rstrip(". ") for part in parts)


def _warnings(record: JobRecord) -> tuple[str, ...]:
    """What nobody may overlook: parts that are off, duty that was exceeded, a VIN that cannot be."""
    found = [f"Still off the vehicle: {bounded(one.item)}" + OPEN_WORDS.get(one.state, "") for one in record.open_items]
    early = sum(one.rest_due_s > 0 for one in record.bursts)
    if early:
        found.append(f"The starter was turned {early} times while a rest was still due.")
    over = sum(one.seconds > record.duty.stop_limit_s for one in record.bursts)
    if over:
        found.append(f"{over} bursts lasted longer than {amount(record.duty.stop_limit_s, 's')}.")
    if record.vehicle.vin_check in ("wrong", "not-a-vin"):
        found.append(f"VIN: {VIN_WORDS[record.vehicle.vin_check]}.")
    unanswered = sum(one.acknowledged_at_s is None for one in record.cautions)
    if unanswered:
        found.append(f"{unanswered} cautions were spoken and not acknowledged; their steps were not started.")
    return tuple(found)


def _vehicle(record: JobRecord) -> tuple[tuple[str, str], ...]:
    told = record.vehicle
    vin = f"{told.vin} ({VIN_WORDS.get(told.vin_check, '')})" if told.vin and told.vin_check else told.vin
    parts = [("VIN", vin), ("Mileage", told.mileage)]
    parts += [(plain_words(name), words) for name, words in record.personal.items()]
    parts.append(("Told of it", _pairs(told.facts)))
    parts.append(("Its own limits", _pairs(told.limits)))
    return tuple((_capital(bounded(name)), bounded(words)) for name, words in parts if words)


def _pairs(told: Mapping[str, str]) -> str:
    return "; ".join(f"{plain_words(name)} {words}" for name, words in told.items())


def _readings(record: JobRecord) -> Table:
    rows = tuple(
        _row(
            one.mark,
            elapsed(one.mark.at_s),
            one.name,
            amount(one.value, one.unit),
            one.verdict,
            "; ".join(dict.fromkeys(limit.source for limit in (one.at_least, one.below) if limit and limit.source)),
            _heard(one.hearing),
        )
        for one in record.readings
    )
    spread = record.compression
    note = ""
    if spread is not None:
        judged = "passes" if spread.passes else "fails"
        note = (
            f"Compression: lowest {amount(spread.lowest, spread.unit)} is {spread.share * 100:.1f} % of the highest "
            f"{amount(spread.highest, spread.unit)}; it {judged} at {spread.limit_share * 100:.0f} % ({spread.source})."
        )
    columns = ("At", "Measured", "Value", "Judgement", "Source of the limit", "Heard")
    return Table(name="readings", title="Readings", columns=columns, rows=rows, numbers=(0, 2), note=note)


def _results(record: JobRecord) -> Table:
    rows = tuple(
        _row(one.mark, elapsed(one.mark.at_s), _asked(one.mark.step, one.question), one.label, _heard(one.hearing))
        for one in record.results
        if one.hearing.by not in UNSAID
    )
    return Table(name="results", title="Results", columns=("At", "Asked", "Answer", "Heard"), rows=rows, numbers=(0,))


def _asked(step: str | None, question: str) -> str:
    """The step and the question itself, out of the words that led to it."""
    asked = next((words.strip() for words in _SENTENCE.findall(question) if words.endswith("?")), question)
    words = asked if len(asked) <= LONGEST_QUESTION else asked[:LONGEST_QUESTION].rstrip() + "…"
    return f"{plain_words(step)}: {words}" if step else words


def _bursts(record: JobRecord) -> Table:
    rows = tuple(
        _row(
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
    )
    columns = ("At", "Length", "Speed", "Engine", "Rest before", "Timed by")
    return Table(
        name="bursts", title="Cranking bursts and duty", columns=columns, rows=rows, numbers=(0, 1, 2, 4), note=note
    )


def _caught(one: Burst) -> str:
    if one.caught is None:
        return ""
    if not one.caught:
        return "did not catch"
    return "caught" + ("" if one.run_s is None else f", ran {amount(round(one.run_s, 1), 's')}")


def _acknowledged(name: str, title: str, every: Sequence[Acknowledged], localise: Localise) -> Table:
    """One line for each wording, with the time of every answer; cautions are asked again at each entry of a step."""
    alike: dict[tuple[str, str], list[Acknowledged]] = {}
    for one in every:
        alike.setdefault(((one.signal or "").upper() or plain_words(one.id), one.text), []).append(one)
    rows = tuple(
        Row(
            cells=(
                *([bounded(signal)] if name == "cautions" else []),
                bounded(words),
                bounded("; ".join(dict.fromkeys(one.words or "" for one in times if one.words))),
                bounded(", ".join(_answered(one, localise) for one in times)),
            )
        )
        for (signal, words), times in alike.items()
    )
    columns = (*(["Signal"] if name == "cautions" else []), "Words", "Answered with", "Answered at")
    return Table(name=name, title=title, columns=columns, rows=rows)


def _answered(one: Acknowledged, localise: Localise) -> str:
    if one.acknowledged_utc is None:
        return f"never (spoken {elapsed(one.mark.at_s)})"
    return time_of_day(one.acknowledged_utc, localise)


def _sayings(name: str, title: str, column: str, every: Sequence[Saying]) -> Table:
    rows = tuple(
        _row(one.mark, elapsed(one.mark.at_s), plain_words(one.mark.step or ""), one.words, _heard(one.hearing))
        for one in every
    )
    return Table(name=name, title=title, columns=("At", "Step", column, "Heard"), rows=rows, numbers=(0,))


def _actions(record: JobRecord) -> Table:
    rows = tuple(
        _row(
            one.mark,
            elapsed(one.mark.at_s),
            plain_words(one.mark.step or ""),
            plain_words(one.action),
            "not finished" if one.seconds is None else amount(round(one.seconds, 1), "s"),
        )
        for one in record.actions
    )
    columns = ("At", "Step", "What", "Lasted")
    return Table(name="actions", title="Timed actions and waits", columns=columns, rows=rows, numbers=(0, 3))


def _steps(record: JobRecord) -> Table:
    """The steps that took longest, in the order of the job, and the others in one line."""
    longest = sorted(record.steps, key=lambda one: -one.spent_min)[:MOST_STEPS]
    rows = [
        Row(
            cells=(
                bounded(plain_words(one.step)),
                bounded(plain_words(one.procedure or "")),
                str(one.entries),
                f"{one.spent_min:.1f}",
                "" if one.planned_min is None else f"{one.planned_min:.1f}",
            )
        )
        for one in record.steps
        if one in longest
    ]
    others = [one for one in record.steps if one not in longest]
    if others:
        spent = sum(one.spent_min for one in others)
        planned = sum(one.planned_min or 0.0 for one in others)
        entries = str(sum(one.entries for one in others))
        rows.append(Row(cells=(f"{len(others)} shorter steps", "", entries, f"{spent:.1f}", f"{planned:.1f}")))
    columns = ("Step", "Procedure", "Entered", "Minutes", "Planned")
    note = f"Pauses are left out. In all {record.minutes:.1f} minutes."
    return Table(name="steps", title="Minutes by step", columns=columns, rows=tuple(rows), numbers=(2, 3, 4), note=note)


def _struck(record: JobRecord) -> Table:
    """Struck facts that stand in no other table: corrections never erase."""
    numbers = {one.id: one.number for one in record.facts}
    rows = tuple(
        Row(
            cells=(
                elapsed(one.at_s),
                plain_words(one.kind),
                bounded(plain_words(one.step or "")),
                str(one.number),
                str(numbers.get(one.struck_by, "")),
            )
        )
        for one in record.facts
        if one.struck_by is not None and one.kind not in SHOWN_STRUCK
    )
    columns = ("At", "What", "Step", "Fact", "Struck by fact")
    return Table(name="struck", title="Struck, and kept", columns=columns, rows=rows, numbers=(0, 3, 4))


def _procedure(record: JobRecord) -> str:
    used = record.procedure
    return used.id if used.version is None else f"{used.id}, version {used.version}"


def _heard(hearing: Hearing) -> str:
    sure = "typed" if hearing.engine == "typed" else percent(hearing.confidence)
    parts = [hearing.by if hearing.by != "technician" else "", sure]
    return ", ".join(part for part in parts if part)


def _row(mark: Mark, *cells: str) -> Row:
    return Row(cells=tuple(bounded(cell) for cell in cells), struck=mark.struck_by is not None)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
