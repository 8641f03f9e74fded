"""One writer at a time to a job, across programs: a lock that dies with the program that holds it.

A lock is the system's lock on a small file. The file is removed with the lock, so that a shop's hundred thousand jobs
do not leave as many files; whoever then holds a lock on a removed file notices and tries again.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
from pathlib import Path

from assistant.errors import RecordError

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class WritingLocks:
    """The jobs that this program writes."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._held: dict[str, tuple[Path, int]] = {}

    def take(self, job: str) -> None:
        """Hold the job from now until `free`. Raises RecordError when another program writes it, or OSError."""
        if job in self._held:
            return
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        # The name is hashed: a job may be called anything, a file may not.
        name = hashlib.sha256(job.encode("utf-8", "surrogatepass")).hexdigest()[:32]
        path = self._folder / f"{name}.lock"
        handle = None
        while handle is None:
            handle = _held_file(path, job)
        self._held[job] = path, handle

    def free(self) -> None:
        """Let every job go; may be called twice."""
        for path, handle in self._held.values():
            _let_go(path, handle)
        self._held.clear()

    def free_one(self, job: str) -> None:
        """Let one job go, if it is held."""
        if job in self._held:
            _let_go(*self._held.pop(job))

    def holds(self, job: str) -> bool:
        """Whether this program writes the job."""
        return job in self._held


def _held_file(path: Path, job: str) -> int | None:
    """The locked file, or None when it was removed between opening and locking."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
    try:
        _lock(handle)
        if os.path.samestat(os.fstat(handle), path.stat()):
            return handle
    except FileNotFoundError:
        pass
    except (BlockingIOError, PermissionError) as busy:
        os.close(handle)
        raise RecordError(
            f"Job '{job}' is open in another program; close it there first, or start a job under another name.",
            spoken="This job is open in another program.",
        ) from busy
    os.close(handle)
    return None


def _let_go(path: Path, handle: int) -> None:
    # Where an open file cannot be removed (Windows), it stays; it is empty and does no harm.
    with contextlib.suppress(OSError):
        path.unlink()
    os.close(handle)
