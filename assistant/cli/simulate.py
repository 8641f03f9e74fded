"""`hoodside simulate`: procedures walked by machine, every answer at every step."""

from __future__ import annotations

import json
import time
from collections.abc import Iterable
from pathlib import Path

import click

from assistant.cli.check import FAULTY, MODEL_ENDING
from assistant.errors import UsageError
from assistant.guide import Library
from assistant.reasoning.model import Model
from assistant.record.wording import fitted
from assistant.simulation import Report, Rule, simulate, told_tests
from assistant.wiring import load_libraries, model_for, shipped_procedures

BROKEN = {
    Rule.ENDS: "dead ends",
    Rule.COVERED: "steps or results never walked",
    Rule.CAUTIONS: "hazardous steps in reach without their cautions",
    Rule.GATES: "steps in reach without their gates",
    Rule.DUTY: "paths that break the starter's duty",
    Rule.VAPOUR: "sparks, clamps or hot work in reach of uncleared vapour",
    Rule.STATE: "work in a state of car and bay that forbids it",
    Rule.TRIES: "sprays too many",
    Rule.NOTHING_LEFT: "ends with something still off the car",
    Rule.BOOKS: "counts in which guide and facts differ",
}
"""What a fault of each rule is."""


@click.command(epilog="Example: hoodside simulate procedures/ --json")
@click.argument("paths", metavar="PATH…", nargs=-1, required=True)
@click.option("--json", "as_json", is_flag=True, help="One JSON value in place of the table.")
@click.option(
    "--whole",
    "whole_jobs",
    type=click.IntRange(0, 100_000),
    default=20,
    show_default=True,
    metavar="N",
    help="Whole jobs of each procedure, led in one piece beside the search.",
)
@click.option("--seed", type=int, default=1, show_default=True, help="Draws the whole jobs.")
def command(paths: tuple[str, ...], as_json: bool, whole_jobs: int, seed: int) -> int:
    """Walk procedures by machine through the real guide: every result and reading band at every step.

    PATH is a procedure file, a folder of them, or the id of a shipped one. Each is walked as a job of its own, calls
    included, with vehicle facts both given and asked; where a plan can lead, once more with every block that it may
    choose. Paths that meet in the same situation go on as one, so all are
    covered. Exit code 1 when a step or result is never walked, a path cannot end, or a path breaks the starter's duty,
    skips a caution or meets a spark with vapour about.
    """
    roots, library = load_libraries(_names(paths))
    began_s = time.perf_counter()
    models = _models(roots, library)
    told = {root: told_tests(model) for root, model in models.items()}
    blocks = {root: [block.step for block in model.blocks] for root, model in models.items()}
    report = simulate(library, roots, whole_jobs=whole_jobs, seed=seed, told=told, blocks=blocks)
    took_s = time.perf_counter() - began_s
    paths_per_min = round(60 * report.paths / max(took_s, 1e-9))
    if as_json:
        plain = report.plain() | {"took_s": round(took_s, 3), "paths_per_min": paths_per_min}
        click.echo(json.dumps(plain, ensure_ascii=False))
    else:
        for line in (*_table(report), "", *(str(fault) for fault in report.faults), *map(fitted, _sums(report))):
            click.echo(line)
        click.echo(f"{report.paths:,} paths in {took_s:.1f} s: {paths_per_min:,} paths a minute.")
    return FAULTY if report.faults else 0


def _models(roots: Iterable[str], library: Library) -> dict[str, Model]:
    """Root -> the fault model that says which tests may be told in its jobs, and where a plan may go on."""
    shipped = shipped_procedures()
    models = {root: model_for(root, None if root in shipped else library[root].path) for root in roots}
    return {root: model for root, model in models.items() if model is not None}


def _names(paths: tuple[str, ...]) -> list[str]:
    names: list[str] = []
    for path in paths:
        folder = Path(path)
        if path.endswith(MODEL_ENDING):
            raise UsageError(f"'{path}' is a fault model; simulate walks procedures.")
        if folder.is_dir():
            files = sorted([*folder.glob("*.yaml"), *folder.glob("*.yml")])
            names += [str(file) for file in files if not file.name.endswith(MODEL_ENDING)]
        else:
            names.append(path)
    if not names:
        raise UsageError("There is no procedure file in these folders.")
    return names


def _table(report: Report) -> list[str]:
    """Columns as wide as what stands in them: a table that is cut between columns cannot be read."""
    rows = [("procedure", "steps", "results", "situations", "paths", "whole", "minutes", "cranking")]
    rows += [
        (
            account.procedure,
            "{}/{}".format(*account.steps),
            "{}/{}".format(*account.results),
            f"{account.situations:,}",
            f"{account.paths:,}",
            f"{account.whole_jobs:,}",
            f"{account.longest_min:.0f}",
            f"{account.longest_crank_s:.0f} s",
        )
        for account in report.accounts
    ]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        "  ".join([name.ljust(widths[0]), *(cell.rjust(width) for cell, width in zip(cells, widths[1:], strict=True))])
        for name, *cells in rows
    ]


def _sums(report: Report) -> list[str]:
    shares = [(what, *report.share(what)) for what in ("steps", "results")]
    lines = [f"{walked:,} of {written:,} {what} walked." for what, walked, written in shares]
    kept = [what for rule, what in BROKEN.items() if not report.broken[rule]]
    lines += [f"Found {what}: {len(report.broken[rule])}." for rule, what in BROKEN.items() if report.broken[rule]]
    lines += [f"No {', no '.join(kept)}."] if kept else []
    hazardous = sum(account.hazardous for account in report.accounts)
    cautions = sum(account.cautions for account in report.accounts)
    rests = sum(account.rests for account in report.accounts)
    told = sum(account.told for account in report.accounts)
    inherited = sum(account.inherited for account in report.accounts)
    aside = sum(account.aside for account in report.accounts)
    led = sum(account.led for account in report.accounts)
    led_to = sum(account.led_situations for account in report.accounts)
    lines.append(f"{led:,} times a plan led to another block: {led_to:,} situations.")
    lines.append(f"{told:,} tests told unasked and {inherited:,} cars from another job: {aside:,} moves on.")
    lines.append(f"{hazardous:,} hazardous steps begun, {cautions:,} cautions acknowledged, {rests:,} starter rests.")
    return lines
