"""`hoodside resume`: take a job up where it stood."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from typing import Any

import click

from assistant.cli import _options
from assistant.cli._known import know, known_key
from assistant.cli._session import read_wishes, run_session, session_options
from assistant.desk.found import entries_of
from assistant.wiring import Session, open_journal


@click.command(epilog="Example: hoodside resume grey-hatchback")
@click.argument("job")
@known_key
@_options.data
@session_options
def command(job: str, keys: tuple[str, ...], data: Path | None, **session: Any) -> None:
    """Go on exactly where the job stood, whatever ended it; what is hazardous is asked again.

    Two accounts that keep records in one folder sign with keys of their own: each says once which it knows, by --key.
    """
    know(keys, data)
    wishes = read_wishes(**session)
    with closing(open_journal(data)) as journal:
        entries_of(journal, job)  # a name that is wrong is told before any sound is looked for

    def open_job(opened: Session) -> None:
        opened.resume(job)

    run_session(wishes, data, open_job)
