"""How soon the answer begins: from the last sample of speech to the first sample of what we say to it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from time import perf_counter
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.synthesiser_hibari import HibariSynthesiser
from assistant.adapters.synthesiser_remembering import RememberingSynthesiser
from assistant.bench.readings import any_reading
from assistant.bench.sets import Ask
from assistant.bench.setting import Setting, Wish, make_setting
from assistant.bench.stream import BLOCK
from assistant.bench.voices import Speaker
from assistant.guide import advance
from assistant.language.breaths import breaths
from assistant.language.grammars import says_all
from assistant.language.model import Heard
from assistant.language.reading import only_names_the_unit
from assistant.language.speech import Sentence
from assistant.language.stakes import Tail, tail_of
from assistant.language.understand import asked, understand
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Synthesiser
from assistant.record.wording import fitted
from assistant.session.ahead import likely_replies

Pcm = NDArray[np.int16]

AFTER_S = 2.0
SPEAKERS = 3
ROOM_LEVEL = 60.0
"""Root mean square of the room, of 32 768: a quiet shop."""


def measure_latency(setting: Setting, *, ahead: bool = True) -> dict[str, Any]:
    """Milliseconds, in the time of the stream and of the computing: the recogniser's, and rendering the first breath of
    what the guide then says. `ahead`: what is likely said was made ready before, as a session does in silences.

    `whole`: phrases with which no longer one of another meaning begins; `waiting`: those that count only when nothing
    more is said, such as yes and done; `begin_another`: the rest; `readings`: numbers with units. `missed`: not heard,
    or heard as something else.
    """
    random = np.random.default_rng(setting.wish.seed)
    synthesiser = RememberingSynthesiser(HibariSynthesiser())
    made(synthesiser, "Ready.")
    took: dict[str, list[float]] = {"whole": [], "waiting": [], "begin_another": [], "readings": []}
    missed = 0
    for ask, words, speaker, is_reading in phrases_said(setting, random):
        for text in likely_replies(setting.library, ask.state, ask.expected) if ahead and ask.state else ():
            made(synthesiser, text)
        found = latency_ms(setting, synthesiser, ask, words, in_a_room(setting.speech(speaker, words), random))
        if found is None:
            missed += 1
        else:
            took["readings" if is_reading else _kind_of(setting, ask, words)].append(found)
    return {name: _spread(values) for name, values in took.items()} | {"missed": missed}


def made(synthesiser: Synthesiser, text: str) -> Pcm:
    """The text as our voice says it."""
    return synthesiser.render(text, words_per_minute=165, rate_hz=SAMPLE_RATE_HZ)


def first_breath(setting: Setting, ask: Ask, heard: Heard) -> str:
    """What is said to it first. A question to the plan is answered at length by who knows the job; here, and where the
    moment's state is not known, a read-back stands for it."""
    if ask.state is None or asked(heard, ask.expected) is not None:
        return f"{heard.words}. Right?"
    turn = advance(setting.library, ask.state, understand(heard, ask.expected), ask.state.at_s, heard=heard)
    said = next((each.text for each in turn.reply if isinstance(each, Sentence)), "")
    return next(iter(breaths(said)), "")


def latency_ms(setting: Setting, synthesiser: Synthesiser, ask: Ask, words: str, room: Pcm) -> float | None:
    """Milliseconds from the last sample of the speech to the first of the answer; None when it was not heard.

    `room`: speech of these words from its first second on, and quiet around it. A block waits until the one before it
    is worked out, as it does in a queue.
    """
    recogniser = setting.recogniser
    ends_s = len(room) / SAMPLE_RATE_HZ - AFTER_S
    recogniser.expect(ask.listening)
    free_s = 0.0
    for at in range(0, len(room), BLOCK):
        began_s = max(free_s, (at + BLOCK) / SAMPLE_RATE_HZ)
        began = perf_counter()
        heard = recogniser.accept(AudioBlock(pcm=room[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
        free_s = began_s + perf_counter() - began
        if heard is not None:
            if heard.words is None or (ask.expected.quantity is None and heard.words != words):
                break
            made(synthesiser, first_breath(setting, ask, heard))
            answered = perf_counter()
            recogniser.finish()
            return (began_s - ends_s + answered - began) * 1000
    recogniser.finish()
    return None


def in_a_room(speech: Pcm, random: np.random.Generator) -> Pcm:
    """The speech after a second of a quiet room, AFTER_S of it behind."""
    room = random.standard_normal(SAMPLE_RATE_HZ + len(speech) + int(AFTER_S * SAMPLE_RATE_HZ)) * ROOM_LEVEL
    room[SAMPLE_RATE_HZ : SAMPLE_RATE_HZ + len(speech)] += speech
    return np.clip(room, -32768, 32767).astype(np.int16)


def phrases_said(setting: Setting, random: np.random.Generator) -> Iterator[tuple[Ask, str, Speaker, bool]]:
    """Every phrase that moves the job on or commands it, where it first may be said, by the speakers in turn, at most
    `count` of them; and a third as many readings."""
    speakers = setting.voices["tuning"][:SPEAKERS]
    places: dict[str, Ask] = {}
    for ask in setting.asks:
        for words in (*ask.answers, *ask.others):
            places.setdefault(words, ask)
    phrases = sorted(places)
    random.shuffle(phrases)
    for number, words in enumerate(phrases[: setting.wish.count]):
        yield places[words], words, speakers[number % len(speakers)], False
    asked = [ask for ask in setting.asks if ask.expected.quantity and ask.expected.unit]
    for number in range(min(len(phrases), setting.wish.count) // 3 if asked else 0):
        ask = asked[int(random.integers(len(asked)))]
        yield ask, any_reading(ask, random)[1], speakers[number % len(speakers)], True


def _kind_of(setting: Setting, ask: Ask, words: str) -> str:
    """Whether a longer sentence that means something else may still come, and whether it is waited out anyhow."""
    language = setting.recogniser.language(ask.grammar)
    if tail_of(words, language.tags(words), read_back=ask.expected.read_back) is Tail.WHOLE:
        return "waiting"
    return "begin_another" if language.means_more(words, says_all, only_names_the_unit) else "whole"


def _spread(values: Sequence[float]) -> dict[str, Any]:
    if not values:
        return {"count": 0, "p50_ms": None, "p95_ms": None}
    return {
        "count": len(values),
        "p50_ms": round(float(np.percentile(values, 50))),
        "p95_ms": round(float(np.percentile(values, 95))),
    }


@click.command(epilog="Example: hoodside bench latency --json")
@click.option("--count", default=120, show_default=True, help="Phrases said, and a third as many readings.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose steps and phrases.")
@click.option("--ahead/--not-ahead", default=True, show_default=True, help="Whether likely answers are made ready.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(*, count: int, procedure: str, ahead: bool, as_json: bool) -> None:
    """Milliseconds from the last sample of speech to the first of the answer, in stream and computing time."""
    setting = make_setting(Wish(procedure=procedure, count=count, hours=0.0, seed=2))
    measured = measure_latency(setting, ahead=ahead)
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, value in measured.items():
        click.echo(fitted(f"{name}: {value}"))
