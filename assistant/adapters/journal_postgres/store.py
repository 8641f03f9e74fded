"""The journal on the shop's server, for an account that may read as well as add: desk, owner, tests.

A bay's own account reads no facts; what it sends goes by `delivery`.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from secrets import token_hex

from sqlalchemy import URL, Connection, text

from assistant.adapters.journal_postgres import rows
from assistant.adapters.journal_postgres.adding import add_entries, add_job, write_line
from assistant.adapters.journal_postgres.lines import line_of_job, search
from assistant.adapters.journal_postgres.link import Link
from assistant.errors import RecordError, ShopRefused
from assistant.facts import Fact, FactKind, key_of
from assistant.record.admission import admit, is_text, take_over
from assistant.record.chain import Entry, facts_of, to_remove
from assistant.record.log import LeafKind, Logged, LogHead, Moment
from assistant.record.merkle import root_of
from assistant.record.personal import Belonging, Removal
from assistant.record.summary import JobQuery, Summary, summary_from
from assistant.record.taught import taught_by

LEASE_S = 60.0
"""How long a claim holds without a fact: longer than a cut that a session survives. Judgement."""
_HASH = 32


class PostgresJournal:
    """Facts on the shop's server. `recorded_utc`: as in SqliteJournal. `lease_s`: how long a claim outlives its holder.

    Raises RecordError (of which ShopUnreachable may be tried again) when the server cannot be used.
    """

    def __init__(self, url: URL, recorded_utc: Callable[[], str], *, lease_s: float = LEASE_S) -> None:
        self.link = Link(url)
        self._recorded_utc = recorded_utc
        self._lease_s = lease_s
        self._holder = token_hex(16)
        self._fences: dict[str, int] = {}

    def append(self, facts: Sequence[Fact]) -> None:
        """See ports.Journal. Holds each job for this program until `close`, or until it is silent for `lease_s`."""
        if not facts:
            return
        utc = self._recorded_utc()
        self._hold({self._called(fact) for fact in facts if is_text(fact.id) and is_text(fact.job)})

        def add(connection: Connection) -> None:
            new = admit(
                facts,
                kept=partial(rows.entry_under, connection),
                head=partial(rows.head_of_job, connection),
                recorded_utc=utc,
            )
            self._add(connection, new)

        self.link.work(add, self._settings(utc))

    def take(self, entries: Sequence[Entry], *, label: str | None = None, key: bytes = b"") -> int:
        """See ports.Archive."""
        if not entries:
            return 0
        job, held = self._called(entries[0], label), set(self._fences)
        self._hold({job})

        def add(connection: Connection) -> int:
            here = rows.entries_of(connection, job)
            new = take_over(entries, here, kept=partial(rows.entry_under, connection))
            self._add(connection, new, job)
            return len(new)

        try:
            return self.link.work(add, self._settings(self._recorded_utc()) | {"vouched": f"-{key.hex()}"})
        finally:
            if job not in held:
                self._let_go()

    def remove_personal(self, job: str, belongs: Sequence[Belonging]) -> Removal:
        """See ports.Archive. Only an owner's account may."""
        places = to_remove(self.entries(job), belongs)
        return self.follow_removal(job, places, key=b"", utc=self._recorded_utc())

    def follow_removal(self, job: str, places: Sequence[tuple[int, str]], *, key: bytes, utc: str) -> Removal:
        """See ports.Archive."""
        if not places:
            return Removal(values=0)

        def ask(connection: Connection) -> int | None:
            job_no = rows.number_of_job(connection, job)
            if job_no is not None:
                ask_to_remove(connection, job_no, places, key, utc)
            return job_no

        job_no = self.link.work(ask)
        return Removal(values=0 if job_no is None else shred(self.link, job_no))

    def keep_texts(self, texts: Mapping[str, str]) -> None:
        """See ports.Archive."""
        self.link.work(lambda connection: add_texts(connection, texts))

    def text(self, digest: str) -> str | None:
        """See ports.Archive."""
        query = text("SELECT text FROM texts WHERE digest = :digest")
        return self.link.work(lambda connection: connection.execute(query, {"digest": digest}).scalar())

    def log_head(self) -> LogHead:
        """See ports.Archive. The server cannot sign: each bay remembers the head that it saw last."""
        return self.link.work(log_head)

    def logged(self, job: str | None = None) -> Iterator[Logged]:
        """See ports.Archive."""
        yield from self.link.work(lambda connection: list(rows.logged(connection, job, 0, None)))

    def changes(self, since: int = 0, *, most: int | None = None) -> Iterator[Logged]:
        """See ports.Archive."""
        yield from self.link.work(lambda connection: list(rows.logged(connection, None, since, most)))

    def node(self, level: int, index: int) -> bytes:
        """See ports.Archive."""
        place = ((index + 1) << level) - 1
        query = text("SELECT substr(nodes, :at, 32) FROM log WHERE place = :place")
        at = level * _HASH + 1
        found = self.link.work(lambda connection: connection.execute(query, {"at": at, "place": place}).scalar())
        if found is None or len(found) != _HASH:
            raise LookupError(f"entry {place} of the log is gone or was cut short")
        return bytes(found)

    def rows_of_nodes(self) -> Iterator[tuple[int, tuple[bytes, ...]]]:
        """See ports.Archive."""
        query = text("SELECT place, nodes FROM log ORDER BY place")
        found = self.link.work(lambda connection: connection.execute(query).all())
        yield from ((place, _parted(bytes(nodes))) for place, nodes in found)

    def key_leaves(self) -> tuple[Logged, ...]:
        """See ports.Archive."""
        return tuple(one for one in self.logged() if one.kind == LeafKind.KEY)

    def moment(self, job: str) -> Moment | None:
        """None: the clock that nobody can set is another machine's here."""
        return None

    def facts(self, job: str) -> tuple[Fact, ...]:
        """See ports.Journal."""
        return facts_of(self.entries(job))

    def entries(self, job: str, *, since: int = 0) -> tuple[Entry, ...]:
        """See ports.Archive."""
        return self.link.work(lambda connection: rows.entries_of(connection, job, since))

    def repairs(self) -> tuple[Fact, ...]:
        """See ports.Archive."""
        found = facts_of(self.link.work(rows.repairs))
        return tuple(fact for fact in found if fact.kind is FactKind.REPAIR_CONFIRMED)

    def jobs(self) -> tuple[str, ...]:
        """See ports.Journal."""
        return self.link.work(rows.every_job)

    def search(self, query: JobQuery) -> tuple[Summary, ...]:
        """See ports.Archive."""
        return self.link.work(lambda connection: search(connection, query))

    def claim(self, job: str) -> None:
        """See ports.Archive."""
        self._hold({job})

    def damage(self) -> tuple[str, ...]:
        """See ports.Archive. The server checks its own pages where they have checksums; a read that fails says so."""
        try:
            self.link.work(lambda connection: connection.execute(text("SELECT count(*) FROM facts")).scalar())
        except RecordError as error:
            return (str(error),)
        return ()

    def line_faults(self) -> tuple[str, ...]:
        """See ports.Archive."""
        found = []
        for job in self.jobs():
            entries = self.entries(job)
            kept, repaired = self.link.work(lambda connection, job=job: _line_called(connection, job))  # type: ignore[misc]  # bound at once
            if kept != summary_from(entries, job):
                found.append(f"the line of job '{job}' that lists and searches read is not what its facts say")
            if repaired != taught_by(entries).get("repaired"):
                found.append(f"what job '{job}' says of its repair, which moves the odds, is not what its facts say")
        return tuple(found)

    def close(self) -> None:
        """Lets go of the jobs held; may be called twice."""
        try:
            self._let_go()
        except RecordError:
            pass  # the lease ends by itself
        finally:
            self.link.close()

    def _called(self, of: Fact | Entry, label: str | None = None) -> str:
        """What the job of a fact is called here, or will be."""

        def called(connection: Connection) -> str:
            number = rows.number_of(connection, key_of(of.id, of.number), label or of.job)
            return rows.label_of(connection, number) if number is not None else label or of.job

        return self.link.work(called)

    def _hold(self, jobs: set[str]) -> None:
        for job in sorted(one for one in jobs - self._fences.keys() if "\x00" not in one):
            query = text("SELECT lease(:job, :holder, :span)")
            values = {"job": job, "holder": self._holder, "span": self._lease_s}
            try:
                fence = self.link.work(lambda connection: connection.execute(query, values).scalar_one())  # noqa: B023 - done at once
            except RecordError as error:
                if isinstance(error, ShopRefused):
                    raise
                raise type(error)(f"Job '{job}': {error}", spoken="This job is open in another program.") from error
            self._fences[job] = int(fence)

    def _let_go(self) -> None:
        if self._fences:
            query = text("SELECT let_go(:holder)")
            self._fences.clear()
            self.link.work(lambda connection: connection.execute(query, {"holder": self._holder}))

    def _settings(self, utc: str) -> dict[str, str]:
        fences = json.dumps(self._fences)
        return {"holder": self._holder, "fences": fences, "span": str(self._lease_s), "utc": utc}

    def _add(self, connection: Connection, entries: Sequence[Entry], label: str | None = None) -> None:
        by_job: dict[int, list[Entry]] = {}
        for entry in entries:
            key = key_of(entry.id, entry.number)
            job_no = add_job(connection, entry, label or entry.job) if entry.number == 1 else None
            job_no = job_no or rows.number_of(connection, key, entry.job)
            if job_no is None:
                raise ValueError(f"fact {entry.id!r} belongs to no job that is kept here")
            by_job.setdefault(job_no, []).append(entry)
        for job_no, of_job in by_job.items():
            add_entries(connection, job_no, of_job)
            called = rows.label_of(connection, job_no)
            whole = rows.entries_of(connection, called)
            write_line(connection, job_no, summary_from(whole, called), taught_by(whole))


