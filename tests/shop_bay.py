"""One bay as a process: it records facts of invented jobs and sends them, whenever it was killed and begun anew.

Words: data folder, address, password, bay, jobs, facts a job, how far its clock is off in hours. It ends with 0 once
everything was recorded and sent, and with 7 if the server ever knew less than it had acknowledged.
"""

from __future__ import annotations

import random
import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import make_url

from assistant.adapters.journal_postgres import Delivery
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.outbox_file import OutboxFile
from assistant.adapters.signer_ed25519 import InstallKey
from assistant.errors import ShopUnreachable
from assistant.facts import Fact, FactKind
from assistant.session.outbox import Outbox
from tests.ports.journal_suite import fact

LOST = 7


def made(job: str, key: str, number: int) -> Fact:
    """The fact of that number in an invented job, always the same."""
    if number == 1:
        return fact(1, job=job, key=key, kind=FactKind.JOB_STARTED, data={"key": key})
    if number == 2:
        return fact(2, job=job, key=key, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": f"DEMO {key}"})
    if number % 9 == 0:
        return fact(number, job=job, key=key, kind=FactKind.NOTE_TAKEN, data={"words": f"note {number} of {job}"})
    return fact(number, job=job, key=key, data={"words": "done", "of": number})


def main(words: list[str]) -> int:
    """Record and send everything."""
    data, address, password, bay = Path(words[0]), words[1], words[2], words[3]
    jobs, each, off_h = (int(word) for word in words[4:])

    def utc_now() -> str:
        return (datetime.now(UTC) + timedelta(hours=off_h)).isoformat(timespec="milliseconds").replace("+00:00", "Z")

    dice = random.Random()
    with (
        closing(SqliteJournal(data, utc_now)) as journal,
        closing(SqliteJournal(data, utc_now, reading=True)) as reading,
        closing(Delivery(make_url(address).set(password=password), utc_now, InstallKey(data))) as server,
    ):
        file = OutboxFile(data)
        outbox = Outbox(reading, server, file, utc_now, lambda: journal)
        left = {f"{bay}-job-{number}": f"{bay}{number:04d}" for number in range(jobs)}
        while True:
            for job in dice.sample(sorted(left), min(3, len(left))):
                have = len(journal.entries(job))
                until = min(each, have + dice.randint(1, 25))
                journal.append([made(job, left[job], number) for number in range(have + 1, until + 1)])
                if until == each:
                    del left[job]
            try:
                if server.head().size < file.read().seen:
                    return LOST
                done = outbox.round()
                if not left and not done.more and not outbox.waiting():
                    return 0
            except ShopUnreachable:
                continue


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
