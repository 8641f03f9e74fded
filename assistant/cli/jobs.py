"""`hoodside jobs`: the shop's records: found, checked, closed, carried to another machine, freed of personal data."""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import closing
from dataclasses import asdict, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.cli import _options
from assistant.cli._files import local_time, write_whole
from assistant.cli._groups import HelpfulGroup
from assistant.cli._keeping import backup_jobs, restore_jobs, salvage_jobs
from assistant.cli._verify import show_key, verify
from assistant.desk.forgetting import forget
from assistant.desk.found import entries_of
from assistant.desk.handing_out import make_export
from assistant.desk.taking_in import bounded, open_export, take_in
from assistant.errors import UsageError
from assistant.facts import Fact
from assistant.record.chain import Entry
from assistant.record.exchange import ForgedExport
from assistant.record.summary import JobQuery, Summary
from assistant.record.texts import file_of, named_texts
from assistant.record.wording import day_and_time, fitted, printable
from assistant.wiring import (
    holds_records,
    install_key,
    is_signed,
    look_into_journal,
    open_journal,
    shipped_procedures,
)
from assistant.wiring.verifying import damage_of

if TYPE_CHECKING:  # the guide takes a fifth of a second to load, and only closing needs it
    from assistant.guide import Library
    from assistant.ports import Archive
    from assistant.reasoning.model import Model


@click.group(cls=HelpfulGroup, epilog="Example: hoodside jobs list --vehicle 'DEMO 42' --since 2031-05-01")
def command() -> None:
    """Find, check, close, export, import and forget the jobs of the shop; back them up and put them back."""


for one in (backup_jobs, restore_jobs, salvage_jobs):
    command.add_command(one)


@command.command("list", epilog="Example: hoodside jobs list hatchback --finding 'crank sensor' --open")
@click.argument("words", nargs=-1)
@click.option("--vehicle", multiple=True, metavar="WORDS", help="Fuel, engine, plate, VIN and whatever was told of it.")
@click.option("--finding", multiple=True, metavar="WORDS", help="What was found.")
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), help="Begun on this day or later.")
@click.option("--until", type=click.DateTime(["%Y-%m-%d"]), help="Begun on this day or earlier.")
@click.option("--open/--ended", "is_open", default=None, help="Only open, or only ended ones.")
@click.option("--most", type=click.IntRange(1), default=50, show_default=True, help="At most so many, newest first.")
@click.option("--json", "as_json", is_flag=True, help="JSON lines.")
@_options.data
def list_jobs(
    *,
    words: tuple[str, ...],
    vehicle: tuple[str, ...],
    finding: tuple[str, ...],
    since: datetime | None,
    until: datetime | None,
    is_open: bool | None,
    most: int,
    as_json: bool,
    data: Path | None,
) -> int:
    """List jobs, newest first, by WORDS in name, vehicle, finding, codes, complaint, notes, plate, VIN or owner.

    Ends with 1 when words or options were given and no job answers them.
    """
    query = JobQuery(
        words=words,
        vehicle=vehicle,
        finding=finding,
        since=_midnight(since.date()) if since else None,
        until=_midnight(until.date() + timedelta(days=1)) if until else None,
        ended=None if is_open is None else not is_open,
        most=most,
    )
    found: Sequence[Summary] = ()
    if holds_records(data):
        with closing(look_into_journal(data)) as journal:
            found = journal.search(query)
    for one in found:
        click.echo(json.dumps(_plain(one)) if as_json else _line(one))
    if found or query == replace(JobQuery(), most=most):
        if not found:
            click.echo("No jobs yet. Begin one with: hoodside start no-start", err=True)
        return 0
    click.echo("No job answers that.", err=True)
    return 1


command.add_command(verify)
command.add_command(show_key)


@command.command(epilog="Example: hoodside jobs export grey-hatchback --out grey-hatchback.jsonl")
@click.argument("jobs", nargs=-1)
@click.option("--all", "every", is_flag=True, help="Every job.")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), required=True, help="The file to write.")
@click.option("--without-personal", is_flag=True, help="Leave out plates, VINs, owners and dictated words.")
@_options.data
def export(jobs: tuple[str, ...], every: bool, out: Path, without_personal: bool, data: Path | None) -> int:
    """Write JOBS with their whole chains, to keep or to import on another machine; sealed, like a report.

    A job that is not as it was recorded is named and left out, and the command ends with 1.
    """
    if every == bool(jobs):
        raise UsageError("Name the jobs to export, or say --all.")
    with closing(look_into_journal(data)) as journal:
        names = journal.jobs() if every else tuple(dict.fromkeys(jobs))
        exported = make_export(journal, names, install_key(), is_signed, personal=not without_personal)
    for words in exported.left_out:
        click.echo(f"hoodside: {printable(words)}.", err=True)
    if exported.count:
        write_whole(out, exported.content)
        click.echo(f"Wrote {exported.count} job{'s' * (exported.count != 1)} to {out}.", err=True)
    if exported.left_out:
        click.echo(
            "hoodside: a job that is not as it was recorded is not exported; see hoodside jobs verify.", err=True
        )
    return 1 if exported.left_out else 0


