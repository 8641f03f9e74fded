"""`hoodside hear`: the recogniser alone, on recordings."""

from __future__ import annotations

import json
from pathlib import Path

import click

from assistant.adapters.microphone_wav import read_sound
from assistant.errors import ProcedureError, UsageError
from assistant.grammar.jsgf import read_jsgf
from assistant.grammar.model import Grammar, untagged
from assistant.language.grammars import grammar_of_procedure
from assistant.ports import Listening
from assistant.session.hear_wavs import hear_wavs, take_with
from assistant.wiring import load_library, make_recogniser

LARGEST_BYTES = 16 * 1024 * 1024
"""Of a grammar file; a larger one is a mistake."""


@click.command(epilog="Example: hoodside hear --grammar orders.jsgf take1.wav take2.wav")
@click.option("--grammar", "grammar_file", metavar="FILE.jsgf", help="What may be said, in JSpeech Grammar Format.")
@click.option("--commands", metavar="PROCEDURE", help="Every phrase legal somewhere in this procedure, instead.")
@click.option("--engine", type=click.Choice(["auto", "vosk", "embedded"]), default="auto", show_default=True)
@click.option("--models", type=click.Path(path_type=Path), metavar="DIR", help="Where fetched models lie.")
@click.option("--hazardous", is_flag=True, help="Use the stricter threshold of steps that can hurt someone.")
@click.argument("wavs", metavar="WAV…", nargs=-1, required=True, type=click.Path(path_type=Path))
def command(
    *,
    grammar_file: str | None,
    commands: str | None,
    engine: str,
    models: Path | None,
    hazardous: bool,
    wavs: tuple[Path, ...],
) -> int:
    """Say what was heard in each recording, one JSON line a file in the order given; the whole file is one take.

    "text" is the words of the grammar, lower case. "accepted" is false for what is not in the grammar and for what
    the recogniser would ask about; then "text" is what it would ask, or empty.
    """
    if (grammar_file is None) == (commands is None):
        raise click.UsageError("Give either --grammar FILE.jsgf or --commands PROCEDURE.")
    if grammar_file is not None:
        grammar = read_grammar_file(grammar_file)
    else:
        grammar = grammar_of_procedure(*load_library(commands or ""))
    recogniser = make_recogniser(engine, models)
    recogniser.expect(Listening(grammar=grammar, hazardous=hazardous))
    for record in hear_wavs(wavs, read_sound, take_with(recogniser)):
        click.echo(json.dumps(record, ensure_ascii=False))
    recogniser.close()
    return 0


def read_grammar_file(name: str) -> Grammar:
    """The grammar in a file. Raises UsageError when it cannot be read, ProcedureError when it is no grammar."""
    path = Path(name)
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise ProcedureError(f"{name}: larger than {LARGEST_BYTES // 2**20} MiB; a grammar is a text file")
        # A tag on a part of a sentence says nothing of the rest, so two sentences with one tag need not mean the same.
        return untagged(read_jsgf(path.read_text(encoding="utf-8-sig"), name))
    except OSError as error:
        raise UsageError(f"The grammar '{name}' cannot be read: {error.strerror or error}.") from error
    except UnicodeDecodeError as error:
        raise ProcedureError(f"{name}: not text in UTF-8; a grammar is a text file") from error
