"""The store's log in its tables: leaves are added, never changed, with the subtrees that each of them completes.

A row holds the hash of its leaf and then of each complete subtree that ends with it, from it up: so a leaf costs one
insert at the end of one table, and every node of the tree is found by the number of the row that completed it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from secrets import token_hex

from assistant.adapters.journal_sqlite.rows import number_of_job
from assistant.record.chain import Entry
from assistant.record.log import (
    Leaf,
    LeafKind,
    Logged,
    LogHead,
    Moment,
    Signer,
    found_leaf,
    head_leaf,
    key_leaf,
    store_leaf,
)
from assistant.record.merkle import grown, leaf_hash, root_of

TABLES = """
CREATE TABLE log (
    place INTEGER PRIMARY KEY,
    kind TEXT NOT NULL,
    job_no INTEGER,
    number INTEGER,
    boot TEXT,
    ms INTEGER,
    leaf TEXT,
    nodes BLOB NOT NULL
);
CREATE INDEX log_of_job ON log (job_no) WHERE job_no IS NOT NULL;
CREATE INDEX log_keys ON log (place) WHERE kind = 'key';
CREATE TABLE log_head (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    store TEXT NOT NULL,
    size INTEGER NOT NULL,
    peaks BLOB NOT NULL,
    utc TEXT NOT NULL,
    key BLOB NOT NULL,
    signature BLOB NOT NULL
);
CREATE TABLE texts (
    digest TEXT PRIMARY KEY,
    text TEXT NOT NULL
) WITHOUT ROWID;
CREATE TRIGGER leaves_are_never_updated BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'a leaf of the log is never updated'); END;
CREATE TRIGGER leaves_are_never_deleted BEFORE DELETE ON log
BEGIN SELECT RAISE(ABORT, 'a leaf of the log is never deleted'); END;
"""
_HASH = 32
_ROWS = (
    "SELECT l.place, l.kind, j.name, l.number, l.boot, l.ms, l.leaf, substr(l.nodes, 1, 32), f.id, f.hash "
    "FROM log l LEFT JOIN jobs j USING (job_no) LEFT JOIN facts f ON f.job_no = l.job_no AND f.number = l.number "
)
_HELD = (int, str, str | None, int | None, str | None, int | None, str | None, bytes, str | None, bytes | None)
"""Of what type each column of `_ROWS` is."""


def begin_log(connection: sqlite3.Connection) -> None:
    """The log of a store that had none: its first leaf, and one for each job that is in it already."""
    store = token_hex(16)
    connection.execute("INSERT INTO log_head VALUES (1, ?, 0, X'', '', X'', X'')", (store,))
    add_leaves(connection, [(None, store_leaf(store))])
    jobs = connection.execute("SELECT job_no, name FROM jobs ORDER BY job_no").fetchall()
    for job_no, name in jobs:
        last = connection.execute(
            "SELECT number, id, hash FROM facts WHERE job_no = ? ORDER BY number DESC LIMIT 1", (job_no,)
        ).fetchone()
        if last is not None:
            gone = connection.execute(
                "SELECT number, place FROM personal WHERE job_no = ? AND (value IS NULL OR trim(removed_utc) <> '') "
                "ORDER BY number, place",
                (job_no,),
            ).fetchall()
            number, fact_id, fact_hash = last
            add_leaves(connection, [(job_no, found_leaf(name, number, fact_id, fact_hash, gone))])


def add_leaves(connection: sqlite3.Connection, leaves: Iterable[tuple[int | None, Leaf]]) -> None:
    """Add leaves, each with the number of its job in the store; the head is signed by `sign_head` afterwards."""
    size, kept = connection.execute("SELECT size, peaks FROM log_head").fetchone()
    peaks = _parted(kept)
    for job_no, leaf in leaves:
        text = leaf.text()
        peaks, completed = grown(peaks, size, leaf_hash(text.encode()))
        compact = leaf.kind is LeafKind.HEAD  # its text follows from the fact and the moment
        connection.execute(
            "INSERT INTO log (place, kind, job_no, number, boot, ms, leaf, nodes) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                size,
                leaf.kind.value,
                job_no,
                leaf.number if job_no is not None else None,
                leaf.told.get("boot"),
                leaf.told.get("ms"),
                None if compact else text,
                b"".join(completed),
            ),
        )
        size += 1
    connection.execute("UPDATE log_head SET size = ?, peaks = ?, signature = X''", (size, b"".join(peaks)))


def sign_head(connection: sqlite3.Connection, signer: Signer | None, utc: str) -> None:
    """Sign where the log ends now; where another key signed before, the leaves that lead to this one come first."""
    (before,) = connection.execute("SELECT key FROM log_head").fetchone()
    key = signer.key if signer is not None else b""
    if key and key != before:
        steps = (signer.since(before) if signer is not None and before else ()) or ((key, b""),)
        add_leaves(connection, [(None, leaf) for leaf in _introduced(before, steps)])
    connection.execute("UPDATE log_head SET utc = ?, key = ?", (utc, key or before))
    if signer is not None:
        connection.execute("UPDATE log_head SET signature = ?", (signer.sign(log_head(connection).message()),))


def _introduced(before: bytes, steps: Iterable[tuple[bytes, bytes]]) -> Iterator[Leaf]:
    for key, signature in steps:
        yield key_leaf(key, before, signature)
        before = key


def log_head(connection: sqlite3.Connection) -> LogHead:
    """Where the log ends; an empty head where the table was emptied."""
    row = connection.execute("SELECT store, size, peaks, utc, key, signature FROM log_head").fetchone()
    if row is None:
        return LogHead()
    store, size, peaks, utc, key, signature = row
    return LogHead(store=store, size=size, root=root_of(_parted(peaks)), utc=utc, key=key, signature=signature)


def node(connection: sqlite3.Connection, level: int, index: int) -> bytes:
    """The hash of a complete subtree. Raises LookupError where its row is gone or too short."""
    place = ((index + 1) << level) - 1
    row = connection.execute("SELECT nodes FROM log WHERE place = ?", (place,)).fetchone()
    found = b"" if row is None else bytes(row[0][level * _HASH : (level + 1) * _HASH])
    if len(found) != _HASH:
        raise LookupError(f"entry {place} of the log is gone or was cut short")
    return found


def all_nodes(connection: sqlite3.Connection) -> Iterator[tuple[int, tuple[bytes, ...]]]:
    """Each place of the log with the hashes that its row keeps, in order."""
    for place, nodes in connection.execute("SELECT place, nodes FROM log ORDER BY place"):
        yield place, _parted(nodes)


def logged(
    connection: sqlite3.Connection, job: str | None, since: int = 0, most: int | None = None
) -> Iterator[Logged]:
    """The leaves, of one job or all, in order; of all of them from a place on, at most so many."""
    if job is None:
        limit = -1 if most is None else most
        rows = connection.execute(f"{_ROWS} WHERE l.place >= ? ORDER BY l.place LIMIT ?", (since, limit))
    else:
        number_here = number_of_job(connection, job)
        rows = connection.execute(f"{_ROWS} WHERE l.job_no = ? ORDER BY l.place", (number_here,))
    for row in rows:
        if not all(map(isinstance, row, _HELD)):  # a damaged file may have lost what holds each column to its type
            raise TypeError(f"an entry of the log holds {row!r:.100}")
        place, kind, name, number, boot, ms, kept, leaf, fact_id, fact_hash = row
        moment = None if boot is None or ms is None else Moment(boot=boot, ms=ms)
        text = kept
        if kind == LeafKind.HEAD:
            text = None if fact_id is None else _head_text(number, fact_id, fact_hash, moment)
        yield Logged(place=place, kind=kind, job=name, number=number or 0, text=text, hash=leaf, moment=moment)


def keys_of(connection: sqlite3.Connection) -> Iterator[Logged]:
    """The leaves from which on another key signed, in order."""
    for place, text, leaf in connection.execute(
        "SELECT place, leaf, substr(nodes, 1, 32) FROM log INDEXED BY log_keys WHERE kind = 'key' ORDER BY place"
    ):
        yield Logged(place=place, kind=LeafKind.KEY.value, job=None, number=0, text=text, hash=bytes(leaf))


def moment_of(connection: sqlite3.Connection, job: str) -> Moment | None:
    """When the job's last fact was kept, by the clock that nobody can set; None where that is not known."""
    row = connection.execute(
        "SELECT boot, ms FROM log WHERE job_no = ? AND kind IN ('head', 'taken', 'found') ORDER BY place DESC LIMIT 1",
        (number_of_job(connection, job),),
    ).fetchone()
    return None if row is None or row[0] is None or row[1] is None else Moment(boot=row[0], ms=row[1])


def _head_text(number: int, fact_id: str, fact_hash: bytes, moment: Moment | None) -> str:
    entry = Entry(job="", number=number, id=fact_id, body="", recorded_utc="", hash=bytes(fact_hash))
    return head_leaf(entry, moment).text()


def _parted(hashes: bytes) -> tuple[bytes, ...]:
    return tuple(bytes(hashes[start : start + _HASH]) for start in range(0, len(hashes), _HASH))
