"""How soon the answer begins: from the last sample of speech to the first sample of what we say to it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from time import perf_counter, process_time, sleep
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
from assistant.language.guess import get_ready
from assistant.language.model import Heard
from assistant.language.reading import only_names_the_unit
from assistant.language.speech import Sentence
from assistant.language.stakes import Tail, tail_of
from assistant.language.understand import asked, understand
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Synthesiser
from assistant.record.wording import fitted
from assistant.session.ahead import likely_replies, reply_to

Pcm = NDArray[np.int16]

AFTER_S = 2.0
SPEAKERS = 3
ROOM_LEVEL = 60.0
"""Root mean square of the room, of 32 768: a quiet shop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """How an answer came. `silence_ms`: sound that was taken in behind the last sample of speech until it was heard;
    `computing_ms`: what more it took until the first sample of the answer; `cpu_s`: of all cores, over `sound_s` of
    sound; `looks`: how often the sound was worked out."""

    silence_ms: float
    computing_ms: float
    cpu_s: float
    sound_s: float
    looks: int

    @property
    def all_ms(self) -> float:
        """From the last sample of the speech to the first of the answer."""
        return self.silence_ms + self.computing_ms


def measure_latency(setting: Setting, *, ahead: bool = True) -> dict[str, Any]:
    """Milliseconds in real time: the recogniser's, and rendering the first breath of what the guide then says, and how
    much of them is silence that was waited for. `ahead`: what is likely said was made ready before, and what answers
    are like was learnt, as a session does in silences and while it asks.

    `whole`: phrases with which no longer one of another meaning begins; `waiting`: those that count only when nothing
    more is said, such as yes and done; `begin_another`: the rest; `readings`: numbers with units. `missed`: not heard,
    or heard as something else.
    """
    random = np.random.default_rng(setting.wish.seed)
    synthesiser = RememberingSynthesiser(HibariSynthesiser())
    made(synthesiser, "Ready.")
    took: dict[str, list[Answered]] = {"whole": [], "waiting": [], "begin_another": [], "readings": []}
    missed = 0
    for ask, words, speaker, is_reading in phrases_said(setting, random):
        if ahead:
            get_ready(ask.expected)
        for text in likely_replies(setting.library, ask.state, ask.expected) if ahead and ask.state else ():
            made(synthesiser, text)
        room = in_a_room(setting.speech(speaker, words), random)
        found = answered(setting, synthesiser, ask, words, room, ahead=ahead)
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
    """Milliseconds from the last sample of the speech to the first of the answer; None when it was not heard."""
    found = answered(setting, synthesiser, ask, words, room)
    return None if found is None else found.all_ms


def answered(
    setting: Setting, synthesiser: Synthesiser, ask: Ask, words: str, room: Pcm, *, ahead: bool = True
) -> Answered | None:
    """None when it was not heard. `ahead`: what is said to words that wait for their silence is made ready then.

    `room`: speech of these words from its first second on, and quiet around it. Each block is given when its last
    sample has sounded, or as soon as those before it are worked out, and says how long it waited, as one that comes out
    of a microphone's queue; the first second of quiet is given at once.
    """
    recogniser, looks = setting.recogniser, list[object]()
    ready: Heard | None = None
    recogniser.on_look = looks.append
    ends_s = len(room) / SAMPLE_RATE_HZ - AFTER_S
    recogniser.expect(ask.listening)
    began, worked = perf_counter() - 1.0, process_time()
    for at in range(0, len(room), BLOCK):
        sounded_s = (at + BLOCK) / SAMPLE_RATE_HZ
        early_s = began + sounded_s - perf_counter()
        sleep(max(0.0, early_s) if sounded_s > 1.0 else 0.0)
        waited_s = max(0.0, -early_s) if sounded_s > 1.0 else 0.0
        pcm = room[at : at + BLOCK]
        heard = recogniser.accept(AudioBlock(pcm=pcm, start_s=at / SAMPLE_RATE_HZ, waited_s=waited_s))
        if heard is not None:
            if heard.words is None or (ask.expected.quantity is None and heard.words != words):
                break
            cpu_s = process_time() - worked
            made(synthesiser, first_breath(setting, ask, heard))
            over_s = perf_counter() - began
            recogniser.finish()
            return Answered(
                silence_ms=(sounded_s - ends_s) * 1000,
                computing_ms=(over_s - sounded_s) * 1000,
                cpu_s=cpu_s,
                sound_s=sounded_s,
                looks=len(looks),
            )
        waits = recogniser.would_tell
        if ahead and ask.state is not None and waits is not None and waits is not ready:
            ready = waits
            made(synthesiser, reply_to(setting.library, ask.state, ask.expected, waits) or "Ready.")
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


def _spread(found: Sequence[Answered]) -> dict[str, Any]:
    """The middle and the slow end of all of it, and of its parts; computing of all cores a second of sound."""
    told: dict[str, Any] = {"count": len(found)}
    parts = {
        "": [one.all_ms for one in found],
        "silence_": [one.silence_ms for one in found],
        "computing_": [one.computing_ms for one in found],
    }
    for name, values in parts.items():
        for share in (50, 95):
            told[f"{name}p{share}_ms"] = round(float(np.percentile(values, share))) if values else None
    sound_s = sum(one.sound_s for one in found)
    told["cpu_s_a_second"] = round(sum(one.cpu_s for one in found) / sound_s, 3) if found else None
    told["looks"] = round(sum(one.looks for one in found) / len(found), 2) if found else None
    return told


@click.command(epilog="Example: hoodside bench latency --json")
@click.option("--count", default=120, show_default=True, help="Phrases said, and a third as many readings.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose steps and phrases.")
@click.option("--ahead/--not-ahead", default=True, show_default=True, help="Whether likely answers are made ready.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(*, count: int, procedure: str, ahead: bool, as_json: bool) -> None:
    """Milliseconds from the last sample of speech to the first of the answer, in real time; silence and computing."""
    setting = make_setting(Wish(procedure=procedure, count=count, hours=0.0, seed=2))
    measured = measure_latency(setting, ahead=ahead)
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, value in measured.items():
        click.echo(fitted(f"{name}: {value}"))
