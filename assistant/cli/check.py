"""`hoodside check`: every fault of procedure files and fault models at once."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path

import click

from assistant.errors import ProcedureError, UsageError
from assistant.language.commands import command_phrases, phrases_beside_answers
from assistant.procedure.checks import check_texts
from assistant.procedure.fault import Fault
from assistant.reasoning.reader import check_model_text
from assistant.wiring import procedures_at_hand, read_text, shipped_folder, shipped_procedures

MODEL_ENDING = ".faults.yaml"
FAULTY = 1


@click.command(epilog="Example: hoodside check procedures/*.yaml")
@click.argument("paths", metavar="PATH…", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="JSON lines, one a fault, in place of words.")
def command(paths: tuple[Path, ...], as_json: bool) -> int:
    """Check procedure files and fault models (*.faults.yaml), or every one in a folder.

    Prints every fault as path:line:column; exit code 1 when there is one. A procedure may call those that lie beside
    it and the shipped ones.
    """
    files = list(dict.fromkeys(_files(paths)))
    texts: dict[str, str] = {}
    faults: list[Fault] = []
    for file in files:
        try:
            texts[str(file)] = read_text(file)
        except ProcedureError as error:
            told = str(error).removeprefix(f"{file}: ")
            faults.append(Fault(path=str(file), line=1, column=1, step=None, message=told))
    models = {path: text for path, text in texts.items() if path.endswith(MODEL_ENDING)}
    procedures = {path: text for path, text in texts.items() if path not in models}
    faults += check_texts(procedures, command_phrases(), beside=_beside(files), beside_answers=phrases_beside_answers())
    linked = procedures_at_hand(shipped_procedures()) if models else {}
    faults += [fault for path, text in models.items() for fault in check_model_text(path, text, linked)]
    for fault in faults:
        click.echo(json.dumps(fault.plain(), ensure_ascii=False) if as_json else str(fault))
    missing = next((path for path in paths if not path.exists()), None)
    if missing is not None:
        raise UsageError(f"There is no file '{missing}'.")
    count = f"{len(faults)} fault{'s' * (len(faults) != 1)} in {len(files)} file{'s' * (len(files) != 1)}."
    click.echo(count, err=True)
    return FAULTY if faults else 0


def _files(paths: Iterable[Path]) -> Iterator[Path]:
    for path in paths:
        if path.is_dir():
            yield from sorted([*path.glob("*.yaml"), *path.glob("*.yml")])
        elif path.exists():
            yield path


def _beside(files: Iterable[Path]) -> dict[str, str]:
    """Texts that the files may call: those in the same folders, then the shipped ones not among them by name."""
    known = {file.resolve() for file in files}
    names = {file.name for file in known}
    found: dict[str, str] = {}
    for folder in dict.fromkeys([*(file.parent for file in known), shipped_folder("procedures").resolve()]):
        for path in sorted(folder.glob("*.yaml")):
            if path.resolve() in known or path.name in names or path.name.endswith(MODEL_ENDING):
                continue
            try:
                found[str(path)] = read_text(path)
            except (ProcedureError, UsageError):
                continue  # its own check tells
            names.add(path.name)
    return found
