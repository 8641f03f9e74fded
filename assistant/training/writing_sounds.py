"""What the half that writes learns on from: people's own words, phrases, readings and prose, made up in shop noise.

As in `phone_sounds` all follows from the seed of each chunk alone, whatever the number of processes.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from random import Random
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from assistant.bench.strangers import printed, sentences
from assistant.ports import SAMPLE_RATE_HZ
from assistant.procedure.model import Procedure
from assistant.training.phone_sounds import (
    CHUNK,
    NUMBER_WORDS,
    Recipe,
    any_noise,
    anyone,
    by_anyone,
    made_up_talk,
    phrases_of,
    recipe_of,
    spoken,
)

Pcm = NDArray[np.int16]

PARTS = 6
"""Own words fall into so many parts by their letters; the last is not learnt from, so that what weighs free writing
(`second`) meets it as it will be with strangers."""

MOST_WORDS = 14
NOISE_S = 20
"""Of one stretch of noise."""
MODULES = ("asyncio", "calendar", "collections", "csv", "decimal", "difflib", "doctest", "fractions", "functools",
    "gettext", "glob", "hashlib", "html", "inspect", "io", "ipaddress", "locale", "mailbox", "numbers", "operator",
    "optparse", "os", "pathlib", "pickle", "platform", "profile", "re", "sched", "selectors", "shutil", "signal",
    "smtplib", "socket", "sqlite3", "ssl", "string", "subprocess", "tempfile", "textwrap", "timeit", "trace",
    "types", "typing", "unittest", "uuid", "warnings", "wave", "weakref", "zipfile")  # fmt: skip
"""Whose prose keeps it from forgetting English: of other modules than those that are measured or weighed with."""

SILENT, OWN, PHRASED, READ, TOLD = 0.03, 0.55, 0.68, 0.78, 0.85
"""Up to which share of what is made nothing is said, then people's own words, phrases, readings, what the guide says;
the rest is prose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """What may be said, by kind, and how its sounds are made. All in small letters without marks."""

    own: tuple[str, ...]
    phrases: tuple[str, ...]
    told: tuple[str, ...]
    prose: tuple[str, ...]
    recipe: Recipe


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """One thing said, without noise. `sound`: int16, mono, 16 000 Hz."""

    sound: Pcm
    words: str


def texts_of(procedures: Sequence[Procedure], *, varied: float, seed: int, left_out: bool = False) -> Texts:
    """From the procedures and from Python's own prose. `left_out`: of own words those that are never learnt from."""
    steps = [step for procedure in procedures for step in procedure.steps]
    answers = {said for step in steps for result in step.results for said in result.examples}
    answers |= {said for step in steps for said in step.elsewhere}
    own = sorted(said for said in answers if is_left_out(said) == left_out and len(said.split()) <= MOST_WORDS)
    told = sorted({step.say for step in steps if step.say})
    return Texts(
        own=tuple(own),
        phrases=tuple(sorted(phrases_of(procedures))),
        told=tuple(_short(told)),
        prose=tuple(_short(printed(MODULES))),
        recipe=recipe_of(procedures, varied=varied, seed=seed),
    )


def is_left_out(said: str) -> bool:
    """Whether these own words are of the part that is never learnt from."""
    return crc32(said.encode()) % PARTS == PARTS - 1


def as_written(words: str) -> str:
    """The words as the network writes: a capital, a full stop, "I" as a capital; nothing for nothing."""
    if not words:
        return ""
    said = " ".join("I" + word[1:] if word == "i" or word.startswith("i'") else word for word in words.split())
    return f" {said[0].upper()}{said[1:]}."


def spoken_texts(texts: Texts, *, count: int, processes: int = 1) -> Iterator[list[Spoken]]:
    """`count` things said, in chunks."""
    chunks = [(texts, number, min(CHUNK, count - number * CHUNK)) for number in range(-(-count // CHUNK))]
    if processes == 1:
        yield from map(_chunk, chunks)
        return
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        yield from pool.imap(_chunk, chunks)


def noises(texts: Texts, *, count: int, processes: int = 1) -> list[NDArray[np.float32]]:
    """`count` stretches of shop noise, each NOISE_S long, of mean power 1."""
    asked = [(texts, number) for number in range(count)]
    if processes == 1:
        return [_one_noise(each) for each in asked]
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        return pool.map(_one_noise, asked, chunksize=1)


def _one_noise(asked: tuple[Texts, int]) -> NDArray[np.float32]:
    texts, number = asked
    random = np.random.default_rng([texts.recipe.seed, number, 1])
    sound = any_noise(NOISE_S * SAMPLE_RATE_HZ, random, _talk(texts.recipe))
    return np.asarray(sound, np.float32)


def _chunk(asked: tuple[Texts, int, int]) -> list[Spoken]:
    texts, number, count = asked
    recipe = texts.recipe
    choice, noise = Random(f"{recipe.seed} {number}"), np.random.default_rng([recipe.seed, number])
    found = []
    for _ in range(count):
        words = _words(texts, choice)
        speech = spoken(choice, anyone(choice), words) if words else np.zeros(int(choice.uniform(4e3, 3e4)), np.int16)
        found.append(Spoken(sound=by_anyone(speech, recipe.varied, choice, noise) if words else speech, words=words))
    return found


@lru_cache(maxsize=1)
def _talk(recipe: Recipe) -> list[Pcm]:
    return made_up_talk(recipe)


def _words(texts: Texts, choice: Random) -> str:
    kind = choice.random()
    if kind < SILENT:
        return ""
    if kind < READ and kind >= PHRASED:
        return " ".join(choice.choice(NUMBER_WORDS) for _ in range(choice.randint(1, 5)))
    pools = ((OWN, texts.own), (PHRASED, texts.phrases), (TOLD, texts.told), (1.0, texts.prose))
    return choice.choice(next(pool for share, pool in pools if kind < share))


def _short(texts: Sequence[str]) -> list[str]:
    """Their sentences, none longer than MOST_WORDS: of a longer one its beginning."""
    return sorted({" ".join(each.split()[:MOST_WORDS]).lower() for each in sentences(texts)})
