"""`hoodside models`: what it hears with, where that lies, and whether it is whole."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import click
from rich.console import Console
from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn

from assistant.adapters.model_store.store import ModelStore, Standing, State
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
    store = model_store(folder)
    _print_all([_embedded(store), *map(_plain, store.standings())], as_json)
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
    store = model_store(folder)
    models = [_embedded(store, deep=True), *map(_plain, store.standings(deep=True))]
    _print_all(models, as_json)
    return int(any(model["state"] == State.DAMAGED for model in models))


def _shown_in(shown: Progress) -> Callable[[int, int | None], None]:
    task = shown.add_task("fetching", total=None)
    return lambda got, size: shown.update(task, completed=got, total=size)


def _embedded(store: ModelStore, *, deep: bool = False) -> dict[str, str | bool]:
    """The network that comes with a package: always wanted, never fetched by us. `deep` reads its files."""
    name = "moonshine-tiny-en"
    named: dict[str, str | bool] = {
        "name": name,
        "engine": "embedded",
        "language": "en",
        "pinned": store.packaged_pinned(name),
    }
    try:
        folder = find_network().encoder.parent
    except SetupError as error:
        return named | {"state": State.MISSING.value, "folder": "", "fault": str(error)}
    fault = store.packaged_fault(name, folder) if deep else ""
    return named | {"state": State.DAMAGED.value if fault else "installed", "folder": str(folder), "fault": fault}


def _plain(standing: Standing) -> dict[str, str | bool]:
    return {
        "name": standing.wanted.name,
        "engine": standing.wanted.engine,
        "language": standing.wanted.language,
        "pinned": standing.wanted.sha256 is not None,
        "state": standing.state.value,
        "folder": str(standing.folder),
        "fault": standing.fault,
    }


def _print_all(models: list[dict[str, str | bool]], as_json: bool) -> None:
    for model in models:
        if as_json:
            click.echo(json.dumps(model))
        else:
            fault = f" ({model['fault']})" if model["fault"] else ""
            pinned = "" if model["pinned"] else ", unpinned: the manifest has no SHA-256 of it"
            click.echo(f"{model['engine']:9} {model['name']:30} {model['state']}{fault}{pinned}")
            click.echo(f"{'':9} {model['folder']}")
