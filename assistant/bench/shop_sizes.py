"""Find, the month and ingest with so many jobs on the shop's server.

The lines, words and cars of the jobs are written by SQL in the shape of `record_store.short_job`, and samples of them
are held against what our own code makes. Of their facts one each is there, so that the facts' indexes are not those of
an empty table; a search and the month read none. Ingest is real jobs handed to the server under new keys by two
threads, without the bay's own reading.
"""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from functools import partial
from pathlib import Path
from random import Random

import click
from sqlalchemy import text

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_postgres import Delivery, ShopDesk
from assistant.adapters.journal_postgres.link import engine_for
from assistant.adapters.postgres_server import PostgresServer
from assistant.adapters.signer_ed25519 import InstallKey
from assistant.bench.record_store import FAULTS, FUELS, NOTES, REPAIRED, copied, day, short_job, utc
from assistant.bench.shop_made import account_url, keepers_url, p95, run_sql
from assistant.facts import Fact
from assistant.record.month_page import month_html
from assistant.record.outbox import Parcel
from assistant.record.shop_month import month_of
from assistant.record.summary import JobQuery, line_of, summary_from
from assistant.record.taught import taught_by

SEARCHES = 20
INGEST_JOBS = 40
MONTH = ("2031-01-01", "2031-02-01")

_FILL = """
SET session_replication_role = replica;  -- no triggers: these rows have no facts behind them
INSERT INTO shop.jobs (key, label, begun_as, bay, number)
    SELECT lpad(to_hex(i), 32, '0'), 'job-' || i, 'job-' || i, 'bench', 9 FROM generate_series({first}, {last}) i;
INSERT INTO shop.lines
    SELECT job_no, {day}, 'no-start', vehicle, found, key || '-8',
        format('[["%s-7", "P0%s"]]', key, lpad((i % 1000)::text, 3, '0')), true,
        lower(replace(format('job-%s no-start %s %s P0%s p0%s', i, vehicle, found,
            lpad((i % 1000)::text, 3, '0'), lpad((i % 1000)::text, 3, '0')), '-', ' ')),
        lower(replace(vehicle, '-', ' ')), lower(replace(found, '-', ' ')),
        jsonb_build_object('minutes', i % 90, 'found', fault, 'model', 'Cirrus ' || i % 40, 'make', 'Nimbus',
            'tests', jsonb_build_array('no-start/step-0'), 'decided', 'no-start/step-0',
            'steps', jsonb_build_object('no-start/step-0', i % 90))
            || CASE WHEN i % {repaired} = 0 THEN jsonb_build_object('repaired', fault) ELSE '{{}}' END
    FROM (SELECT *, CASE WHEN i % {repaired} = 0 THEN format('repaired %s; found ', fault) ELSE '' END || fault
            || ' step-0 This is what it was.' AS found
        FROM (SELECT i, lpad(to_hex(i), 32, '0') AS key, j.job_no,
            format('fuel=%s; cylinders=%s', (ARRAY{fuels})[1 + i % 5], 3 + i % 6) AS vehicle,
            (ARRAY{faults})[1 + i % 7] AS fault
        FROM generate_series({first}, {last}) i JOIN shop.jobs j ON j.label = 'job-' || i) AS told) AS made;
INSERT INTO shop.said
    SELECT j.job_no, 4, '/value', 'owner', true, 'demo' || i FROM generate_series({first}, {last}) i
        JOIN shop.jobs j ON j.label = 'job-' || i
    UNION ALL SELECT j.job_no, 5, '/words', 'words', false, 'it cranks but it will not start'
        FROM generate_series({first}, {last}) i JOIN shop.jobs j ON j.label = 'job-' || i
    UNION ALL SELECT j.job_no, 6, '/words', 'words', false, (ARRAY{notes})[1 + i % 3]
        FROM generate_series({first}, {last}) i JOIN shop.jobs j ON j.label = 'job-' || i;
INSERT INTO shop.gathered
    SELECT l.job_no, l.started_utc, concat_ws(chr(10), l.everything, l.vehicle_words, l.finding_words,
        'demo' || i, 'it cranks but it will not start', (ARRAY{notes})[1 + i % 3])
    FROM generate_series({first}, {last}) i JOIN shop.jobs j ON j.label = 'job-' || i JOIN shop.lines l USING (job_no);
INSERT INTO shop.facts (job_no, number, id, recorded_utc, hash, body)
    SELECT job_no, 1, key || '-1', {day}, sha256(key::bytea), '{{}}'
    FROM generate_series({first}, {last}) i JOIN shop.jobs j ON j.label = 'job-' || i;
SET session_replication_role = origin;
"""
_DAY = (
    "to_char(timestamp '2031-01-01' + make_interval(years => i * 5 / 1440 / 336), 'YYYY') || '-' || "
    "lpad((i * 5 / 1440 % 336 / 28 + 1)::text, 2, '0') || '-' || lpad((i * 5 / 1440 % 28 + 1)::text, 2, '0') || 'T' || "
    "lpad((i * 5 % 1440 / 60)::text, 2, '0') || ':' || lpad((i * 5 % 60)::text, 2, '0') || ':00.000Z'"
)


