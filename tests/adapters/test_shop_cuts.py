"""Bays as processes against a real server, with the way cut, the server killed, bays killed and clocks off.

Nothing that was acknowledged is lost, nothing is doubled, each chain is in order and whole.
"""

from __future__ import annotations

import os
import random
import selectors
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import pytest
from sqlalchemy import URL

from assistant.adapters.journal_postgres import ShopDesk
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.record.verify import verify_job, verify_log
from tests.shop_bay import LOST, made
from tests.shop_server import PASSWORD, Shop, make_shop, need_server

ROOT = Path(__file__).parents[2]
PATIENCE_S = 900


class Proxy:
    """A way to the server that can be cut in the middle of anything."""

    def __init__(self, port: int) -> None:
        self._to = port
        self._pairs: dict[socket.socket, socket.socket] = {}
        self._asked = selectors.DefaultSelector()
        self._listens = socket.create_server(("127.0.0.1", 0), backlog=64)
        self._asked.register(self._listens, selectors.EVENT_READ)
        self.port = int(self._listens.getsockname()[1])
        self._lock = threading.Lock()
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def cut(self) -> int:
        """Cut every connection as it stands; how many there were."""
        with self._lock:
            count = len(self._pairs) // 2
            for one in list(self._pairs):
                self._drop(one)
        return count

    def close(self) -> None:
        """End."""
        self._ended.set()
        self._thread.join()
        self.cut()
        self._listens.close()

    def _run(self) -> None:
        while not self._ended.is_set():
            for key, _ in self._asked.select(0.05):
                with self._lock, suppress(OSError, KeyError):
                    if key.fileobj is self._listens:
                        self._accept()
                    else:
                        self._pass_on(key.fileobj)  # type: ignore[arg-type]  # a socket: nothing else is registered

    def _accept(self) -> None:
        here, _ = self._listens.accept()
        try:
            there = socket.create_connection(("127.0.0.1", self._to), timeout=2)
        except OSError:
            here.close()
            return
        for one, other in ((here, there), (there, here)):
            one.settimeout(2)
            self._pairs[one] = other
            self._asked.register(one, selectors.EVENT_READ)

    def _pass_on(self, one: socket.socket) -> None:
        try:
            content = one.recv(65_536)
            if content:
                self._pairs[one].sendall(content)
                return
        except OSError:
            pass
        self._drop(one)

    def _drop(self, one: socket.socket) -> None:
        other = self._pairs.pop(one, None)
        for each in (one, other):
            if each is not None:
                self._pairs.pop(each, None)
                with suppress(KeyError, ValueError):
                    self._asked.unregister(each)
                each.close()


@contextmanager
def own_shop(*, durable: bool) -> Iterator[Shop]:
    """A server of this test alone, since it is killed."""
    need_server()
    folder = Path(tempfile.mkdtemp(prefix="shop-"))
    shop = make_shop(folder, durable=durable)
    try:
        yield shop
    finally:
        shop.let_go()
        shop.server.stop("immediate")
        shutil.rmtree(folder, ignore_errors=True)


