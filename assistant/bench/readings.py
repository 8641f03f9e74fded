"""Readings said to the recogniser: any value of a quantity, in any form that the grammar takes, in shop noise."""

from __future__ import annotations

from typing import Any

import numpy as np

from assistant.bench.accuracy import kind_of, rates
from assistant.bench.noises import NOISES
from assistant.bench.sets import Ask
from assistant.bench.setting import Bench, Setting
from assistant.bench.spread import shards
from assistant.bench.stream import Stream, in_noise
from assistant.bench.voices import Speaker, speak
from assistant.language.model import GiveReading, Heard
from assistant.language.quantities import decimals_of, possible_range, shown_decimals, spoken_span
from assistant.language.reading import ways_to_say_reading
from assistant.language.understand import understand
from assistant.ports import Listening

SNR_DB = 15.0


def readings(bench: Bench, *, count: int) -> dict[str, Any]:
    """Shares of exact values among `count` readings: uniform over the quantity's possible range at its meter's
    resolution, each in a form drawn from all that are understood. `mistaken`: said, heard."""
    found = [one for part in bench.each(_said, shards(count)) for one in part]
    mistaken = [one for one in found if one[2] != "right"]
    return (
        {"snr_db": SNR_DB, "speakers": len(_speakers(bench.setting))}
        | rates(one[2] for one in found)
        | {"mistaken": mistaken}
    )


def _said(setting: Setting, numbers: range) -> list[tuple[str, str | None, str]]:
    """Said, heard and what became of it, for the readings of these numbers."""
    random = np.random.default_rng([setting.wish.seed, numbers.start])
    asked = [ask for ask in setting.asks if ask.expected.quantity and ask.expected.unit]
    speakers, stream, found = _speakers(setting), Stream(setting.recogniser), []
    for number in numbers:
        ask = asked[int(random.integers(len(asked)))]
        value, words = any_reading(ask, random)
        noise = list(NOISES)[(number // len(speakers)) % len(NOISES)]
        stretch = in_noise(speak(speakers[number % len(speakers)], words), SNR_DB, noise, random, setting.talk)
        heard = stream.heard(stretch, Listening(grammar=ask.grammar, hazardous=ask.expected.hazardous))
        exact = heard.words is not None and _value(heard, ask) == value
        found.append((words, heard.words, kind_of(words if exact else heard.words, words, heard.unsure)))
    return found


def _speakers(setting: Setting) -> list[Speaker]:
    return [speaker for speakers in setting.voices.values() for speaker in speakers]


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
