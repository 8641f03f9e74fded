"""How many answers said over our own prompt end it, and whether what is taken is what was said; as `--cut-in` hears.

All goes the live way: block by block through the canceller, the end of speech and the whole recogniser, which listens
for what the session lets it hear over this prompt (`session.cut_in`). Nothing that stands in the prompt is answered,
since that is never taken over it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.adapters.synthesiser_hibari import HibariSynthesiser
from assistant.bench.echo_rooms import any_room, speech_level
from assistant.bench.echo_stop import SHOP
from assistant.bench.noises import NOISES
from assistant.bench.voices import Speaker, speak
from assistant.english.lists import say_list
from assistant.guide import Mode
from assistant.guide.words import instruction_words
from assistant.language.breaths import breaths
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, GiveResult, Heard
from assistant.language.plain import plain_words
from assistant.language.speech import Sentence
from assistant.language.understand import understand
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.procedure.model import Kind, Procedure, Step
from assistant.session.cut_in import heard_over, taken_over

Pcm = NDArray[np.int16]

BLOCK = 512
BEFORE_S, AFTER_S = 1.0, 1.6
FROM_S, TO_S = 0.8, 2.0
"""So long after our prompt began the answer begins."""

LOUD_DBFS = -26.0
OWN_GAIN = 0.64
WPM = 165


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A prompt, what may be answered, and what is answered: the words and the result that they mean."""

    prompt: tuple[Sentence, ...]
    now: Expected
    words: str
    result: str


def questions(procedures: Sequence[Procedure], random: np.random.Generator) -> Iterator[Question]:
    """Without end: steps that ask, each with one of its answers that our prompt does not say."""
    steps = [step for procedure in procedures for step in procedure.steps if step.kind is Kind.ASK and step.results]
    while True:
        step = steps[int(random.integers(len(steps)))]
        prompt = (*instruction_words(step), Sentence(text=f"Say {say_list([_first(step)], last='or')}.", kind="prompt"))
        said = f" {' '.join(plain_words(each.text) for each in prompt)} "
        free = [(each.id, words) for each in step.results for words in each.phrases if f" {words} " not in said]
        if not free:
            continue
        result, words = free[int(random.integers(len(free)))]
        now = Expected(
            controls=frozenset(Control) - {Control.READY},
            results={each.id: each.phrases for each in step.results},
            answers={each.id: each.answers for each in step.results if each.answers},
            read_back=True,
        )
        yield Question(prompt=prompt, now=now, words=words, result=result)


def _first(step: Step) -> str:
    return step.results[0].phrases[0] if step.results[0].phrases else "your answer"


def answers_heard(
    procedures: Sequence[Procedure],
    speakers: Sequence[Speaker],
    *,
    count: int,
    echo_db: float,
    snr_db: float,
    seed: int,
) -> dict[str, Any]:
    """JSON values for a loud-speaker and a headset: shares of the answers that cut the prompt, and of these the right
    ones; milliseconds from the end of the answer to the cut, and how many of them the recogniser computed."""
    synthesiser, recogniser = HibariSynthesiser(), make_embedded()
    found = {}
    for place, echo in (("loud-speaker", echo_db), ("headset", None)):
        random = np.random.default_rng(seed)
        asked = questions(procedures, random)
        told = []
        for number in range(count):
            question = next(asked)
            answer = speak(speakers[number % len(speakers)], question.words)
            told.append(_one(recogniser, synthesiser, question, answer, echo_db=echo, snr_db=snr_db, random=random))
        found[place] = _figures(told)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Of one answer: whether it cut the prompt, whether rightly, and how late, of which the recogniser computed
    `took_ms`; `early`: cut before it was begun."""

    cut: bool = False
    right: bool = False
    early: bool = False
    cut_ms: float = 0.0
    took_ms: float = 0.0


def _one(
    recogniser: EmbeddedRecogniser, synthesiser: HibariSynthesiser, question: Question, answer: Pcm, *,
    echo_db: float | None, snr_db: float, random: np.random.Generator,
) -> Told:  # fmt: skip
    prompt = np.concatenate([_spoken(synthesiser, each.text) for each in question.prompt])
    before = round(BEFORE_S * SAMPLE_RATE_HZ)
    begins = before + round(random.uniform(FROM_S, TO_S) * SAMPLE_RATE_HZ)
    ends = begins + answer.size
    frames = ends + round(AFTER_S * SAMPLE_RATE_HZ)
    played = np.zeros(frames, np.int16)
    sounds = prompt[: frames - before]  # what is not cut goes on sounding
    played[before : before + sounds.size] = sounds
    heard = _in_microphone(played, answer, begins, echo_db=echo_db, snr_db=snr_db, random=random)
    recogniser.finish()
    recogniser.expect(_listening(heard_over(question.now, Mode.ASKING, question.prompt)))
    for at in range(0, frames - BLOCK + 1, BLOCK):
        block = AudioBlock(pcm=heard[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ, played=played[at : at + BLOCK])
        said = recogniser.accept(block)
        taken = taken_over(said, question.prompt) if said is not None else None
        if said is not None and taken is not None:
            late_ms = (at + BLOCK - ends) / SAMPLE_RATE_HZ * 1000 + said.took_ms
            return Told(cut=True, right=_means(said, question), early=at < begins, cut_ms=late_ms, took_ms=said.took_ms)
    return Told()


def _spoken(synthesiser: HibariSynthesiser, text: str) -> Pcm:
    gap = np.zeros(SAMPLE_RATE_HZ // 4, np.int16)
    parts = [
        part
        for breath in breaths(text)
        for part in (synthesiser.render(breath, words_per_minute=WPM, rate_hz=SAMPLE_RATE_HZ), gap)
    ]
    return np.asarray(np.concatenate(parts) * OWN_GAIN, np.int16)


def _in_microphone(
    played: Pcm, answer: Pcm, begins: int, *, echo_db: float | None, snr_db: float, random: np.random.Generator
) -> Pcm:
    kind = SHOP[int(random.integers(len(SHOP)))]
    sound = NOISES[kind](played.size, random)
    sound *= 10 ** (-snr_db / 20) / np.sqrt((sound**2).mean())
    room = any_room(random)
    if echo_db is not None:
        echo = room.echo(played)
        sound += echo * 10 ** (echo_db / 20) / max(speech_level(echo), 1e-9)
    sound[begins : begins + answer.size] += answer / np.sqrt((answer.astype(np.float64) ** 2).mean())
    return np.clip(sound * 10 ** (LOUD_DBFS / 20) * 32_768, -32_768, 32_767).astype(np.int16)


def _listening(now: Expected) -> Listening:
    return Listening(grammar=grammar_of(now), hazardous=now.hazardous, read_back=now.read_back)


def _means(said: Heard, question: Question) -> bool:
    meant = understand(said, question.now)
    return isinstance(meant, GiveResult) and meant.result == question.result


def _figures(told: Sequence[Told]) -> dict[str, Any]:
    cut = [each for each in told if each.cut]
    found: dict[str, Any] = {"count": len(told), "cut": round(len(cut) / max(1, len(told)), 3)}
    found |= {"right_of_cut": round(sum(each.right for each in cut) / max(1, len(cut)), 3)}
    found |= {"early": sum(each.early for each in cut)}
    if cut:
        p50, p95 = np.percentile([each.cut_ms for each in cut], [50, 95])
        computed = round(float(np.median([each.took_ms for each in cut])))
        found |= {"cut_ms_p50": round(p50), "cut_ms_p95": round(p95), "of_which_computed_ms_p50": computed}
    return found
