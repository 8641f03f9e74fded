"""Every journal behaves alike."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TypeVar

import pytest

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_postgres import JobHeld, PostgresJournal
from assistant.adapters.journal_sqlite import SqliteJournal
from tests.ports.journal_suite import fact
from tests.ports.log_suite import LastingJournalSuite, LogSuite
from tests.shop_server import ALL, Shop


@pytest.fixture
def utc() -> list[str]:
    """What the time of day is; a test may change it."""
    return ["2031-05-01T09:00:00Z"]


@pytest.fixture
def elsewhere() -> MemoryJournal:
    """The journal of another machine."""
    return MemoryJournal(lambda: "2031-04-30T08:00:00Z")


Opened = TypeVar("Opened", SqliteJournal, PostgresJournal)


def closed_after(make: Callable[[], Opened]) -> Iterator[Callable[[], Opened]]:
    """What opens one more; all that were opened are closed once the test is over."""
    opened: list[Opened] = []

    def open_one() -> Opened:
        one = make()
        opened.append(one)
        return one

    yield open_one
    for one in opened:
        one.close()


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
        yield from closed_after(lambda: SqliteJournal(tmp_path, lambda: utc[0], busy_s=2.0))

    @pytest.fixture
    def journal(self, reopen: Callable[[], SqliteJournal]) -> SqliteJournal:
        """A fresh one."""
        return reopen()

    @pytest.fixture
    def die(self) -> Callable[[SqliteJournal], None]:
        """What the system does to the locks of a program that is killed."""

        def let_go(journal: SqliteJournal) -> None:
            for _, handle in journal._locks._held.values():
                os.close(handle)
            journal._locks._held.clear()

        return let_go


class TestPostgresJournal(LastingJournalSuite):
    """On the shop's server."""

    @pytest.fixture
    def reopen(self, shop: Shop, utc: list[str]) -> Iterator[Callable[[], PostgresJournal]]:
        """Opens the same store once more, as another program would."""
        yield from closed_after(lambda: PostgresJournal(shop.account("everything", *ALL), lambda: utc[0]))

    @pytest.fixture
    def journal(self, reopen: Callable[[], PostgresJournal]) -> PostgresJournal:
        """A fresh one."""
        return reopen()

    @pytest.fixture
    def die(self, shop: Shop) -> Callable[[PostgresJournal], None]:
        """A program that is killed says nothing, and its lease runs out."""

        def expire(journal: PostgresJournal) -> None:
            shop.run("UPDATE shop.leases SET until = clock_timestamp()")

        return expire

    def test_who_was_cut_off_too_long_is_told(
        self, journal: PostgresJournal, reopen: Callable[[], PostgresJournal], die: Callable[[PostgresJournal], None]
    ) -> None:
        """A program whose lease ran out and was taken writes nothing more, also once the other has let go."""
        journal.append([fact(1)])
        die(journal)
        other = reopen()
        other.append([fact(2)])
        other.close()
        with pytest.raises(JobHeld, match="took the job while this one was cut off"):
            journal.append([fact(3)])
        assert other.facts("blue-van") == (fact(1), fact(2))

    def test_a_claim_outlives_its_connection(
        self, journal: PostgresJournal, reopen: Callable[[], PostgresJournal], shop: Shop
    ) -> None:
        """The connection is cut at the server: the holder goes on, and nobody else came between."""
        journal.append([fact(1)])
        shop.run("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = 'everything'")
        with pytest.raises(JobHeld, match="open in another program"):
            reopen().append([fact(2)])
        journal.append([fact(2)])
        assert journal.facts("blue-van") == (fact(1), fact(2))
