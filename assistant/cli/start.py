"""`hoodside start`: begin a job."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any

import click

from assistant.cli import _options
from assistant.cli._session import read_wishes, run_session, session_options
from assistant.session.opening import check_job_name
from assistant.wiring import Session, load_library, shipped_procedures, utc_now


@click.command(
    epilog="Example: hoodside start no-start --job grey-hatchback --vehicle cylinders=4 --vehicle fuel=petrol",
)
@click.argument("procedure")
@click.option("--job", metavar="NAME", help="The name of the job; made from the procedure and the time unless given.")
@_options.vehicle
@click.option("--same-car", metavar="JOB", help="A job on the same car, where no plate or VIN says so.")
@click.option("--by-the-book", is_flag=True, help="Keep the procedure's own order, though a plan could lead.")
@_options.data
@session_options
def command(
    *,
    procedure: str,
    job: str | None,
    vehicle: tuple[str, ...],
    same_car: str | None,
    by_the_book: bool,
    data: Path | None,
    **session: Any,
) -> None:
    """Begin a job and lead it: PROCEDURE is a file or the id of a shipped procedure, mostly no-start.

    Where a fault model belongs to it, the tests come in the order that gets the car running soonest.
    """
    root, library = load_library(procedure)
    told = _options.read_vehicle(vehicle, library)
    file = None if root in shipped_procedures() else str(Path(procedure).resolve())
    name = check_job_name(job if job is not None else _name(root))

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


def _name(procedure: str) -> str:
    return f"{procedure} {utc_now()[:19].replace('T', ' ').replace(':', '-')} {uuid.uuid4().hex[:4]}"
