"""Whether the store still lies where it was opened: what is added to a file that was moved away or removed is lost."""

from __future__ import annotations

from pathlib import Path

from assistant.errors import RecordError


def files_of(store: Path) -> tuple[tuple[int, int], ...]:
    """Which files the store and its write-ahead log are; both are there while it is open to write. Raises OSError."""
    found = (path.stat() for path in (store, store.with_name(f"{store.name}-wal")))
    return tuple((one.st_dev, one.st_ino) for one in found)


def require_in_place(store: Path, files: tuple[tuple[int, int], ...]) -> None:
    """Raises RecordError where other files lie there by now, or none: the system lets us write on into the old ones."""
    try:
        there = files_of(store)
    except FileNotFoundError:
        there = ()
    if there != files:
        raise RecordError(
            f"{store}: the record could not be kept: the folder or its files were moved, replaced or removed while "
            "they were in use; put them back and resume the job, or choose another folder with --data.",
            spoken="The record folder is gone. Stopping.",
        )