def begin_bay(words: list[str], settings: Path) -> subprocess.Popen[bytes]:
    """A bay's process."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_CONFIG_HOME": str(settings)}
    command = [sys.executable, "-m", "tests.shop_bay", *words]
    return subprocess.Popen(command, cwd=ROOT, env=environment, stderr=subprocess.PIPE)


def kill_server(shop: Shop) -> None:
    """Its first process is killed, at which the others end; then it is started anew."""
    first = shop.server.process()
    family = [first, *(pid for pid, (_, parent) in processes().items() if parent == first)]
    shop.let_go()
    os.kill(first, signal.SIGKILL)
    until, wait = time.monotonic() + 60, threading.Event()
    while any(processes().get(pid, ("Z", 0))[0] != "Z" for pid in family):
        assert time.monotonic() < until, "the server's processes do not end"
        wait.wait(0.05)
    # Where nobody reaps it, the dead process still has its number, for which PostgreSQL takes it to be running.
    for lock in (shop.server.cluster / "postmaster.pid", *shop.server.folder.glob(".s.PGSQL.*.lock")):
        lock.unlink(missing_ok=True)
    shop.server.start()


def processes() -> dict[int, tuple[str, int]]:
    """State and parent of each process, by its number."""
    found = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError, ValueError, IndexError):
            state, parent = stat.read_text().rpartition(") ")[2].split()[:2]
            found[int(stat.parent.name)] = (state, int(parent))
    return found


def storm(shop: Shop, folder: Path, *, bays: int, jobs: int, each: int, cuts: int, kills: int, deaths: int) -> None:
    """Let them work, with so many cuts of all connections, kills of the server and of bays at random moments."""
    with closing(Proxy(shop.server.port)) as proxy:
        running: dict[str, subprocess.Popen[bytes]] = {}
        try:
            _storm(shop, folder, proxy, running, size=(bays, jobs, each), hits=(cuts, kills, deaths))
        finally:
            for process in running.values():
                process.kill()
                process.wait()


def _storm(
    shop: Shop,
    folder: Path,
    proxy: Proxy,
    running: dict[str, subprocess.Popen[bytes]],
    *,
    size: tuple[int, int, int],
    hits: tuple[int, int, int],
) -> None:
    (bays, jobs, each), (cuts, kills, deaths) = size, hits
    words, dice = {}, random.Random(5)
    for number in range(bays):
        name = f"bay-{number}"
        url: URL = shop.account(name, "hoodside_bay").set(port=proxy.port)
        data = folder / name
        off_h = (-24, 24, 0)[number % 3]
        words[name] = [str(data), url.render_as_string(), PASSWORD, name, *map(str, (jobs, each, off_h))]
        running[name] = begin_bay(words[name], folder)
    coming = ["cut"] * cuts + ["server"] * kills + ["bay"] * deaths
    dice.shuffle(coming)
    done, wait, until = 0, threading.Event(), time.monotonic() + PATIENCE_S
    while running:
        assert time.monotonic() < until, "the bays are not ready in time"
        wait.wait(dice.uniform(0.01, 0.25))
        for name, process in list(running.items()):
            code = process.poll()
            if code is not None:
                told = process.stderr.read().decode() if process.stderr else ""
                assert code != LOST, f"{name}: the server forgot what it had acknowledged"
                assert code == 0, f"{name}: {told}"
                del running[name]
        if not coming or not running:
            continue
        hit = coming[-1]
        if hit == "cut" and not proxy.cut():
            continue  # nobody was connected just then
        if hit == "server":
            kill_server(shop)
        if hit == "bay":
            name = dice.choice(sorted(running))
            running[name].kill()
            running[name].wait()
            running[name] = begin_bay(words[name], folder)
        coming.pop()
        done += 1
    assert done == cuts + kills + deaths, f"only {done} hits before everything was sent: {coming} are left"


def hold_whole(shop: Shop, folder: Path, *, bays: int, jobs: int, each: int) -> None:
    """Exactly what every bay keeps is on the server, once, in order, and everything proves."""
    desk = ShopDesk(shop.account("desk", "hoodside_desk"), lambda: "2031-05-01T09:00:00.000Z")
    assert shop.ask("SELECT count(*), count(DISTINCT id) FROM shop.facts") == [(bays * jobs * each,) * 2]
    assert len(desk.jobs()) == bays * jobs
    for number in range(bays):
        here = SqliteJournal(folder / f"bay-{number}", lambda: "", reading=True)
        for index in range(jobs):
            job, key = f"bay-{number}-job-{index}", f"bay-{number}{index:04d}"
            assert [one.hash for one in desk.entries(job)] == [one.hash for one in here.entries(job)]
            assert desk.facts(job) == tuple(made(job, key, at) for at in range(1, each + 1))
            assert verify_job(desk, job).wrong == ()
        here.close()
    assert verify_log(desk).wrong == ()
    skews = [skew for (skew,) in shop.ask("SELECT DISTINCT round(skew_s / 3600) FROM shop.jobs ORDER BY 1")]
    assert skews == sorted((-24, 24, 0)[: min(bays, 3)])
    desk.close()


def test_two_bays_in_a_small_storm(tmp_path: Path) -> None:
    """Some cuts, the server killed once, a bay killed once: every fact is there once."""
    size = {"bays": 2, "jobs": 4, "each": 120}
    with own_shop(durable=False) as shop:
        storm(shop, tmp_path, **size, cuts=8, kills=1, deaths=1)
        hold_whole(shop, tmp_path, **size)


@pytest.mark.campaign
@pytest.mark.parametrize("bays", [2, 8])
def test_bays_in_a_storm(tmp_path: Path, bays: int) -> None:
    """20,000 facts with 200 cuts, the server killed ten times and bays ten times: every fact is there once."""
    size = {"bays": bays, "jobs": 20, "each": 500 if bays == 2 else 125}
    with own_shop(durable=True) as shop:
        storm(shop, tmp_path, **size, cuts=200, kills=10, deaths=10)
        hold_whole(shop, tmp_path, **size)
