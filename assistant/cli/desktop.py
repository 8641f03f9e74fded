"""`hoodside desktop`: an entry among the desktop's programs."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from assistant.wiring.desktop import desktop_entry, remove_entry, write_entry


@click.command(epilog="Example: hoodside desktop")
@click.option("--remove", is_flag=True, help="Take the entry away again.")
@click.option("--show", is_flag=True, help="Print the entry, write nothing.")
def command(*, remove: bool, show: bool) -> int:
    """Put hoodside among the programs of your desktop, in your own folder; a key can then be bound to it.

    The entry opens a terminal that goes on with an open job or begins one.
    """
    if show:
        click.echo(desktop_entry(sys.executable), nl=False)
        return 0
    if remove:
        gone = remove_entry()
        click.echo(f"Removed: {gone}" if gone else "There was no entry.")
        return 0
    path = write_entry(sys.executable)
    click.echo(f"Written: {path}")
    click.echo(f"To start it by one key, bind the key to this in your desktop's settings: {_quoted(sys.executable)}")
    return 0


def _quoted(python: str) -> str:
    return f"'{python}' -m assistant" if " " in str(Path(python)) else f"{python} -m assistant"
