"""`hoodside jobs`: the shop's records: found, checked, closed, carried to another machine, freed of personal data."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.cli import _options
from assistant.cli._files import local_time, write_whole
from assistant.cli._groups import HelpfulGroup
from assistant.cli._heads import read_heads
from assistant.cli._keeping import backup_jobs, restore_jobs, salvage_jobs
from assistant.errors import UsageError
from assistant.facts import Fact, FactKind
from assistant.record.chain import Entry, against, facts_of, faults
from assistant.record.exchange import ForgedExport, export_line, import_line
from assistant.record.personal import Belonging
from assistant.record.summary import JobQuery, Summary
from assistant.record.wording import day_and_time, fitted, printable
from assistant.wiring import (
    check_clips,
    holds_records,
    look_into_journal,
    open_journal,
)
from assistant.wiring.keeping import take_chain

if TYPE_CHECKING:  # the guide takes a fifth of a second to load, and only closing needs it
    from assistant.guide import Library
    from assistant.language.model import Command

LARGEST_LINE = 200_000_000
"""Bytes of one job in an import; a day-long job has less than a hundredth of it."""


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
        journal = look_into_journal(data)
        try:
            found = journal.search(query)
        finally:
            journal.close()
    for one in found:
        click.echo(json.dumps(_plain(one)) if as_json else _line(one))
    if found or query == replace(JobQuery(), most=most):
        if not found:
            click.echo("No jobs yet. Begin one with: hoodside start no-start", err=True)
        return 0
    click.echo("No job answers that.", err=True)
    return 1


@command.command(epilog="Example: hoodside jobs verify grey-hatchback --against grey-hatchback.json")
@click.argument("jobs", nargs=-1)
@click.option("--against", "report", metavar="REPORT", help="A JSON or HTML report, an export, or NUMBER:HASH.")
@_options.data
def verify(jobs: tuple[str, ...], report: str | None, data: Path | None) -> int:
    """Check the chain of facts of JOBS, or of all, and the sound kept with them: finds every change and gap.

    A tail that was cut off, or a chain made anew, shows only against a head that left the shop: give a report or export
    of that job, or the number and hash printed on paper.
    """
    heads = read_heads(report, jobs) if report else ()
    journal = look_into_journal(data)
    not_here = 0
    try:
        wrong = list(journal.damage()) if not jobs and not report else []
        names = jobs or tuple(dict.fromkeys(one.job for one in heads)) or journal.jobs()
        for name in names:
            entries = journal.entries(name)
            if not entries:
                wrong.append(f"there is no job '{printable(name)}'")
                continue
            broken = faults(entries)
            wrong += broken
            changed, absent = ((), 0) if broken else check_clips(data, name, facts_of(entries))
            wrong += changed
            not_here += absent
            wrong += [words for one in heads if one.job == name and (words := against(entries, one.head))]
    finally:
        journal.close()
    for words in wrong:
        click.echo(f"hoodside: {printable(words)}", err=True)
    if not_here:
        click.echo(f"hoodside: of the sound that facts name {not_here} clips are not in this folder.", err=True)
    count = f"{len(names)} job" + ("" if len(names) == 1 else "s")
    click.echo(f"{count} checked: {'NOT as recorded' if wrong else 'every fact is as it was recorded'}.")
    return 1 if wrong else 0


@command.command(epilog="Example: hoodside jobs export grey-hatchback --out grey-hatchback.jsonl")
@click.argument("jobs", nargs=-1)
@click.option("--all", "every", is_flag=True, help="Every job.")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), required=True, help="The file to write.")
@click.option("--without-personal", is_flag=True, help="Leave out plates, VINs, owners and dictated words.")
@_options.data
def export(jobs: tuple[str, ...], every: bool, out: Path, without_personal: bool, data: Path | None) -> int:
    """Write JOBS with their whole chains, to keep or to import on another machine."""
    if every == bool(jobs):
        raise UsageError("Name the jobs to export, or say --all.")
    journal = look_into_journal(data)
    try:
        names = journal.jobs() if every else jobs
        lines = [export_line(_entries_of(journal.entries(name), name), personal=not without_personal) for name in names]
    finally:
        journal.close()
    write_whole(out, "".join(lines).encode())
    click.echo(f"Wrote {len(lines)} job{'s' * (len(lines) != 1)} to {out}.", err=True)
    return 0


@command.command("import", epilog="Example: hoodside jobs import grey-hatchback.jsonl")
@click.argument("file", type=click.Path(path_type=Path))
@_options.data
def import_jobs(file: Path, data: Path | None) -> int:
    """Take jobs from an export; each is checked whole before any of it is kept.

    A job is told apart by its random key. One whose name another job has here is kept under that name with a number.
    """
    try:
        with file.open("rb") as lines:
            chains = [_checked(line, number) for number, line in enumerate(_bounded(lines), start=1) if line.strip()]
    except OSError as error:
        raise UsageError(f"'{file}' cannot be read: {error.strerror or error}.") from error
    except ForgedExport as reason:
        click.echo(f"hoodside: '{file}' was refused and nothing was kept: {printable(str(reason))}.", err=True)
        return 1
    journal = open_journal(data)
    try:
        for entries in chains:
            label, new = take_chain(journal, entries)
            click.echo(f"{printable(label)}: {new} new facts of {len(entries)}.")
            if label != entries[0].job:
                click.echo(f"Another job is called '{printable(entries[0].job)}' here.", err=True)
    finally:
        journal.close()
    return 0


@command.command(epilog="Example: hoodside jobs close grey-hatchback --left-off --repair crank-sensor")
@click.argument("job")
@click.option("--left-off", is_flag=True, help="Parts still off the vehicle stay off; each is recorded as left off.")
@click.option("--repair", metavar="FAULT", help="Repairing this fault cured the car: the odds of later jobs learn it.")
@click.option("--no-repair", is_flag=True, help="Take back what was confirmed; nothing is learned from it any more.")
@_options.data
def close(job: str, *, left_off: bool, repair: str | None, no_repair: bool, data: Path | None) -> int:
    """End an open JOB from the desk, as "end job" does by voice; what was recorded stays.

    A repair may also be confirmed, or taken back, after the job has ended. FAULT is an id of the procedure's fault
    model, as `hoodside reason` lists them, or none-of-these.
    """
    from assistant.guide import confirm_repair, fold  # noqa: PLC0415 - only closing needs it
    from assistant.wiring import procedures_at_hand, shipped_procedures  # noqa: PLC0415 - as above

    if repair is not None and no_repair:
        raise UsageError("Say --repair or --no-repair, not both.")
    journal = open_journal(data)
    try:
        journal.claim(job)
        _entries_of(journal.entries(job), job)
        library, kept = procedures_at_hand(shipped_procedures()), journal.facts(job)
        _check_fault(kept[0], repair)
        about_repair = repair is not None or no_repair
        ended = any(fact.kind is FactKind.JOB_ENDED for fact in kept)
        facts = () if ended and about_repair else close_job(library, kept, left_off=left_off)
        if about_repair:
            facts = (*facts, confirm_repair(library, fold(library, [*kept, *facts]), repair))
        journal.append(facts)
    finally:
        journal.close()
    if len(facts) > about_repair:
        click.echo(f"Closed {printable(job)}.")
    if about_repair:
        click.echo(f"Confirmed repair of {printable(job)}: {repair or 'none any more'}.")
    return 0


@command.command(epilog="Example: hoodside jobs forget grey-hatchback --words")
@click.argument("job")
@click.option("--words", "also_words", is_flag=True, help="Also the complaint, notes, other dictated words and sound.")
@click.option("--technician", "also_staff", is_flag=True, help="Also the name of who did the work.")
@_options.data
def forget(job: str, also_words: bool, also_staff: bool, data: Path | None) -> int:
    """Remove plate, VIN and owner of JOB for good; the chain of facts still holds.

    Afterwards no file in the data folder holds them, the write-ahead log and old backups included. Documents, exports,
    traces and backups that were written elsewhere are yours to delete.
    """
    journal = open_journal(data)
    try:
        _entries_of(journal.entries(job), job)
        asked = ((Belonging.OWNER, True), (Belonging.WORDS, also_words), (Belonging.STAFF, also_staff))
        belongs = tuple(kind for kind, wanted in asked if wanted)
        done = journal.remove_personal(job, belongs)
    finally:
        journal.close()
    click.echo(f"Removed {done.values} values of {printable(job)}" + (" and its sound." if done.clips else "."))
    for backup in done.backups:
        click.echo(f"Removed the old backup {backup}: it held them too.")
    return 0


def _check_fault(started: Fact, fault: str | None) -> None:
    """Raises UsageError for a fault that the job's fault model does not know."""
    from assistant.reasoning.model import NONE_OF_THESE  # noqa: PLC0415 - only closing needs it
    from assistant.wiring import model_for  # noqa: PLC0415 - as above

    model = model_for(str(started.procedure), started.data.get("file")) if fault is not None else None
    if fault is not None and model is not None and model.meant_by(fault) is None:
        known = ", ".join([*(one.id for one in model.faults), NONE_OF_THESE])
        raise UsageError(f"The fault model '{model.id}' has no fault '{fault}'; it has {known}.")


