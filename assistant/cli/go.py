"""`hoodside go`, and `hoodside` alone: at work with nothing to remember."""

from __future__ import annotations

import uuid
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from assistant.cli import _options
from assistant.cli._session import read_wishes, run_session, session_options
from assistant.cli.start import made_name, worked
from assistant.errors import SetupError
from assistant.wiring import Session, load_library

PROCEDURE = "no-start"
BY_KEYBOARD = "I go on by the keyboard: type what you would say, a line each, and what can i say when in doubt."


@click.command(epilog="Example: hoodside go --hear typed")
@_options.data
@session_options
def command(*, data: Path | None, **session: Any) -> None:
    """Go on with an open job, or begin one: asks which, by voice, or by typed lines without a microphone.

    `hoodside` alone does the same.
    """
    context = click.get_current_context()
    wishes = read_wishes(**session)
    began = False

    def open_job(opened: Session) -> None:
        nonlocal began
        began = True
        chosen = opened.choose()
        if chosen is None:
            click.echo("Nothing was begun.", err=True)
        elif chosen.job:
            opened.resume(chosen.job)
        else:
            _begin(opened, chosen.same_car or None, data)

    try:
        run_session(wishes, data, open_job)
    except SetupError as error:
        wished = context.get_parameter_source("hear") not in (None, click.core.ParameterSource.DEFAULT)
        if began or wished or wishes.microphone is not None:
            raise
        click.echo(f"hoodside: {error}\n{BY_KEYBOARD}", err=True)
        run_session(replace(wishes, hear="typed"), data, open_job)


def _begin(opened: Session, same_car: str | None, data: Path | None) -> None:
    root, library = load_library(PROCEDURE)
    opened.start(
        library,
        procedure=root,
        file=None,
        job=made_name(root),
        key=uuid.uuid4().hex,
        vehicle=worked(None, data),
        same_car=same_car,
    )
