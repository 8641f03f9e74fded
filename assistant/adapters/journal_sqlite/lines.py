"""The line that the store keeps about each job for searches, and the searches."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import suppress

from assistant.adapters.journal_sqlite.rows import REPAIR, entries_of, every_job, label_of
from assistant.adapters.journal_sqlite.signs import TABLE, add_signs, condition, hides, renew_signs
from assistant.record.chain import UNREADABLE, Entry
from assistant.record.personal import Belonging
from assistant.record.summary import SUMMARISED, JobQuery, Summary, in_line, line_of, said_of, summarise, wanted

_SHOWN = "j.name, s.started_utc, s.procedure, s.vehicle, s.finding, s.finding_fact, s.codes, s.ended"
_IN_OWNERS = f"(belongs = '{Belonging.OWNER}' AND instr(words, ?) > 0)"
_IN_WORDS = f"(belongs <> '{Belonging.OWNER}' AND instr(words, ?) > 0)"


def note_entries(connection: sqlite3.Connection, job_no: int, entries: Iterable[Entry], *, signs: bool = True) -> None:
    """Bring the job's line, and what its personal values say, up to date with entries that were just kept.

    `signs`: also the bits by which searches pass jobs by.
    """
    telling: list[Entry] = []
    texts: list[str] = []
    for entry in entries:
        if entry.apart:
            texts += _note_said(connection, job_no, entry)
        if _tells(entry):
            telling.append(entry)
    if telling:  # most leave the line as it is
        texts.append(_bring_up(connection, job_no, telling))
    if texts and signs:
        add_signs(connection, job_no, texts)


def _bring_up(connection: sqlite3.Connection, job_no: int, telling: Iterable[Entry]) -> str:
    """Change the job's line by these entries; returns all of it that is compared."""
    row = connection.execute(
        f"SELECT {_SHOWN} FROM jobs j JOIN summaries s USING (job_no) WHERE job_no = ?", (job_no,)
    ).fetchone()
    summary = _summary(row) if row else Summary(job=label_of(connection, job_no))
    for entry in telling:
        try:
            summary = summarise(summary, entry.fact(), entry.recorded_utc)
        except UNREADABLE:  # a line for searching must not stand in the way of keeping or checking the facts
            continue
    return _write(connection, job_no, summary)


def refill_summaries(connection: sqlite3.Connection) -> None:
    """Make every job's line, and what is compared beside it, anew from its facts; the bits come with version 5."""
    connection.execute("DELETE FROM summaries")
    connection.execute("DELETE FROM said")
    for job_no, name in list(every_job(connection)):
        note_entries(connection, job_no, entries_of(connection, name), signs=False)


def begin_signs(connection: sqlite3.Connection) -> None:
    """The bits of a store that had none, after the lines of jobs whose repair was confirmed were made anew."""
    connection.execute(TABLE)
    repaired = {
        number for (number,) in connection.execute(f"SELECT job_no FROM facts INDEXED BY repairs WHERE {REPAIR}")
    }
    for job_no, name in list(every_job(connection)):
        if job_no in repaired:
            connection.execute("DELETE FROM summaries WHERE job_no = ?", (job_no,))
            _bring_up(connection, job_no, (one for one in entries_of(connection, name) if _tells(one)))
        renew_signs(connection, job_no)


MOST_BY_NUMBER = 2_000
"""Of more jobs that can hold the words the newest are looked at first; fewer are each looked up. Judgement."""


def search(connection: sqlite3.Connection, query: JobQuery) -> tuple[Summary, ...]:
    """The jobs that answer the query, newest first: of those that can hold its words, by their bits."""
    conditions: list[str] = []
    values: list[str | int] = []

    def hold(condition: str, *compared: str | int) -> None:
        conditions.append(condition)
        values.extend(compared)

    for word, tidy in wanted(query.words):
        owned, tidies = (f" OR {_IN_OWNERS}", (tidy,)) if tidy else ("", ())
        said = f"EXISTS (SELECT 1 FROM said WHERE job_no = s.job_no AND ({_IN_WORDS}{owned}))"
        spelt = in_line(word, tidy)
        line = " OR ".join(["instr(s.everything, ?) > 0"] * len(spelt))
        hold(f"({line} OR {said})", *spelt, word, *tidies)
    for word, tidy in wanted(query.vehicle):
        said = f" OR EXISTS (SELECT 1 FROM said WHERE job_no = s.job_no AND {_IN_OWNERS})" if tidy else ""
        hold(f"(instr(s.vehicle_words, ?) > 0{said})", word, *([tidy] if tidy else []))
    for word, _ in wanted(query.finding):
        hold("instr(s.finding_words, ?) > 0", word)
    bits, masks = _bits_of(query)
    if bits:
        numbers = connection.execute(f"SELECT job_no FROM signs g WHERE {bits} LIMIT ?", (*masks, MOST_BY_NUMBER + 1))
        can_hold = [job_no for (job_no,) in numbers]
        if len(can_hold) <= MOST_BY_NUMBER:
            hold("s.job_no IN (SELECT value FROM json_each(?))", str(can_hold))
        else:  # in this order, for the bits are soonest compared
            there = f"EXISTS (SELECT 1 FROM signs g WHERE g.job_no = s.job_no AND {bits})"
            conditions = [f"CASE WHEN {there} THEN {' AND '.join(conditions)} END"]
            values = [*masks, *values]
    for day, compared in ((query.since, ">="), (query.until, "<")):
        if day is not None:
            hold(f"s.started_utc {compared} ?", day)
    if query.ended is not None:
        hold("s.ended = ?", int(query.ended))
    where = f"WHERE {' AND '.join(conditions)}" if conditions else ""
    rows = connection.execute(
        f"SELECT {_SHOWN} FROM summaries s JOIN jobs j USING (job_no) {where} "
        "ORDER BY s.started_utc DESC, s.job_no DESC LIMIT ?",
        (*values, query.most),
    )
    return tuple(_summary(row) for row in rows)


