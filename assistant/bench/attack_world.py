"""An invented shop to attack: a store with three jobs, its key, sound, reports and exports, and an attacker's tools.

The attacker may write every file of the data folder, and knows how the store is made. Whether they have the key, or the
whole account, is said of each attack.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from assistant.adapters.clips_wav import WavClips, as_samples
from assistant.adapters.heads_file import RememberedHeads
from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.journal_sqlite.log import add_leaves, log_head, sign_head
from assistant.adapters.signer_ed25519 import InstallKey, is_signed
from assistant.desk.handing_out import make_export
from assistant.facts import (
    CautionSpoken,
    Fact,
    FindingReached,
    HowHeard,
    InstructionSpoken,
    JobEnded,
    JobStarted,
    NoteTaken,
    ReadingLogged,
    Said,
    VehicleNoted,
    fact_of,
)
from assistant.record.chain import NO_HASH, Entry, link
from assistant.record.clips import clip_name
from assistant.record.log import Leaf, LeafKind, Moment, Signer, head_leaf
from assistant.wiring.at_hand import procedures_at_hand
from assistant.wiring.documents import record_of, sealed_document

ENDED, OTHER, OPEN = "blue-van", "red-van", "grey-hatchback"
PROCEDURE = "spark-check"
CLIP = np.arange(1600, dtype=np.int16)
NOTE = "the plug was loose"
REPORTS = ("html", "json", "csv", "invoice")


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """Folders of one invented shop: `data` with the store and its sound, `keys` with the key and what is remembered,
    `out` with what left the shop, `older` with a copy of the store as it was before its last job."""

    root: Path

    @property
    def data(self) -> Path:
        """The data folder."""
        return self.root / "data"

    @property
    def keys(self) -> Path:
        """The installation's settings."""
        return self.root / "keys"

    @property
    def out(self) -> Path:
        """Reports and exports."""
        return self.root / "out"

    @property
    def older(self) -> Path:
        """An older copy of the data folder."""
        return self.root / "older"

    @property
    def seen(self) -> RememberedHeads:
        """Where the log ended when it was last written here."""
        return RememberedHeads(self.keys, self.data)

    def key(self, name: str = "keys") -> InstallKey:
        """The shop's key, or another's of that name."""
        return InstallKey(self.root / name)

    def open(self, *, signer: Signer | None = None, reading: bool = False) -> SqliteJournal:
        """The store, as the program opens it."""
        if reading:
            return SqliteJournal(self.data, utc, reading=True)
        seen = self.seen
        return SqliteJournal(
            self.data, utc, signer=signer, moment=moment, on_close=lambda head: void(seen.add(head, follows=True))
        )

    @contextmanager
    def sql(self) -> Iterator[sqlite3.Connection]:
        """The store's tables as an attacker writes them, without what guards them."""
        connection = sqlite3.connect(self.data / FILE_NAME, isolation_level=None)
        connection.execute("PRAGMA foreign_keys = OFF")
        for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        try:
            yield connection
        finally:
            connection.close()


def void(_: object) -> None:
    """Nothing comes of it."""


def utc() -> str:
    """An invented time of day."""
    return "2031-05-01T09:00:00.000Z"


def moment() -> Moment:
    """An invented moment."""
    return Moment(boot="a-run", ms=1_000_000)


def build(world: World) -> None:
    """Fill the world: two ended jobs and an open one, the older copy between them, then reports and an export."""
    journal = world.open(signer=world.key())
    library = procedures_at_hand([PROCEDURE])
    journal.keep_texts({one.digest: one.text for one in library.values()})
    texts = {name: one.digest for name, one in library.items()}
    clip = clip_name(7, as_samples(CLIP))
    for place, job in enumerate((ENDED, OTHER, OPEN)):
        if job == OPEN:
            journal.close()
            _copy_store(world)
            journal = world.open(signer=world.key())
        for fact in _facts(job, f"{place + 1:032x}", texts, clip, ended=job != OPEN):
            journal.append([fact])
    WavClips(world.data).keep(ENDED, clip, CLIP)
    world.out.mkdir()
    _publish(world, journal)
    journal.close()


def _copy_store(world: World) -> None:
    world.older.mkdir()
    with sqlite3.connect(world.data / FILE_NAME) as source, sqlite3.connect(world.older / FILE_NAME) as copy:
        source.backup(copy)


