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
from assistant.bench.spoken_words import spoken_words
from assistant.bench.talk import announcements, read_aloud
from assistant.bench.voices import Speaker, speak
from assistant.grammar.automaton import automaton_of
from assistant.grammar.model import Grammar
from assistant.hearing.digits import DIGITS, TEENS, TENS
from assistant.hearing.trust import HAZARDOUS
from assistant.language.model import Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.procedure.model import Procedure

Pcm = NDArray[np.int16]
BLOCK = 512
GAP_S = (0.3, 1.5)
"""Silence between two things a stranger says: at least and at most."""

PAUSE_S = 0.3
"""A silence so long parts two things that a stranger says."""

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
    a step that can hurt someone: it is legal in one, and surer than is asked for there.
    """
    busiest = max(asks, key=lambda ask: len(ask.answers) + len(ask.others))
    dangerous = [automaton_of(ask.grammar) for ask in asks if ask.expected.hazardous]
    rows = []
    back = busiest.expected.read_back
    for name, who, kind, sounds in sources(recogniser, everything, library, speakers, hours=hours, seed=seed):
        ways = (("step", busiest.grammar, streamed), ("everything", everything, takes))
        for (way, grammar, listen), sound in zip(ways, sounds, strict=True):
            length_h = len(sound) / SAMPLE_RATE_HZ / 3600
            recogniser.expect(Listening(grammar=grammar, read_back=back))
            taken = list(listen(recogniser, sound))
            hazardous = sum(
                heard.confidence >= HAZARDOUS.act
                and any(step.accepts((heard.words or "").split()) for step in dangerous)
                for heard in taken
            )
            rows.append(
                {"source": name, "kind": kind, "who": who, "way": way, "hours": round(length_h, 3)}
                | {"accepted": len(taken), "hazardous": hazardous, "words": [heard.words for heard in taken]}
                | {"per_hour": round(len(taken) / length_h, 2)}
                | {"per_hour_upper_95": round(poisson_upper(len(taken)) / length_h, 2)}
            )
            tell(f"{name}, {way}: {len(taken)} taken in {length_h:.2f} h, {hazardous} of them hazardous")
    return rows


def sources(
    recogniser: EmbeddedRecogniser,
    everything: Grammar,
    library: Sequence[Procedure],
    speakers: Sequence[Speaker],
    *,
    hours: float,
    seed: int,
) -> Iterator[tuple[str, int, str, tuple[Pcm, Pcm]]]:
    """Name, number of speakers, kind (people, made-up talk, music, tools) and sound of each source at hand.

    Sound: for the step, and for all that may be said anywhere, which is also any number.
    """
    random = np.random.default_rng(seed)
    if people := announcements()[1::2]:  # the others helped to choose the thresholds
        without = without_commands(recogniser, everything, people)
        yield "announcements", 1, "people", (spaced(people, random), spaced(without, random))
    if read := read_aloud():
        yield "read aloud", 1, "people", twice(spaced(read, random))
    share_h = hours / 2
    workshop = [step.say for procedure in library for step in procedure.steps if step.say]
    for name, texts in (("workshop talk", sentences(workshop)), ("radio talk", sentences(printed()))):
        made = list(said(texts, speakers, share_h, random))
        yield name, len(speakers), "made-up talk", twice(spaced(made, random))
    if music := list(recorded_music()):
        yield "music", 0, "music", twice(np.concatenate(music))
    for kind in ("fan", "impact", "bustle"):
        noise = NOISES[kind](int(0.1 * 3600 * SAMPLE_RATE_HZ), random)
        loud = noise / np.sqrt((noise**2).mean()) * LEVEL * 32_768
        yield kind, 0, "tools", twice(loud.clip(-32_768, 32_767).astype(np.int16))


def twice(sound: Pcm) -> tuple[Pcm, Pcm]:
    """The same for both ways of listening."""
    return sound, sound


def without_commands(recogniser: EmbeddedRecogniser, everything: Grammar, people: Sequence[Pcm]) -> list[Pcm]:
    """Of their talk, cut at its pauses, what holds no number and is not, as a whole, something that may be said to us.

    What is said nobody wrote down, so the network does, freely and in quiet: "press one for more" holds a reading,
    which it is right to hear. What is too long for it is left out too.
    """
    recogniser.expect(Listening(grammar=everything, dictation=True))
    legal = automaton_of(everything)
    numbers = {*DIGITS, *TEENS, *TENS}
    found = []
    for pcm in (piece for whole in people for piece in cut_at_pauses(whole)):
        text = recogniser.hear_take(pcm).free_text
        words = spoken_words(text or "")
        digits = any(character.isdigit() for character in text or "")
        if words and not digits and numbers.isdisjoint(words) and not legal.accepts(words):
            found.append(pcm)
    return found


def cut_at_pauses(pcm: Pcm) -> list[Pcm]:
    """The pieces between pauses of PAUSE_S or more; those shorter than half a second are left out."""
    frame = SAMPLE_RATE_HZ // 50
    loud = np.abs(pcm[: len(pcm) // frame * frame].astype(np.float64)).reshape(-1, frame).max(axis=1)
    speaking = np.flatnonzero(loud > 0.03 * loud.max(initial=1.0))
    pieces = np.split(speaking, np.flatnonzero(np.diff(speaking) > PAUSE_S * 50) + 1)
    cut = [pcm[each[0] * frame : (each[-1] + 1) * frame] for each in pieces if len(each)]
    return [piece for piece in cut if len(piece) > SAMPLE_RATE_HZ // 2]


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
