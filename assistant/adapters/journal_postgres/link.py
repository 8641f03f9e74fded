"""One connection to the shop's server: where it may go in clear, what cuts mean, and each work whole or not at all."""

from __future__ import annotations

import ipaddress
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, make_url, text
from sqlalchemy.exc import ArgumentError, DBAPIError, SQLAlchemyError

from assistant.adapters.journal_postgres.version import NEWEST, version_of
from assistant.errors import RecordError, SetupError, ShopRefused, ShopUnreachable, UsageError

Got = TypeVar("Got")
WAITS_S = (0.0, 0.2, 1.0)
"""Before each further try of a work that was cut. Judgement: longer waiting is the outbox's."""
CONNECT_S = 5
STATEMENT_MS = 60_000
TLS = "verify-full"


class JobHeld(ShopUnreachable):
    """Another program holds the job: the same later may do."""


MEANINGS: Mapping[str, tuple[type[RecordError], str]] = {
    "HS001": (ShopRefused, "the server's chain of this job goes on otherwise"),
    "HS002": (ShopRefused, "the chain does not hold, so it was refused"),
    "HS003": (ShopRefused, "the job belongs to another bay, or is to be handed over first"),
    "HS004": (JobHeld, "the job is open in another program; close it there first"),
    "HS005": (JobHeld, "another program took the job while this one was cut off; open it anew"),
    "HS006": (ShopRefused, "no bay of that name has joined"),
    "jobs_key_key": (ShopRefused, "the job belongs to another bay, or is to be handed over first"),
    "HS007": (ShopRefused, "what was recorded is never changed"),
    "23505": (ShopUnreachable, "another program was quicker; try again"),
    "42501": (ShopRefused, "this account may not do that; see hoodside shop account --help"),
    "28P01": (ShopRefused, "the server does not take this name and password"),
    "28000": (ShopRefused, "the server does not take this account from here"),
    "3D000": (ShopRefused, "there is no such database on the server"),
    "53100": (ShopUnreachable, "the server's disk is full"),
    "40001": (ShopUnreachable, "another program was in the way; try again"),
    "40P01": (ShopUnreachable, "another program was in the way; try again"),
    "57014": (ShopUnreachable, "the server took too long"),
}
_AT_THE_DOOR = {
    "password authentication failed": "the server does not take this name and password",
    "no pg_hba.conf entry": "the server does not take this account from here",
    "does not exist": "there is no such database or account on the server",
    "certificate": "its certificate is not the one that was given on joining, or is for another name",
    "does not support SSL": "it does not speak TLS, without which nothing leaves this machine",
}
"""What the driver says, without a code, where it is not let in."""
_LOST = ("08", "57P", "53")
"""Classes of codes that mean that the server or the way to it is gone, or has no room."""


def checked_url(address: str, authority: Path | None = None) -> URL:
    """The address as SQLAlchemy takes it; off this machine always with TLS and the server's name checked.

    `authority`: the certificate that vouches for the server's, where it is not one of the system's.
    Raises UsageError.
    """
    try:
        url = make_url(address)
    except ArgumentError as error:
        raise UsageError("The shop's address looks like postgresql://bay-one@shop-server/hoodside.") from error
    if url.get_backend_name() != "postgresql" or not url.username or not url.database:
        raise UsageError("The shop's address looks like postgresql://bay-one@shop-server/hoodside.")
    elsewhere = not stays_here(str(url.query.get("host", "")))
    if elsewhere or {"hostaddr", "service", "servicefile"} & url.query.keys():
        raise UsageError("The shop's address names its server before the slash, and nowhere else.")
    url = url.set(drivername="postgresql+psycopg")
    if stays_here(url.host or str(url.query.get("host", ""))):
        return url
    if url.query.get("sslmode", TLS) != TLS:
        raise UsageError(f"Off this machine the record travels with TLS alone: leave sslmode away, or say {TLS}.")
    root = str(authority) if authority else str(url.query.get("sslrootcert", "system"))
    return url.update_query_dict({"sslmode": TLS, "sslrootcert": root, "channel_binding": "prefer"})


def stays_here(host: str) -> bool:
    """Whether what goes to this host stays on this machine."""
    if not host or host.startswith("/") or host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


