"""Taking personal values out of the store so that no file in its folder holds their bytes any more.

Writing the whole store anew would keep every other session waiting for as long as that takes. It need not be: SQLite
leaves copies of a row behind only where it moves the row to another page, and it moves none of `personal` and `said`,
whose rows are added at the end (a full page of a table by row number is left as it is and a new one begun) and are
overwritten here by as many bytes, in their own place. What those two tables held before lay in the write-ahead log,
which is emptied. `secure_delete` covers whatever else is freed.
"""

from __future__ import annotations

import shutil
import sqlite3
import time
from collections.abc import Iterable
from pathlib import Path

from assistant.adapters.journal_sqlite.rows import padded
from assistant.adapters.journal_sqlite.schema import backups
from assistant.adapters.journal_sqlite.signs import renew_signs
from assistant.errors import RecordError
from assistant.record.clips import clips_place

_BETWEEN_TRIES_S = 0.02


def remove_values(
    connection: sqlite3.Connection, job_no: int, places: Iterable[tuple[int, str]], removed_utc: str
) -> int:
    """Overwrite salt and value at these places of the job, each a fact's number and a place in it, durable.

    Returns how many values there were.
    """
    rows = [(job_no, number, place) for number, place in places]
    changed = connection.executemany(
        "UPDATE personal SET salt = zeroblob(length(salt)), value = printf('%*s', length(CAST(value AS BLOB)), ''), "
        "removed_utc = ? WHERE job_no = ? AND number = ? AND place = ? AND value IS NOT NULL AND removed_utc = ?",
        [(padded(removed_utc), *row, padded(None)) for row in rows],
    )
    connection.executemany(
        "UPDATE said SET words = printf('%*s', length(CAST(words AS BLOB)), '') "
        "WHERE job_no = ? AND number = ? AND place = ?",
        rows,
    )
    renew_signs(connection, job_no)
    return changed.rowcount


def wipe(connection: sqlite3.Connection, path: Path, busy_s: float) -> tuple[Path, ...]:
    """Empty the log, which held what was overwritten, and drop old backups, which still do; returns these.

    `busy_s`: how long that is tried while others read and write. Raises RecordError when another program is in the way.
    """
    _empty_log(connection, path, busy_s)
    dropped = backups(path)
    for backup in dropped:
        backup.unlink()
    return dropped


def drop_clips(folder: Path, job: str) -> bool:
    """Remove the job's sound clips; says whether there were any. Raises OSError."""
    clips = folder.joinpath(*clips_place(job))
    if not clips.exists():
        return False
    shutil.rmtree(clips)
    return True


def _empty_log(connection: sqlite3.Connection, path: Path, busy_s: float) -> None:
    """Carry the log into the store and cut it to nothing, in the first moment in which nobody reads the older state."""
    connection.execute("PRAGMA busy_timeout = 0")  # waiting inside would keep writers waiting behind us
    until_s = time.monotonic() + busy_s
    while True:
        connection.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()  # the long part, in nobody's way
        (busy, _, _) = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        if not busy:
            connection.execute(f"PRAGMA busy_timeout = {round(busy_s * 1000)}")
            return
        if time.monotonic() > until_s:
            raise RecordError(
                f"{path}: the values were taken out, but another program holds the store, so their bytes may still lie "
                "in its files; close every other hoodside and run the same command again."
            )
        time.sleep(_BETWEEN_TRIES_S)
