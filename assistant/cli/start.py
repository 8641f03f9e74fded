"""`hoodside start`: begin a job."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any

import click

from assistant.cli import _options
from assistant.cli._session import read_wishes, run_session, session_options
from assistant.cli._vehicle import read_vehicle
from assistant.session.opening import check_job_name
from assistant.wiring import Session, load_library, shipped_procedures, utc_now
from assistant.wiring.shop import shop_settings


@click.command(
    epilog="Example: hoodside start no-start --job grey-hatchback --vehicle cylinders=4 --vehicle fuel=petrol",
)
@click.argument("procedure")
@click.option("--job", metavar="NAME", help="The name of the job; made from the procedure and the time unless given.")
@_options.vehicle
@click.option("--technician", metavar="NAME", help="Who does the work; the shop's settings say it unless given.")
@click.option("--same-car", metavar="JOB", help="A job on the same car, where no plate or VIN says so.")
@click.option("--by-the-book", is_flag=True, help="Keep the procedure's own order, though a plan could lead.")
@_options.data
@session_options
def command(
    *,
    procedure: str,
    job: str | None,
    vehicle: tuple[str, ...],
    technician: str | None,
    same_car: str | None,
    by_the_book: bool,
    data: Path | None,
    **session: Any,
) -> None:
    """Begin a job and lead it: PROCEDURE is a file or the id of a shipped procedure, mostly no-start.

    Where a fault model belongs to it, the tests come in the order that gets the car running soonest.
    """
    root, library = load_library(procedure)
    told = read_vehicle(vehicle, library) | worked(technician, data)
    file = None if root in shipped_procedures() else str(Path(procedure).resolve())
    name = check_job_name(job if job is not None else made_name(root))

    def open_job(opened: Session) -> None:
        opened.start(
            library,
            procedure=root,
            file=file,
            job=name,
            key=uuid.uuid4().hex,
            vehicle=told,
            same_car=same_car,
            by_the_book=by_the_book,
        )

    run_session(read_wishes(**session), data, open_job)


def worked(technician: str | None, data: Path | None) -> dict[str, str]:
    """Who works in which shop, as far as that was said here or in the settings."""
    settings = shop_settings(data)
    name = settings.technician if technician is None else _options.short("technician", technician)
    return {key: words for key, words in (("technician", name), ("shop", settings.name)) if words}


def made_name(procedure: str) -> str:
    """A name for a job that nobody named: its procedure and the time."""
    return f"{procedure} {utc_now()[:19].replace('T', ' ').replace(':', '-')} {uuid.uuid4().hex[:4]}"
