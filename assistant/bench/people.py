"""Real people's speech inside grammars never seen before: long orders composed word by word, and recorded commands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.bench.accuracy import kind_of, rates
from assistant.bench.noises import NOISES
from assistant.bench.setting import Bench, Setting
from assistant.bench.spread import shards
from assistant.bench.stream import Stream, in_noise
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


SNRS_DB = (15.0, 9.0, 6.0)
SHORT_SAID = 40
"""Recorded commands said at each level: the few that there are come again and again, over other noises."""

Said = tuple[Pcm, str]


def human_speech(bench: Bench, *, count: int) -> list[dict[str, Any]]:
    """A row for each set and noise level: composed long orders, and commands that people recorded whole."""
    sets = said_by_people(count, bench.setting.wish.seed)
    tasks = [
        (name, count, snr_db, numbers) for name in sets for snr_db in SNRS_DB for numbers in shards(len(sets[name][1]))
    ]
    kinds: dict[tuple[str, float], list[str]] = {}
    for (name, _, snr_db, _), found in zip(tasks, bench.each(_kinds, tasks), strict=True):
        kinds.setdefault((name, snr_db), []).extend(found)
    return [
        {"set": name, "recordings": len({words for _, words in sets[name][1]}), "snr_db": snr_db} | rates(found)
        for (name, snr_db), found in kinds.items()
    ]


def _kinds(setting: Setting, task: tuple[str, int, float, range]) -> list[str]:
    """What became of what was said of one set at one level, for these numbers."""
    name, count, snr_db, numbers = task
    grammar, said = said_by_people(count, setting.wish.seed)[name]
    random = np.random.default_rng([setting.wish.seed, numbers.start])
    stream, kinds = Stream(setting.recogniser), []
    for number in numbers:
        sound, words = said[number]
        noise = list(NOISES)[number % len(NOISES)]
        stretch = in_noise(trimmed(sound), snr_db, noise, random, setting.talk)
        heard = stream.heard(stretch, Listening(grammar=grammar))
        kinds.append(kind_of(heard.words, words, heard.unsure))
    return kinds


@lru_cache(maxsize=1)
def said_by_people(count: int, seed: int) -> Mapping[str, tuple[Grammar, Sequence[Said]]]:
    """By name of the set: its grammar, and each sound with its words; sets that are not installed are left out."""
    sets: dict[str, tuple[Grammar, Sequence[Said]]] = {}
    if orders := list(composed_orders(count, seed)):
        sets["composed orders"] = read_jsgf(ORDERS), orders
    for name, text, sounds, words in spoken_commands():
        repeated = list(zip(sounds, words, strict=True)) * max(1, SHORT_SAID // len(words))
        sets[name] = read_jsgf(text), repeated
    return sets


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
