"""`hoodside screen`: the records of the shop as pages, without a job."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.cli import _options
from assistant.wiring.screens import open_page


@click.command(epilog="Example: hoodside screen --screen-port 4700")
@_options.screen_port
@_options.data
def command(screen_port: int | None, data: Path | None) -> None:
    """Show the jobs, each job's report and how far it is, as pages on this machine alone; ends with Ctrl-C.

    A job that is led has its own page: give --screen to start or resume.
    """
    page = open_page(data, screen_port, leads=False)
    try:
        click.echo(f"The page is at {page.address}", err=True)
        page.wait()
    finally:
        page.close()
