"""Trains the layers that the ear for the starter carries, from made scenes, and tells how often they err."""

from __future__ import annotations

from pathlib import Path

import click
import numpy as np

from assistant.adapters.layers_starter import LAYERS
from assistant.adapters.microphone_wav import read_sound
from assistant.bench.crank_practice import make_practice
from assistant.bench.crank_practice_noise import made_up, of_recording
from assistant.bench.starter_training import Example, example_of, pieces_of, right_share, train
from assistant.cranking.layers import StarterLayers

TESTED = 0.1


@click.command(epilog="Example: hoodside bench starter --scenes 300 --rounds 2 --out starter.npz")
@click.option("--scenes", default=8_000, show_default=True, help="Made scenes to learn from.")
@click.option("--rounds", default=3, show_default=True, help="Times that all of them are gone through.")
@click.option("--hidden", default=96, show_default=True, help="Units of the first layer.")
@click.option("--trainings", default=3, show_default=True, help="Trainings side by side, whose odds are averaged.")
@click.option("--seed", default=1, show_default=True, help="Another seed makes other scenes.")
@click.option(
    "--noise", "recordings", multiple=True, type=click.Path(path_type=Path, exists=True),
    help="A recording without a starter (music, talk, engines) to learn from besides; may be given several times.",
)  # fmt: skip
@click.option(
    "--engine", "running", multiple=True, type=click.Path(path_type=Path, exists=True),
    help="A recording of an engine that runs, to take over from made starters; may be given several times.",
)  # fmt: skip
@click.option("--out", type=click.Path(path_type=Path), required=True, help=f"The file to write, as {LAYERS.name}.")
def command(
    *,
    scenes: int,
    rounds: int,
    hidden: int,
    trainings: int,
    seed: int,
    recordings: tuple[Path, ...],
    running: tuple[Path, ...],
    out: Path,
) -> None:
    """Train the layers that tell a starter from a shop; about an hour on one core for the shipped ones."""
    noises = made_up() | {str(path): (of_recording(read_sound(path)), 1.0) for path in recordings}
    engines = [read_sound(path) for path in running]
    examples: list[Example] = []
    tested: list[Example] = []
    for number in range(scenes):
        rng = np.random.default_rng([seed, number])
        made = make_practice(rng, noises, engines)
        if number < TESTED * scenes:
            tested.append(example_of(made))
        else:
            examples += [example_of(one) for one in (made, *pieces_of(made, rng))]
        if (number + 1) % 200 == 0:
            click.echo(f"{number + 1} of {scenes} scenes made", err=True)
    each = [
        train(examples, hidden=hidden, rounds=rounds, seed=seed + n, tell=lambda words: click.echo(words, err=True))
        for n in range(trainings)
    ]
    layers = {name: np.stack([one[name] for one in each]) for name in each[0]}
    small = {name: value.astype(np.float16) for name, value in layers.items()}
    np.savez_compressed(out, allow_pickle=False, **small)
    odds = StarterLayers(**layers)(np.concatenate([traits for traits, _ in tested]))
    right = right_share(odds, np.concatenate([parts for _, parts in tested]))
    shares = ", ".join(f"{share:.1%} of {name}" for name, share in right.items())
    click.echo(f"Steps right in {len(tested)} scenes not learnt from: {shares}. Written: {out}")