def add_texts(connection: Connection, texts: Mapping[str, str]) -> None:
    """Texts that are not there yet; which are is asked first, for they are long."""
    query = text("SELECT digest FROM texts WHERE digest = ANY (:all)")
    there = set(connection.execute(query, {"all": list(texts)}).scalars())
    texts = {digest: words for digest, words in texts.items() if digest not in there}
    if texts:
        connection.execute(
            text(
                "INSERT INTO texts (digest, text) SELECT * FROM unnest(CAST(:digest AS text[]), CAST(:text AS text[])) "
                "ON CONFLICT (digest) DO NOTHING"
            ),
            {"digest": list(texts), "text": list(texts.values())},
        )


def ask_to_remove(connection: Connection, job_no: int, places: Sequence[tuple[int, str]], key: bytes, utc: str) -> None:
    """A removal that travels: hidden at once, carried out by `shred`. The same again changes nothing."""
    connection.execute(
        text(
            "INSERT INTO removals (job_no, number, place, utc, key) SELECT :job_no, n, p, :utc, :key FROM "
            "unnest(CAST(:number AS integer[]), CAST(:place AS text[])) AS u (n, p) ON CONFLICT DO NOTHING"
        ),
        {
            "job_no": job_no,
            "number": [number for number, _ in places],
            "place": [place for _, place in places],
            "utc": utc,
            "key": key.hex(),
        },
    )


