"""`hoodside report`: the record of a job as a document."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.cli import _options
from assistant.cli._files import local_time as local_time
from assistant.cli._files import write_whole as write_whole
from assistant.errors import UsageError
from assistant.record.page.model import Paper
from assistant.record.wording import printable
from assistant.wiring import install_key, look_into_journal
from assistant.wiring.documents import FORMATS, pictures_in, record_of, sealed_document
from assistant.wiring.shop import shop_settings


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
    for the customer's invoice. Each but the last is sealed: signed, with the place of the job in the store's log.

    A job that is not as it was recorded is written all the same: the document says so first, the command ends with 1.
    """
    if kind == "pdf" and out is None:
        raise UsageError("A PDF needs a file: name it with --out FILE.")
    journal = look_into_journal(data)
    try:
        signer = install_key()
        record = record_of(journal, job, signer.key if signer else b"")
        on = Paper(paper or shop_settings(data).paper)
        made = sealed_document(record, kind, journal.log_head(), signer, on, pictures=pictures_in(data))
    finally:
        journal.close()
    if out is None:
        click.echo(made, nl=False)
    else:
        write_whole(out, made)
        click.echo(f"Wrote {out}.", err=True)
    for words in record.damage:
        click.echo(f"hoodside: {printable(words)}", err=True)
    if record.damage:
        click.echo(f"hoodside: job '{printable(job)}' is NOT as it was recorded; its document says so.", err=True)
    return 1 if record.damage else 0
