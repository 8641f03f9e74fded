"""`hoodside bench all`: one table of what the program does on this machine, each beside a yardstick of the same run.

A thin gatherer: each part is another `hoodside bench`, run as a program of its own with few counts, so the shares carry
less far than those that are measured at length.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from time import perf_counter

import click

Run = Callable[[Sequence[str]], object]
"""Arguments of `hoodside` -> what it prints as JSON. Raises ValueError with the reason where it prints none."""

PARTS: Mapping[str, tuple[str, ...]] = {
    "hear": ("--part", "steps", "--count", "16", "--hours", "0"),
    "latency": ("--count", "12"),
    "crank": ("--scenes", "20", "--held-out", "10", "--hours", "0.05", "--live", "4"),
    "reason": ("--cars", "10", "--processes", "1"),
    "record": ("--jobs", "200", "--real", "4", "--appends", "200"),
    "attacks": (),
}
"""Each bench and its reduced counts."""

YARDSTICKS: Mapping[str, str] = {
    "record.append_p50_ms": "record.plain_p50_ms",
    "record.append_p99_ms": "record.plain_p99_ms",
    "reason.ways.0.minutes": "reason.ways.3.minutes",
}
"""A measure and what stands beside it: a plain insert into SQLite, the order of the book."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One line. `ratio`: of `value` to that of the measure named by `yardstick`, where there is one."""

    name: str
    value: float
    yardstick: str | None = None
    ratio: float | None = None


def gather(run: Run, parts: Mapping[str, tuple[str, ...]] = PARTS) -> tuple[tuple[Measure, ...], dict[str, str]]:
    """Every number of every part, and why a part gave none."""
    found: dict[str, float] = {}
    failed: dict[str, str] = {}
    for part, arguments in parts.items():
        began_s = perf_counter()
        try:
            found |= dict(_numbers(part, run(["bench", part, *arguments, "--json"])))
        except ValueError as why:
            failed[part] = str(why)
        found[f"{part}.took_s"] = round(perf_counter() - began_s, 1)
    return tuple(_measure(name, found) for name in found), failed


def _measure(name: str, found: Mapping[str, float]) -> Measure:
    beside = YARDSTICKS.get(name)
    if beside is None or not found.get(beside):
        return Measure(name=name, value=found[name])
    return Measure(name=name, value=found[name], yardstick=beside, ratio=found[name] / found[beside])


def _numbers(name: str, told: object) -> Iterator[tuple[str, float]]:
    """Each number in it by the way to it, `record.small.append_p99_ms`; truth values are none."""
    if isinstance(told, Mapping):
        for key, value in told.items():
            yield from _numbers(f"{name}.{key}", value)
    elif isinstance(told, list):
        for place, value in enumerate(told):
            yield from _numbers(f"{name}.{place}", value)
    elif isinstance(told, int | float) and not isinstance(told, bool):
        yield name, float(told)


def as_program(arguments: Sequence[str]) -> object:
    """What `hoodside` prints with these arguments, in a program of its own; JSON lines come as a list."""
    command = [sys.executable, "-m", "assistant", *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    lines = [json.loads(line) for line in done.stdout.splitlines() if line.startswith(("{", "["))]
    if not lines:
        last = (done.stderr.strip().splitlines() or ["it printed nothing"])[-1]
        raise ValueError(f"exit code {done.returncode}: {last}")
    return lines[0] if len(lines) == 1 else lines


@click.command(epilog="Example: hoodside bench all --part record --json")
@click.option("--part", "only", multiple=True, type=click.Choice(tuple(PARTS)), help="Only this part; may be repeated.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(only: tuple[str, ...], as_json: bool) -> int:
    """Run every measurement with few counts and put the numbers into one table, with their ratios to yardsticks.

    Some ten minutes on two idle cores. Exit code 1 where a part gave no numbers, whose reason is told.
    """
    parts = {name: counts for name, counts in PARTS.items() if not only or name in only}
    measures, failed = gather(as_program, parts)
    if as_json:
        click.echo(json.dumps({"measures": [asdict(one) for one in measures], "failed": failed}))
        return int(bool(failed))
    for one in measures:
        beside = f"  {one.ratio:.2f} of {one.yardstick}" if one.ratio is not None else ""
        click.echo(f"{one.name}: {one.value:g}{beside}")
    for part, why in failed.items():
        click.echo(f"{part}: no numbers: {why}", err=True)
    return int(bool(failed))
