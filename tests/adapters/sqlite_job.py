"""An invented job for the tests of the store, and work in programs of their own."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable
from pathlib import Path

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.facts import Fact, FactKind
from assistant.record.chain import faults

JOB = "blue-van"


def utc() -> str:
    """An invented time of day."""
    return "2031-05-01T09:00:00.000Z"


def note(number: int, words: str = "said") -> Fact:
    """A note in an invented job."""
    return Fact(
        id=f"k7-{number}", job=JOB, number=number, at_s=float(number), kind=FactKind.NOTE_TAKEN, data={"words": words}
    )


def numbers(folder: Path) -> list[int]:
    """Numbers of the facts that whoever opens the store finds; the chain must hold."""
    journal = SqliteJournal(folder, utc)
    try:
        assert faults(journal.entries(JOB)) == ()
        return [kept.number for kept in journal.facts(JOB)]
    finally:
        journal.close()


def in_child(work: Callable[[int], None]) -> tuple[int, int]:
    """Run `work(pipe)` in a forked process. Returns its process id and the pipe to read from."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        gc.freeze()  # a network among the parent's garbage would wait for threads that no copy has
        try:
            os.close(reading)
            work(writing)
            code = 0
        finally:
            os._exit(code)
    os.close(writing)
    return child, reading


def told_of(pipe: int) -> str:
    """All that the child wrote."""
    parts = []
    while part := os.read(pipe, 65536):
        parts.append(part)
    os.close(pipe)
    return b"".join(parts).decode()
