"""Copies of the shop's store by PostgreSQL's own programs, and what is made anew after one was put back.

The keys of personal values and the words that searches read are not in the copy of the record. Keys go into a file of
their own that each copy replaces: what is shredded once is unreadable in every older copy that has no older keys beside
it. The words follow from the facts, and are made anew.
"""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import Connection, text

from assistant.adapters.journal_postgres.adding import add_said
from assistant.adapters.journal_postgres.migrating import prepare
from assistant.adapters.journal_postgres.rows import entries_of, every_job, number_of_job
from assistant.adapters.journal_postgres.version import GATHERED_FROM, version_of
from assistant.errors import RecordError

RECORD, KEYS, ACCOUNTS = "record.dump", "keys.dump", "accounts.sql"
_LEFT_OUT = ("shop.job_keys*", "shop.said*", "shop.gathered*", "shop.leases")


def dump(programs: Path, prefix: Sequence[str], address: str, target: Path) -> None:
    """Write the copy into the folder `target`. `address`: the keeper's, as libpq takes it. Raises RecordError."""
    record, keys = target / RECORD, target / KEYS
    left_out = [f"--exclude-table-data={name}" for name in _LEFT_OUT]
    _run([*prefix, str(programs / "pg_dump"), "--format=custom", "--schema=shop", *left_out, address], record)
    _run(
        [*prefix, str(programs / "pg_dump"), "--format=custom", "--data-only", "--table=shop.job_keys*", address], keys
    )
    accounts = [*prefix, str(programs / "pg_dumpall"), "--roles-only", "--dbname", address]
    _run(accounts, target / ACCOUNTS)


def put_back(programs: Path, prefix: Sequence[str], address: str, source: Path, connection: Connection) -> None:
    """Fill an empty database from the copy in the folder `source`. Raises RecordError."""
    _feed([*prefix, str(programs / "psql"), "--quiet", "--dbname", address], source / ACCOUNTS, strict=False)
    prepare(connection)
    restore = [*prefix, str(programs / "pg_restore"), "--exit-on-error", "--dbname", address]
    _feed(restore, source / RECORD)
    _feed([*restore, "--disable-triggers"], source / KEYS)
    with connection.begin():
        connection.exec_driver_sql("SET LOCAL search_path = shop")
        gathers = version_of(connection) >= GATHERED_FROM  # an older copy does so when it is brought up to date
        for job in every_job(connection):
            job_no = number_of_job(connection, job)
            if job_no is not None:
                gone = text("SELECT number, place FROM removals WHERE job_no = :no")
                removed = {tuple(row) for row in connection.execute(gone, {"no": job_no})}
                add_said(connection, job_no, entries_of(connection, job), but=removed)
                if gathers:
                    connection.execute(text("SELECT gather(:no)"), {"no": job_no})


def _run(command: Sequence[str], target: Path) -> None:
    """Its output to a file that gets its name once it is whole."""
    unfinished = target.with_name(f".{target.name}.unfinished")
    unfinished.touch(mode=0o600)
    with unfinished.open("wb") as out:
        done = subprocess.run(command, stdout=out, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, check=False)
    if done.returncode:
        unfinished.unlink()
        raise RecordError(f"The shop's record could not be copied: {_last(done.stderr)}")
    unfinished.replace(target)


def _feed(command: Sequence[str], source: Path, *, strict: bool = True) -> None:
    with source.open("rb") as content:
        done = subprocess.run(command, stdin=content, capture_output=True, check=False)
    if done.returncode and strict:
        raise RecordError(f"The copy could not be put back: {_last(done.stderr)}")


def _last(said: bytes) -> str:
    lines = said.decode(errors="replace").strip().splitlines()
    return lines[-1] if lines else "it said nothing"
