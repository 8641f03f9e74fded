"""How fast the shop's store is when it is full, as whole commands and inside, and how that grows with the jobs in it.

Two stores of invented jobs are filled in a temporary folder, one with a hundredth of the other's jobs. Whole commands
are other processes, their start included. The plain insert is the same text into a table of one column in a store of
its own, same disk, same write-ahead log, synchronous=FULL, taken in turn with our append so that both meet the same
disk. Figures are medians unless they say otherwise; the load of the machine is told beside them.
"""

from __future__ import annotations

import json
import os
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import click

from assistant.adapters.clock_boot import boot_moment
from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.signer_ed25519 import InstallKey
from assistant.bench.record_store import TEMPLATES, appended, day, fill, real_jobs, utc
from assistant.facts import Fact
from assistant.record.build import build_record, procedures_used
from assistant.record.chain import canonical, faults
from assistant.record.html import html_text
from assistant.record.model import JobRecord
from assistant.record.pdf import pdf_bytes
from assistant.record.personal import Belonging
from assistant.record.plain import json_text
from assistant.record.summary import JobQuery
from assistant.wiring import procedures_at_hand

JOBS, REAL = 100_000, 300
SMALLER = 100
"""The smaller store has a hundredth of the jobs."""
APPENDS = 2_000
SEARCHES = 10
COMMANDS = 3
FORGOTTEN = 20
BREATH_S = 0.002
"""Between two facts of the live session: far quicker than one speaks, but the lock is free at times. Without it, on a
busy machine, forgetting waited longer than the store waits for anybody."""
WORDS = ("petrol", "last winter")
"""Two words of which one stands in the lines and one in the notes of many jobs."""
SETTINGS = "settings"
"""Where the commands of the measurement find their key, so that they leave the user's own alone."""


