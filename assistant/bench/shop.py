"""How fast the shop's server takes in and finds, how fast a week's outbox drains, and whether the voice loop notices.

A PostgreSQL server is made in a temporary folder, as `hoodside shop serve` makes it, each commit on disk. A week is 50
real jobs of 400 to 700 facts, recorded in a bay's own store and drained as a bay drains. Ingest is the same jobs handed
to the server again and again under other keys, from two processes' worth of threads, without the bay's own reading.

Find, the month and ingest are measured at several sizes. For these the lines, words and cars of the jobs are written
by SQL in the shape of `record_store.short_job`, and samples of them are held against what our own code makes. Of their
facts one each is there, so that the facts' indexes are not those of an empty table; a search and the month read none.

The voice loop is measured by phrases said in a quiet room, from the last sample of speech to the first of the answer,
its fact kept before: each phrase alone and, in the next block, while another process sends jobs that are new to the
server. Load of the machine is told beside the figures.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from functools import partial
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

import click
import numpy as np
from sqlalchemy import URL, make_url, text

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_postgres import Delivery, ShopDesk
from assistant.adapters.journal_postgres.link import engine_for
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.postgres_server import PostgresServer, as_allowed_user
from assistant.adapters.shop_joined import JoinedShop, keep_joined
from assistant.adapters.signer_ed25519 import InstallKey
from assistant.bench.record_store import copied, day, real_jobs, short_job, utc
from assistant.facts import Fact
from assistant.record.month_page import month_html
from assistant.record.outbox import Parcel
from assistant.record.shop_month import month_of
from assistant.record.summary import JobQuery, line_of, summary_from
from assistant.record.taught import taught_by
from assistant.wiring.shop_keeping import set_up
from assistant.wiring.shop_server import drain, outbox_state, turns_waiting

WEEK_JOBS = 50
SIZES = (10_000, 100_000)
SEARCHES = 20
INGEST_JOBS = 40
PHRASES, ROUNDS, ROUND_JOBS = 20, 3, 60
PASSWORD = "made up"
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


PARTS = ("week", "voice", "sizes")


def measure_shop(
    sizes: tuple[int, ...] = SIZES,
    week: int = WEEK_JOBS,
    folder: Path | None = None,
    parts: tuple[str, ...] = PARTS,
) -> dict[str, Any]:
    """Figures by name; those of each size under `sizes`. `parts`: which of them."""
    templates = real_jobs(2)
    with _server(folder) as server, tempfile.TemporaryDirectory(prefix="hoodside-bench-", dir=folder) as made:
        measured: dict[str, Any] = {"load_of_the_machine": round(os.getloadavg()[0], 1), "cores": os.cpu_count()}
        if "week" in parts:
            measured |= _week(server, Path(made) / "week", templates, week)
        if "voice" in parts:
            measured |= _voice_loop(server, Path(made) / "voice", templates)
        click.echo(json.dumps(measured), err=True)
        if "sizes" in parts:
            measured["sizes"] = _by_size(server, Path(made), templates, sizes)
        measured["load_at_the_end"] = round(os.getloadavg()[0], 1)
        return measured


@contextmanager
def _server(folder: Path | None) -> Iterator[PostgresServer]:
    with tempfile.TemporaryDirectory(prefix="shop-", dir=folder) as made:
        server = PostgresServer(Path(made), port=_free_port(), prefix=as_allowed_user(Path(made)))
        try:
            set_up(server, "localhost", ["localhost"], "shared_buffers = 256MB\nmaintenance_work_mem = 512MB")
            for name, roles in (("bench", "hoodside_bay"), ("desk", "hoodside_desk")):
                _run(server, f"CREATE ROLE {name} LOGIN PASSWORD '{PASSWORD}' IN ROLE {roles}")
            yield server
        finally:
            server.stop("immediate")


def _week(server: PostgresServer, folder: Path, templates: list[tuple[Fact, ...]], jobs: int) -> dict[str, float]:
    """A bay that was away for a week."""
    _join(server, folder)
    facts = _record(folder, templates, jobs, 10**9)
    began = time.perf_counter()
    drain(folder)
    took_s = time.perf_counter() - began
    return {
        "week_jobs": jobs,
        "week_facts": facts,
        "week_drain_s": round(took_s, 2),
        "week_facts_a_s": round(facts / took_s),
    }


def _join(server: PostgresServer, folder: Path) -> None:
    folder.mkdir()
    address = _account(server, "bench").set(drivername="postgresql").render_as_string()
    keep_joined(folder, JoinedShop(address=address, password=PASSWORD), None)


def _record(folder: Path, templates: list[tuple[Fact, ...]], jobs: int, first: int) -> int:
    """So many real jobs in a bay's own store, their keys from `first` on; how many facts these are."""
    facts = 0
    with closing(SqliteJournal(folder, utc)) as journal:
        for index in range(jobs):
            elsewhere, name = MemoryJournal(partial(day, index)), f"real-{first + index}"
            elsewhere.append(list(copied(templates[index % len(templates)], name, first + index)))
            facts += journal.take(elsewhere.entries(name))
    return facts


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
        with closing(Delivery(_account(server, "bench"), utc, key)) as delivery:
            return sum(delivery.deliver(mine[at : at + 4]) for at in range(0, len(mine), 4))

    began = time.perf_counter()
    with ThreadPoolExecutor(2) as pool:
        facts = sum(pool.map(deliver, (parcels[::2], parcels[1::2])))
    return {"ingest_facts": facts, "ingest_facts_a_s": round(facts / (time.perf_counter() - began))}


