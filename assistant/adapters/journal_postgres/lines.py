"""The line that the shop's store keeps about each job, and the searches over it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, Row, text

from assistant.adapters.journal_postgres.adding import storable
from assistant.record.summary import JobQuery, Summary, in_line, searchable, wanted

SHOWN = "j.label, l.started_utc, l.procedure, l.vehicle, l.finding, l.finding_fact, l.codes, l.ended"
RECENT = 2_000
"""So many of the newest jobs are looked through first: common words are found often enough there. Judgement."""
AT_ONCE = 100
"""Of the jobs that may answer, so many are looked at in one statement. Judgement."""
PIECE = 6
"""Letters of a word that are looked up: each further one is one more list to go through, and leaves few jobs out."""
NEWEST = "ORDER BY started_utc DESC, job_no DESC"
THESE = "(SELECT * FROM lines WHERE job_no = ANY (:these))"
LEAST_PIECE = 3
"""What the index is made of. Source: PostgreSQL, pg_trgm."""


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
    """The same as rows. `more`: further columns to show. `technician`: a part of the name of who did the work.

    Which jobs may answer, the words gathered of each tell: among the newest jobs first, where common words are found
    often enough, and then by their index among all. These are looked at, the newest first, until there are enough.
    """
    may, values = _may_answer(query, technician)
    if not may:
        return _rows(connection, query, more, technician)
    days, of_days = _days(query, "started_utc")
    newest = f"(SELECT * FROM gathered {_where(days)} {NEWEST} LIMIT {RECENT})"
    found: list[Row[Any]] = []
    for source, conditions in ((newest, may), ("gathered", [*may, *days])):
        asked = text(f"SELECT job_no FROM {source} AS g {_where(conditions)} {NEWEST}")
        jobs = connection.execute(asked, values | of_days).scalars().all()
        found = []
        for at in range(0, len(jobs), AT_ONCE):
            these, left = {"these": list(jobs[at : at + AT_ONCE])}, query.most - len(found)
            found += _rows(connection, query, more, technician, source=THESE, values=these, most=left)
            if len(found) == query.most:
                return found
    return found


def _may_answer(query: JobQuery, technician: str) -> tuple[list[str], dict[str, Any]]:
    """Conditions that each job holds that answers, for the index over its words; none where it is of no use."""
    conditions: list[str] = []
    values: dict[str, Any] = {}
    looked = [*wanted(query.words), *wanted(query.vehicle), *((word, "") for word, _ in wanted(query.finding))]
    if searchable(technician):
        looked.append((searchable(technician), ""))
    for word, tidy in looked:
        pieces = {_piece(word), _piece(tidy)} if tidy else {_piece(word)}
        if min(map(len, pieces)) >= LEAST_PIECE:
            names = [f"p{len(values) + at}" for at in range(len(pieces))]
            values |= dict(zip(names, map(pattern, sorted(pieces)), strict=True))
            conditions.append(f"({' OR '.join(f'words LIKE :{name}' for name in names)})")
    return conditions, values


def _piece(word: str) -> str:
    """A part of the word that tells most of it: the end of a number, where there is one, else its longest run."""
    runs = "".join(sign if sign.isalnum() else " " for sign in word).split()
    numbers = [run for run in runs if any(sign.isdigit() for sign in run)]
    if numbers:
        longest = max(numbers, key=len)
        return longest[-PIECE:] if len(longest) >= LEAST_PIECE else word
    return max(runs, key=len, default="")[:PIECE]


def _where(conditions: Sequence[str]) -> str:
    return f"WHERE {' AND '.join(conditions)}" if conditions else ""


def _days(query: JobQuery, column: str) -> tuple[list[str], dict[str, Any]]:
    conditions, values = [], {}
    for name, day, compared in (("since", query.since, ">="), ("until", query.until, "<")):
        if day is not None:
            values[name] = day
            conditions.append(f"{column} {compared} :{name}")
    return conditions, values


def _rows(
    connection: Connection,
    query: JobQuery,
    more: str,
    technician: str,
    *,
    source: str = "lines",
    values: Mapping[str, Any] = MappingProxyType({}),
    most: int | None = None,
) -> Sequence[Row[Any]]:
    """Those of the lines in `source` that answer, newest first."""
    conditions, own = _conditions(query)
    if searchable(technician):
        own["staff"] = pattern(searchable(technician))
        conditions.append(
            "EXISTS (SELECT FROM said s WHERE s.job_no = l.job_no AND s.belongs = 'staff' AND s.words LIKE :staff)"
        )
    return connection.execute(
        text(
            f"SELECT {SHOWN}{more} FROM {source} l JOIN jobs j USING (job_no) {_where(conditions)} "
            "ORDER BY l.started_utc DESC, l.job_no DESC LIMIT :most"
        ),
        own | dict(values) | {"most": query.most if most is None else most},
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


def _conditions(query: JobQuery) -> tuple[list[str], dict[str, Any]]:
    conditions: list[str] = []
    values: dict[str, Any] = {}

    def like(words: str) -> str:
        values[f"w{len(values)}"] = pattern(words)
        return f":w{len(values) - 1}"

    def said(condition: str) -> str:
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
    days, of_days = _days(query, "l.started_utc")
    if query.ended is not None:
        conditions.append("l.ended" if query.ended else "NOT l.ended")
    return conditions + days, values | of_days


def pattern(words: str) -> str:
    """Words anywhere, as LIKE takes them."""
    plain = storable(words).replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    return f"%{plain}%"
