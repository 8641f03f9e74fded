"""Test sets for hearing, made on the spot: who says what, where it is legal, over which noise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.bench.noises import NOISES, babble, mixed
from assistant.bench.voices import Speaker, speak
from assistant.grammar.model import Grammar
from assistant.language.commands import ALWAYS, COMMAND_PHRASES
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected
from assistant.procedure.model import Kind, Procedure

Pcm = NDArray[np.int16]

QUIET_FRAMES = 4000
"""Noise alone before and after the speech: a quarter of a second."""

ANNOUNCEMENTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
"""Recorded announcements of a real person. Source: Debian's asterisk-core-sounds-en-g722, CC-BY-SA."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A place in a procedure where something is asked: its grammar, its own phrases, and whether it can hurt."""

    step: str
    grammar: Grammar
    phrases: tuple[str, ...]
    hazardous: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Utterance:
    """One phrase said once. `pcm`: int16, mono, (frames,), 16 000 Hz, noise around it."""

    ask: Ask
    words: str
    speaker: str
    noise: str
    snr_db: float
    pcm: Pcm


def asks_of(procedures: Sequence[Procedure]) -> list[Ask]:
    """Every step that asks for one of several results, with what is legal in it; all commands are, too."""
    asks = []
    for procedure in procedures:
        for step in procedure.steps:
            if step.kind not in (Kind.ASK, Kind.CRANK):
                continue
            results = {result.id: result.phrases for result in step.results}
            controls = ALWAYS | ({Control.READY} if step.kind is Kind.CRANK else set())
            expected = Expected(controls=controls, results=results)
            asks.append(
                Ask(
                    step=f"{procedure.id}/{step.id}",
                    grammar=grammar_of(expected),
                    phrases=tuple(phrase for phrases in results.values() for phrase in phrases),
                    hazardous=bool(step.all_hazards),
                )
            )
    return asks


def utterances(
    asks: Sequence[Ask], speakers: Sequence[Speaker], *, snr_db: float, count: int, seed: int, talk: Sequence[Pcm]
) -> Iterator[Utterance]:
    """`count` phrases by all speakers in turn over all noises in turn; each second one a command, else a result."""
    random = np.random.default_rng(seed)
    commands = [phrase for phrases in COMMAND_PHRASES.values() for phrase in phrases]
    said: dict[tuple[Speaker, str], Pcm] = {}
    kinds = list(NOISES)
    for number in range(count):
        ask = asks[int(random.integers(len(asks)))]
        phrases = [phrase for phrase in commands if _legal(ask, phrase)] if number % 2 else ask.phrases
        words = phrases[int(random.integers(len(phrases)))]
        speaker = speakers[number % len(speakers)]
        if (speaker, words) not in said:
            said[speaker, words] = speak(speaker, words)
        speech = said[speaker, words]
        kind = kinds[(number // len(speakers)) % len(kinds)]
        frames = len(speech) + 2 * QUIET_FRAMES
        noise = babble(frames, random, list(talk)) if kind == "babble" else NOISES[kind](frames, random)
        pcm = mixed(speech, noise, snr_db, lead=QUIET_FRAMES, tail=QUIET_FRAMES)
        yield Utterance(ask=ask, words=words, speaker=speaker.name, noise=kind, snr_db=snr_db, pcm=pcm)


def _legal(ask: Ask, phrase: str) -> bool:
    return any(phrase in COMMAND_PHRASES[control] for control in ALWAYS)


def announcements() -> list[Pcm]:
    """A real person's recorded announcements, none of them a command of ours; empty where they are not installed."""
    try:
        from G722 import G722  # noqa: PLC0415 - a wheel of the test extra: only this bench decodes telephone sound
    except ImportError:
        return []
    found = []
    for path in sorted(ANNOUNCEMENTS.glob("*.g722")):
        pcm = np.array(G722(16_000, 64_000).decode(path.read_bytes()), np.int16)
        if len(pcm) > 8_000:
            found.append(pcm)
    return found
