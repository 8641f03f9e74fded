"""What SQLite's and the file system's errors mean for whoever must act."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.errors import RecordError

_PRIMARY = 0xFF  # the low byte of an extended result code is the primary one

_MEANINGS: dict[int, tuple[str, str]] = {
    sqlite3.SQLITE_FULL: ("the disk is full; free some space", "The disk is full. I cannot keep the record. Stopping."),
    sqlite3.SQLITE_IOERR: (
        "the disk refused to write or read; check its space and health",
        "The disk refused. I cannot keep the record. Stopping.",
    ),
    sqlite3.SQLITE_READONLY: (
        "the folder or file may not be written; give write permission or choose another folder with --data",
        "The record folder is read only. Stopping.",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "the file cannot be opened or made; check the folder and its permissions or choose another with --data",
        "I cannot open the record. Stopping.",
    ),
    sqlite3.SQLITE_PERM: ("permission was denied; check the folder's permissions", "I may not open the record."),
    sqlite3.SQLITE_BUSY: (
        "another program kept the store busy for too long; close it and try again",
        "Another program holds the record. Stopping.",
    ),
    sqlite3.SQLITE_LOCKED: ("another program holds the store; close it and try again", "The record is locked."),
    sqlite3.SQLITE_CORRUPT: (
        "the file is damaged; it was left as it is; restore a backup or an export",
        "The record file is damaged. Stopping.",
    ),
    sqlite3.SQLITE_NOTADB: (
        "the file is not a store of records; it was left as it is; restore a backup or move it away",
        "The record file is damaged. Stopping.",
    ),
    sqlite3.SQLITE_TOOBIG: ("what should be kept is too long", "That is too long to keep."),
}


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turns sqlite3.Error and OSError inside the block into one RecordError that names the file and what to do."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", None)
        meaning, spoken = _MEANINGS.get(
            (code or 0) & _PRIMARY, (f"the store reported: {error}", "I cannot keep the record. Stopping.")
        )
        raise RecordError(f"{path}: the record could not be kept: {meaning}.", spoken=spoken) from error
    except OSError as error:
        reason = error.strerror or str(error)
        raise RecordError(
            f"{path}: the record could not be kept: {reason}; check the folder or choose another with --data.",
            spoken="I cannot keep the record. Stopping.",
        ) from error


@contextmanager
def read(path: Path) -> Iterator[None]:
    """As `told`; also for values that are none of ours, which SQLite hands on as they lie in a damaged file."""
    with told(path):
        try:
            yield
        except (ValueError, TypeError, KeyError, OverflowError, RecursionError) as error:
            meaning, spoken = _MEANINGS[sqlite3.SQLITE_CORRUPT]
            raise RecordError(f"{path}: the record could not be read: {meaning}.", spoken=spoken) from error
