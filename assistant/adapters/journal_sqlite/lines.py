"""The line that the store keeps about each job for searches, and the searches."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import suppress

from assistant.adapters.journal_sqlite.rows import entries_of, every_job
from assistant.record.chain import UNREADABLE, Entry
from assistant.record.summary import SUMMARISED, JobQuery, Summary, searchable, summarise

_SHOWN = "j.name, s.started_utc, s.procedure, s.vehicle, s.finding, s.finding_fact, s.ended"


def note_entries(connection: sqlite3.Connection, job_no: int, entries: Iterable[Entry]) -> None:
    """Bring the job's line up to date with entries that were just kept; most leave it as it is."""
    telling = [entry for entry in entries if _tells(entry)]
    if not telling:
        return
    row = connection.execute(
        f"SELECT {_SHOWN} FROM jobs j JOIN summaries s USING (job_no) WHERE job_no = ?", (job_no,)
    ).fetchone()
    summary = _summary(row) if row else Summary(job=telling[0].job)
    for entry in telling:
        try:
            summary = summarise(summary, entry.fact(), entry.recorded_utc)
        except UNREADABLE:  # a line for searching must not stand in the way of keeping or checking the facts
            continue
    _write(connection, job_no, summary)


def refill_summaries(connection: sqlite3.Connection) -> None:
    """Make every job's line anew from its facts."""
    connection.execute("DELETE FROM summaries")
    for job_no, name in list(every_job(connection)):
        note_entries(connection, job_no, entries_of(connection, name))


def search(connection: sqlite3.Connection, query: JobQuery) -> tuple[Summary, ...]:
    """The jobs that answer the query, newest first."""
    conditions: list[str] = []
    values: list[str | int] = []
    for words, column in ((query.words, "everything"), (query.finding, "finding_words")):
        for word in words:
            conditions.append(f"instr(s.{column}, ?) > 0")
            values.append(searchable(word))
    for word in query.vehicle:
        conditions.append(
            "(instr(s.vehicle_words, ?) > 0 OR s.job_no IN "
            "(SELECT job_no FROM personal INDEXED BY owners WHERE belongs = 'owner' AND value LIKE ? ESCAPE '\\'))"
        )
        values += [searchable(word), f"%{_literal(word)}%"]
    for day, compared in ((query.since, ">="), (query.until, "<")):
        if day is not None:
            conditions.append(f"s.started_utc {compared} ?")
            values.append(day)
    if query.ended is not None:
        conditions.append("s.ended = ?")
        values.append(int(query.ended))
    where = f"WHERE {' AND '.join(conditions)}" if conditions else ""
    rows = connection.execute(
        f"SELECT {_SHOWN} FROM summaries s JOIN jobs j USING (job_no) {where} ORDER BY s.job_no DESC LIMIT ?",
        (*values, query.most),
    )
    return tuple(_summary(row) for row in rows)


def line_faults(connection: sqlite3.Connection) -> Iterator[str]:
    """One sentence for each job whose line is not what its facts say: searches and lists would tell something else."""
    for job_no, name in list(every_job(connection)):
        summary = Summary(job=name)
        for entry in entries_of(connection, name):
            if _tells(entry):
                with suppress(*UNREADABLE):
                    summary = summarise(summary, entry.fact(), entry.recorded_utc)
        kept = connection.execute(f"SELECT {', '.join(_WRITTEN)} FROM summaries WHERE job_no = ?", (job_no,)).fetchone()
        if kept is not None and kept != _row(summary):
            yield f"the line of job '{name}' that lists and searches read is not what its facts say"
    for (job_no,) in connection.execute("SELECT job_no FROM summaries WHERE job_no NOT IN (SELECT job_no FROM jobs)"):
        yield f"line {job_no} of those that lists and searches read is of no job that is kept"


def _tells(entry: Entry) -> bool:
    return any(f'"kind":"{kind.value}"' in entry.body for kind in SUMMARISED)


def _literal(word: str) -> str:
    """The word as LIKE compares it to JSON text, its own signs taken as they stand."""
    return json.dumps(word)[1:-1].replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")


def _summary(row: tuple[str, str, str, str, str, str, int]) -> Summary:
    name, started_utc, procedure, vehicle, finding, finding_fact, ended = row
    return Summary(
        job=name,
        started_utc=started_utc,
        procedure=procedure,
        vehicle=vehicle,
        finding=finding,
        finding_fact=finding_fact,
        ended=bool(ended),
    )


_WRITTEN = (
    "started_utc", "procedure", "vehicle", "finding", "finding_fact", "ended", "everything", "vehicle_words",
    "finding_words",
)  # fmt: skip


def _row(summary: Summary) -> tuple[str | int, ...]:
    """The line as it is kept, by `_WRITTEN`."""
    everything = f"{summary.job} {summary.procedure} {summary.vehicle} {summary.finding}"
    return (
        summary.started_utc,
        summary.procedure,
        summary.vehicle,
        summary.finding,
        summary.finding_fact,
        int(summary.ended),
        searchable(everything),
        searchable(summary.vehicle),
        searchable(summary.finding),
    )


def _write(connection: sqlite3.Connection, job_no: int, summary: Summary) -> None:
    connection.execute(
        f"INSERT OR REPLACE INTO summaries (job_no, {', '.join(_WRITTEN)}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (job_no, *_row(summary)),
    )
