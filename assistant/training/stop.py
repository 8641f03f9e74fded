"""The layers of the ear for stop, learnt anew: `hoodside bench stop --train`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from assistant.bench.recorded import Part
from assistant.bench.stop import our_sentences, plain_talk
from assistant.bench.voices import LEARNT
from assistant.hearing.stop_ear import StopLayers, traits_of
from assistant.procedure.model import Procedure
from assistant.training.stop_sounds import heap_of, streams
from assistant.training.stop_training import lesson, trained

MADE = 120
"""Made-up sayings of each word."""


def train(people: Path | None, library: Sequence[Procedure], *, count: int, rounds: int, seed: int) -> StopLayers:
    """Layers learnt from made-up voices and from the recordings of people that the phones learn from, too."""
    talk, own = plain_talk(library), our_sentences(library)
    heap = heap_of(people, LEARNT, own, talk, part=Part.PHONES, made=MADE, seed=seed)
    lessons = [lesson(traits_of(pcm), marks) for pcm, marks in streams(heap, count, seed)]
    return trained(lessons, rounds=rounds, seed=0, tell=lambda words: click.echo(words, err=True))