def shred(link: Link, job_no: int) -> int:
    """Carry out what was asked for in this job, so that no file of the server holds it; returns how many values went.

    Raises ShopRefused for any account but an owner's.
    """
    gone = link.work(lambda connection: int(connection.execute(text("SELECT shred(:no)"), {"no": job_no}).scalar_one()))
    link.work(lambda connection: connection.execute(text("SELECT wipe(:no)"), {"no": job_no}))
    forget_old_pages(link)
    return gone


def forget_old_pages(link: Link) -> None:
    """Have the server let go of the files that it wrote before: the old parts, and its write-ahead log."""
    link.outside("SELECT pg_switch_wal()")
    link.outside("CHECKPOINT")


def log_head(connection: Connection) -> LogHead:
    """Where the server's log ends."""
    row = connection.execute(text("SELECT store, size, peaks, utc FROM log_head")).first()
    if row is None:
        return LogHead()
    utc = row.utc.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    return LogHead(store=row.store, size=row.size, root=root_of(_parted(bytes(row.peaks))), utc=utc)


def _line_called(connection: Connection, job: str) -> tuple[Summary | None, str | None]:
    """The job's line as it is kept, and the fault that was repaired by it."""
    job_no = rows.number_of_job(connection, job)
    if job_no is None:
        return None, None
    query = text("SELECT told ->> 'repaired' FROM lines WHERE job_no = :no")
    return line_of_job(connection, job_no), connection.execute(query, {"no": job_no}).scalar()


def _parted(hashes: bytes) -> tuple[bytes, ...]:
    return tuple(hashes[start : start + _HASH] for start in range(0, len(hashes), _HASH))
