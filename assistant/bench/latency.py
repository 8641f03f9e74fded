"""How soon an answer can begin: from the last sample of speech to the words, in the time of the stream."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import click
import numpy as np

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.sets import Ask, asks_of
from assistant.bench.voices import TUNING, Speaker, available, speak
from assistant.grammar.automaton import automaton_of
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.wiring import load_library

BLOCK = 320
"""20 ms, as a microphone gives it."""


def measure_latency(*, procedure: str = "no-start", count: int = 120, seed: int = 2) -> dict[str, Any]:
    """Milliseconds: the stream's time until the words came plus the computing of the block that gave them.

    Phrases that begin another legal one must wait and are reported apart.
    """
    recogniser = make_embedded()
    _, library = load_library(procedure)
    asks = asks_of(list(library.values()))
    speakers = available(TUNING)[:3]
    random = np.random.default_rng(seed)
    early: list[float] = []
    waiting: list[float] = []
    missed = 0
    for number in range(count):
        ask = asks[int(random.integers(len(asks)))]
        words = ask.phrases[int(random.integers(len(ask.phrases)))]
        took = latency_ms(recogniser, ask, words, speakers[number % len(speakers)], random)
        if took is None:
            missed += 1
        elif _goes_on(ask, words):
            waiting.append(took)
        else:
            early.append(took)
    return {"whole": _spread(early), "begin_another": _spread(waiting), "missed": missed, "count": count}


def latency_ms(
    recogniser: EmbeddedRecogniser, ask: Ask, words: str, speaker: Speaker, random: np.random.Generator
) -> float | None:
    """Milliseconds from the last sample of the speech to its words; None when nothing was heard."""
    speech = speak(speaker, words)
    room = random.standard_normal(len(speech) + 3 * SAMPLE_RATE_HZ) * 60
    room[SAMPLE_RATE_HZ : SAMPLE_RATE_HZ + len(speech)] += speech
    pcm = np.clip(room, -32768, 32767).astype(np.int16)
    ends_s = 1 + len(speech) / SAMPLE_RATE_HZ
    recogniser.expect(Listening(grammar=ask.grammar, hazardous=ask.hazardous))
    for at in range(0, len(pcm), BLOCK):
        heard = recogniser.accept(AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
        if heard is not None:
            recogniser.finish()
            return ((at + BLOCK) / SAMPLE_RATE_HZ - ends_s) * 1000 + heard.took_ms
    recogniser.finish()
    return None


def _goes_on(ask: Ask, words: str) -> bool:
    automaton = automaton_of(ask.grammar)
    states = {automaton.start}
    for word in words.split():
        states = {target for state in states for legal, target in automaton.next_words(state) if legal == word}
    return any(automaton.next_words(state) for state in states)


def _spread(values: Sequence[float]) -> dict[str, Any]:
    if not values:
        return {"count": 0, "p50_ms": None, "p95_ms": None}
    return {
        "count": len(values),
        "p50_ms": round(float(np.percentile(values, 50))),
        "p95_ms": round(float(np.percentile(values, 95))),
    }


@click.command(epilog="Example: hoodside bench latency --json")
@click.option("--count", default=120, show_default=True, help="Phrases said.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose steps and phrases.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(count: int, procedure: str, as_json: bool) -> None:
    """Milliseconds from the last sample of speech to its words, in the time of the stream and of the computing."""
    measured = measure_latency(procedure=procedure, count=count)
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, value in measured.items():
        click.echo(f"{name}: {value}")
