"""`hoodside understand`: what a step makes of words, for who writes procedures."""

from __future__ import annotations

import json
import sys

import click

from assistant.session.understood import StepWords
from assistant.wiring import load_library

LOST = "\N{REPLACEMENT CHARACTER}"
"""Stands where bytes are no text."""


@click.command(epilog='Example: echo "the lamp went out" | hoodside understand starts-then-dies lamp')
@click.argument("procedure")
@click.argument("step")
def command(*, procedure: str, step: str) -> int:
    """Say what STEP of PROCEDURE makes of each line of standard input, one thing said a line; one JSON line each.

    "result" is what is taken at once: the id of a result, or control:stop, reading:12.4 V, code:P0335, acknowledge,
    question:why. "offer" is what it would ask about, "unclear" why it would do neither; what does not apply is null.
    """
    procedure_id, library = load_library(procedure)
    understood = StepWords(library, procedure_id, step)
    for line in sys.stdin:
        said = line.rstrip("\r\n").encode("utf-8", "surrogateescape").decode("utf-8", "replace")
        meant = understood.of("" if LOST in said else said)  # what was lost may have been a "not"
        click.echo(json.dumps({"said": said, **meant}, ensure_ascii=False))
    return 0
