"""How fast the shop's server takes in and finds, how fast a week's outbox drains, and whether the voice loop notices.

A PostgreSQL server is made in a temporary folder, as `hoodside shop serve` makes it, each commit on disk. A week is 50
copies of a real job of 400 to 700 facts, recorded in a bay's own store and drained as a bay drains.

Find, the month and ingest are measured at several sizes (`shop_sizes`), the voice loop beside a drain (`shop_voice`).
Load of the machine is told beside the figures.
"""

from __future__ import annotations

import json
import os
import tempfile
import time
from pathlib import Path
from typing import Any

import click

from assistant.adapters.postgres_server import PostgresServer
from assistant.bench.record_store import real_jobs
from assistant.bench.shop_made import bench_server, join_bench, record_real
from assistant.bench.shop_sizes import measure_by_size
from assistant.facts import Fact
from assistant.wiring.shop_server import drain

WEEK_JOBS = 50
SIZES = (10_000, 100_000)
PARTS = ("week", "voice", "sizes")


def measure_shop(
    sizes: tuple[int, ...] = SIZES,
    week: int = WEEK_JOBS,
    folder: Path | None = None,
    parts: tuple[str, ...] = PARTS,
) -> dict[str, Any]:
    """Figures by name; those of each size under `sizes`. `parts`: which of them."""
    templates = real_jobs(1)
    with bench_server(folder) as server, tempfile.TemporaryDirectory(prefix="hoodside-bench-", dir=folder) as made:
        measured: dict[str, Any] = {"load_of_the_machine": round(os.getloadavg()[0], 1), "cores": os.cpu_count()}
        if "week" in parts:
            measured |= _week(server, Path(made) / "week", templates, week)
        if "voice" in parts:
            from assistant.bench.shop_voice import measure_voice_loop  # noqa: PLC0415 - loads ears and voices

            measured |= measure_voice_loop(server, Path(made) / "voice", templates)
        click.echo(json.dumps(measured), err=True)
        if "sizes" in parts:
            measured["sizes"] = measure_by_size(server, Path(made), templates, sizes)
        measured["load_at_the_end"] = round(os.getloadavg()[0], 1)
        return measured


def _week(server: PostgresServer, folder: Path, templates: list[tuple[Fact, ...]], jobs: int) -> dict[str, float]:
    """A bay that was away for a week."""
    join_bench(server, folder)
    facts = record_real(folder, templates, jobs, 10**9)
    began = time.perf_counter()
    drain(folder)
    took_s = time.perf_counter() - began
    return {
        "week_jobs": jobs,
        "week_facts": facts,
        "week_drain_s": round(took_s, 2),
        "week_facts_a_s": round(facts / took_s),
    }


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