class Link:
    """One connection, made when first asked for and again after a cut. `newest`: the version of store that is known."""

    def __init__(self, url: URL, *, waits_s: tuple[float, ...] = WAITS_S, newest: str = NEWEST) -> None:
        self._url = url
        self._waits_s = waits_s
        self._newest = newest
        self._engine: Engine | None = None
        self._connection: Connection | None = None

    def work(self, do: Callable[[Connection], Got], settings: Mapping[str, str] | None = None) -> Got:
        """One transaction, kept whole or not at all. After a cut the same again: what it does must be safe twice.

        `settings`: what the server's triggers are told, for this transaction alone. Raises RecordError.
        """
        for wait_s in (*self._waits_s, None):
            try:
                connection = self._open()
                with connection.begin():
                    if settings:
                        connection.execute(
                            text(
                                "SELECT " + ", ".join(f"set_config('hoodside.{key}', :{key}, true)" for key in settings)
                            ),
                            dict(settings),
                        )
                    return do(connection)
            except SQLAlchemyError as error:
                meant = meaning(error, self._url)
                if is_cut(error):
                    self._drop()
                if wait_s is None or not isinstance(meant, ShopUnreachable) or isinstance(meant, JobHeld):
                    raise meant from error
                time.sleep(wait_s)
        raise AssertionError("the last try raises")

    def outside(self, statement: str) -> None:
        """One statement outside of a transaction."""
        try:
            connection = self._open()
            connection.execution_options(isolation_level="AUTOCOMMIT").exec_driver_sql(statement)
            self._drop()
        except SQLAlchemyError as error:
            self._drop()
            raise meaning(error, self._url) from error

    def close(self) -> None:
        """Let go of the connection; may be called twice."""
        self._drop()
        if self._engine is not None:
            self._engine.dispose()
            self._engine = None

    def _open(self) -> Connection:
        if self._connection is not None and not self._connection.invalidated:
            return self._connection
        self._drop()
        if self._engine is None:
            self._engine = engine_for(self._url)
        connection = self._engine.connect()
        try:
            require_version(connection, self._newest)
            connection.rollback()
        except BaseException:
            connection.close()
            raise
        self._connection = connection
        return connection

    def _drop(self) -> None:
        connection, self._connection = self._connection, None
        if connection is not None:
            try:
                connection.invalidate()
                connection.close()
            except SQLAlchemyError:
                pass  # it is gone already


def engine_for(url: URL) -> Engine:
    """An engine without a pool: a bay has one connection. Raises SetupError where the driver is not installed."""
    told = {
        "connect_timeout": CONNECT_S,
        "application_name": "hoodside",
        "options": f"-c search_path=shop -c statement_timeout={STATEMENT_MS} -c timezone=UTC -c jit=off "
        "-c work_mem=64MB",
        "keepalives_idle": 10,
        "keepalives_interval": 5,
        "keepalives_count": 3,
        "tcp_user_timeout": 20_000,
    }
    try:
        return create_engine(url, poolclass=NullPool, connect_args=told)
    except ImportError as error:
        reason = str(error).strip().splitlines()[-1:]
        raise SetupError(
            f"The shop's record needs its driver: pip install 'hoodside[shop]' ({''.join(reason)})"
        ) from error


def require_version(connection: Connection, known: str) -> None:
    """Raises ShopRefused unless the store on the server is of the version that this program knows."""
    found = version_of(connection)
    if not found:
        raise ShopRefused(
            "The server holds no shop's record yet; whoever keeps it makes one: hoodside shop serve --help"
        )
    if found > known:
        raise ShopRefused(
            f"The shop's record was made by a newer hoodside (version {found}, this one knows {known}); nothing was "
            "sent and everything is kept here; install the newer hoodside."
        )
    if found < known:
        raise ShopRefused(
            f"The shop's record is of an older version ({found}, this hoodside has {known}); nothing was sent and "
            "everything is kept here; whoever keeps the server brings it up to date: hoodside shop upgrade"
        )


def is_cut(error: SQLAlchemyError) -> bool:
    """Whether the connection is of no more use."""
    return isinstance(error, DBAPIError) and (error.connection_invalidated or not _code(error))


def meaning(error: SQLAlchemyError, url: URL) -> RecordError:
    """What the error means for whoever must act."""
    constraint = getattr(getattr(getattr(error, "orig", None), "diag", None), "constraint_name", None)
    code = str(constraint) if constraint in MEANINGS else _code(error)
    where = f"The shop's server at '{url.host or 'this machine'}'"
    if code in MEANINGS:
        kind, words = MEANINGS[code]
        return kind(f"{where}: {words}.")
    if isinstance(error, DBAPIError) and (not code or code.startswith(_LOST)):
        reason = str(error.orig).strip().splitlines()
        said = next((words for part, words in _AT_THE_DOOR.items() if part in str(error.orig)), None)
        if said is not None:
            return ShopRefused(f"{where}: {said}.")
        return ShopUnreachable(f"{where} does not answer: {reason[0] if reason else 'the connection was cut'}")
    found = str(getattr(error, "orig", error)).strip().splitlines()
    return RecordError(f"{where} refused: {found[0] if found else error}")


def _code(error: SQLAlchemyError) -> str:
    return str(getattr(getattr(error, "orig", None), "sqlstate", None) or "")
