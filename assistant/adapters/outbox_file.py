"""How far a bay's outbox was emptied, in a small file beside its records; and that one program empties it at a time."""

from __future__ import annotations

import contextlib
import json
import os
import sys
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

from assistant.record.outbox import OutboxState

if sys.platform != "win32":
    import fcntl

FILE_NAME = "outbox.json"
LOCK_NAME = "outbox.lock"


class OutboxFile:
    """The state in `folder`. A file that is lost or damaged counts as none: everything is then offered again."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / FILE_NAME
        self._lock = folder / LOCK_NAME

    def read(self) -> OutboxState:
        """What is known."""
        try:
            told: dict[str, Any] = json.loads(self._path.read_text(encoding="utf-8"))
            known = {one.name: one.type for one in fields(OutboxState)}
            state = OutboxState(**{name: value for name, value in told.items() if name in known})
            whole = all(isinstance(value, int) and value >= 0 for value in (state.sent, state.seen, state.asked))
            return state if whole and isinstance(state.refused, dict) else OutboxState()
        except (OSError, ValueError, TypeError, AttributeError):
            return OutboxState()

    def keep(self, state: OutboxState) -> None:
        """Keep it, whole or not at all; what cannot be kept is only sent again."""
        unfinished = self._path.with_name(f".{FILE_NAME}.{os.getpid()}")
        with contextlib.suppress(OSError):
            handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump({one.name: getattr(state, one.name) for one in fields(OutboxState)}, file, indent=1)
            unfinished.replace(self._path)

    @contextlib.contextmanager
    def alone(self) -> Iterator[bool]:
        """Whether no other program empties this outbox, as long as it lasts; the lock dies with the program."""
        handle = os.open(self._lock, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
        try:
            yield _locked(handle)
        finally:
            os.close(handle)


def _locked(handle: int) -> bool:
    if sys.platform == "win32":
        return True  # two that send the same at once are told apart by the server
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
