"""False accepts: other people's talk, music and tools, none of it for us, heard as a live session hears."""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.bench.accuracy import poisson_upper
from assistant.bench.crank_noise import recorded_music
from assistant.bench.noises import NOISES
from assistant.bench.sets import Ask
from assistant.bench.talk import announcements, read_aloud
from assistant.bench.voices import Speaker, speak
from assistant.grammar.model import Grammar
from assistant.hearing.trust import HAZARDOUS
from assistant.language.model import Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.procedure.model import Procedure

Pcm = NDArray[np.int16]
BLOCK = 512
GAP_S = (0.3, 1.5)
"""Silence between two things a stranger says: at least and at most."""

MODULES = ("argparse", "datetime", "email", "json", "logging", "queue", "random", "statistics", "tarfile", "threading")

LEVEL = 0.05
"""Root mean square of the strangers' talk: as loud as the technician's own."""


def false_accepts(
    recogniser: EmbeddedRecogniser,
    asks: Sequence[Ask],
    everything: Grammar,
    library: Sequence[Procedure],
    speakers: Sequence[Speaker],
    *,
    hours: float,
    seed: int,
    tell: Callable[[str], None] = lambda words: None,
) -> list[dict[str, Any]]:
    """A row for each source and way of listening: hours, what was taken, how often an hour and its upper bound.

    Ways: streamed as a live session hears, in the step in which most may be said; and takes of three seconds among all
    that may be said anywhere, as `hoodside hear --commands` does. `hazardous`: what of it would also have been taken in
    a step that can hurt someone.
    """
    busiest = max(asks, key=lambda ask: len(ask.answers) + len(ask.others))
    rows = []
    for name, who, kind, sound in sources(library, speakers, hours, seed):
        length_h = len(sound) / SAMPLE_RATE_HZ / 3600
        for way, grammar, listen in (("step", busiest.grammar, streamed), ("everything", everything, takes)):
            recogniser.expect(Listening(grammar=grammar))
            taken = list(listen(recogniser, sound))
            hazardous = sum(heard.confidence >= HAZARDOUS.act for heard in taken)
            rows.append(
                {"source": name, "kind": kind, "who": who, "way": way, "hours": round(length_h, 3)}
                | {"accepted": len(taken), "hazardous": hazardous, "words": [heard.words for heard in taken]}
                | {"per_hour": round(len(taken) / length_h, 2)}
                | {"per_hour_upper_95": round(poisson_upper(len(taken)) / length_h, 2)}
            )
            tell(f"{name}, {way}: {len(taken)} taken in {length_h:.2f} h, {hazardous} of them hazardous")
    return rows


def sources(
    library: Sequence[Procedure], speakers: Sequence[Speaker], hours: float, seed: int
) -> Iterator[tuple[str, int, str, Pcm]]:
    """Name, number of speakers, kind (people, made-up talk, music, tools) and sound of each source at hand."""
    random = np.random.default_rng(seed)
    people = announcements()[1::2]  # the others helped to choose the thresholds
    if people:
        yield "announcements", 1, "people", spaced(people, random)
    if read := read_aloud():
        yield "read aloud", 1, "people", spaced(read, random)
    share_h = hours / 2
    workshop = [step.say for procedure in library for step in procedure.steps if step.say]
    for name, texts in (("workshop talk", sentences(workshop)), ("radio talk", sentences(printed()))):
        made = list(said(texts, speakers, share_h, random))
        yield name, len(speakers), "made-up talk", spaced(made, random)
    if music := list(recorded_music()):
        yield "music", 0, "music", np.concatenate(music)
    for kind in ("fan", "impact", "bustle"):
        noise = NOISES[kind](int(0.1 * 3600 * SAMPLE_RATE_HZ), random)
        yield (
            kind,
            0,
            "tools",
            (noise / np.sqrt((noise**2).mean()) * LEVEL * 32_768).clip(-32_768, 32_767).astype(np.int16),
        )


def streamed(recogniser: EmbeddedRecogniser, sound: Pcm) -> Iterator[Heard]:
    """What was acted on while the sound went through the live way of listening."""
    for at in range(0, len(sound), BLOCK):
        heard = recogniser.accept(AudioBlock(pcm=sound[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
        if heard is not None and heard.words is not None and not heard.unsure:
            yield heard
    recogniser.finish()


def takes(recogniser: EmbeddedRecogniser, sound: Pcm) -> Iterator[Heard]:
    """What was accepted in stretches of three seconds, each as a recording of its own."""
    for at in range(0, len(sound), 3 * SAMPLE_RATE_HZ):
        heard = recogniser.hear_take(sound[at : at + 3 * SAMPLE_RATE_HZ])
        if heard.words is not None and not heard.unsure:
            yield heard


def said(texts: Sequence[str], speakers: Sequence[Speaker], hours: float, random: np.random.Generator) -> Iterator[Pcm]:
    """So many hours of the texts by the speakers in turn."""
    left, number = hours * 3600 * SAMPLE_RATE_HZ, 0
    while left > 0:
        text = texts[int(random.integers(len(texts)))]
        pcm = speak(speakers[number % len(speakers)], text)
        number += 1
        left -= len(pcm)
        yield pcm


def sentences(texts: Sequence[str]) -> list[str]:
    """Each sentence of four words or more, plain letters only."""
    found = [part for text in texts for part in re.split(r"[.;:!?]\s|\n\n", " ".join(text.split()))]
    plain = [" ".join(re.findall(r"[A-Za-z']+", part)) for part in found]
    return sorted({text for text in plain if 4 <= len(text.split()) <= 25})


def printed() -> list[str]:
    """English prose that every Python has: what its modules say of themselves."""
    modules = [importlib.import_module(name) for name in MODULES]
    found = [inspect.getdoc(module) or "" for module in modules]
    for module in modules:
        found += [inspect.getdoc(each) or "" for _, each in inspect.getmembers(module) if callable(each)]
    return found


def spaced(pieces: Sequence[Pcm], random: np.random.Generator) -> Pcm:
    """The pieces at one level with pauses between them and a quiet room beneath: (frames,)."""
    parts: list[NDArray[np.float64]] = []
    for piece in pieces:
        voice = piece.astype(np.float64)
        parts.append(voice / (np.sqrt((voice**2).mean()) + 1.0) * LEVEL * 32_768)
        parts.append(np.zeros(int(random.uniform(*GAP_S) * SAMPLE_RATE_HZ)))
    sound = np.concatenate(parts)
    sound += random.standard_normal(len(sound)) * 40
    return np.clip(sound, -32_768, 32_767).astype(np.int16)
