"""`hoodside jobs backup`, `restore` and `salvage`: the shop's records kept safe, and what can be saved of them."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.cli import _options
from assistant.record.wording import printable
from assistant.wiring.keeping import back_up, restore, save_healthy


@click.command("backup", epilog="Example: hoodside jobs backup --out /media/stick/hoodside")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), required=True, help="The folder to write.")
@_options.data
def backup_jobs(out: Path, data: Path | None) -> int:
    """Copy all records, kept sound and settings to a folder, also while a session runs.

    The copy is of one moment and is checked. It is a data folder like any other: look into it with --data. What is
    forgotten later is still in it: delete old copies.
    """
    count = back_up(data, out)
    click.echo(f"Wrote {count} job{'s' * (count != 1)} to {out}.", err=True)
    return 0


@click.command("restore", epilog="Example: hoodside jobs restore /media/stick/hoodside")
@click.argument("backup", type=click.Path(path_type=Path, file_okay=False))
@_options.data
def restore_jobs(backup: Path, data: Path | None) -> int:
    """Put back from the folder BACKUP what is not here, or shorter here; nothing that is here is changed.

    Of a damaged store first save what is healthy: hoodside jobs salvage.
    """
    jobs = facts = 0
    for job, new in restore(backup, data):
        jobs, facts = jobs + (new > 0), facts + new
        if new:
            click.echo(f"{printable(job)}: {new} facts.")
    click.echo(f"Put back {facts} facts of {jobs} job{'s' * (jobs != 1)}.", err=True)
    return 0


@click.command("salvage", epilog="Example: hoodside jobs salvage --out saved")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), required=True, help="The folder to write.")
@_options.data
def salvage_jobs(out: Path, data: Path | None) -> int:
    """Save the healthy jobs of a damaged store into a new one in a folder; the damaged store stays as it is.

    Names each job that is lost and ends with 1 where there are any; a backup may still have them.
    """
    kept = lost = 0
    for one in save_healthy(data, out):
        kept, lost = kept + (one.entries is not None), lost + (one.entries is None)
        if one.entries is None:
            click.echo(f"Lost: {printable(one.name)}: {printable(one.why)}.")
        elif one.bare:
            click.echo(f"Kept without plate, owner and dictated words: {printable(one.name)}.")
    click.echo(f"Saved {kept} job{'s' * (kept != 1)} to {out}; {lost} lost.", err=True)
    return 1 if lost else 0
