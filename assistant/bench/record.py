"""How fast the shop's store is when it is full: search, report, append against a plain insert, verify.

A store of invented jobs is filled in a temporary folder; every measurement is made on it. The plain insert is the same
text into a table of one column in a store of its own, same disk, same write-ahead log, synchronous=FULL, taken in turn
with our append so that both meet the same disk.
"""

from __future__ import annotations

import json
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import click

from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.journal_sqlite.lines import note_entries
from assistant.adapters.journal_sqlite.log import add_leaves
from assistant.adapters.journal_sqlite.rows import add_entry
from assistant.facts import Fact, FactKind
from assistant.record.build import build_record, procedures_used
from assistant.record.chain import Entry, Head, canonical, entry_after, faults
from assistant.record.html import html_text
from assistant.record.log import head_leaf
from assistant.record.model import JobRecord
from assistant.record.pdf import pdf_bytes
from assistant.record.plain import json_text
from assistant.record.summary import JobQuery
from assistant.wiring import procedures_at_hand

JOBS = 100_000
LONG_JOB_FACTS = 500
APPENDS = 2_000
SEARCHES = 20
FUELS = ("petrol", "petrol", "petrol", "diesel", "gas")
FAULTS = ("crank-sensor", "fuel-pump", "plugs-fouled", "battery-weak", "open", "immobiliser", "relay")
LONG_JOB = "long-job"
REPAIRED = 20
"""Of one invented job in so many the repair was confirmed."""


def measure_record(jobs: int = JOBS, appends: int = APPENDS, folder: Path | None = None) -> dict[str, float]:
    """Milliseconds and ratios by name; `jobs` in the store, `appends` timed. `folder`: where to put the store."""
    with tempfile.TemporaryDirectory(prefix="hoodside-bench-", dir=folder) as made:
        store = Path(made)
        filled_s = _timed(lambda: _fill(store, jobs))
        measured = {"jobs": float(jobs), "fill_s": filled_s / 1000}
        measured["store_mb"] = (store / FILE_NAME).stat().st_size / 1e6
        measured |= _searches(store, jobs)
        measured |= _reports(store)
        measured |= _appends(store, appends)
        return {name: round(value, 3) for name, value in measured.items()}