def measure_record(jobs: int = JOBS, real: int = REAL, appends: int = APPENDS, folder: Path | None = None) -> Measured:
    """Figures of the full store, of the smaller one under `small`, and their ratios under `growth`.

    `jobs` in the store, `real` of them whole; `appends` timed. `folder`: where to put the stores.
    """
    templates = real_jobs(min(TEMPLATES, real))
    small = _measure(max(jobs // SMALLER, 2), min(real, max(jobs // SMALLER // 10, 1)), appends, templates, folder)
    full = _measure(jobs, real, appends, templates, folder)
    growth = {name: round(value / small[name], 2) for name, value in full.items() if small.get(name)}
    lengths = [len(facts) for facts in templates]
    return {
        **full,
        "facts_of_a_real_job": statistics.mean(lengths),
        "load_of_the_machine": round(os.getloadavg()[0], 1),
        "cores": float(os.cpu_count() or 0),
        "small": small,
        "growth": growth,
    }


Measured = dict[str, "float | dict[str, float]"]


def _measure(
    jobs: int, real: int, appends: int, templates: list[tuple[Fact, ...]], folder: Path | None
) -> dict[str, float]:
    with tempfile.TemporaryDirectory(prefix="hoodside-bench-", dir=folder) as made:
        store = Path(made)
        names: list[str] = []
        fill_ms = _timed(lambda: names.extend(fill(store, jobs, real, templates)))
        measured = {"jobs": float(jobs), "real_jobs": float(len(names)), "fill_s": fill_ms / 1000}
        measured["store_mb"] = (store / FILE_NAME).stat().st_size / 1e6
        measured |= _searches(store, jobs)
        measured |= _reports(store, names[-1])
        measured |= _commands(store, names[-1], jobs)
        measured |= _appends(store, appends)
        measured |= _forgets(store, jobs)
        return {name: round(value, 3) for name, value in measured.items()}


def _searches(store: Path, jobs: int) -> dict[str, float]:
    journal = SqliteJournal(store, utc, reading=True)
    middle = jobs // 2
    queries = {
        "vehicle": JobQuery(vehicle=("diesel",), finding=("relay",)),
        "plate": JobQuery(vehicle=(f"demo-{middle}",)),
        "words": JobQuery(words=WORDS),
        "code": JobQuery(words=("P0335",)),
        "finding": JobQuery(finding=("crank sensor",)),
        "day": JobQuery(since=day(middle), until=day(middle + 1000)),
        "nothing": JobQuery(words=("no such word",), vehicle=("no such plate",)),
    }
    took = {name: [_timed(partial(journal.search, query)) for _ in range(SEARCHES)] for name, query in queries.items()}
    found = {f"search_{name}_ms": statistics.median(each) for name, each in took.items()}
    found["search_worst_ms"] = max(statistics.median(each) for each in took.values())
    found["repairs_ms"] = statistics.median(_timed(journal.repairs) for _ in range(SEARCHES))
    journal.close()
    return found


def _reports(store: Path, job: str) -> dict[str, float]:
    def whole(make: Callable[[SqliteJournal], object]) -> float:
        def work() -> None:
            journal = SqliteJournal(store, utc, reading=True)
            make(journal)
            journal.close()

        return statistics.median(_timed(work) for _ in range(COMMANDS))

    def record(journal: SqliteJournal) -> JobRecord:
        entries = journal.entries(job)
        if faults(entries):
            raise RuntimeError("the bench's own chain must hold")
        return build_record(entries, procedures_at_hand(procedures_used(entries)))

    return {
        "report_json_ms": whole(lambda journal: json_text(record(journal))),
        "report_html_ms": whole(lambda journal: html_text(record(journal), lambda when: when)),
        "report_pdf_ms": whole(lambda journal: pdf_bytes(record(journal), lambda when: when)),
        "verify_job_ms": whole(lambda journal: faults(journal.entries(job))),
    }


def _commands(store: Path, job: str, jobs: int) -> dict[str, float]:
    """Seconds of whole commands, start included, each the median of a few; of verifying and copying all, one."""
    out = store / "made"

    settings = {**os.environ, "XDG_CONFIG_HOME": str(store / SETTINGS)}

    def took(*words: str, times: int = COMMANDS) -> float:
        command = [sys.executable, "-m", "assistant", *words, "--data", str(store)]
        spent = []
        for _ in range(times):
            began = time.perf_counter()
            done = subprocess.run(command, capture_output=True, check=False, env=settings)
            spent.append(time.perf_counter() - began)
            if done.returncode:
                raise RuntimeError(f"{' '.join(words)}: {done.stderr.decode(errors='replace')}")
        return statistics.median(spent)

    return {
        "command_find_s": took("jobs", "list", "--vehicle", f"demo{jobs // 2}"),
        "command_find_words_s": took("jobs", "list", *WORDS),
        "command_report_html_s": took("report", job, "--out", str(out)),
        "command_report_json_s": took("report", job, "--format", "json", "--out", str(out)),
        "command_report_pdf_s": took("report", job, "--format", "pdf", "--out", str(out)),
        "command_verify_job_s": took("jobs", "verify", job),
        "command_export_job_s": took("jobs", "export", job, "--out", str(out)),
        "command_verify_all_s": took("jobs", "verify", times=1),
        "command_backup_s": took("jobs", "backup", "--out", str(store / "backup"), times=1),
        "command_forget_s": took("jobs", "forget", job, "--words"),
    }


def _appends(store: Path, appends: int) -> dict[str, float]:
    key = InstallKey(store / SETTINGS / "hoodside")
    journal = SqliteJournal(store, utc, signer=key, moment=boot_moment)
    plain = sqlite3.connect(store / "plain.sqlite", isolation_level=None)
    plain.execute("PRAGMA journal_mode = WAL")
    plain.execute("PRAGMA synchronous = FULL")
    plain.execute("CREATE TABLE facts (body TEXT)")
    ours: list[float] = []
    theirs: list[float] = []
    for fact in appended("bench-job", "bench", appends):
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


def _forgets(store: Path, jobs: int) -> dict[str, float]:
    """Forgetting some jobs while a live session appends all the time: how long either takes."""
    live: list[float] = []
    enough = threading.Event()

    def append() -> None:
        journal = SqliteJournal(store, utc)
        for fact in appended("live-job", "live", 1_000_000):
            live.append(_timed(partial(journal.append, [fact])))
            if enough.wait(BREATH_S):  # asked after an append: a quick machine forgets all within the first breath
                break
        journal.close()

    session = threading.Thread(target=append)
    session.start()
    journal = SqliteJournal(store, utc)
    some = [name for name in journal.jobs()[1 :: max(jobs // FORGOTTEN, 1)] if name.startswith("job-")]
    took = [_timed(partial(journal.remove_personal, name, [Belonging.OWNER, Belonging.WORDS])) for name in some]
    journal.close()
    enough.set()
    session.join()
    return {
        "forget_ms": statistics.median(took or [0.0]),
        "forget_worst_ms": max(took or [0.0]),
        "append_while_forgetting_worst_ms": max(live),
    }


def _timed(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return (time.perf_counter() - began) * 1000


@click.command(epilog="Example: hoodside bench record --jobs 10000 --real 100 --json")
@click.option("--jobs", type=click.IntRange(4), default=JOBS, show_default=True, help="Invented jobs in the store.")
@click.option("--real", type=click.IntRange(1), default=REAL, show_default=True, help="Of these so many whole ones.")
@click.option("--appends", type=click.IntRange(100), default=APPENDS, show_default=True, help="Appends timed.")
@click.option(
    "--folder",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    metavar="DIR",
    help="Where the stores are made; the system's temporary folder unless given.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(jobs: int, real: int, appends: int, folder: Path | None, as_json: bool) -> None:
    """How fast the shop's store is when it is full, as whole commands and inside, and how that grows."""
    measured = measure_record(jobs, real, appends, folder)
    if as_json:
        click.echo(json.dumps(measured))
        return
    small, growth = measured["small"], measured["growth"]
    for name, value in measured.items():
        if isinstance(value, float) and isinstance(small, dict) and isinstance(growth, dict):
            before = f"  (smaller store {small[name]:g}, growth {growth[name]:g})" if name in growth else ""
            click.echo(f"{name}: {value:g}{before}")
