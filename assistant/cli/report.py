"""`hoodside report`: the record of a job as a document."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from assistant.cli import _options
from assistant.cli._files import local_time as local_time
from assistant.cli._files import write_whole as write_whole
from assistant.errors import UsageError
from assistant.record.build import build_record, procedures_used
from assistant.record.chain import faults
from assistant.record.csv_text import csv_text
from assistant.record.invoice import invoice_text
from assistant.record.model import JobRecord
from assistant.record.page.model import Paper
from assistant.record.plain import json_text
from assistant.wiring import look_into_journal, procedures_at_hand
from assistant.wiring.fault_names import fault_names
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
    used, started = procedures_used(entries), entries[0].fact()
    record = build_record(
        entries, procedures_at_hand(used), fault_names(str(started.procedure), started.data.get("file"))
    )
    # A chain from elsewhere may be called otherwise here than where it was begun.
    return replace(record, job=job)


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
