"""`hoodside models`: what it hears with, where that lies, and whether it is whole."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import click
from rich.console import Console
from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn

from assistant.adapters.model_store.store import Standing, State
from assistant.adapters.recogniser_embedded.files import find_network
from assistant.errors import SetupError
from assistant.wiring import model_store

_folder = click.option(
    "--models",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Where models lie; without it the checkout's models folder if it can be written, else your data folder.",
)
_as_json = click.option("--json", "as_json", is_flag=True, help="JSON lines on standard output.")


@click.group(
    "models",
    invoke_without_command=True,
    epilog="Example: hoodside models fetch",
)
@click.pass_context
def command(context: click.Context) -> None:
    """List, fetch and verify the speech models. Without a word after it: list."""
    if context.invoked_subcommand is None:
        context.invoke(list_models)


@command.command("list", epilog="Example: hoodside models list --json")
@_folder
@_as_json
def list_models(folder: Path | None = None, as_json: bool = False) -> int:
    """Show which models there are and which are wanted."""
    _print_all([_embedded(), *map(_plain, model_store(folder).standings())], as_json)
    return 0


@command.command("fetch", epilog="Example: hoodside models fetch --models ~/models")
@click.argument("name", required=False)
@_folder
def fetch(name: str | None, folder: Path | None) -> int:
    """Get the small US-English Vosk model (or NAME) from Vosk's own public list, checked, whole or not at all."""
    columns = (TextColumn("{task.description}"), BarColumn(), DownloadColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        standing = model_store(folder).fetch(name, progress=_shown_in(shown))
    click.echo(f"{standing.wanted.name} stands whole in {standing.folder}.")
    return 0


@command.command("verify", epilog="Example: hoodside models verify")
@_folder
@_as_json
def verify(folder: Path | None, as_json: bool) -> int:
    """Read every file of every model and compare checksums; exit code 1 when one that is there is damaged."""
    standings = model_store(folder).standings(deep=True)
    _print_all([_embedded(), *map(_plain, standings)], as_json)
    return int(any(standing.state is State.DAMAGED for standing in standings))


def _shown_in(shown: Progress) -> Callable[[int, int | None], None]:
    task = shown.add_task("fetching", total=None)
    return lambda got, size: shown.update(task, completed=got, total=size)


def _embedded() -> dict[str, str]:
    """The network that comes with a package: always wanted, never fetched by us."""
    named = {"name": "moonshine-tiny-en", "engine": "embedded", "language": "en"}
    try:
        return named | {"state": "installed", "folder": str(find_network().encoder.parent), "fault": ""}
    except SetupError as error:
        return named | {"state": State.MISSING.value, "folder": "", "fault": str(error)}


def _plain(standing: Standing) -> dict[str, str]:
    return {
        "name": standing.wanted.name,
        "engine": standing.wanted.engine,
        "language": standing.wanted.language,
        "state": standing.state.value,
        "folder": str(standing.folder),
        "fault": standing.fault,
    }


def _print_all(models: list[dict[str, str]], as_json: bool) -> None:
    for model in models:
        if as_json:
            click.echo(json.dumps(model))
        else:
            fault = f" ({model['fault']})" if model["fault"] else ""
            click.echo(f"{model['engine']:9} {model['name']:30} {model['state']}{fault}\n{'':9} {model['folder']}")
