"""A connection to the store as it has to be: to write by, or to read by where nothing may be changed."""

from __future__ import annotations

import os
import sqlite3
import sys
from pathlib import Path
from time import monotonic, sleep

from assistant.adapters.journal_sqlite.schema import require_newest

CHECKPOINT_PAGES = 16_000
"""Pages of the write-ahead log after which it is carried into the store. SQLite's thousand are full after some 130
appends, whose last then waits for several syncs; these are 64 MB, more than a day. Closing and forgetting empty it too.
"""

RETRY_S = 0.01
"""Until a store that another program makes is tried again. Judgement."""


def prepare(connection: sqlite3.Connection, busy_s: float) -> None:
    """Make it safe to write by. Raises sqlite3.Error, after `busy_s` where others keep the store busy."""
    _log_ahead(connection, monotonic() + busy_s)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute(f"PRAGMA wal_autocheckpoint = {CHECKPOINT_PAGES}")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA secure_delete = ON")  # what is removed is overwritten, not only forgotten
    connection.execute("PRAGMA trusted_schema = OFF")


def _log_ahead(connection: sqlite3.Connection, until_s: float) -> None:
    """SQLite itself does not wait where several programs turn a new store to its log ahead of writing at once."""
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or monotonic() >= until_s:
                raise
            sleep(RETRY_S)


def open_for_reading(path: Path, busy_s: float) -> sqlite3.Connection:
    """A connection that changes nothing, also where the folder may not be written (a disk mounted to look at)."""
    log, index = (path.with_name(f"{path.name}{end}") for end in ("-wal", "-shm"))
    how, alone = "", False
    # Where the log's index cannot be made, nobody writes either: an empty log allows the file to be taken as it stands,
    # another is read with its index in memory, which wants a way to the file that asks for no locks.
    if not os.access(path.parent, os.W_OK):
        logged = log.exists() and log.stat().st_size > 0
        how, alone = ("&immutable=1", False) if not logged else ("&vfs=unix-none", True)
        if logged and (index.exists() or sys.platform == "win32"):
            how, alone = "", False
    address = f"{path.absolute().as_uri()}?mode=ro{how}"
    connection = sqlite3.connect(address, uri=True, timeout=busy_s, isolation_level=None)
    try:
        if alone:
            connection.execute("PRAGMA locking_mode = EXCLUSIVE")
        require_newest(connection, path)
    except BaseException:
        connection.close()
        raise
    return connection