def close_job(library: Library, kept: Sequence[Fact], *, left_off: bool) -> tuple[Fact, ...]:
    """The facts that end an open job. Raises UsageError: ended already, or parts are off and may not stay off."""
    from assistant.guide import Mode, advance, fold  # noqa: PLC0415 - only closing needs it
    from assistant.language.model import Control, GiveControl, GiveResult  # noqa: PLC0415 - only closing needs it

    state = fold(library, kept)
    if state.mode is Mode.ENDED:
        raise UsageError(f"Job '{state.job}' has ended already.")
    if state.open_items and not left_off:
        items = ", ".join(state.open_items)
        raise UsageError(f"Still off the vehicle: {items}. Refit them, or say --left-off; the job stays open.")
    found: list[Fact] = []
    said: list[Command] = [GiveControl(control=Control.END_JOB), GiveControl(control=Control.YES)]
    while said:
        turn = advance(library, state, said.pop(0), state.at_s)
        if turn.refused is not None:
            raise UsageError(f"Job '{state.job}' cannot be closed from the desk now: {turn.refused}")
        state, found = turn.state, [*found, *turn.facts]
        if not said and state.mode is Mode.CLOSING and state.open_items and left_off:
            said.append(GiveResult(result="left-off", words="left off, from the desk"))
    return tuple(found)


def _entries_of(entries: Sequence[Entry], job: str) -> Sequence[Entry]:
    if not entries:
        raise UsageError(f"There is no job '{job}'; `hoodside jobs list` names them.")
    return entries


def _bounded(lines: object) -> list[bytes]:
    found: list[bytes] = []
    while line := lines.readline(LARGEST_LINE + 1):  # type: ignore[attr-defined]  # a binary file
        if len(line) > LARGEST_LINE:
            raise ForgedExport(f"line {len(found) + 1} is longer than any job")
        found.append(line)
    return found


def _checked(line: bytes, number: int) -> tuple[Entry, ...]:
    try:
        return import_line(line.decode("utf-8"))
    except UnicodeDecodeError as reason:
        raise ForgedExport(f"line {number}: this is not text in UTF-8") from reason
    except ForgedExport as reason:
        raise ForgedExport(f"line {number}: {reason}") from reason


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
