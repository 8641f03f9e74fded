"""Taking personal values out of the store so that no file in its folder holds their bytes any more."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterable
from pathlib import Path

from assistant.adapters.journal_sqlite.schema import backups
from assistant.errors import RecordError
from assistant.record.clips import clips_place


def remove_values(
    connection: sqlite3.Connection, job_no: int, places: Iterable[tuple[int, str]], removed_utc: str
) -> int:
    """Empty salt and value at these places of the job, durable; returns how many there were."""
    changed = connection.executemany(
        "UPDATE personal SET salt = NULL, value = NULL, removed_utc = ? "
        "WHERE job_no = ? AND number = ? AND place = ? AND value IS NOT NULL",
        [(removed_utc, job_no, number, place) for number, place in places],
    )
    return changed.rowcount


def wipe(connection: sqlite3.Connection, path: Path) -> tuple[Path, ...]:
    """Overwrite what was emptied: empty the log, write the store anew, empty the log again, drop old backups.

    Returns the backups dropped: they held the same values. Raises RecordError when another program is in the way.
    """
    _empty_log(connection, path)
    connection.execute("VACUUM")
    _empty_log(connection, path)
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


def _empty_log(connection: sqlite3.Connection, path: Path) -> None:
    (busy, _, _) = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    if busy:
        raise RecordError(
            f"{path}: the values were taken out, but another program holds the store, so their bytes may still lie in "
            "its files; close every other hoodside and run the same command again."
        )
