"""`hoodside report`: the record of a job as a document."""

from __future__ import annotations

import os
import tempfile
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import click

from assistant.cli import _options
from assistant.errors import HoodsideError, UsageError
from assistant.facts import Fact
from assistant.record.build import build_record, procedures_used
from assistant.record.chain import faults
from assistant.record.csv_text import csv_text
from assistant.record.invoice import invoice_text
from assistant.record.model import JobRecord
from assistant.record.page.model import Paper
from assistant.record.plain import json_text
from assistant.wiring import look_into_journal, model_for, procedures_at_hand
from assistant.wiring.shop import shop_settings

FORMATS = ("html", "pdf", "json", "csv", "invoice")


@click.command(epilog="Example: hoodside report grey-hatchback --format html --out grey-hatchback.html")
@click.argument("job", metavar="JOB")
@click.option("--format", "kind", type=click.Choice(FORMATS), default="html", show_default=True, help="What to make.")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="The file; else standard output.")
@click.option("--paper", type=click.Choice([one.value for one in Paper]), help="For html and pdf; else the shop's own.")
@_options.data
def command(job: str, kind: str, out: Path | None, paper: str | None, data: Path | None) -> int:
    """Write the record of JOB, open or ended, as a document.

    html: one file that opens offline and prints on two pages. pdf: the same on paper. json: everything, with the ids of
    the facts (schema: assistant/record/record.schema.json). csv: results and readings, one a line. invoice: a paragraph
    for the customer's invoice.
    """
    if kind == "pdf" and out is None:
        raise UsageError("A PDF needs a file: name it with --out FILE.")
    record = read_record(job, data)
    made = document(record, kind, Paper(paper or shop_settings(data).paper))
    if out is None:
        click.echo(made, nl=False)
    else:
        write_whole(out, made)
        click.echo(f"Wrote {out}.", err=True)
    return 0


def read_record(job: str, data: Path | None) -> JobRecord:
    """The record of a job in the store. Raises UsageError for an unknown job, RecordError for a damaged one."""
    journal = look_into_journal(data)
    try:
        entries = journal.entries(job)
        if not entries:
            raise UsageError(f"There is no job '{job}'; `hoodside jobs list` names them.")
    finally:
        journal.close()
    if faults(entries):
        click.echo(f"hoodside: the chain of job '{job}' does not hold; run `hoodside jobs verify`.", err=True)
    record = build_record(entries, procedures_at_hand(procedures_used(entries)), fault_names(entries[0].fact()))
    # A chain from elsewhere may be called otherwise here than where it was begun.
    return replace(record, job=job)


def fault_names(started: Fact) -> dict[str, str]:
    """What the faults of the job's fault model are called; nothing where it cannot be read any more."""
    try:
        model = model_for(str(started.procedure), started.data.get("file"))
    except HoodsideError:
        return {}
    return {fault.id: fault.say for fault in model.faults} if model is not None else {}


def document(record: JobRecord, kind: str, paper: Paper = Paper.A4) -> bytes:
    """The document of that format, as the bytes of a file. Times of day are this machine's."""
    if kind == "pdf":
        from assistant.record.pdf import pdf_bytes  # noqa: PLC0415 - 80 MB that only paper needs

        return pdf_bytes(record, local_time, paper)
    if kind == "html":
        from assistant.record.html import html_text  # noqa: PLC0415 - its templates are loaded for pages alone

        return html_text(record, local_time, paper).encode()
    if kind == "csv":
        return csv_text(record).encode()
    if kind == "invoice":
        return invoice_text(record, local_time).encode()
    return json_text(record).encode()


def local_time(when: datetime) -> datetime:
    """The time of day where this machine stands."""
    return when.astimezone()


def write_whole(path: Path, content: bytes) -> None:
    """The file with this content, or no change to it at all. Raises UsageError when it cannot be written."""
    try:
        handle, unfinished = tempfile.mkstemp(prefix=f".{path.name[:60]}.", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            Path(unfinished).replace(path)  # for the user alone, as it was made: it may hold a plate
        except BaseException:
            Path(unfinished).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise UsageError(f"'{path}' cannot be written: {error.strerror or error}; name another with --out.") from error
