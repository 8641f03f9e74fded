"""One writer at a time to a job, across programs: a lock that dies with the program that holds it."""

from __future__ import annotations

import hashlib
from pathlib import Path

from filelock import FileLock, Timeout

from assistant.errors import RecordError


class WritingLocks:
    """The jobs that this program writes. The locks are files' locks, so a killed program frees them at once."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._held: dict[str, FileLock] = {}

    def take(self, job: str) -> None:
        """Hold the job from now until `free`. Raises RecordError when another program writes it, or OSError."""
        if job in self._held:
            return
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        # The name is hashed: a job may be called anything, a file may not.
        name = hashlib.sha256(job.encode("utf-8", "surrogatepass")).hexdigest()[:32]
        lock = FileLock(self._folder / f"{name}.lock", timeout=0)
        try:
            lock.acquire()
        except Timeout:
            raise RecordError(
                f"Job '{job}' is open in another program; close it there first, or start a job under another name.",
                spoken="This job is open in another program.",
            ) from None
        self._held[job] = lock

    def free(self) -> None:
        """Let every job go; may be called twice."""
        for lock in self._held.values():
            lock.release()
        self._held.clear()