def measure_by_size(
    server: PostgresServer, folder: Path, templates: list[tuple[Fact, ...]], sizes: tuple[int, ...]
) -> dict[str, dict[str, float]]:
    """Figures by size; the server is filled from one to the next."""
    found, have = {}, 0
    desk = ShopDesk(account_url(server, "desk"), utc)
    for size in sizes:
        began = time.perf_counter()
        _fill(server, have + 1, size)
        have, filled_s = size, time.perf_counter() - began
        _hold_samples(desk, size)
        click.echo(f"{size} jobs are filled in", err=True)
        found[str(size)] = {"fill_s": round(filled_s, 1), **_searches(desk, size), **_month(desk)}
        found[str(size)] |= _ingest(server, folder, templates, 2 * 10**9 + size)
        click.echo(json.dumps(found[str(size)]), err=True)
    desk.close()
    return found


def _fill(server: PostgresServer, first: int, last: int) -> None:
    arrays = {name: str([*values]) for name, values in (("fuels", FUELS), ("faults", FAULTS), ("notes", NOTES))}
    query = text("SELECT pg_get_indexdef('shop.gathered_words'::regclass)")
    with engine_for(keepers_url(server)).connect() as connection:
        index = str(connection.execute(query).scalar_one()).replace(" ON ONLY ", " ON ")
    run_sql(server, "DROP INDEX shop.gathered_words")  # made anew at the end, which is quicker than row by row
    step = 20_000
    for start in range(first, last + 1, step):
        run_sql(
            server, _FILL.format(first=start, last=min(last, start + step - 1), day=_DAY, repaired=REPAIRED, **arrays)
        )
    run_sql(server, index)
    run_sql(server, "VACUUM ANALYZE")


def _hold_samples(desk: ShopDesk, size: int) -> None:
    """What SQL wrote is what our own code makes of the same job. Raises RuntimeError."""
    for index in Random(size).sample(range(1, size), 5):
        here = MemoryJournal(partial(day, index))
        here.append(list(short_job(index)))
        summary = summary_from(here.entries(f"job-{index}"), f"job-{index}")
        query = JobQuery(
            words=(f"demo{index}",), since=summary.started_utc[:16], until=f"{summary.started_utc[:16]}:59", most=1
        )
        (line,) = desk.search(query)
        if line_of(line)[0] != line_of(summary)[0] or line.started_utc != summary.started_utc:
            raise RuntimeError(f"the bench's own line is wrong: {line} instead of {summary}")


def _searches(desk: ShopDesk, size: int) -> dict[str, float]:
    dice = Random(size)

    def some() -> int:
        return dice.randrange(1, size)

    queries: dict[str, Callable[[], JobQuery]] = {
        "plate": lambda: JobQuery(vehicle=(f"demo-{some()}",)),
        "code": lambda: JobQuery(words=(f"P0{some() % 1000:03d}",)),
        "words": lambda: JobQuery(words=("harness", "last winter")),
        "two_words": lambda: JobQuery(words=("diesel",), finding=("relay",)),
        "finding": lambda: JobQuery(finding=("crank sensor",)),
        "day": lambda: JobQuery(since=day(some())[:10], until=day(size)[:10]),
        "nothing": lambda: JobQuery(words=("no such word",)),
    }
    took: dict[str, list[float]] = {}
    worked: list[float] = []
    asked = text("SELECT pg_backend_pid()")
    backend = desk.link.work(lambda connection: int(connection.execute(asked).scalar_one()))
    for _ in range(SEARCHES):
        for name, make in queries.items():
            query = make()
            began, computed_s = time.perf_counter(), _computed_s(backend)
            desk.find(query)
            took.setdefault(name, []).append((time.perf_counter() - began) * 1000)
            worked.append((_computed_s(backend) - computed_s) * 1000)
    every = [each for one in took.values() for each in one]
    medians = {f"find_{name}_ms": round(statistics.median(each), 1) for name, each in took.items()}
    return {"find_p95_ms": round(p95(every), 1), "find_computing_p95_ms": round(p95(worked), 1), **medians}


def _computed_s(backend: int) -> float:
    """Seconds that the server's process for us and this one were on a core: what a search takes on a quiet machine."""
    told = Path(f"/proc/{backend}/schedstat")
    return time.process_time() + (int(told.read_text().split()[0]) / 1e9 if told.exists() else 0.0)


def _month(desk: ShopDesk) -> dict[str, float]:
    began = time.perf_counter()
    month = month_of(*MONTH, desk.taught(*MONTH), desk.visits(*MONTH))
    month_html(month, "Bench")
    return {"month_s": round(time.perf_counter() - began, 2), "month_jobs": month.jobs}


def _ingest(server: PostgresServer, folder: Path, templates: list[tuple[Fact, ...]], first: int) -> dict[str, float]:
    """Parcels made beforehand, delivered over two connections."""
    parcels = []
    for index in range(INGEST_JOBS):
        elsewhere = MemoryJournal(partial(day, index))
        name = f"real-{first + index}"
        elsewhere.append(list(copied(templates[index % len(templates)], name, first + index)))
        entries = elsewhere.entries(name)
        parcels.append(Parcel(entries=entries, summary=summary_from(entries, name), told=taught_by(entries)))
    key = InstallKey(folder / "settings")

    def deliver(mine: list[Parcel]) -> int:
        with closing(Delivery(account_url(server, "bench"), utc, key)) as delivery:
            return sum(delivery.deliver(mine[at : at + 4]) for at in range(0, len(mine), 4))

    began = time.perf_counter()
    with ThreadPoolExecutor(2) as pool:
        facts = sum(pool.map(deliver, (parcels[::2], parcels[1::2])))
    return {"ingest_facts": facts, "ingest_facts_a_s": round(facts / (time.perf_counter() - began))}
