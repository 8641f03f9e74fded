"""Every journal behaves alike."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_sqlite import SqliteJournal
from tests.ports.log_suite import LastingJournalSuite, LogSuite


@pytest.fixture
def utc() -> list[str]:
    """What the time of day is; a test may change it."""
    return ["2031-05-01T09:00:00Z"]


@pytest.fixture
def elsewhere() -> MemoryJournal:
    """The journal of another machine."""
    return MemoryJournal(lambda: "2031-04-30T08:00:00Z")


class TestMemoryJournal(LogSuite):
    """In memory."""

    @pytest.fixture
    def journal(self, utc: list[str]) -> MemoryJournal:
        """A fresh one."""
        return MemoryJournal(lambda: utc[0])


class TestSqliteJournal(LastingJournalSuite):
    """On disk."""

    @pytest.fixture
    def reopen(self, tmp_path: Path, utc: list[str]) -> Iterator[Callable[[], SqliteJournal]]:
        """Opens the same store once more, as another program would."""
        opened: list[SqliteJournal] = []

        def open_one() -> SqliteJournal:
            opened.append(SqliteJournal(tmp_path, lambda: utc[0], busy_s=0.2))
            return opened[-1]

        yield open_one
        for one in opened:
            one.close()

    @pytest.fixture
    def journal(self, reopen: Callable[[], SqliteJournal]) -> SqliteJournal:
        """A fresh one."""
        return reopen()
