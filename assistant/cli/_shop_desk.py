"""`hoodside shop find`, `history`, `comebacks` and the like: what the whole shop knows and learned."""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import closing, suppress
from dataclasses import asdict
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant.cli import _options
from assistant.cli._files import local_time, write_whole
from assistant.errors import ShopRefused, ShopUnreachable, UsageError
from assistant.reasoning.learning import show_learned, strength
from assistant.record.page.model import Paper
from assistant.record.shop_month import Month, comebacks, decided_by, minutes_by_finding, minutes_by_test, month_of
from assistant.record.summary import JobQuery
from assistant.record.wording import day_and_time, fitted, printable, times
from assistant.wiring.fault_models import load_model
from assistant.wiring.shop import shop_settings
from assistant.wiring.shop_odds import known_here
from assistant.wiring.shop_server import open_shop

if TYPE_CHECKING:
    from assistant.adapters.journal_postgres import ShopDesk, ShopLine
    from assistant.reasoning.model import Model

DAY = click.DateTime(["%Y-%m-%d"])
TOLD_SKEW_S = 60.0
"""A bay's clock that is off by more than this is told, and its times are shown corrected. Judgement."""
PAGES = (".html", ".pdf")
FIRST, LAST = "0001-01-01", "9999-12-31"
as_json = click.option("--json", "as_json", is_flag=True, help="JSON lines.")
since = click.option("--since", type=DAY, help="Begun on this day or later.")
until = click.option("--until", type=DAY, help="Begun on this day or earlier.")


@click.command("find", epilog="Example: hoodside shop find hatchback --finding 'crank sensor' --technician sam")
@click.argument("words", nargs=-1)
@click.option("--vehicle", multiple=True, metavar="WORDS", help="Fuel, engine, plate, VIN and whatever was told of it.")
@click.option("--finding", multiple=True, metavar="WORDS", help="What was found.")
@click.option("--technician", default="", metavar="NAME", help="Who did the work.")
@since
@until
@click.option("--most", type=click.IntRange(1), default=50, show_default=True, help="At most so many, newest first.")
@as_json
@_options.data
def find(
    *,
    words: tuple[str, ...],
    vehicle: tuple[str, ...],
    finding: tuple[str, ...],
    technician: str,
    since: datetime | None,
    until: datetime | None,
    most: int,
    as_json: bool,
    data: Path | None,
) -> int:
    """Find jobs of all bays by WORDS in name, vehicle, finding, codes, complaint, notes, plate, VIN or owner.

    A bay whose clock is off is shown by the server's time, and told so. Ends with 1 where no job answers.
    """
    first, behind = _days(since, until)
    query = JobQuery(words=words, vehicle=vehicle, finding=finding, since=first, until=behind, most=most)
    with closing(open_shop(data)) as desk:
        found = desk.find(query, technician)
    return _tell_lines(found, as_json=as_json)


@click.command("history", epilog="Example: hoodside shop history 'DEMO 42'")
@click.argument("plates", nargs=-1, required=True)
@as_json
@_options.data
def history(plates: tuple[str, ...], as_json: bool, data: Path | None) -> int:
    """Say what the shop knows of the car with one of these PLATES or VINs: findings, repairs, last readings.

    Ends with 1 where the car was never here.
    """
    with closing(open_shop(data)) as desk:
        found = desk.jobs_of_car(plates)
    if as_json or not found:
        return _tell_lines(found, as_json=as_json)
    for one in found:
        click.echo(_line(one))
        for name, label in (("repaired", "repaired"), ("failed", "repairs that did not hold"), ("km", "kilometres")):
            if one.told.get(name):
                click.echo(f"    {label}: {printable(str(one.told[name]))}")
        for reading in one.told.get("readings", ()):
            good = " (known good)" if reading.get("good") else ""
            click.echo(printable(f"    {reading['name']}: {reading['value']:g} {reading['unit']}{good}"))
    return 0


@click.command("comebacks", epilog="Example: hoodside shop comebacks --since 2031-05-01")
@since
@until
@as_json
@_options.data
def show_comebacks(since: datetime | None, until: datetime | None, as_json: bool, data: Path | None) -> int:
    """Name each car that came back within 30 days or 1,000 km, with what was found before and then."""
    first, behind = _days(since, until)
    with closing(open_shop(data)) as desk:
        found = comebacks(desk.visits(first or FIRST, behind or LAST))
    found = tuple(one for one in found if (first or FIRST) <= one.started_utc < (behind or LAST))
    _tell(
        (asdict(one) for one in found),
        as_json,
        lambda one: (
            f"{one['started_utc'][:10]}  {one['job']}: after {one['days']:g} days"
            + (f" and {one['km']:g} km" if one["km"] is not None else "")
            + f"; before ({one['before']}): {one['found_before'] or 'open'}; then: {one['found'] or 'open'}"
        ),
    )
    return 0