def _voice_loop(server: PostgresServer, folder: Path, templates: list[tuple[Fact, ...]]) -> dict[str, float]:
    """The same phrases in blocks in turn: alone, and while another process sends jobs. Only whole pairs count."""
    from assistant.adapters.synthesiser_hibari import HibariSynthesiser  # noqa: PLC0415 - loads the voices
    from assistant.bench.latency import in_a_room, latency_ms, phrases_said  # noqa: PLC0415 - as above
    from assistant.bench.setting import Wish, make_setting  # noqa: PLC0415 - as above

    _join(server, folder)
    setting = make_setting(Wish(procedure="no-start", count=PHRASES, hours=0.0, seed=2))
    random, synthesiser = np.random.default_rng(2), HibariSynthesiser()
    said = [
        (ask, words, in_a_room(setting.speech(speaker, words), random))
        for ask, words, speaker, reading in phrases_said(setting, random)
        if not reading
    ]
    journal, facts = SqliteJournal(folder, utc), (one for number in count() for one in short_job(3 * 10**9 + number))

    def answer(which: int) -> float | None:
        """Milliseconds to the first sound of the answer, the turn's fact kept before."""
        ask, words, room = said[which]
        heard_ms = latency_ms(setting, synthesiser, ask, words, room)
        began = time.perf_counter()
        journal.append([next(facts)])
        return None if heard_ms is None else heard_ms + (time.perf_counter() - began) * 1000

    for which in range(3):
        answer(which)  # what is loaded at first is not the loop's
    pairs: list[tuple[float, float]] = []  # alone, beside
    command = [sys.executable, "-m", "assistant", "shop", "drain", "--beside", "--data", str(folder)]
    for number in range(ROUNDS):
        alone = [answer(which) for which in range(len(said))]
        _record(folder, templates, ROUND_JOBS, 4 * 10**9 + number * 1_000)
        seen = outbox_state(folder).last_utc
        process = subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.DEVNULL)
        while outbox_state(folder).sent == 0 or outbox_state(folder).last_utc == seen:
            time.sleep(0.02)
        for which in range(len(said)):
            before, after = alone[which], answer(which)
            if turns_waiting(folder) <= 1:  # what this loop kept itself
                break
            if before is not None and after is not None:
                pairs.append((before, after))
        process.kill()
        process.wait()
    journal.close()
    first, second = [one for one, _ in pairs], [one for _, one in pairs]
    return {
        "voice_pairs": len(pairs),
        "voice_alone_ms": round(statistics.median(first)),
        "voice_beside_drain_ms": round(statistics.median(second)),
        "voice_ratio": round(statistics.median(second) / statistics.median(first), 3),
        "voice_ratio_a_phrase": round(statistics.median(b / a for a, b in pairs), 3),
        "voice_p95_ratio": round(_p95(second) / _p95(first), 3),
    }


