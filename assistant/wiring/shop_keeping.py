"""The shop's server as its keeper sees it, on its own machine: made and started, accounts, versions, copies."""

from __future__ import annotations

import os
import secrets
import socket
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.adapters.postgres_server import KEEPER, PostgresServer, private_folder, programs
from assistant.errors import SetupError, UsageError
from assistant.wiring.folders import utc_now
from assistant.wiring.shop_server import needs_extra

if TYPE_CHECKING:
    from sqlalchemy import URL, Connection

    from assistant.adapters.journal_postgres import ShopDesk

DATABASE = "hoodside"
ROLES = {"bay": "hoodside_bay", "desk": "hoodside_desk", "owner": "hoodside_owner"}
LONGEST_ACCOUNT = 60


def serve(folder: Path, *, port: int, listen: str, names: Sequence[str]) -> tuple[PostgresServer, str]:
    """The server in this folder, made where it is missing, running, with the shop's record in the newest version.

    Returns it and the version that the record had, empty where it is new. Raises SetupError.
    """
    _require_no_root()
    needs_extra()
    private_folder(folder)
    server = PostgresServer(folder.resolve(), port=port)
    return server, set_up(server, listen, [*names, socket.gethostname(), "localhost"])


def stop(folder: Path) -> bool:
    """Stop the server in this folder; whether it ran. Raises UsageError where there is none, SetupError."""
    _require_no_root()
    server = PostgresServer(folder.resolve())
    if not server.cluster.exists():
        raise UsageError(f"There is no shop's server in '{folder}'.")
    ran = server.runs()
    server.stop()
    return ran


def _require_no_root() -> None:
    if os.name == "posix" and os.geteuid() == 0:
        raise SetupError("PostgreSQL does not run as root; run this as the user who is to keep the server.")


def set_up(server: PostgresServer, listen: str, names: Sequence[str], more: str = "", *, durable: bool = True) -> str:
    """Make the server and the shop's record in it, as far as they are missing; the version that the record had.

    `more`, `durable`: as in `PostgresServer.make`.
    """
    server.make(names, listen, more, durable=durable)
    server.start()
    with keeper(server, "postgres") as connection:
        connection.execution_options(isolation_level="AUTOCOMMIT")
        if not connection.exec_driver_sql(f"SELECT 1 FROM pg_database WHERE datname = '{DATABASE}'").scalar():
            connection.exec_driver_sql(f"CREATE DATABASE {DATABASE}")
            connection.exec_driver_sql(f"REVOKE ALL ON DATABASE {DATABASE} FROM PUBLIC")
            connection.exec_driver_sql(f"GRANT CONNECT, TEMPORARY ON DATABASE {DATABASE} TO PUBLIC")
    return upgrade(server)


def upgrade(server: PostgresServer, version: str | None = None) -> str:
    """Bring the record to this version, or the newest; what it teaches is worked out anew where that is new."""
    from assistant.adapters.journal_postgres.migrating import bring_to
    from assistant.adapters.journal_postgres.version import NEWEST

    with keeper(server) as connection:
        had = bring_to(connection, version or NEWEST)
    if had and had < (version or NEWEST) == NEWEST:
        with closing(desk_of_keeper(server)) as desk:
            desk.refill()
    return had


