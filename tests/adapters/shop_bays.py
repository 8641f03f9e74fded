"""Bays of an invented shop: each with a journal and an outbox of its own, and what one may try at the server."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import URL, text
from sqlalchemy.exc import DBAPIError

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_postgres import Delivery
from assistant.adapters.journal_postgres.link import engine_for
from assistant.adapters.outbox_file import OutboxFile
from assistant.adapters.signer_ed25519 import InstallKey
from assistant.facts import Fact, FactKind
from assistant.record.outbox import Parcel
from assistant.record.summary import summary_from
from assistant.session.outbox import Outbox
from tests.ports.journal_suite import fact
from tests.shop_server import Shop

BAY, DESK, OWNER = "hoodside_bay", "hoodside_desk", "hoodside_owner"


UTC = "2031-05-01T09:00:00.000Z"


class Bay:
    """A bay with a journal of its own in memory, and an outbox."""

    def __init__(self, shop: Shop, name: str, folder: Path, utc: str = UTC) -> None:
        self.name = name
        self.journal = MemoryJournal(lambda: utc)
        self.file = OutboxFile(folder)
        folder.mkdir(exist_ok=True)
        self.server = Delivery(shop.account(name, BAY), lambda: utc, InstallKey(folder))
        self.server.join()
        self.outbox = Outbox(self.journal, self.server, self.file, lambda: utc, lambda: self.journal)

    def drain(self) -> int:
        """Send everything; how many facts were new there."""
        facts, more = 0, True
        while more:
            done = self.outbox.round()
            facts, more = facts + done.facts, done.more
        return facts


def told(job: str, key: str, count: int = 5) -> list[Fact]:
    """A job with a plate and a note."""
    facts = [
        fact(1, job=job, key=key, kind=FactKind.JOB_STARTED, data={"key": key}),
        fact(2, job=job, key=key, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": f"DEMO {key}"}),
        fact(3, job=job, key=key, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"}),
    ]
    return facts + [fact(number, job=job, key=key) for number in range(4, count + 1)]


def attempt(url: URL, statement: str, **values: Any) -> str:
    """Try it with that account alone; the error's code, or what it gave."""
    with engine_for(url).connect() as connection:
        try:
            done = connection.execute(text(statement), values)
            connection.commit()
            return str(done.rowcount)
        except DBAPIError as error:
            return str(getattr(error.orig, "sqlstate", ""))


def parcel_of(journal: MemoryJournal, job: str) -> Parcel:
    """A job as its bay sends it."""
    entries = journal.entries(job)
    return Parcel(entries=entries, summary=summary_from(entries, job), told={})
