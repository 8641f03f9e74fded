"""What a bay's own account does on the shop's server: it adds to its jobs, and knows only where they end there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from sqlalchemy import URL, Connection, text

from assistant.adapters.journal_postgres.adding import add_entries, add_job, write_line
from assistant.adapters.journal_postgres.link import Link
from assistant.adapters.journal_postgres.store import add_texts, ask_to_remove, log_head
from assistant.errors import ShopRefused
from assistant.facts import key_of
from assistant.record.admission import free_label
from assistant.record.chain import Entry, canonical
from assistant.record.log import LogHead, Signer
from assistant.record.outbox import Asked, Parcel, ShopRepairs

PREFIX = b"hoodside delivered 1\n"
AT_ONCE = 1_000
"""Facts in one statement. Judgement."""


def delivered(job: str, entry: Entry) -> bytes:
    """What a bay's key signs: the job's key and where its chain ends now."""
    return PREFIX + canonical({"job": job, "number": entry.number, "hash": entry.hash.hex()}).encode()


class Delivery:
    """A bay's way to the server. `utc_now`: the bay's own clock, so that the server sees how far it is off.

    `signer`: the installation's key; a delivery with the bay's password alone lacks its signature.
    """

    def __init__(
        self, url: URL, utc_now: Callable[[], str], signer: Signer | None = None, *, link: Link | None = None
    ) -> None:
        self._link = link or Link(url)
        self._bay = str(url.username)
        self._utc_now = utc_now
        self._signer = signer

    def join(self) -> LogHead:
        """Make this bay and its key known to the shop, once; where the server's log ends. A desk is only let in."""
        key = self._signer.key if self._signer else b""

        def make_known(connection: Connection) -> None:
            if connection.execute(text("SELECT pg_has_role(session_user, 'hoodside_bay', 'MEMBER')")).scalar():
                connection.execute(text("SELECT join_bay(:key)"), {"key": key})

        self._link.work(make_known)
        return self.head()

    def head(self) -> LogHead:
        """See session.outbox.ShopServer."""
        return self._link.work(log_head)

    def deliver(self, parcels: Sequence[Parcel]) -> int:
        """See session.outbox.ShopServer."""

        def send(connection: Connection) -> int:
            return sum(self._send(connection, parcel) for parcel in parcels)

        return self._link.work(send)

    def keep_texts(self, texts: Mapping[str, str]) -> None:
        """See session.outbox.ShopServer."""
        self._link.work(lambda connection: add_texts(connection, texts))

    def ask_to_remove(self, job: str, places: Sequence[tuple[int, str]], *, key: bytes, utc: str) -> None:
        """See session.outbox.ShopServer."""

        def ask(connection: Connection) -> None:
            found = connection.execute(text("SELECT job_no FROM jobs WHERE key = :key"), {"key": job}).scalar()
            if found is None:
                raise ShopRefused("The job belongs to another bay by now: have the values removed at the desk.")
            ask_to_remove(connection, int(found), places, key, utc)

        self._link.work(ask)

    def asked(self, since: int) -> Sequence[Asked]:
        """See session.outbox.ShopServer."""
        query = text(
            "SELECT log_place, job_key, utc, key, array_agg(number ORDER BY number, place), "
            "array_agg(place ORDER BY number, place) FROM removals WHERE log_place >= :since "
            "GROUP BY log_place, job_key, utc, key ORDER BY log_place"
        )
        rows = self._link.work(lambda connection: connection.execute(query, {"since": since}).all())
        return tuple(
            Asked(
                place=place,
                job=job,
                places=tuple(zip(numbers, places, strict=True)),
                utc=utc,
                key=bytes.fromhex(key),
            )
            for place, job, utc, key, numbers, places in rows
        )

    def repaired_elsewhere(self) -> ShopRepairs:
        """What the other bays repaired, counted. Raises ShopRefused for an account that is no bay's."""
        query = text("SELECT procedure, fault, repairs FROM repaired_elsewhere()")
        counts: dict[str, dict[str, int]] = {}
        for procedure, fault, repairs in self._link.work(lambda connection: connection.execute(query).all()):
            counts.setdefault(procedure, {})[fault] = int(repairs)
        return ShopRepairs(fetched_utc=self._utc_now(), counts=counts)

    def close(self) -> None:
        """See session.outbox.ShopServer."""
        self._link.close()

    def _send(self, connection: Connection, parcel: Parcel) -> int:
        entries, job = parcel.entries, key_of(parcel.entries[0].id, 1)
        row = connection.execute(text("SELECT job_no, number, hash FROM jobs WHERE key = :key"), {"key": job}).first()
        kept = row.number if row else 0
        if kept > len(entries):
            raise ShopRefused(
                f"The server keeps {kept} facts of job '{entries[0].job}', here are {len(entries)}: "
                "put a newer backup back here, or take the job anew: hoodside shop take"
            )
        if row and kept and bytes(row.hash) != entries[kept - 1].hash:
            raise ShopRefused(
                f"The server's chain of job '{entries[0].job}' went another way up to fact {kept}: it is not forked; "
                "what is kept here stays here"
            )
        if kept == len(entries):
            return 0
        job_no = row.job_no if row else self._begin(connection, entries[0], parcel.summary.job)
        for start in range(kept, len(entries), AT_ONCE):
            part = entries[start : start + AT_ONCE]
            self._tell(connection, job, part[-1])
            add_entries(connection, job_no, part)
        write_line(connection, job_no, parcel.summary, parcel.told)
        return len(entries) - kept

    def _tell(self, connection: Connection, job: str, last: Entry) -> None:
        """What the server's triggers write into the log beside the facts."""
        signer = self._signer
        told = {
            "vouched": f"-{signer.key.hex() if signer else ''}",
            "signature": signer.sign(delivered(job, last)).hex() if signer else "",
            "utc": self._utc_now(),
        }
        settings = ", ".join(f"set_config('hoodside.{name}', :{name}, true)" for name in told)
        connection.execute(text(f"SELECT {settings}"), told)

    def _begin(self, connection: Connection, first: Entry, label: str) -> int:
        """A new job's number; under its own name or, where another bay's job has it, with the bay's name behind it."""
        tried: list[int] = []

        def taken(name: str) -> bool:
            found = add_job(connection, first, name)
            if found is not None:
                tried.append(found)
            return found is None

        if taken(label):
            free_label(f"{label} ({self._bay})"[:280], taken)
        return tried[0]