def make_account(server: PostgresServer, name: str, kinds: Sequence[str]) -> str:
    """A login with a password that is told once; an existing one gets another password. Raises UsageError."""
    if not name or len(name) > LONGEST_ACCOUNT or not all(sign.isalnum() or sign in "-_" for sign in name):
        raise UsageError(f"An account's name has letters, digits and hyphens, at most {LONGEST_ACCOUNT}.")
    if name == KEEPER or name.startswith("hoodside_"):
        raise UsageError(f"'{name}' is a name that the server itself needs.")
    password = secrets.token_urlsafe(24)
    roles = ", ".join(ROLES[kind] for kind in kinds)
    with keeper(server) as connection, connection.begin():
        there = connection.exec_driver_sql("SELECT 1 FROM pg_roles WHERE rolname = %(name)s", {"name": name}).scalar()
        verb = "ALTER" if there else "CREATE"
        connection.exec_driver_sql(f"""{verb} ROLE "{name}" LOGIN PASSWORD '{password}' CONNECTION LIMIT 10""")
        connection.exec_driver_sql(f'REVOKE {", ".join(ROLES.values())} FROM "{name}"')
        connection.exec_driver_sql(f'GRANT {roles} TO "{name}"')
        told = {"what": "account", "told": f"{name}: {', '.join(kinds)}"}
        connection.exec_driver_sql("INSERT INTO shop.audit (what, told) VALUES (%(what)s, %(told)s)", told)
    return password


def close_account(server: PostgresServer, name: str) -> None:
    """Nobody comes in by this account any more; its connections end. What it delivered stays."""
    with keeper(server) as connection, connection.begin():
        if not connection.exec_driver_sql("SELECT 1 FROM pg_roles WHERE rolname = %(name)s", {"name": name}).scalar():
            raise UsageError(f"There is no account '{name}'.")
        connection.exec_driver_sql(f'ALTER ROLE "{name}" NOLOGIN'.replace("%", "%%"))
        connection.exec_driver_sql(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = %(name)s", {"name": name}
        )
        connection.exec_driver_sql(
            "INSERT INTO shop.audit (what, told) VALUES ('account closed', %(name)s)", {"name": name}
        )


def back_up(server: PostgresServer, target: Path) -> int:
    """A copy of the record of one moment, in a folder; returns how many jobs there are. Raises RecordError."""
    from assistant.adapters.journal_postgres.copies import dump

    private_folder(target)
    dump(programs(), server.prefix, server.address(DATABASE), target)
    with closing(desk_of_keeper(server)) as desk:
        return len(desk.jobs())


def restore(server: PostgresServer, source: Path) -> ShopDesk:
    """Put a copy back into a server that holds no job, to be verified. Raises UsageError, RecordError."""
    from assistant.adapters.journal_postgres.copies import KEYS, RECORD, put_back

    if not (source / RECORD).exists() or not (source / KEYS).exists():
        raise UsageError(f"'{source}' holds no copy of a shop's record.")
    with closing(desk_of_keeper(server)) as desk:
        if desk.jobs():
            raise UsageError("The server holds jobs already; make another one with: hoodside shop serve FOLDER")
    with keeper(server, "postgres") as connection:
        connection.execution_options(isolation_level="AUTOCOMMIT")
        connection.exec_driver_sql(f"DROP DATABASE {DATABASE} WITH (FORCE)")
        connection.exec_driver_sql(f"CREATE DATABASE {DATABASE}")
    with keeper(server) as connection:
        put_back(programs(), server.prefix, server.address(DATABASE), source, connection)
    upgrade(server)
    return desk_of_keeper(server)


@contextmanager
def keeper(server: PostgresServer, database: str = DATABASE) -> Iterator[Connection]:
    """The superuser's connection, over the socket in the server's own folder. Raises SetupError."""
    from sqlalchemy.exc import OperationalError

    from assistant.adapters.journal_postgres.link import engine_for

    try:
        connection = engine_for(_keepers_url(server, database)).connect()
    except OperationalError as error:
        raise SetupError(f"The server in '{server.folder}' does not answer: {error.orig}") from error
    with connection:
        yield connection


def desk_of_keeper(server: PostgresServer) -> ShopDesk:
    """The whole record, on the server's own machine."""
    from assistant.adapters.journal_postgres import ShopDesk

    return ShopDesk(_keepers_url(server, DATABASE), utc_now)


def _keepers_url(server: PostgresServer, database: str) -> URL:
    from sqlalchemy import make_url

    return make_url(server.address(database)).set(drivername="postgresql+psycopg")