def _publish(world: World, journal: SqliteJournal) -> None:
    key = world.key()
    for job in (ENDED, OTHER):
        record = record_of(journal, job, key.key)
        for kind in REPORTS:
            made = sealed_document(record, kind, journal.log_head(), key)
            (world.out / f"{job}.{kind}").write_bytes(made)
    (world.out / "all.jsonl").write_bytes(make_export(journal, journal.jobs(), key, is_signed).content)


def _facts(job: str, key: str, texts: dict[str, str], clip: str, *, ended: bool) -> Iterator[Fact]:
    hearing = HowHeard(engine="embedded", confidence=0.97, clip=clip if job == ENDED else "")
    told: list[Said] = [
        JobStarted(key=key, title="Check the spark", version=1, always_confirm=False, ear=False, texts=texts),
        VehicleNoted(fact="plate", value=f"DEMO {key[-2:]}"),
        VehicleNoted(fact="fuel", value="petrol"),
        CautionSpoken(caution="spark-gap", signal="warning", spoken="Warning. High voltage."),
        InstructionSpoken(spoken="Put the tester on the plug lead."),
        READING,
        NoteTaken(words=NOTE, hearing=hearing),
    ]
    told += [FINDING, JobEnded(finding=True)] if ended else []
    for number, said in enumerate(told, start=1):
        yield fact_of(said, id=f"{key}-{number}", job=job, number=number, at_s=7.0 * number, procedure=PROCEDURE)


READING = ReadingLogged(
    name="battery at rest",
    quantity="voltage",
    value=12.4,
    unit="V",
    words="twelve point four volts",
    spoken="twelve point four volts",
    band="good",
    limits={},
    judgement="good",
    goes="next",
)
FINDING = FindingReached(
    fault="crank-sensor",
    say="It was the crank sensor.",
    proved=(),
    likely=(),
    untested=(),
    advice="",
    customer="",
)


def number_of(connection: sqlite3.Connection, job: str) -> int:
    """The job's number in the store."""
    return int(connection.execute("SELECT job_no FROM jobs WHERE name = ?", (job,)).fetchone()[0])


def rewrite(connection: sqlite3.Connection, job: str, change: Callable[[str], str]) -> None:
    """Change the bodies of a job's facts and make its chain follow from them, as the program would have made it."""
    before = NO_HASH
    job_no = number_of(connection, job)
    rows = connection.execute(
        "SELECT number, recorded_utc, body FROM facts WHERE job_no = ? ORDER BY number", (job_no,)
    ).fetchall()
    for number, recorded, body in rows:
        changed = change(body)
        before = link(before, recorded, changed)
        connection.execute(
            "UPDATE facts SET body = ?, hash = ? WHERE job_no = ? AND number = ?", (changed, before, job_no, number)
        )


def rebuild_log(connection: sqlite3.Connection, signer: Signer | None) -> None:
    """Make the whole log anew over the facts that are there now, signed by whoever is handed in, or with a signature
    that is left over."""
    rows = connection.execute(
        "SELECT l.kind, l.job_no, l.number, l.boot, l.ms, l.leaf, f.id, f.hash FROM log l "
        "LEFT JOIN facts f ON f.job_no = l.job_no AND f.number = l.number ORDER BY l.place"
    ).fetchall()
    left_over = log_head(connection).signature
    connection.execute("DELETE FROM log")
    connection.execute("UPDATE log_head SET size = 0, peaks = X''")
    for kind, job_no, number, boot, ms, text, fact_id, fact_hash in rows:
        if job_no is not None and fact_id is None:
            continue
        if kind == LeafKind.HEAD:
            leaf = head_leaf_of(fact_id, number, fact_hash, Moment(boot=boot, ms=ms))
        else:
            leaf = _Text(kind=LeafKind(kind), job="", number=number or 0, told={}, kept=text)
        add_leaves(connection, [(job_no, leaf)])
    if signer is not None:
        sign_head(connection, signer, utc())
    else:
        connection.execute("UPDATE log_head SET signature = ?", (left_over,))


def head_leaf_of(fact_id: str, number: int, fact_hash: bytes, at: Moment) -> Leaf:
    """The leaf for a fact."""
    entry = Entry(job="-", number=number, id=fact_id, body="", recorded_utc="", hash=bytes(fact_hash))
    return head_leaf(entry, at)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Text(Leaf):
    """A leaf whose text is kept as it was."""

    kept: str

    def text(self) -> str:
        """See Leaf."""
        return self.kept
