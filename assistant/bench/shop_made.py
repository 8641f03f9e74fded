"""A shop's server for measuring, in a temporary folder as `hoodside shop serve` makes it, and a bay of it."""

from __future__ import annotations

import socket
import statistics
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path

from sqlalchemy import URL, make_url

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_postgres.link import engine_for
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.postgres_server import PostgresServer, as_allowed_user
from assistant.adapters.shop_joined import JoinedShop, keep_joined
from assistant.bench.record_store import copied, day, utc
from assistant.facts import Fact
from assistant.wiring.shop_keeping import set_up

PASSWORD = "made up"


@contextmanager
def bench_server(folder: Path | None) -> Iterator[PostgresServer]:
    """Running, with an account that is a bay's and one that is a desk's."""
    with tempfile.TemporaryDirectory(prefix="shop-", dir=folder) as made:
        server = PostgresServer(Path(made), port=_free_port(), prefix=as_allowed_user(Path(made)))
        try:
            set_up(server, "localhost", ["localhost"], "shared_buffers = 256MB\nmaintenance_work_mem = 512MB")
            for name, roles in (("bench", "hoodside_bay"), ("desk", "hoodside_desk")):
                run_sql(server, f"CREATE ROLE {name} LOGIN PASSWORD '{PASSWORD}' IN ROLE {roles}")
            yield server
        finally:
            server.stop("immediate")


def join_bench(server: PostgresServer, folder: Path) -> None:
    """Make the folder a bay's that joined the server."""
    folder.mkdir()
    address = account_url(server, "bench").set(drivername="postgresql").render_as_string()
    keep_joined(folder, JoinedShop(address=address, password=PASSWORD), None)


def record_real(folder: Path, templates: list[tuple[Fact, ...]], jobs: int, first: int) -> int:
    """So many real jobs in a bay's own store, their keys from `first` on; how many facts these are."""
    facts = 0
    with closing(SqliteJournal(folder, utc)) as journal:
        for index in range(jobs):
            elsewhere, name = MemoryJournal(partial(day, index)), f"real-{first + index}"
            elsewhere.append(list(copied(templates[index % len(templates)], name, first + index)))
            facts += journal.take(elsewhere.entries(name))
    return facts


def run_sql(server: PostgresServer, script: str) -> None:
    """As the server's keeper, each statement by itself."""
    with engine_for(keepers_url(server)).connect() as connection:
        cursor = connection.execution_options(isolation_level="AUTOCOMMIT").connection.cursor()
        cursor.execute("SET statement_timeout = 0")
        cursor.execute(script)
        cursor.close()


def keepers_url(server: PostgresServer, database: str = "hoodside") -> URL:
    """How the keeper comes in."""
    return make_url(server.address(database)).set(drivername="postgresql+psycopg")


def account_url(server: PostgresServer, name: str) -> URL:
    """How that account comes in."""
    return URL.create("postgresql+psycopg", name, PASSWORD, host="127.0.0.1", port=server.port, database="hoodside")


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def p95(values: list[float]) -> float:
    """The 95th percentile."""
    return statistics.quantiles(values, n=20)[18]
