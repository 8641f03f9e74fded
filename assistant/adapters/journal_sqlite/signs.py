"""Which jobs can hold a word at all: one small row of bits a job, so that a search reads whole lines of few jobs alone.

Every three signs that stand beside each other in what searches compare set one of 496 bits of their job's row. A job
whose row lacks a bit of the word cannot hold the word; of the others the words themselves are compared. The rows are as
long as they were whatever they hold, so they are overwritten in place, and a removal makes them anew without what was
removed. A bit too many costs time, a bit too few would hide a job: the check of the whole store looks for these.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from zlib import crc32

TABLE = """
CREATE TABLE signs (
    job_no INTEGER PRIMARY KEY REFERENCES jobs,
    s0 INTEGER NOT NULL, s1 INTEGER NOT NULL, s2 INTEGER NOT NULL, s3 INTEGER NOT NULL,
    s4 INTEGER NOT NULL, s5 INTEGER NOT NULL, s6 INTEGER NOT NULL, s7 INTEGER NOT NULL
);
"""
PARTS, BITS = 8, 62
RUN = 3
"""Signs that make one bit; a shorter word is looked for everywhere."""
_ALWAYS = 1 << BITS
"""Set in every part, so that each takes eight bytes whatever else it holds."""
_NAMES = tuple(f"s{part}" for part in range(PARTS))
Signs = tuple[int, ...]


def signs_of(texts: Iterable[str]) -> Signs:
    """The bits that these texts set."""
    parts = [_ALWAYS] * PARTS
    for text in texts:
        for at in {text[start : start + RUN] for start in range(len(text) - RUN + 1)}:
            bit = crc32(at.encode("utf-8", "replace")) % (PARTS * BITS)
            parts[bit // BITS] |= 1 << bit % BITS
    return tuple(parts)


def condition(spellings: Sequence[str]) -> tuple[str, tuple[int, ...]]:
    """What a row must hold where one of these spellings is to be in its job, with values; empty where all may."""
    found: list[str] = []
    values: list[int] = []
    for word in dict.fromkeys(spellings):
        named = [(name, part) for name, part in zip(_NAMES, signs_of([word]), strict=True) if part != _ALWAYS]
        if not named:
            return "", ()
        found.append(" AND ".join(f"{name} & ? = ?" for name, _ in named))
        values += [part for _, part in named for _ in range(2)]
    return f"(({') OR ('.join(found)}))", tuple(values)


def add_signs(connection: sqlite3.Connection, job_no: int, texts: Iterable[str]) -> None:
    """Set what these texts set beside what is set already."""
    more = signs_of(texts)
    kept = _row(connection, job_no)
    if kept is None:
        connection.execute(f"INSERT INTO signs VALUES (?, {', '.join('?' * PARTS)})", (job_no, *more))
        return
    both = tuple(old | new for old, new in zip(kept, more, strict=True))
    if both != kept:
        _write(connection, job_no, both)


def renew_signs(connection: sqlite3.Connection, job_no: int) -> None:
    """Make the job's row anew from what searches compare."""
    made = signs_of(_compared(connection, job_no))
    if _row(connection, job_no) is None:
        connection.execute(f"INSERT INTO signs VALUES (?, {', '.join('?' * PARTS)})", (job_no, *made))
    else:
        _write(connection, job_no, made)


def hides(connection: sqlite3.Connection, job_no: int) -> bool:
    """Whether a bit is missing, so that a search would pass the job by."""
    kept = _row(connection, job_no)
    if kept is None:
        return True
    needed = signs_of(_compared(connection, job_no))
    return any(need & ~part for need, part in zip(needed, kept, strict=True))


def _compared(connection: sqlite3.Connection, job_no: int) -> list[str]:
    rows = connection.execute(
        "SELECT everything FROM summaries WHERE job_no = ? UNION ALL SELECT words FROM said WHERE job_no = ?",
        (job_no, job_no),
    )
    return [text for (text,) in rows if text.strip()]


def _row(connection: sqlite3.Connection, job_no: int) -> Signs | None:
    row = connection.execute(f"SELECT {', '.join(_NAMES)} FROM signs WHERE job_no = ?", (job_no,)).fetchone()
    return None if row is None else tuple(row)


def _write(connection: sqlite3.Connection, job_no: int, parts: Signs) -> None:
    told = ", ".join(f"{name} = ?" for name in _NAMES)
    connection.execute(f"UPDATE signs SET {told} WHERE job_no = ?", (*parts, job_no))
