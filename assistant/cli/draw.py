"""`hoodside draw`: the flow of a procedure as a picture."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.cli.report import write_whole
from assistant.procedure.drawing import draw
from assistant.wiring import load_library


@click.command(epilog="Example: hoodside draw procedures/fuel-substitute.yaml --out flow.svg")
@click.argument("procedure", metavar="FILE")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), required=True, help="The SVG file to write.")
def command(procedure: str, out: Path) -> int:
    """Draw the flow of a procedure, a file or the id of a shipped one, as SVG."""
    root, library = load_library(procedure)
    write_whole(out, draw(library[root]).encode())
    click.echo(f"Wrote {out}.", err=True)
    return 0
