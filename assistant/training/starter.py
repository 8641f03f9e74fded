"""Trains the layers that the ear for the starter carries, from made scenes, and tells how often they err."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.layers_starter import LAYERS
from assistant.adapters.microphone_wav import read_sound
from assistant.bench.recorded import LEARNT, single_words
from assistant.bench.spread import spread
from assistant.cranking.layers import StarterLayers
from assistant.cranking.synthetic import RATE_HZ
from assistant.cranking.traits import TRAITS
from assistant.training.crank_practice import make_practice
from assistant.training.crank_practice_noise import Noise, made_up, of_recording
from assistant.training.starter_kinds import write_kinds
from assistant.training.starter_training import Example, Layers, example_of, pieces_of, right_share, train

TESTED = 0.1
SCENES_A_TASK = 20
PEOPLE_OFTEN = 3.0
"""How often people talk in the scenes, against the made-up noises."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sounds:
    """What scenes are made from."""

    seed: int
    recordings: tuple[Path, ...]
    people: Path | None
    running: tuple[Path, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Training:
    """Files of all rows to learn from, and how to learn."""

    traits: Path
    parts: Path
    hidden: int
    rounds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tools:
    seed: int
    noises: Mapping[str, tuple[Noise, float]]
    engines: Sequence[NDArray[np.int16]]


Mapped = tuple[NDArray[np.float16], NDArray[np.int64], _Training]


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
    "--people", type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="Recordings: DIR/commands/WORD/*.flac. Words of people as talk to learn from besides.",
)  # fmt: skip
@click.option(
    "--engine", "running", multiple=True, type=click.Path(path_type=Path, exists=True),
    help="A recording of an engine that runs, to take over from made starters; may be given several times.",
)  # fmt: skip
@click.option(
    "--kinds", default=0, show_default=True,
    help="Train in place of all that the nets that judge a stretch again, by so many rounds of 25 scenes.",
)  # fmt: skip
@click.option("--jobs", default=1, show_default=True, help="Processes to spread the work over: one a core.")
@click.option("--out", type=click.Path(path_type=Path), required=True, help=f"The file to write, as {LAYERS.name}.")
def command(
    *,
    scenes: int,
    rounds: int,
    hidden: int,
    trainings: int,
    seed: int,
    recordings: tuple[Path, ...],
    people: Path | None,
    running: tuple[Path, ...],
    kinds: int,
    jobs: int,
    out: Path,
) -> None:
    """Train the layers that tell a starter from a shop; about an hour on one core for the shipped ones."""
    if kinds:
        write_kinds(kinds, seed, out, lambda words: click.echo(words, err=True), jobs)
        return
    learnt_from = _Sounds(seed=seed, recordings=recordings, people=people, running=running)
    tested_scenes = int(TESTED * scenes)
    numbers = [range(at, min(at + SCENES_A_TASK, scenes)) for at in range(tested_scenes, scenes, SCENES_A_TASK)]
    tested = list(_whole(_tools(learnt_from), range(tested_scenes)))
    with TemporaryDirectory() as folder:
        traits_at, parts_at = Path(folder) / "traits", Path(folder) / "parts"
        with traits_at.open("wb") as traits_file, parts_at.open("wb") as parts_file:
            for done, made in enumerate(spread(_pieces, numbers, make=_tools, key=learnt_from, jobs=jobs), 1):
                for traits, parts in made:
                    traits_file.write(traits.tobytes())
                    parts_file.write(parts.tobytes())
                click.echo(f"{done} of {len(numbers)} lots of scenes made", err=True)
        key = _Training(traits=traits_at, parts=parts_at, hidden=hidden, rounds=rounds)
        each = list(spread(_trained, range(seed, seed + trainings), make=_mapped, key=key, jobs=jobs))
    layers = {name: np.stack([one[name] for one in each]) for name in each[0]}
    small = {name: value.astype(np.float16) for name, value in layers.items()}
    np.savez_compressed(out, allow_pickle=False, **small)
    learnt: dict[str, Any] = layers
    odds = StarterLayers(**learnt, kinds=None)(np.concatenate([traits for traits, _ in tested]).astype(np.float32))
    right = right_share(odds, np.concatenate([parts for _, parts in tested]))
    shares = ", ".join(f"{share:.1%} of {name}" for name, share in right.items())
    click.echo(f"Steps right in {len(tested)} scenes not learnt from: {shares}. Written: {out}")


def _tools(sounds: _Sounds) -> _Tools:
    recorded = {str(path): (of_recording(read_sound(path)), 1.0) for path in sounds.recordings}
    if sounds.people:
        recorded["people"] = (of_recording(_talk_of(sounds.people)), PEOPLE_OFTEN)
    return _Tools(seed=sounds.seed, noises=made_up() | recorded, engines=[read_sound(path) for path in sounds.running])


def _talk_of(people: Path) -> NDArray[np.int16]:
    """One long recording of words of many people, in no order, with short gaps. Those to measure with are left out."""
    words = [
        sound
        for folder in sorted((people / "commands").iterdir())
        for sound in (take.pcm for take in single_words(people, folder.name, *LEARNT))
    ]
    rng = np.random.default_rng(0)
    said = []
    for place in rng.permutation(len(words)):
        said += [words[place], np.zeros(int(rng.uniform(0, 0.4) * RATE_HZ), np.int16)]
    return np.concatenate(said)


def _whole(tools: _Tools, numbers: range) -> Iterator[Example]:
    for number in numbers:
        yield example_of(make_practice(np.random.default_rng([tools.seed, number]), tools.noises, tools.engines))


def _pieces(tools: _Tools, numbers: range) -> list[Example]:
    """Examples of these scenes, whole and in pieces; traits as small as they are kept."""
    found = []
    for number in numbers:
        rng = np.random.default_rng([tools.seed, number])
        made = make_practice(rng, tools.noises, tools.engines)
        found += [example_of(one) for one in (made, *pieces_of(made, rng))]
    return found


def _mapped(training: _Training) -> Mapped:
    """The rows, as they lie on disk: every training reads the same."""
    traits = np.memmap(training.traits, np.float16, "r").reshape(-1, TRAITS)
    return traits, np.fromfile(training.parts, np.int64), training


def _trained(mapped: Mapped, seed: int) -> Layers:
    traits, parts, how = mapped
    return train(
        traits, parts, hidden=how.hidden, rounds=how.rounds, seed=seed, tell=lambda words: click.echo(words, err=True)
    )
