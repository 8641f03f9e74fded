"""Real people's speech inside grammars never seen before: long orders composed word by word, and recorded commands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.bench.accuracy import kind_of, rates
from assistant.bench.noises import NOISES
from assistant.bench.sets import in_noise
from assistant.bench.talk import spoken_commands, word
from assistant.bench.voices import trimmed
from assistant.grammar.jsgf import read_jsgf
from assistant.grammar.model import Grammar
from assistant.language.numbers import say_whole
from assistant.ports import SAMPLE_RATE_HZ, Listening

Pcm = NDArray[np.int16]

CALLING = ("alpha", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india", "juliet", "kilo", "lima")
DAYS = ("sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday")
MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip
RECORDED = (
    {name: f"phonetic/{name[0]}_p" for name in CALLING}
    | {name: f"digits/day-{number}" for number, name in enumerate(DAYS)}
    | {name: f"digits/mon-{number}" for number, name in enumerate(MONTHS)}
    | {say_whole(value): f"digits/{value}" for value in (*range(20), *range(20, 100, 10))}
    | {name: f"digits/{name}" for name in ("hundred", "thousand", "minus", "today", "tomorrow", "yesterday", "at")}
    | {"o'clock": "digits/oclock", "dollars": "digits/dollars", "plus": "letters/plus", "seconds": "seconds"}
    | {"minutes": "minutes", "number": "number", "extension": "extension", "for": "for"}
)
"""Words and where their recording is."""

ORDERS = f"""#JSGF V1.0;
grammar orders;
public <order> = <when> at <hour> o'clock <name> [<name>] <amount>
  | minus <amount> dollars for <name> <name> <when>
  | extension <name> <digit> <digit> [<digit>] for <small> (minutes | seconds)
  | <month> <small> <name> (plus | minus) <amount>
  | number <digit> <digit> <digit> <name> at <hour> o'clock <day>;
<when> = today | tomorrow | yesterday | <day>;
<day> = {" | ".join(DAYS)};
<month> = {" | ".join(MONTHS)};
<name> = {" | ".join(CALLING)};
<digit> = {" | ".join(say_whole(value) for value in range(10))};
<hour> = {" | ".join(say_whole(value) for value in range(1, 13))};
<small> = {" | ".join(say_whole(value) for value in (*range(10, 20), *range(20, 60, 10)))};
<amount> = <digit> (hundred | thousand) <small>;
"""
"""Orders of our own invention, each with several slots, out of words that one person recorded one by one."""


def human_speech(
    recogniser: EmbeddedRecogniser, talk: Sequence[Pcm], *, count: int, seed: int, snrs_db: Sequence[float] = (15, 9, 6)
) -> list[dict[str, Any]]:
    """A row for each set and noise level: composed long orders, and commands that people recorded whole."""
    rows = []
    orders = list(composed_orders(count, seed))
    sets: list[tuple[str, Grammar, Sequence[tuple[Pcm, str]]]] = []
    if orders:
        sets.append(("composed orders", read_jsgf(ORDERS), orders))
    for name, text, sounds, words in spoken_commands():
        repeated = list(zip(sounds, words, strict=True)) * max(1, 40 // len(words))
        sets.append((name, read_jsgf(text), repeated))
    for name, grammar, said in sets:
        for snr_db in snrs_db:
            random = np.random.default_rng(seed)
            recogniser.expect(Listening(grammar=grammar))
            kinds = []
            for number, (sound, words) in enumerate(said):
                kind = list(NOISES)[number % len(NOISES)]
                heard = recogniser.hear_take(in_noise(trimmed(sound), snr_db, kind, random, talk))
                kinds.append(kind_of(heard.words, words, heard.unsure))
            rows.append({"set": name, "recordings": len({words for _, words in said}), "snr_db": snr_db} | rates(kinds))
    return rows


def composed_orders(count: int, seed: int) -> Iterator[tuple[Pcm, str]]:
    """Sound and words of orders drawn from ORDERS; none where the words are not installed."""
    words = {name: sound for name, path in RECORDED.items() if (sound := word(path)) is not None}
    if len(words) < len(RECORDED):
        return
    random = np.random.default_rng(seed)
    for _ in range(count):
        said = _order(random)
        gap = np.zeros(int(0.03 * SAMPLE_RATE_HZ), np.int16)
        yield np.concatenate([part for each in said for part in (trimmed(words[each], 35.0), gap)][:-1]), " ".join(said)


def _order(random: np.random.Generator) -> list[str]:
    def one(names: Sequence[str]) -> str:
        return names[int(random.integers(len(names)))]

    digit, hour = [say_whole(value) for value in range(10)], [say_whole(value) for value in range(1, 13)]
    small = [say_whole(value) for value in (*range(10, 20), *range(20, 60, 10))]
    when = ("today", "tomorrow", "yesterday", *DAYS)
    amount = [one(digit), one(("hundred", "thousand")), one(small)]
    match int(random.integers(5)):
        case 0:
            more = [one(CALLING)] if random.random() < 0.5 else []
            return [one(when), "at", one(hour), "o'clock", one(CALLING), *more, *amount]
        case 1:
            return ["minus", *amount, "dollars", "for", one(CALLING), one(CALLING), one(when)]
        case 2:
            more = [one(digit)] if random.random() < 0.5 else []
            unit = one(("minutes", "seconds"))
            return ["extension", one(CALLING), one(digit), one(digit), *more, "for", one(small), unit]
        case 3:
            return [one(MONTHS), one(small), one(CALLING), one(("plus", "minus")), *amount]
        case _:
            return ["number", *(one(digit) for _ in range(3)), one(CALLING), "at", one(hour), "o'clock", one(DAYS)]
