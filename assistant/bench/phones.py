"""Trains the phone layers that the recogniser carries, from made-up speech alone, and tells how often they err."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.adapters.recogniser_embedded.files import (
    PHONE_LAYERS,
    find_network,
    read_phone_layers,
    write_phone_layers,
)
from assistant.adapters.recogniser_embedded.network import Network
from assistant.bench.phone_sounds import heard_phrases
from assistant.bench.phone_training import Example, phone_error_rate, train
from assistant.wiring import load_library

TESTED = 300


@click.command(epilog="Example: hoodside bench phones --count 400 --rounds 3 --out phones.npz")
@click.option("--count", default=30_000, show_default=True, help="Utterances to learn from.")
@click.option("--rounds", default=20, show_default=True, help="Times that all of them are gone through.")
@click.option("--hidden", default=192, show_default=True, help="Units between the network and the phones.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose phrases are among what is said.")
@click.option(
    "--begun", type=click.Path(path_type=Path, exists=True), help="Layers that learn on, instead of new ones."
)
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help=f"The file to write, as {PHONE_LAYERS[0].name}."
)
def command(*, count: int, rounds: int, hidden: int, procedure: str, begun: Path | None, out: Path) -> None:
    """Train the layers that hear phone by phone; two hours on one core."""
    network = Network(find_network(), threads=1)
    _, library = load_library(procedure)
    examples: list[Example] = []
    for example in heard_phrases(network, list(library.values()), count=count + TESTED, seed=1):
        examples.append(example)
        if len(examples) % 500 == 0:
            click.echo(f"{len(examples)} of {count + TESTED} said", err=True)
    ear = train(
        examples[TESTED:], hidden=hidden, rounds=rounds, seed=0, tell=lambda words: click.echo(words, err=True),
        begun=read_phone_layers(begun) if begun else None,
    )  # fmt: skip
    write_phone_layers(ear, out)
    wrong = phone_error_rate(ear, examples[:TESTED])
    click.echo(f"{wrong:.1%} of phones wrong over {TESTED} utterances not learnt from, 30 to 3 dB. Written: {out}")
