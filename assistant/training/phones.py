"""Trains the phone layers that the recogniser carries, and tells how often they err."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.adapters.recogniser_embedded.files import PHONE_LAYERS, read_phone_layers, write_phone_layers
from assistant.training import phone_torch, phone_training
from assistant.training.phone_sounds import heard_phrases, recipe_of
from assistant.training.phone_training import Example
from assistant.wiring import load_library

TESTED = 500


@click.command(epilog="Example: hoodside bench phones --count 400 --rounds 3 --out phones.npz")
@click.option("--count", default=30_000, show_default=True, help="Utterances to learn from.")
@click.option("--rounds", default=20, show_default=True, help="Times that all of them are gone through.")
@click.option("--hidden", default=192, show_default=True, help="Units between the network and the phones.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose phrases are among what is said.")
@click.option("--people", type=click.Path(path_type=Path, exists=True), help="Recorded people, commands/WORD/*.flac.")
@click.option("--sentences", type=click.Path(path_type=Path, exists=True), help="Recorded sentences.tsv and sounds.")
@click.option(
    "--varied",
    multiple=True,
    type=click.FloatRange(0, 1),
    default=(0.25, 1.0),
    show_default=True,
    help="Share moved to other throats, rooms, microphones. Repeat it: an equal part of the utterances for each.",
)
@click.option("--torch", "by_torch", is_flag=True, help="Learn by torch, on a graphics processor where there is one.")
@click.option("--processes", default=1, show_default=True, help="How many speak and listen at a time.")
@click.option("--seed", default=1, show_default=True, help="Other speech, other noise, another beginning.")
@click.option(
    "--begun", type=click.Path(path_type=Path, exists=True), help="Layers that learn on, instead of new ones."
)
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help=f"The file to write, as {PHONE_LAYERS[0].name}."
)
def command(
    *, count: int, rounds: int, hidden: int, procedure: str, people: Path | None, sentences: Path | None,
    varied: tuple[float, ...], by_torch: bool, processes: int, seed: int, begun: Path | None, out: Path,
) -> None:  # fmt: skip
    """Train the layers that hear phone by phone; two hours on one core, minutes with --torch."""
    _, library = load_library(procedure)
    learnt: list[Example] = []
    kept: list[Example] = []
    each, tested = -(-count // len(varied)), -(-TESTED // len(varied))
    for number, share in enumerate(varied):
        recipe = recipe_of(
            list(library.values()), varied=share, people=people, sentences=sentences, seed=seed + number
        )  # fmt: skip
        made = list(heard_phrases(recipe, count=tested + each, processes=processes))
        click.echo(f"{len(made)} said, {share:.0%} of them by other throats", err=True)
        kept += made[:tested]
        learnt += made[tested:]
    train = phone_torch.train if by_torch else phone_training.train
    ear = train(
        learnt, hidden=hidden, rounds=rounds, seed=seed, tell=lambda words: click.echo(words, err=True),
        begun=read_phone_layers(begun) if begun else None,
    )  # fmt: skip
    write_phone_layers(ear, out)
    wrong = phone_training.phone_error_rate(ear, kept)
    click.echo(f"{wrong:.1%} of phones wrong over {len(kept)} utterances not learnt from, 40 to 3 dB. Written: {out}")
