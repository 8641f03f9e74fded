"""Trains the layers of the recogniser's gate from made-up voices and recorded single words in shop noise."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.adapters.recogniser_embedded.files import GATE_LAYERS, write_gate_layers
from assistant.bench.setting import Wish, make_bench
from assistant.training.gate_training import lessons, trained


@click.command(epilog="Example: hoodside bench gate --people DIR --rounds 1 --out gate.npz")
@click.option("--rounds", default=4, show_default=True, help="Rounds of 20 minutes of sound to learn from.")
@click.option(
    "--people",
    type=click.Path(path_type=Path, exists=True),
    help="Recorded words: DIR/commands/WORD/*.flac, every other.",
)
@click.option("--procedure", default="no-start", show_default=True, help="Whose phrases are among what is said.")
@click.option("--seed", default=11, show_default=True, help="Other sounds and other noises.")
@click.option("--jobs", default=1, show_default=True, help="Processes to spread the rounds over.")
@click.option(
    "--out", type=click.Path(path_type=Path), required=True, help=f"The file to write, as {GATE_LAYERS.name}."
)
def command(*, rounds: int, people: Path | None, procedure: str, seed: int, jobs: int, out: Path) -> None:
    """Train the layers that tell in each frame whether somebody speaks; two minutes on one core."""
    wish = Wish(procedure=procedure, count=0, hours=0.0, seed=seed, people=people, threads=1)
    found = [lesson for part in make_bench(wish, jobs=jobs).each(lessons, list(range(rounds))) for lesson in part]
    write_gate_layers(trained(found, seed=0), out)
    click.echo(f"{sum(len(each.traits) for each in found)} frames. Written: {out}")
