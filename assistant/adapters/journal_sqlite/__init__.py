"""The journal on disk, in one SQLite file."""

from assistant.adapters.journal_sqlite.store import FILE_NAME, SqliteJournal

__all__ = ["FILE_NAME", "SqliteJournal"]
