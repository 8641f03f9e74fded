"""Whether words are taken for a starter, and words that the ear would cost us: by people and made-up voices, in noise.

The ear hears as in a session whose step waits for the starter, where it believes most: what it tells while a word is
said, or before the recogniser has done with it, changes what may be said or sets us speaking, and the word is lost.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.layers_starter import starter_layers
from assistant.adapters.voice_silero import voice_detector
from assistant.bench.accuracy import poisson_upper
from assistant.bench.crank_live import ruled
from assistant.bench.noises import NOISES
from assistant.bench.recorded import OTHER_WORDS, WORDS, Part, single_words
from assistant.bench.stream import strung
from assistant.bench.voices import HELD_OUT, available, speak
from assistant.cranking.arbiter import UNDECIDED_S, Place, Ruling
from assistant.language.model import BurstCaught, BurstHeard, BurstStarted, StarterClicked, StarterEvent
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.session.starter import StarterEar

Pcm = NDArray[np.int16]

SNRS_DB = (38.0, 15.0, 9.0, 6.0)
LEVELS_DBFS = (-26.0, -40.0)
A_STREAM = 20
BLOCK = 320
PHRASES = (
    "done", "ready", "yes", "no", "no spark", "spark present", "key is off", "two wires", "area is clear",
    "hands are clear", "it ran briefly", "did not start", "nothing found", "twelve point four volts",
)  # fmt: skip
TELLS = (BurstStarted, BurstCaught, BurstHeard, StarterClicked)
"""Events that change what may be said, or set us speaking."""


def measure_words(people: Path | None, count: int, seed: int) -> dict[str, Any]:
    """`count` words of each group at each noise level; people are left out where there is no folder of them."""
    found = {name: _of_group(sounds, count, seed) for name, sounds in _groups(people, seed)}
    whole = {key: sum(each[key] for each in found.values()) for key in ("words", "lost", "bursts", "sure", "seconds")}
    hours = whole["seconds"] / 3600
    return {
        "words": whole["words"],
        "lost": whole["lost"],
        "lost_share": round(whole["lost"] / whole["words"], 4),
        "bursts": whole["bursts"],
        "sure_enough_to_ask_unasked": whole["sure"],
        "hours": round(hours, 3),
        "bursts_an_hour": round(whole["bursts"] / hours, 2),
        "bursts_an_hour_upper_95": round(poisson_upper(whole["bursts"]) / hours, 2),
        "by": found,
    }


def _groups(people: Path | None, seed: int) -> Iterator[tuple[str, list[Pcm]]]:
    order = np.random.default_rng(seed)
    if people is not None:
        words = [take.pcm for word in (*WORDS, OTHER_WORDS) for take in single_words(people, word, Part.MEASURE)]
        yield "people", [words[place] for place in order.permutation(len(words))]
    made = [speak(speaker, phrase) for speaker in available(HELD_OUT) for phrase in PHRASES]
    yield "made-up voices", [made[place] for place in order.permutation(len(made))]


def _of_group(sounds: Sequence[Pcm], count: int, seed: int) -> dict[str, Any]:
    words = lost = bursts = sure = at = 0
    seconds = 0.0
    for number, (snr_db, level_db) in enumerate((snr, level) for snr in SNRS_DB for level in LEVELS_DBFS):
        for turn in range(max(1, count // len(LEVELS_DBFS) // A_STREAM)):
            chosen = [sounds[(at + place) % len(sounds)] for place in range(A_STREAM)]
            at += A_STREAM
            random = np.random.default_rng([seed, number, turn])
            kind = ("fan", "impact", "bustle")[(number + turn) % 3] if len(NOISES) >= 3 else next(iter(NOISES))
            pcm, spans = strung(chosen, snr_db, kind, random, [], level_db=level_db)
            told = list(_told(pcm))
            words += len(spans)
            lost += sum(is_lost(span, told) for span in spans)
            whole = [event for _, event in told if isinstance(event, BurstHeard)]
            bursts += len(whole)
            sure += sum(ruled(one, Place.UNASKED) is Ruling.TAKEN for one in whole)
            seconds += len(pcm) / SAMPLE_RATE_HZ
    return {"words": words, "lost": lost, "bursts": bursts, "sure": sure, "seconds": round(seconds, 1)}


def _told(pcm: Pcm) -> Iterator[tuple[float, StarterEvent]]:
    ear = StarterEar(lambda: 4, starter_layers(), voice=voice_detector())
    for at in range(0, len(pcm), BLOCK):
        block = AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ)
        for event in ear.accept(block):
            yield (at + len(block.pcm)) / SAMPLE_RATE_HZ, event


def is_lost(span: tuple[int, int], told: Sequence[tuple[float, StarterEvent]]) -> bool:
    """Whether anything was told between the word's beginning and when the recogniser has done with it."""
    first_s, last_s = span[0] / SAMPLE_RATE_HZ, span[1] / SAMPLE_RATE_HZ + UNDECIDED_S
    return any(first_s <= at_s <= last_s and isinstance(event, TELLS) for at_s, event in told)