def _searches(store: Path, jobs: int) -> dict[str, float]:
    journal = SqliteJournal(store, _utc, reading=True)
    last = jobs - 1
    queries = {
        "vehicle": JobQuery(vehicle=("diesel",), finding=("relay",)),
        "plate": JobQuery(vehicle=(f"DEMO {last // 2}",)),
        "finding": JobQuery(finding=("crank sensor",)),
        "day": JobQuery(since=_day(last // 2), until=_day(last // 2 + 1000)),
        "nothing": JobQuery(words=("no such word",), vehicle=("no such plate",)),
    }
    took = {name: [_timed(partial(journal.search, query)) for _ in range(SEARCHES)] for name, query in queries.items()}
    found = {f"search_{name}_ms": statistics.median(each) for name, each in took.items()}
    found["search_worst_ms"] = max(max(each) for each in took.values())
    found["repairs_ms"] = statistics.median(_timed(journal.repairs) for _ in range(SEARCHES))
    journal.close()
    return found


def _reports(store: Path) -> dict[str, float]:
    def whole(make: Callable[[SqliteJournal], object]) -> float:
        def work() -> None:
            journal = SqliteJournal(store, _utc, reading=True)
            make(journal)
            journal.close()

        return _timed(work)

    def record(journal: SqliteJournal) -> JobRecord:
        entries = journal.entries(LONG_JOB)
        if faults(entries):
            raise RuntimeError("the bench's own chain must hold")
        return build_record(entries, procedures_at_hand(procedures_used(entries)))

    return {
        "report_json_ms": whole(lambda journal: json_text(record(journal))),
        "report_html_ms": whole(lambda journal: html_text(record(journal), lambda when: when)),
        "report_pdf_ms": whole(lambda journal: pdf_bytes(record(journal), lambda when: when)),
        "verify_job_ms": whole(lambda journal: faults(journal.entries(LONG_JOB))),
    }


def _appends(store: Path, appends: int) -> dict[str, float]:
    journal = SqliteJournal(store, _utc)
    plain = sqlite3.connect(store / "plain.sqlite", isolation_level=None)
    plain.execute("PRAGMA journal_mode = WAL")
    plain.execute("PRAGMA synchronous = FULL")
    plain.execute("CREATE TABLE facts (body TEXT)")
    ours: list[float] = []
    theirs: list[float] = []
    for fact in _facts("bench-job", "bench", appends):
        text = canonical(fact.plain())
        theirs.append(_timed(partial(plain.execute, "INSERT INTO facts VALUES (?)", (text,))))
        ours.append(_timed(partial(journal.append, [fact])))
    plain.close()
    journal.close()
    ours_p99, theirs_p99 = statistics.quantiles(ours, n=100)[98], statistics.quantiles(theirs, n=100)[98]
    return {
        "append_p50_ms": statistics.median(ours),
        "append_p99_ms": ours_p99,
        "plain_p50_ms": statistics.median(theirs),
        "plain_p99_ms": theirs_p99,
        "append_p99_over_plain": ours_p99 / theirs_p99,
    }


def _fill(store: Path, jobs: int) -> None:
    SqliteJournal(store, _utc).close()
    connection = sqlite3.connect(store / FILE_NAME, isolation_level=None)
    connection.execute("BEGIN")
    for index in range(jobs):
        _keep(connection, _chain(_short_job(index), _day(index)))
    _keep(connection, _chain(_facts(LONG_JOB, "long", LONG_JOB_FACTS), _day(jobs)))
    connection.execute("COMMIT")
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()


def _keep(connection: sqlite3.Connection, entries: list[Entry]) -> None:
    for entry in entries:
        job_no = add_entry(connection, entry)
    note_entries(connection, job_no, entries)
    add_leaves(connection, [(job_no, head_leaf(entries[-1], None))])


def _chain(facts: Iterator[Fact], recorded_utc: str) -> list[Entry]:
    found: list[Entry] = []
    head = Head()
    for fact in facts:
        found.append(entry_after(head, fact, recorded_utc))
        head = Head(number=fact.number, hash=found[-1].hash)
    return found


def _short_job(index: int) -> Iterator[Fact]:
    key, job = f"{index:032x}", f"job-{index}"
    told: list[tuple[FactKind, dict[str, object]]] = [
        (FactKind.JOB_STARTED, {"key": key, "title": "Engine cranks but will not run", "version": 1}),
        (FactKind.VEHICLE_NOTED, {"fact": "fuel", "value": FUELS[index % len(FUELS)]}),
        (FactKind.VEHICLE_NOTED, {"fact": "cylinders", "value": str(3 + index % 6)}),
        (FactKind.VEHICLE_NOTED, {"fact": "plate", "value": f"DEMO {index}"}),
        (FactKind.WORDS_KEPT, {"words": "it cranks but it will not start"}),
        (FactKind.READING_LOGGED, {"name": "battery at rest", "value": 12.0 + index % 9 / 10, "unit": "V"}),
        (FactKind.FINDING_REACHED, {"fault": FAULTS[index % len(FAULTS)], "say": "This is what it was."}),
        (FactKind.JOB_ENDED, {"finding": True}),
    ]
    if index % REPAIRED == 0:
        told.append((FactKind.REPAIR_CONFIRMED, {"fault": FAULTS[index % len(FAULTS)], "by": "desk"}))
    for number, (kind, data) in enumerate(told, start=1):
        yield _fact(job, key, number, kind, data)


def _facts(job: str, key: str, count: int) -> Iterator[Fact]:
    """A long job, as the guide writes it: steps, cautions, readings, bursts, notes."""
    round_of: tuple[tuple[FactKind, dict[str, object]], ...] = (
        (FactKind.STEP_ENTERED, {"how": "next"}),
        (FactKind.CAUTION_SPOKEN, {"caution": "start-up", "signal": "warning"}),
        (FactKind.CAUTION_ACKNOWLEDGED, {"caution": "start-up", "words": "doors are open"}),
        (FactKind.INSTRUCTION_SPOKEN, {}),
        (FactKind.BURST_ENDED, {"start_s": 0.0, "end_s": 5.0, "by": "ear", "rpm": 180.0, "caught": False}),
        (FactKind.READING_HEARD, {"value": 12.4, "unit": "V", "words": "twelve point four volts"}),
        (FactKind.READING_LOGGED, {"name": "battery at rest", "quantity": "voltage", "value": 12.4, "unit": "V"}),
        (FactKind.RESULT_LOGGED, {"result": "dead", "words": "never fired"}),
        (FactKind.NOTE_TAKEN, {"words": "the plug was loose"}),
        (FactKind.INSTRUCTION_DONE, {}),
    )
    yield _fact(job, key, 1, FactKind.JOB_STARTED, {"key": key})
    for number in range(2, count + 1):
        kind, data = round_of[number % len(round_of)]
        yield _fact(job, key, number, kind, data)


def _fact(job: str, key: str, number: int, kind: FactKind, data: dict[str, object]) -> Fact:
    at_s = 6.5 * number
    if kind is FactKind.BURST_ENDED:
        data = data | {"start_s": at_s - 5, "end_s": at_s}
    step = f"step-{number // 10}"
    return Fact(
        id=f"{key}-{number}", job=job, number=number, at_s=at_s, kind=kind, procedure="no-start", step=step, data=data
    )


def _day(index: int) -> str:
    """An invented time of day, later for later jobs."""
    minutes = index * 5
    days, rest = divmod(minutes, 24 * 60)
    years, day = divmod(days, 336)
    return f"{2031 + years}-{day // 28 + 1:02d}-{day % 28 + 1:02d}T{rest // 60:02d}:{rest % 60:02d}:00.000Z"


def _utc() -> str:
    return "2040-01-01T00:00:00.000Z"


def _timed(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return (time.perf_counter() - began) * 1000


@click.command(epilog="Example: hoodside bench record --jobs 10000 --json")
@click.option("--jobs", type=click.IntRange(1), default=JOBS, show_default=True, help="Invented jobs in the store.")
@click.option("--appends", type=click.IntRange(100), default=APPENDS, show_default=True, help="Appends timed.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(jobs: int, appends: int, as_json: bool) -> None:
    """How fast the shop's store is when it is full: search, report, append against a plain insert, verify."""
    measured = measure_record(jobs, appends)
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, value in measured.items():
        click.echo(f"{name}: {value:g}")