@click.command("minutes", epilog="Example: hoodside shop minutes --by test --since 2031-05-01")
@click.option("--by", type=click.Choice(["finding", "test"]), default="finding", show_default=True, help="By what.")
@since
@until
@as_json
@_options.data
def minutes(by: str, since: datetime | None, until: datetime | None, as_json: bool, data: Path | None) -> int:
    """Say how many minutes jobs took by what they came to, or by test: count, median, total."""
    told = _taught(data, since, until)
    rows = minutes_by_finding(told) if by == "finding" else minutes_by_test(told)
    _tell(
        (asdict(one) for one in rows),
        as_json,
        lambda one: (
            f"{one['name']}: {times(one['count'], 'job')}, median {one['median_min']:g} min, "
            f"in all {one['total_min']:g}"
        ),
    )
    return 0


@click.command("tests", epilog="Example: hoodside shop tests")
@since
@until
@as_json
@_options.data
def tests(since: datetime | None, until: datetime | None, as_json: bool, data: Path | None) -> int:
    """Say how often each test decided: was the last one before the finding, of the jobs in which it was done."""
    rows = decided_by(_taught(data, since, until))
    _tell(
        (asdict(one) for one in rows),
        as_json,
        lambda one: f"{one['test']}: decided {one['decided']} of {times(one['done'], 'job')}",
    )
    return 0


@click.command("readings", epilog="Example: hoodside shop readings hatchback")
@click.argument("words", nargs=-1)
@as_json
@_options.data
def readings(words: tuple[str, ...], as_json: bool, data: Path | None) -> int:
    """Say this shop's known-good readings by model, with median, range and count; WORDS: of models with these."""
    with closing(open_shop(data)) as desk:
        rows = [one for one in desk.readings() if all(word.lower() in one["model"].lower() for word in words)]
    _tell(
        rows,
        as_json,
        lambda one: (
            f"{one['model']}: {one['name']}: median {one['median']:g} {one['unit']}, "
            f"{one['least']:g} to {one['most']:g}, {times(one['count'], 'reading')}"
        ),
    )
    return 0


@click.command("priors", epilog="Example: hoodside shop priors no-start")
@click.argument("procedure", default="no-start")
@as_json
@_options.data
def priors(procedure: str, as_json: bool, data: Path | None) -> int:
    """Say how the confirmed repairs of all bays move the odds that a job of PROCEDURE begins with, and how strongly.

    With a desk's account as the server knows it now; else, and off-line, as this bay knows it: its own repairs and what
    it fetched last of the others. Strength: the share that the repairs have in the new odds; the file's have the rest.
    """
    model = load_model(procedure)
    repairs, words = _all_repairs(model, data)
    by_repairs = strength(model, repairs)
    rows = [asdict(one) | {"strength": round(by_repairs, 3)} for one in show_learned(model, repairs)]
    _tell(
        rows,
        as_json,
        lambda one: f"{one['fault']}: {one['before']:.3f} to {one['after']:.3f} by {times(one['repairs'], 'repair')}",
    )
    counted = sum(row["repairs"] for row in rows)
    click.echo(f"{words}: {times(counted, 'repair')} in all; strength {by_repairs:.0%}.", err=True)
    return 0


def _all_repairs(model: Model, data: Path | None) -> tuple[tuple[str, ...], str]:
    """The shop's repairs, and from where they are known."""
    with closing(open_shop(data)) as desk, suppress(ShopUnreachable, ShopRefused):
        if desk.reads_all():
            return desk.confirmed(model.id), "All bays"
    known = known_here(model, data)
    return known.both, known.whose


@click.command("month", epilog="Example: hoodside shop month 2031-05 --out may.html")
@click.argument("month", metavar="YYYY-MM")
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), help="An .html or .pdf file; else JSON is shown."
)
@_options.data
def month(month: str, out: Path | None, data: Path | None) -> int:
    """Make a page of a month of the shop: jobs, findings, minutes, which tests decided, comebacks, with pictures."""
    try:
        begins = datetime.strptime(month, "%Y-%m").replace(tzinfo=UTC)
    except ValueError as error:
        raise UsageError("A month is written as 2031-05.") from error
    if out is not None and out.suffix.lower() not in PAGES:
        raise UsageError(f"The page is written as {' or '.join(PAGES)}, not as '{out.name}'.")
    behind = (begins.replace(day=28) + timedelta(days=4)).replace(day=1)
    earlier = (begins - timedelta(days=1)).replace(day=1)
    with closing(open_shop(data)) as desk:
        made = _month(desk, begins, behind)
        before = _month(desk, earlier, begins) if out is not None else None
    if out is None:
        click.echo(json.dumps(asdict(made)))
        return 0
    write_whole(out, _page(made, before, out, data))
    click.echo(f"Wrote {out}.", err=True)
    return 0