def _by_size(
    server: PostgresServer, folder: Path, templates: list[tuple[Fact, ...]], sizes: tuple[int, ...]
) -> dict[str, dict[str, float]]:
    found, have = {}, 0
    desk = ShopDesk(_account(server, "desk"), utc)
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
    from assistant.bench.record_store import FAULTS, FUELS, NOTES, REPAIRED  # noqa: PLC0415 - as SQL writes them

    arrays = {name: str([*values]) for name, values in (("fuels", FUELS), ("faults", FAULTS), ("notes", NOTES))}
    query = text("SELECT pg_get_indexdef('shop.gathered_words'::regclass)")
    with engine_for(_keeper(server)).connect() as connection:
        index = str(connection.execute(query).scalar_one()).replace(" ON ONLY ", " ON ")
    _run(server, "DROP INDEX shop.gathered_words")  # made anew at the end, which is quicker than row by row
    step = 20_000
    for start in range(first, last + 1, step):
        _run(server, _FILL.format(first=start, last=min(last, start + step - 1), day=_DAY, repaired=REPAIRED, **arrays))
    _run(server, index)
    _run(server, "VACUUM ANALYZE")


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
    return {"find_p95_ms": round(_p95(every), 1), "find_computing_p95_ms": round(_p95(worked), 1), **medians}


def _computed_s(backend: int) -> float:
    """Seconds that the server's process for us and this one were on a core: what a search takes on a quiet machine."""
    told = Path(f"/proc/{backend}/schedstat")
    return time.process_time() + (int(told.read_text().split()[0]) / 1e9 if told.exists() else 0.0)


def _month(desk: ShopDesk) -> dict[str, float]:
    began = time.perf_counter()
    month = month_of(*MONTH, desk.taught(*MONTH), desk.visits(*MONTH))
    month_html(month, "Bench")
    return {"month_s": round(time.perf_counter() - began, 2), "month_jobs": month.jobs}


def _p95(values: list[float]) -> float:
    return statistics.quantiles(values, n=20)[18]


def _run(server: PostgresServer, script: str) -> None:
    with engine_for(_keeper(server)).connect() as connection:
        cursor = connection.execution_options(isolation_level="AUTOCOMMIT").connection.cursor()
        cursor.execute("SET statement_timeout = 0")
        cursor.execute(script)
        cursor.close()


def _keeper(server: PostgresServer, database: str = "hoodside") -> URL:
    return make_url(server.address(database)).set(drivername="postgresql+psycopg")


def _account(server: PostgresServer, name: str) -> URL:
    return URL.create("postgresql+psycopg", name, PASSWORD, host="127.0.0.1", port=server.port, database="hoodside")


def _free_port() -> int:
    import socket  # noqa: PLC0415 - for this alone

    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@click.command(epilog="Example: hoodside bench shop --jobs 10000 --jobs 100000 --json")
@click.option("--jobs", "sizes", type=click.IntRange(1_000), multiple=True, help="At which sizes; also more than once.")
@click.option("--week", type=click.IntRange(2), default=WEEK_JOBS, show_default=True, help="Real jobs in the outbox.")
@click.option(
    "--folder", type=click.Path(path_type=Path, exists=True, file_okay=False), help="Where the server is made."
)
@click.option("--part", "parts", type=click.Choice(PARTS), multiple=True, help="Only these; else all.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(*, sizes: tuple[int, ...], week: int, folder: Path | None, parts: tuple[str, ...], as_json: bool) -> None:
    """How fast the shop's server takes in and finds, and whether a session notices that the outbox drains."""
    measured = measure_shop(tuple(sorted(sizes)) or SIZES, week, folder, parts or PARTS)
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, value in measured.items():
        if isinstance(value, dict):
            for size, figures in value.items():
                click.echo(f"{size} jobs: " + ", ".join(f"{key} {figure:g}" for key, figure in figures.items()))
        else:
            click.echo(f"{name}: {value}")