def _bits_of(query: JobQuery) -> tuple[str, tuple[int, ...]]:
    """What a job's bits must be to hold every word of the query; empty where its words are too short to tell."""
    found = (condition((word, tidy) if tidy else (word,)) for word, tidy in wanted(_all_words(query)))
    told = [one for one in found if one[0]]
    return " AND ".join(bits for bits, _ in told), tuple(mask for _, masks in told for mask in masks)


def _all_words(query: JobQuery) -> tuple[str, ...]:
    return (*query.words, *query.vehicle, *query.finding)


def line_faults(connection: sqlite3.Connection) -> Iterator[str]:
    """One sentence for each job whose line is not what its facts say: searches and lists would tell something else."""
    for job_no, name in list(every_job(connection)):
        summary = Summary(job=name)
        entries = entries_of(connection, name)
        telling = [entry for entry in entries if _tells(entry)]
        for entry in telling:
            with suppress(*UNREADABLE):
                summary = summarise(summary, entry.fact(), entry.recorded_utc)
        kept = connection.execute(f"SELECT {', '.join(_WRITTEN)} FROM summaries WHERE job_no = ?", (job_no,)).fetchone()
        said = [row for row in _said(entries) if row[3].strip()]
        if kept != (_row(summary) if telling else None) or sorted(said) != _kept_said(connection, job_no):
            yield f"the line of job '{name}' that lists and searches read is not what its facts say"
        elif telling and hides(connection, job_no):
            yield f"searches would pass job '{name}' by: its bits are not what its facts say"
    for (job_no,) in connection.execute("SELECT job_no FROM summaries WHERE job_no NOT IN (SELECT job_no FROM jobs)"):
        yield f"line {job_no} of those that lists and searches read is of no job that is kept"


def _tells(entry: Entry) -> bool:
    return any(f'"kind":"{kind.value}"' in entry.body for kind in SUMMARISED)


def _note_said(connection: sqlite3.Connection, job_no: int, entry: Entry) -> list[str]:
    rows = _said([entry])
    connection.executemany(
        "INSERT INTO said (job_no, number, place, belongs, words) VALUES (?, ?, ?, ?, ?)",
        [(job_no, *row) for row in rows],
    )
    return [words for *_, words in rows]


def _said(entries: Iterable[Entry]) -> list[tuple[int, str, str, str]]:
    """Number, place, kind and words of each personal value as a search compares it."""
    rows: list[tuple[int, str, str, str]] = []
    for entry in entries:
        with suppress(*UNREADABLE):
            said = (one for one in said_of(entry) if one.words)
            rows += [(entry.number, one.place, one.belongs.value, _kept(one.words)) for one in said]
    return rows


def _kept_said(connection: sqlite3.Connection, job_no: int) -> list[tuple[int, str, str, str]]:
    """The same as kept; what was removed is blank there."""
    rows = connection.execute("SELECT number, place, belongs, words FROM said WHERE job_no = ?", (job_no,))
    return sorted(row for row in rows if row[3].strip())


def _kept(words: str) -> str:
    """Words without half characters, which no store of text can hold."""
    return words.encode("utf-8", "replace").decode("utf-8")


def _summary(row: tuple[str, str, str, str, str, str, str, int]) -> Summary:
    name, started_utc, procedure, vehicle, finding, finding_fact, codes, ended = row
    return Summary(
        job=name,
        started_utc=started_utc,
        procedure=procedure,
        vehicle=vehicle,
        finding=finding,
        finding_fact=finding_fact,
        codes=tuple((str(fact), str(code)) for fact, code in json.loads(codes)),
        ended=bool(ended),
    )


_WRITTEN = (
    "started_utc", "procedure", "vehicle", "finding", "finding_fact", "codes", "ended", "everything", "vehicle_words",
    "finding_words",
)  # fmt: skip


def _row(summary: Summary) -> tuple[str | int, ...]:
    """The line as it is kept, by `_WRITTEN`."""
    return (
        summary.started_utc,
        summary.procedure,
        summary.vehicle,
        summary.finding,
        summary.finding_fact,
        json.dumps(summary.codes),
        int(summary.ended),
        *(_kept(words) for words in line_of(summary)),
    )


def _write(connection: sqlite3.Connection, job_no: int, summary: Summary) -> str:
    row = _row(summary)
    connection.execute(
        f"INSERT OR REPLACE INTO summaries (job_no, {', '.join(_WRITTEN)}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (job_no, *row),
    )
    return str(row[_WRITTEN.index("everything")])