@click.command("hand", epilog="Example: hoodside shop hand grey-hatchback bay-two")
@click.argument("job")
@click.argument("bay")
@_options.data
def hand(job: str, bay: str, data: Path | None) -> int:
    """Hand JOB over to BAY, which alone may go on with it then: hoodside shop take JOB. Needs a desk's account."""
    with closing(open_shop(data)) as desk:
        desk.hand(job, bay)
    click.echo(f"{printable(job)} is {printable(bay)}'s now.", err=True)
    return 0


@click.command("audit", epilog="Example: hoodside shop audit --most 20")
@click.option("--most", type=click.IntRange(1), default=100, show_default=True, help="At most so many, newest first.")
@as_json
@_options.data
def audit(most: int, as_json: bool, data: Path | None) -> int:
    """Say who joined, handed over, exported, asked for removals or carried them out, and when."""
    with closing(open_shop(data)) as desk:
        rows = desk.audit(most)
    _tell(
        ({"at": at.isoformat(timespec="seconds"), "who": w, "what": s, "job": j, "told": t} for at, w, s, j, t in rows),
        as_json,
        lambda one: "  ".join(filter(None, (one["at"], one["who"], one["what"], one["job"], one["told"]))),
    )
    return 0


def _month(desk: ShopDesk, begins: datetime, behind: datetime) -> Month:
    first, last = begins.date().isoformat(), behind.date().isoformat()
    return month_of(first, last, desk.taught(first, last), desk.visits(first, last))


def _page(made: Month, before: Month | None, out: Path, data: Path | None) -> bytes:
    from assistant.record.month_page import month_html, month_pdf  # noqa: PLC0415 - its templates are for pages alone

    settings = shop_settings(data)
    if out.suffix.lower() == ".pdf":
        return month_pdf(made, settings.name, Paper(settings.paper), before)
    return month_html(made, settings.name, Paper(settings.paper), before).encode()


def _taught(data: Path | None, since: datetime | None, until: datetime | None) -> list[dict[str, Any]]:
    first, behind = _days(since, until)
    with closing(open_shop(data)) as desk:
        return _of(desk, first or FIRST, behind or LAST)


def _of(desk: ShopDesk, first: str, behind: str) -> list[dict[str, Any]]:
    return [told for _, told in desk.taught(first, behind)]


def _days(since: datetime | None, until: datetime | None) -> tuple[str | None, str | None]:
    """The first day and the one behind the last, in UTC, as the store compares them."""
    behind = until + timedelta(days=1) if until else None
    first, last = (day.astimezone(UTC).isoformat(timespec="milliseconds") if day else None for day in (since, behind))
    return first and first.replace("+00:00", "Z"), last and last.replace("+00:00", "Z")


def _tell_lines(found: Iterable[ShopLine], *, as_json: bool) -> int:
    lines = list(found)
    for one in lines:
        click.echo(json.dumps(_plain(one)) if as_json else _line(one))
    if not lines:
        click.echo("No job answers that.", err=True)
    return 0 if lines else 1


def _plain(one: ShopLine) -> dict[str, object]:
    told = asdict(one.summary)
    told.pop("finding_fact")
    told["codes"] = [code for _, code in one.summary.codes]
    received = one.received.isoformat(timespec="seconds")
    return told | {"bay": one.bay, "clock_off_s": one.skew_s, "received_utc": received, "told": one.told}


def _line(one: ShopLine) -> str:
    summary, note = one.summary, ""
    started = summary.started_utc
    if one.skew_s is not None and abs(one.skew_s) > TOLD_SKEW_S:
        note = f"(clock of {one.bay} off by {one.skew_s / 3600:.1f} h; corrected here)"
        started = _corrected(started, one.skew_s)
    state = "ended" if summary.ended else "open "
    vehicle = summary.vehicle.replace("=", " ")
    parts = (
        day_and_time(started, local_time),
        state,
        one.bay,
        summary.job,
        vehicle,
        summary.finding or "no finding",
        note,
    )
    return fitted("  ".join(printable(part) for part in parts if part))


def _corrected(utc: str, skew_s: float) -> str:
    """The time as the server's clock would have said it, for showing alone; what is kept stays as it is."""
    try:
        moved = datetime.fromisoformat(utc) - timedelta(seconds=skew_s)
    except (ValueError, OverflowError):
        return utc
    return moved.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _tell(rows: Iterable[dict[str, Any]], as_json: bool, line: Any) -> None:
    found = list(rows)
    for one in found:
        click.echo(json.dumps(one, default=str) if as_json else fitted(printable(line(one))))
    if not found:
        click.echo("Nothing of that kind is in the shop's record yet.", err=True)
