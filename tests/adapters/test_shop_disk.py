"""The server's disk is full once: what was acknowledged stays, what was not waits at the bay, and all goes on after."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path

import pytest

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_postgres import Delivery, ShopDesk
from assistant.adapters.outbox_file import OutboxFile
from assistant.adapters.signer_ed25519 import InstallKey
from assistant.errors import SetupError, ShopUnreachable
from assistant.facts import FactKind
from assistant.record.verify import verify_job, verify_log
from assistant.session.outbox import Outbox
from tests.ports.journal_suite import fact
from tests.shop_server import Shop, make_shop, need_server

UTC = "2031-05-01T09:00:00.000Z"
SIZE_MB, LEFT_KB, JOB_FACTS = 160, 512, 400


@pytest.fixture
def small_disk() -> Iterator[Path]:
    """A file system of its own with little room, gone afterwards."""
    need_server()
    folder = Path(tempfile.mkdtemp(prefix="shop-"))
    command = ["mount", "-t", "tmpfs", "-o", f"size={SIZE_MB}m,mode=0700", "tmpfs", str(folder)]
    mounted = False
    with suppress(OSError):
        mounted = subprocess.run(command, capture_output=True, check=False).returncode == 0
    if not mounted:
        folder.rmdir()
        pytest.skip("a file system with little room can be mounted here by nobody but root, or not at all")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)
        folder.rmdir()


def fill(folder: Path) -> Path:
    """Leave next to no room; the file that takes it."""
    ballast = folder / "ballast"
    free = shutil.disk_usage(folder).free - LEFT_KB * 1024
    with ballast.open("wb") as file:
        os.posix_fallocate(file.fileno(), 0, free)
    return ballast


def record(journal: MemoryJournal, number: int) -> int:
    """A job of some hundred facts, none of which can be pressed small; how many."""
    begun = fact(
        1, job=f"job-{number}", key=f"k{number:03d}", kind=FactKind.JOB_STARTED, data={"key": f"k{number:03d}"}
    )
    noted = [
        fact(at, job=f"job-{number}", key=f"k{number:03d}", data={"words": os.urandom(400).hex()})
        for at in range(2, JOB_FACTS + 1)
    ]
    journal.append([begun, *noted])
    return JOB_FACTS


def hold_whole(shop: Shop, journal: MemoryJournal, acknowledged: set[str]) -> None:
    """Every job that was acknowledged is there, as it was recorded and once, and everything proves."""
    with closing(ShopDesk(shop.account("desk", "hoodside_desk"), lambda: UTC)) as desk:
        assert acknowledged <= set(desk.jobs())
        for job in desk.jobs():
            assert [one.hash for one in desk.entries(job)] == [one.hash for one in journal.entries(job)]
            assert verify_job(desk, job).wrong == ()
        assert verify_log(desk).wrong == ()
    ((count, different),) = shop.ask("SELECT count(*), count(DISTINCT id) FROM shop.facts")
    assert count == different


def test_a_full_disk_loses_and_doubles_nothing(small_disk: Path, tmp_path: Path) -> None:
    """First the tables cannot grow, which is told; then its own log cannot either, at which the server ends. With room
    again it starts, and gets what waited."""
    shop = make_shop(small_disk)
    journal, key = MemoryJournal(lambda: UTC), InstallKey(tmp_path)
    try:
        with closing(Delivery(shop.account("bay-one", "hoodside_bay"), lambda: UTC, key)) as server:
            server.join()
            outbox = Outbox(journal, server, OutboxFile(tmp_path), lambda: UTC, lambda: journal)
            recorded = record(journal, 0)
            assert outbox.round().facts == recorded
            ballast, acknowledged = fill(small_disk), {"job-0"}
            with pytest.raises(ShopUnreachable, match="the server's disk is full"):
                for number in range(1, 100):
                    recorded += record(journal, number)
                    outbox.round()
                    acknowledged.add(f"job-{number}")
            assert "disk is full" in OutboxFile(tmp_path).read().trouble
            assert outbox.waiting() == 1
            hold_whole(shop, journal, acknowledged)
            with pytest.raises(ShopUnreachable):
                for number in range(100, 200):
                    with suppress(Exception):  # it ends in the middle of this
                        shop.run("SELECT pg_switch_wal()")
                    recorded += record(journal, number)
                    outbox.round()
            shop.let_go()
            ballast.unlink()
            with suppress(SetupError):  # it may have ended meanwhile
                shop.server.stop("immediate")
            shop.server.start()
            hold_whole(shop, journal, acknowledged)
            while outbox.round().more or outbox.waiting():
                pass
            assert OutboxFile(tmp_path).read().trouble == ""
            hold_whole(shop, journal, set(journal.jobs()))
            assert shop.ask("SELECT count(*) FROM shop.facts") == [(recorded,)]
    finally:
        shop.let_go()
        shop.server.stop("immediate")
