"""Readings said to the recogniser: any value of a quantity, in any form that the grammar takes, in shop noise."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.bench.accuracy import kind_of, rates
from assistant.bench.noises import NOISES
from assistant.bench.sets import Ask, in_noise
from assistant.bench.voices import Speaker, speak
from assistant.language.model import GiveReading, Heard
from assistant.language.quantities import decimals_of, possible_range, shown_decimals, spoken_span
from assistant.language.reading import ways_to_say_reading
from assistant.language.understand import understand
from assistant.ports import Listening

Pcm = NDArray[np.int16]


def readings(
    recogniser: EmbeddedRecogniser,
    asks: Sequence[Ask],
    speakers: Sequence[Speaker],
    *,
    snr_db: float,
    count: int,
    seed: int,
    talk: Sequence[Pcm],
) -> dict[str, Any]:
    """Shares of exact values among `count` readings: uniform over the quantity's possible range at its meter's
    resolution, each in a form drawn from all that are understood. `mistaken`: said, heard."""
    random = np.random.default_rng(seed)
    asked = [ask for ask in asks if ask.expected.quantity and ask.expected.unit]
    kinds, mistaken = [], []
    for number in range(count):
        ask = asked[int(random.integers(len(asked)))]
        value, words = any_reading(ask, random)
        kind = list(NOISES)[(number // len(speakers)) % len(NOISES)]
        pcm = in_noise(speak(speakers[number % len(speakers)], words), snr_db, kind, random, talk)
        recogniser.expect(Listening(grammar=ask.grammar, hazardous=ask.expected.hazardous))
        heard = recogniser.hear_take(pcm)
        said_so = heard.words is not None and _value(heard, ask) == value
        kinds.append(kind_of(words if said_so else heard.words, words, heard.unsure))
        if kinds[-1] != "right":
            mistaken.append([words, heard.words, kinds[-1]])
    return {"snr_db": snr_db, "speakers": len(speakers)} | rates(kinds) | {"mistaken": mistaken}


def any_reading(ask: Ask, random: np.random.Generator) -> tuple[float, str]:
    """A possible value of what is asked, and words that say it."""
    quantity, unit = ask.expected.quantity, ask.expected.unit
    if quantity is None or unit is None:
        raise ValueError(f"{ask.step} asks no reading")
    low, high = possible_range(quantity, unit)
    most = spoken_span(quantity, unit).most
    low, high = max(low, -most), min(high, most)
    steps = 10 ** decimals_of(quantity, unit)
    value = int(random.integers(round(low * steps), round(high * steps) + 1)) / steps
    value = round(value, shown_decimals(quantity, unit, value))
    forms = ways_to_say_reading(value, quantity, unit)
    return value, forms[int(random.integers(len(forms)))]


def _value(heard: Heard, ask: Ask) -> float | None:
    meant = understand(Heard(words=heard.words, confidence=1.0), ask.expected)
    return meant.value if isinstance(meant, GiveReading) else None
