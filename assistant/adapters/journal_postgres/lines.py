"""The line that the shop's store keeps about each job, and the searches over it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, text

from assistant.adapters.journal_postgres.adding import storable
from assistant.record.summary import JobQuery, Summary, in_line, searchable, wanted

SHOWN = "j.label, l.started_utc, l.procedure, l.vehicle, l.finding, l.finding_fact, l.codes, l.ended"
FEW = 2_000
"""A word that so many jobs have at most is looked up by its index; where every word is commoner, the newest jobs are
looked through first, and only then all of them. Judgement."""
RECENT = "(SELECT * FROM lines ORDER BY started_utc DESC, job_no DESC LIMIT 2000)"


def line_of_job(connection: Connection, job_no: int) -> Summary | None:
    """The line of a job, or None."""
    row = connection.execute(
        text(f"SELECT {SHOWN} FROM lines l JOIN jobs j USING (job_no) WHERE l.job_no = :no"), {"no": job_no}
    ).first()
    return None if row is None else summary_of(row)


def search(connection: Connection, query: JobQuery) -> tuple[Summary, ...]:
    """The jobs that answer the query, newest first."""
    return tuple(summary_of(row) for row in rows_found(connection, query))


def rows_found(connection: Connection, query: JobQuery, more: str = "", technician: str = "") -> Sequence[Row[Any]]:
    """The same as rows. `more`: further columns to show. `technician`: a part of the name of who did the work."""
    if query.words + query.vehicle + query.finding:
        found = _rows(connection, query, more, technician, source=RECENT, whole=False)
        if len(found) == query.most:
            return found
    return _rows(connection, query, more, technician, few=_few(connection, query))


def _rows(
    connection: Connection,
    query: JobQuery,
    more: str,
    technician: str,
    *,
    source: str = "lines",
    whole: bool = True,
    few: list[int] | None = None,
) -> Sequence[Row[Any]]:
    """`whole`: words are looked for in all jobs at once, not in one job after another. `few`: only among these."""
    conditions, values = _conditions(query, whole=whole and few is None)
    if searchable(technician):
        values["staff"] = pattern(searchable(technician))
        conditions.append(
            "EXISTS (SELECT FROM said s WHERE s.job_no = l.job_no AND s.belongs = 'staff' AND s.words LIKE :staff)"
        )
    if few is not None:
        conditions.append("l.job_no = ANY (:few)")
        values["few"] = few
    where = f"WHERE {' AND '.join(conditions)}" if conditions else ""
    return connection.execute(
        text(
            f"SELECT {SHOWN}{more} FROM {source} l JOIN jobs j USING (job_no) {where} "
            "ORDER BY l.started_utc DESC, l.job_no DESC LIMIT :most"
        ),
        values | {"most": query.most},
    ).all()


def summary_of(row: Row[Any]) -> Summary:
    """The line in a row that begins with the columns shown."""
    label, started_utc, procedure, vehicle, finding, finding_fact, codes, ended = tuple(row)[:8]
    return Summary(
        job=label,
        started_utc=started_utc,
        procedure=procedure,
        vehicle=vehicle,
        finding=finding,
        finding_fact=finding_fact,
        codes=tuple((str(fact), str(code)) for fact, code in json.loads(codes)),
        ended=bool(ended),
    )


def _conditions(query: JobQuery, *, whole: bool) -> tuple[list[str], dict[str, Any]]:
    conditions: list[str] = []
    values: dict[str, Any] = {}

    def like(words: str) -> str:
        values[f"w{len(values)}"] = pattern(words)
        return f":w{len(values) - 1}"

    def said(condition: str) -> str:
        if whole:
            return f"l.job_no IN (SELECT s.job_no FROM said s WHERE {condition})"
        return f"EXISTS (SELECT FROM said s WHERE s.job_no = l.job_no AND {condition})"

    for word, tidy in wanted(query.words):
        ways = [f"l.everything LIKE {like(each)}" for each in in_line(word, tidy)]
        ways.append(said(f"s.belongs <> 'owner' AND s.words LIKE {like(word)}"))
        if tidy:
            ways.append(said(f"s.belongs = 'owner' AND s.words LIKE {like(tidy)}"))
        conditions.append(f"({' OR '.join(ways)})")
    for word, tidy in wanted(query.vehicle):
        ways = [f"l.vehicle_words LIKE {like(word)}"]
        if tidy:
            ways.append(said(f"s.belongs = 'owner' AND s.words LIKE {like(tidy)}"))
        conditions.append(f"({' OR '.join(ways)})")
    conditions += [f"l.finding_words LIKE {like(word)}" for word, _ in wanted(query.finding)]
    for day, compared in ((query.since, ">="), (query.until, "<")):
        if day is not None:
            values[f"w{len(values)}"] = day
            conditions.append(f"l.started_utc {compared} :w{len(values) - 1}")
    if query.ended is not None:
        conditions.append("l.ended" if query.ended else "NOT l.ended")
    return conditions, values


def _few(connection: Connection, query: JobQuery) -> list[int] | None:
    """The jobs that have the first word that few jobs have; None where each word is common, or there is none."""
    looked: list[tuple[tuple[str, ...], str, str]] = []
    looked += [(in_line(word, tidy), word, tidy) for word, tidy in wanted(query.words)]
    looked += [((word,), "", tidy) for word, tidy in wanted(query.vehicle)]
    looked += [((word,), "", "") for word, _ in wanted(query.finding)]
    for in_lines, word, tidy in looked:
        values: dict[str, Any] = {f"l{number}": pattern(each) for number, each in enumerate(in_lines)}
        parts = [f"(SELECT job_no FROM lines WHERE everything LIKE :{name} LIMIT :few)" for name in values]
        for name, compared, condition in (("w", word, "belongs <> 'owner'"), ("t", tidy, "belongs = 'owner'")):
            if compared:
                parts.append(f"(SELECT job_no FROM said WHERE {condition} AND words LIKE :{name} LIMIT :few)")
                values[name] = pattern(compared)
        found = connection.execute(text(" UNION ALL ".join(parts)), values | {"few": FEW + 1}).scalars().all()
        if len(found) <= FEW:
            return sorted({int(one) for one in found})
    return None


def pattern(words: str) -> str:
    """Words anywhere, as LIKE takes them."""
    plain = storable(words).replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    return f"%{plain}%"
