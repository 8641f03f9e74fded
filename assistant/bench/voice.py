"""How well our own voices are understood, how soon they begin and what they cost: by recognisers that write freely.

What is said is what the program can say (`voice_words`). A recogniser's word error is no person's, but the same one
listens to each voice; the noises take turns: a fan, impact tools, bustle, and what sounds like talk.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import cycle
from time import perf_counter, process_time
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.synthesiser_hibari import HibariSynthesiser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.bench.noises import NOISES, mixed
from assistant.bench.voice_words import codes, covering, numbers, shipped_sentences
from assistant.bench.writers import Pcm, writers
from assistant.language.edits import words_wrong
from assistant.language.numbers import LARGEST, say_digits, say_number
from assistant.language.plain import plain_words
from assistant.ports import SAMPLE_RATE_HZ, Synthesiser
from assistant.record.wording import fitted

RATE_WPM = 165
AROUND_S = 0.4
"""Shop noise before and after the words."""

SPELLINGS = {
    "ageing": "aging", "centre": "center", "grey": "gray", "judgement": "judgment", "kilohm": "kiloohm",
    "kilohms": "kiloohms", "litre": "liter", "litres": "liters", "metre": "meter", "metres": "meters",
    "millilitre": "milliliter", "millilitres": "milliliters", "odour": "odor", "tyre": "tire", "tyres": "tires",
    "vapour": "vapor", "ok": "okay", "amps": "amperes", "amp": "ampere",
}  # fmt: skip
"""The same word written otherwise."""

_NUMBER = re.compile(r"-?\d+(?:,\d{3})*(?:\.\d+)?")
_CODE = re.compile(r"\b[a-z]-?\d[-0-9a-f]{2,}\b")
"""A fault code written in one, such as "P0A66" or "c-3769"."""

_LETTERS = re.compile(r"\b[a-z](?: [a-z])+\b")


@dataclass(slots=True, kw_only=True)
class Understood:
    """What one recogniser wrote of one voice in one noise. `missed`: words that did not come, and how often."""

    words: int = 0
    wrong: int = 0
    whole: int = 0
    said: int = 0
    missed: Counter[str] = field(default_factory=Counter)

    def add(self, said: str, heard: str) -> None:
        """One sentence more."""
        said, heard = joined(said, heard), joined(heard, said)
        self.said += 1
        wrong = words_wrong(said, heard)
        self.words += len(said.split())
        self.wrong += wrong
        self.whole += not wrong
        self.missed.update((Counter(said.split()) - Counter(heard.split())).keys())

    def figures(self, worst: int) -> dict[str, Any]:
        """JSON values: word error, and the share of the sentences without one."""
        told = {
            "word_error": round(self.wrong / max(1, self.words), 4),
            "whole": round(self.whole / max(1, self.said), 4),
        }
        return told | ({"missed": dict(self.missed.most_common(worst))} if worst else {})


def same_words(text: str) -> str:
    """The words of a text as both sides of a comparison write them: numbers in words, letters in a row as one."""
    text = text.lower().replace("°", " degrees ").replace("%", " percent")
    text = _CODE.sub(lambda found: _one_by_one(found.group()), text)
    words = plain_words(_NUMBER.sub(lambda found: _in_words(found.group()), text))
    words = re.sub(r"[^a-z' ]", " ", words)
    words = " ".join(SPELLINGS.get(word, word) for word in words.split() if word != "and")
    return _LETTERS.sub(lambda found: found.group().replace(" ", ""), words)


def joined(words: str, others: str) -> str:
    """The words with each two joined that the other text writes as one: "out come" is no error for "outcome"."""
    wanted, found = set(others.split()), list[str]()
    for word in words.split():
        if found and found[-1] not in wanted and found[-1] + word in wanted:
            found[-1] += word
        else:
            found.append(word)
    return " ".join(found)


def _one_by_one(code: str) -> str:
    return " ".join(say_digits(sign) if sign.isdigit() else sign for sign in code.replace("-", ""))


def _in_words(digits: str) -> str:
    """Figures in words: a value as it is read; what begins with a nought, or is larger than any value, one by one."""
    plain = digits.replace(",", "")
    if (plain.isdigit() and plain.startswith("0")) or abs(Decimal(plain)) > LARGEST:
        return f" {say_digits(re.sub('[^0-9]', '', plain))} "
    return f" {say_number(Decimal(plain))} "


def voices() -> dict[str, Synthesiser]:
    """The two that speak to the technician."""
    return {"natural": HibariSynthesiser(), "plain": Pyttsx3Synthesiser()}


def measure_voices(
    sets: Mapping[str, Sequence[str]], *, snr_db: float, seed: int, worst: int, only: str | None = None
) -> dict[str, Any]:
    """JSON values for each voice: by set, noise and recogniser the word error; milliseconds until the samples of a
    sentence are there, and of computing for it; words a minute. `only`: this voice alone."""
    ears = writers()
    found: dict[str, Any] = {}
    for name, voice in voices().items():
        if only not in (None, name):
            continue
        cost = _Cost()
        heard: dict[tuple[str, str, str], Understood] = {}
        voice.render("Ready.", words_per_minute=RATE_WPM, rate_hz=SAMPLE_RATE_HZ)
        random = np.random.default_rng(seed)
        noises = cycle(NOISES.values())
        for kind, sentences in sets.items():
            for text in sentences:
                pcm = cost.render(voice, text)
                for place, sound in _in_places(pcm, next(noises), random, snr_db):
                    for ear, write in ears.items():
                        told = heard.setdefault((kind, place, ear), Understood())
                        told.add(same_words(text), same_words(write(sound)))
        found[name] = {f"{kind}, {place}, {ear}": one.figures(worst) for (kind, place, ear), one in heard.items()}
        found[name] |= cost.figures()
    return found


def _in_places(
    pcm: Pcm,
    noise: Callable[[int, np.random.Generator], NDArray[np.float64]],
    random: np.random.Generator,
    snr_db: float,
) -> Iterator[tuple[str, Pcm]]:
    around = round(AROUND_S * SAMPLE_RATE_HZ)
    under = noise(len(pcm) + 2 * around, random)
    yield "quiet", mixed(pcm, under, 50.0, lead=around, tail=around)
    yield f"{snr_db:g} dB", mixed(pcm, under, snr_db, lead=around, tail=around)


@dataclass(slots=True, kw_only=True)
class _Cost:
    until_ms: list[float] = field(default_factory=list)
    cpu_ms: list[float] = field(default_factory=list)
    words: int = 0
    frames: int = 0

    def render(self, voice: Synthesiser, text: str) -> Pcm:
        began, computed = perf_counter(), process_time()
        pcm = voice.render(text, words_per_minute=RATE_WPM, rate_hz=SAMPLE_RATE_HZ)
        self.until_ms.append((perf_counter() - began) * 1000)
        self.cpu_ms.append((process_time() - computed) * 1000)
        self.words += len(text.split())
        self.frames += len(pcm)
        return pcm

    def figures(self) -> dict[str, Any]:
        median, late = np.percentile(self.until_ms, [50, 95])
        return {
            "first_sample_ms": {"median": round(float(median), 1), "p95": round(float(late), 1)},
            "cpu_ms_a_sentence": round(float(np.mean(self.cpu_ms)), 1),
            "words_a_minute": round(60 * self.words * SAMPLE_RATE_HZ / max(1, self.frames)),
        }


@click.command(epilog="Example: hoodside bench voice --count 100 --json")
@click.option(
    "--count", default=0, help="Sentences, drawn from those that hold every word we can say; 0, the default: all."
)
@click.option("--numbers", "many", default=60, show_default=True, help="Readings; half as many fault codes.")
@click.option("--snr", "snr_db", default=5.0, show_default=True, help="Noise below the voice, in decibels.")
@click.option("--worst", default=0, show_default=True, help="How many of the words most often missed are named.")
@click.option("--voice", "only", type=click.Choice(["natural", "plain"]), help="This voice alone.")
@click.option("--seed", default=3, show_default=True, help="Of the noise and the choice.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(*, count: int, many: int, snr_db: float, worst: int, only: str | None, seed: int, as_json: bool) -> None:
    """Let recognisers write down what our voices say, in quiet and in a made-up shop; and time the voices."""
    random = np.random.default_rng(seed)
    sentences = covering(shipped_sentences())
    if 0 < count < len(sentences):
        sentences = tuple(sentences[place] for place in sorted(random.choice(len(sentences), count, replace=False)))
    sets = {"sentences": sentences, "numbers": numbers(many, random), "codes": codes(many // 2, random)}
    found = {name: len(each) for name, each in sets.items()} | measure_voices(
        sets, snr_db=snr_db, seed=seed, worst=worst, only=only
    )
    if as_json:
        click.echo(json.dumps(found))
        return
    for name, value in found.items():
        rows = value.items() if isinstance(value, dict) else [("", value)]
        for row, figure in rows:
            click.echo(fitted(f"{name} {row}: {figure}"))
