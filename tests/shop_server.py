"""A PostgreSQL server for the tests, one for each worker, and accounts on it; with CI=true there must be one."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import URL, Connection, make_url, text
from sqlalchemy.exc import DBAPIError

from assistant.adapters.journal_postgres.link import engine_for
from assistant.adapters.postgres_server import PostgresServer, as_allowed_user, programs
from assistant.errors import SetupError
from assistant.wiring.shop_keeping import DATABASE, set_up

PASSWORD = "a made-up password"
ALL = ("hoodside_bay", "hoodside_desk", "hoodside_owner")

TABLES = (
    "jobs", "facts", "personal", "job_keys", "said", "lines", "gathered", "texts", "removals", "leases", "log",
    "log_head", "audit", "bays",
)  # fmt: skip
EMPTY = f"""
SET session_replication_role = replica;  -- so that no trigger minds
{"".join(f"DELETE FROM shop.{name};" for name in TABLES)}
SET session_replication_role = origin;
INSERT INTO shop.log_head (store, size, peaks) VALUES (encode(public.gen_random_bytes(16), 'hex'), 0, ''::bytea);
SELECT shop.add_leaf('store', NULL, NULL, (SELECT '{{"leaf":"store","store":"' || store || '"}}' FROM shop.log_head));
"""


@dataclass(frozen=True)
class Shop:
    """A server with an empty store in the database that the commands use."""

    server: PostgresServer
    accounts: dict[str, tuple[str, ...]] = field(default_factory=dict)
    kept: dict[str, Connection] = field(default_factory=dict)

    def keeper(self, database: str = DATABASE) -> URL:
        """The superuser's way in."""
        return make_url(self.server.address(database)).set(drivername="postgresql+psycopg")

    def run(self, statement: str, database: str = DATABASE) -> None:
        """Some SQL as the keeper, outside of a transaction."""
        self._by_keeper(database, lambda connection: connection.exec_driver_sql(statement))

    def ask(self, query: str, database: str = DATABASE) -> list[tuple[Any, ...]]:
        """Rows as the keeper."""
        return self._by_keeper(database, lambda connection: [tuple(row) for row in connection.execute(text(query))])

    def _by_keeper(self, database: str, do: Callable[[Connection], Any]) -> Any:
        """Over one connection that stays, but where it was cut."""
        for _ in range(2):
            kept = self.kept.get(database)
            if kept is None:
                engine = engine_for(self.keeper(database)).execution_options(isolation_level="AUTOCOMMIT")
                self.kept[database] = kept = engine.connect()
            try:
                return do(kept)
            except DBAPIError as error:
                self.kept.pop(database).close()
                if not error.connection_invalidated and "closed" not in str(error):
                    raise
        raise AssertionError("the keeper was cut off twice")

    def let_go(self) -> None:
        """Close what is kept open, so that a database may be dropped or a server stopped."""
        while self.kept:
            self.kept.popitem()[1].close()

    def account(self, name: str, *roles: str) -> URL:
        """A login with these roles, by the network of this machine."""
        if self.accounts.get(name) != roles:
            if not self.ask(f"SELECT 1 FROM pg_roles WHERE rolname = '{name}'"):
                self.run(f"""CREATE ROLE "{name}" LOGIN PASSWORD '{PASSWORD}'""")
            self.run(f'REVOKE {", ".join(ALL)} FROM "{name}"; GRANT {", ".join(roles)} TO "{name}"')
            self.accounts[name] = roles
        return URL.create(
            "postgresql+psycopg", name, PASSWORD, host="127.0.0.1", port=self.server.port, database=DATABASE
        )

    def empty(self) -> None:
        """A store as it is after it was made."""
        self.run(EMPTY)


def free_port() -> int:
    """A port that nobody has at the moment."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def make_shop(folder: Path, *, durable: bool = False) -> Shop:
    """A server in this folder, running, with an empty store. `durable`: each commit waits for the disk."""
    server = PostgresServer(folder, port=free_port(), prefix=as_allowed_user(folder))
    set_up(server, "localhost", ["localhost"], "max_connections = 60", durable=durable)
    return Shop(server)


def need_server() -> None:
    """Skips with a reason where there is no PostgreSQL; fails where CI says that there must be."""
    try:
        programs()
    except SetupError as reason:
        if os.environ.get("CI") == "true":
            pytest.fail(f"CI needs a PostgreSQL server: {reason}")
        pytest.skip(str(reason))


def end_drains(shop: Shop, folder: Path) -> None:
    """End what sessions of this folder left behind to send the rest, so that it reaches no later test's server."""
    for told in Path("/proc").glob("[0-9]*/cmdline"):
        with suppress(OSError):
            words = told.read_bytes().split(b"\0")
            if b"--beside" in words and any(word.startswith(bytes(folder)) for word in words):
                os.kill(int(told.parent.name), signal.SIGKILL)
    shop.run("SELECT pg_terminate_backend(pid, 10000) FROM pg_stat_activity WHERE usename LIKE 'bay-%%'")


@contextmanager
def serving() -> Iterator[Shop]:
    """A server with an empty store, as long as it is wanted."""
    need_server()
    folder = Path(tempfile.mkdtemp(prefix="shop-"))  # a socket's path must be short
    shop = None
    try:
        shop = make_shop(folder)
        yield shop
    finally:
        if shop is not None:
            shop.let_go()
            shop.server.stop("immediate")
        shutil.rmtree(folder, ignore_errors=True)
