"""What learning a voice gains: recorded people's digits and made-up voices' reading, told right before and after.

Each voice is learnt from some takes, measured on others, and thrown away. What is measured is the ears for phones
alone, each take among all the words that were read.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import find_network
from assistant.adapters.recogniser_embedded.network import Network
from assistant.adapters.recogniser_embedded.own_voice import TO_READ, Take, learn_voice, read_of, told_right
from assistant.adapters.recogniser_embedded.stop import readings_of
from assistant.bench.noises import fan
from assistant.bench.recorded import digits
from assistant.bench.voices import HELD_OUT, available, speak, trimmed
from assistant.errors import SetupError
from assistant.hearing.correction import corrected
from assistant.language.numbers import say_whole

Pcm = NDArray[np.int16]

LEARNT_TAKES, MEASURED_TAKES = 4, 12
"""Of each digit by each person."""

ROOM_DB = 40.0
"""A quiet room, below the voice."""

LEAD = 3_200


def in_a_room(pcm: Pcm, random: np.random.Generator, below_db: float = ROOM_DB) -> Pcm:
    """The sound with a fifth of a second of the room before and after it."""
    sound = np.pad(trimmed(pcm, 30.0).astype(np.float64), LEAD)
    loud = np.sqrt((sound[LEAD:-LEAD] ** 2).mean()) * 10 ** (-below_db / 20)
    noise = fan(len(sound), random)
    return np.asarray(np.clip(sound + noise * loud / np.sqrt((noise**2).mean()), -32_768, 32_767), np.int16)


def sets(people: Path | None, random: np.random.Generator) -> Iterator[tuple[str, list[Take], list[Take]]]:
    """Who, what is learnt from, and what is measured on."""
    for speaker, takes in (digits(people) if people else {}).items():
        cut = LEARNT_TAKES, LEARNT_TAKES + MEASURED_TAKES
        every = [
            [Take(words=say_whole(digit), pcm=in_a_room(take.pcm, random)) for digit in takes for take in part[digit]]
            for part in (
                {digit: each[: cut[0]] for digit, each in takes.items()},
                {digit: each[cut[0] : cut[1]] for digit, each in takes.items()},
            )
        ]
        yield f"people: {speaker}", every[0], every[1]
    for voice in available(HELD_OUT):
        read = [Take(words=words, pcm=in_a_room(speak(voice, words), random)) for words in TO_READ]
        noisy = [Take(words=each.words, pcm=in_a_room(each.pcm, random, 9.0)) for each in read[2::3]]
        yield f"{voice.name}, 9 dB", [each for place, each in enumerate(read) if place % 3 != 2], noisy


def measure(people: Path | None, seed: int) -> list[dict[str, Any]]:
    """A row for each voice: how many were told right before and after, and what the learning itself would say."""
    random = np.random.default_rng(seed)
    network = Network(find_network(), threads=1)
    rows = []
    for who, takes, others in sets(people, random):
        choices = {words: readings_of(words) for words in dict.fromkeys(one.words for one in (*takes, *others))}
        said = [(one.words, read_of(network, one)) for one in others]
        row: dict[str, Any] = {"who": who, "learnt_from": len(takes), "of": len(said)}
        row["before"] = told_right(network.phone_ears, said, choices)
        try:
            found = learn_voice(network, takes)
        except SetupError as error:
            rows.append(row | {"refused": str(error)})
            continue
        ears = [corrected(ear, one) for ear, one in zip(network.phone_ears, found.corrections, strict=True)]
        row |= {"now": told_right(ears, said, choices), "own_before": found.before, "own_now": found.now}
        rows.append(row | {"own_of": found.held_out, "kept": found.worth_keeping, "misread": len(found.misread)})
    return rows


@click.command(epilog="Example: hoodside bench learn --people DIR --json")
@click.option(
    "--people",
    type=click.Path(path_type=Path, exists=True),
    help="Recorded digits, DIR/digits/DIGIT-SPEAKER-TAKE.flac.",
)
@click.option("--seed", default=3, show_default=True, help="Of the noise.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(*, people: Path | None, seed: int, as_json: bool) -> None:
    """Measure what learning a voice gains; nothing of it is kept."""
    rows = measure(people, seed)
    if as_json:
        click.echo(json.dumps(rows))
        return
    for row in rows:
        click.echo("  ".join(f"{name} {value}" for name, value in row.items()))