@command.command("import", epilog="Example: hoodside jobs import grey-hatchback.jsonl")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--removals-of", "keys", multiple=True, metavar="DIGITS", help="Follow removals asked for with this key.")
@_options.data
def import_jobs(file: Path, keys: tuple[str, ...], data: Path | None) -> int:
    """Take jobs from an export; each is checked whole before any of it is kept.

    A job is told apart by its random key. One whose name another job has here is kept under that name with a number.

    What was removed on request where the export was made is removed here too, if the job came from there or from here.
    Removals by another machine are named with its key, and followed with --removals-of.
    """
    try:
        with file.open("rb") as lines:
            export, key = open_export(bounded(lines.readline), is_signed)
    except OSError as error:
        raise UsageError(f"'{file}' cannot be read: {error.strerror or error}.") from error
    except ForgedExport as reason:
        click.echo(f"hoodside: '{file}' was refused and nothing was kept: {printable(str(reason))}.", err=True)
        return 1
    if not key:
        click.echo(f"hoodside: note: '{file}' is not signed: its chains hold, and nobody vouches for them.", err=True)
    signer = install_key()
    ours = signer.key if signer else b""
    if key and key != ours:
        click.echo(f"Signed with the key {key.hex()}: compare it with reports of the shop that it is from.", err=True)
    with closing(open_journal(data)) as journal:
        for one in take_in(journal, export, key, keys, ours=ours):
            click.echo(f"{printable(one.label)}: {one.new} new facts of {one.count}.")
            if one.label != one.name:
                click.echo(f"Another job is called '{printable(one.name)}' here.", err=True)
            for words in one.removals:
                click.echo(f"hoodside: {printable(words)}", err=True)
    return 0


@command.command("close", epilog="Example: hoodside jobs close grey-hatchback --left-off --repair crank-sensor")
@click.argument("job")
@click.option("--left-off", is_flag=True, help="Parts still off the vehicle stay off; each is recorded as left off.")
@click.option("--repair", metavar="FAULT", help="Repairing this fault cured the car: the odds of later jobs learn it.")
@click.option("--no-repair", is_flag=True, help="Take back what was confirmed; nothing is learned from it any more.")
@_options.data
def close_job(job: str, *, left_off: bool, repair: str | None, no_repair: bool, data: Path | None) -> int:
    """End an open JOB from the desk, as "end job" does by voice; what was recorded stays.

    A repair may also be confirmed, or taken back, after the job has ended. FAULT is an id of the procedure's fault
    model, as `hoodside reason` lists them, or none-of-these.
    """
    from assistant.desk.closing import Repair, close, require_fault  # noqa: PLC0415 - it brings the guide, half a start

    if repair is not None and no_repair:
        raise UsageError("Say --repair or --no-repair, not both.")
    told = Repair(fault=repair) if repair is not None or no_repair else None
    with closing(open_journal(data)) as journal:
        journal.claim(job)
        entries = entries_of(journal, job)
        damage = damage_of(journal, job)
        library, kept = _led_by(journal, entries), journal.facts(job)
        if repair is not None:
            require_fault(_model_of(kept[0]), repair)
        closed = close(library, kept, left_off=left_off, repair=told)
        journal.append(closed.facts)
    for words in damage:
        click.echo(f"hoodside: {printable(words)}.", err=True)
    if closed.ends:
        click.echo(f"Closed {printable(job)}.")
    if told is not None:
        click.echo(f"Confirmed repair of {printable(job)}: {repair or 'none any more'}.")
    return 1 if damage else 0


@command.command("forget", epilog="Example: hoodside jobs forget grey-hatchback --words")
@click.argument("job")
@click.option("--words", "also_words", is_flag=True, help="Also the complaint, notes, other dictated words and sound.")
@click.option("--technician", "also_staff", is_flag=True, help="Also the name of who did the work.")
@_options.data
def forget_job(job: str, also_words: bool, also_staff: bool, data: Path | None) -> int:
    """Remove plate, VIN and owner of JOB for good; the chain of facts still holds.

    Afterwards no file in the data folder holds them, the write-ahead log and old backups included. Documents, exports,
    traces and backups that were written elsewhere are yours to delete.
    """
    with closing(open_journal(data)) as journal:
        done = forget(journal, job, words=also_words, staff=also_staff)
    click.echo(f"Removed {done.values} values of {printable(job)}" + (" and its sound." if done.clips else "."))
    for backup in done.backups:
        click.echo(f"Removed the old backup {backup}: it held them too.")
    return 0


def _model_of(started: Fact) -> Model | None:
    from assistant.wiring import model_for  # noqa: PLC0415 - only closing needs it

    return model_for(str(started.procedure), file_of(started))


def _led_by(journal: Archive, entries: Sequence[Entry]) -> Library:
    """What led the job, as far as it can be read; nothing where it cannot: then the facts alone close it."""
    from assistant.wiring.at_hand import procedures_at_hand, procedures_of_job  # noqa: PLC0415 - only closing needs it

    if named_texts(entries):
        return procedures_of_job(entries, journal.text)
    return procedures_at_hand(shipped_procedures())


def _midnight(day: date) -> str:
    """The start of a day where this machine stands, as the store compares times."""
    local = datetime(day.year, day.month, day.day).astimezone()
    return local.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _plain(one: Summary) -> dict[str, object]:
    told = asdict(one)
    told.pop("finding_fact")
    return told | {"codes": [code for _, code in one.codes]}


def _line(one: Summary) -> str:
    state = "ended" if one.ended else "open "
    vehicle = one.vehicle.replace("=", " ")
    parts = (day_and_time(one.started_utc, local_time), state, one.job, vehicle, one.finding or "no finding")
    return fitted("  ".join(printable(part) for part in parts if part))
