"""Whether the tones that stand for words are told from each other and from a shop's noise: by matched filters.

A filter knows each tone's notes, not where in a third of a second it begins; what answers loudest is what was heard.
The same filters over noise alone say how often the noise is taken for a tone. An ear does worse, and knows a tone by
its rhythm too: so this is a bound on whether the tones can be told at all.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import click
import numpy as np
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from assistant.bench.noises import NOISES
from assistant.guide.timing import BEGIN_TONE, RELEASE_TONE
from assistant.language.signals import TONES
from assistant.language.speech import Tone, Utterance
from assistant.ports import SAMPLE_RATE_HZ

Floats = NDArray[np.float64]

BEGINS_WITHIN_S = 0.3
FALSE_SHARE = 0.01
"""So much of noise alone may be taken for some tone: each filter's limit is set by that, on noise of its own."""

TIMED: Mapping[str, Sequence[Utterance]] = {"begin": (BEGIN_TONE,), "release": (RELEASE_TONE,)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Of so many: told right, taken for another tone, not told from noise."""

    tone: str
    noise: str
    below_db: float
    count: int
    right: int
    another: int
    lost: int


def all_tones() -> dict[str, Floats]:
    """Every tone that the program makes, as samples of full strength at 16 000 Hz."""
    named = {signal.value: notes for signal, notes in TONES.items()} | dict(TIMED)
    return {name: _samples(notes) for name, notes in named.items()}


def measure(noise: str, below_db: float, count: int, random: np.random.Generator) -> list[Told]:
    """Each tone so many times over that noise. `below_db`: the noise below the tone, mean power in its notes."""
    tones = all_tones()
    limits = _limits(tones, noise, 2 * count, random)
    found = []
    for name, tone in tones.items():
        heard = [_loudest(tones, _over(tone, noise, below_db, random), limits) for _ in range(count)]
        right, lost = heard.count(name), heard.count("")
        found.append(
            Told(
                tone=name, noise=noise, below_db=below_db, count=count, right=right, lost=lost,
                another=count - right - lost,
            )
        )  # fmt: skip
    return found


@click.command(epilog="Example: hoodside bench tones --count 50")
@click.option("--count", default=50, show_default=True, help="Each tone so many times over each noise.")
@click.option("--below", default="6,0", show_default=True, help="Decibels by which the noise lies below the tone.")
@click.option("--seed", default=17, show_default=True)
@click.option("--json", "as_json", is_flag=True, help="One JSON object a tone, noise and level in place of words.")
def command(*, count: int, below: str, seed: int, as_json: bool) -> None:
    """Measure whether the tones are told from each other and from shop noise."""
    random = np.random.default_rng(seed)
    for below_db in map(float, below.split(",")):
        for noise in NOISES:
            told = measure(noise, below_db, count, random)
            if as_json:
                for each in told:
                    click.echo(json.dumps({name: getattr(each, name) for name in Told.__dataclass_fields__}))
                continue
            worst = min(told, key=lambda each: each.right)
            whole, right = sum(each.count for each in told), sum(each.right for each in told)
            another = sum(each.another for each in told)
            click.echo(
                f"{noise}, {below_db:g} dB below: {right / whole:.1%} of {whole} told right, {another / whole:.1%} "
                f"taken for another; least {worst.tone}, {worst.right} of {worst.count}"
            )


def _samples(notes: Sequence[Utterance]) -> Floats:
    parts = []
    for each in notes:
        frames = round(getattr(each, "seconds", 0.0) * SAMPLE_RATE_HZ)
        wave = np.zeros(frames)
        if isinstance(each, Tone):
            wave = np.sin(2 * np.pi * each.hz * np.arange(frames) / SAMPLE_RATE_HZ) * _edges(frames)
        parts.append(wave)
    return np.concatenate(parts)


def _edges(frames: int) -> Floats:
    edge = min(80, frames // 2)  # 5 ms
    shape = np.ones(frames)
    shape[:edge] = 0.5 - 0.5 * np.cos(np.pi * np.arange(edge) / edge)
    shape[frames - edge :] = shape[:edge][::-1]
    return shape


def _over(tone: Floats, noise: str, below_db: float, random: np.random.Generator) -> Floats:
    longest = max(each.size for each in all_tones().values())
    frames = longest + round(BEGINS_WITHIN_S * SAMPLE_RATE_HZ)
    sound = NOISES[noise](frames, random)
    power = float((tone[tone != 0.0] ** 2).mean())
    sound *= np.sqrt(power / (10 ** (below_db / 10) * (sound**2).mean() + 1e-12))
    at = int(random.integers(frames - tone.size + 1))
    sound[at : at + tone.size] += tone
    return sound


def _answers(tones: Mapping[str, Floats], sound: Floats) -> dict[str, float]:
    """How far each tone's filter stands out of what is usual in this stretch; both phases, wherever it begins."""
    white = _flattened(sound)
    found = {}
    for name, tone in tones.items():
        shape = _analytic(_flattened(tone, like=sound))
        answer = np.abs(fftconvolve(white, np.conj(shape[::-1]), "valid")) / np.sqrt((np.abs(shape) ** 2).sum())
        found[name] = float(answer.max())
    return found


def _flattened(wave: Floats, like: Floats | None = None) -> Floats:
    """With the long-term spectrum of `like`, or its own, made even in third octaves: an ear judges band by band."""
    whole = wave if like is None else like
    edges = 100.0 * 2 ** (np.arange(20) / 3)
    spectrum = np.abs(np.fft.rfft(whole)) ** 2
    hz = np.fft.rfftfreq(whole.size, 1 / SAMPLE_RATE_HZ)
    bands = [float(np.median(spectrum[(hz >= low) & (hz < high)])) for low, high in pairwise(edges)]
    middles = np.sqrt(edges[:-1] * edges[1:])
    gain = 1 / np.sqrt(np.interp(np.fft.rfftfreq(wave.size, 1 / SAMPLE_RATE_HZ), middles, bands) / whole.size + 1e-9)
    return np.asarray(np.fft.irfft(np.fft.rfft(wave) * gain, wave.size), np.float64)


def _analytic(wave: Floats) -> NDArray[np.complex128]:
    spectrum = np.fft.fft(wave)
    spectrum[1 : wave.size // 2] *= 2
    spectrum[wave.size // 2 + 1 :] = 0
    return np.asarray(np.fft.ifft(spectrum), np.complex128)


def _limits(tones: Mapping[str, Floats], noise: str, count: int, random: np.random.Generator) -> dict[str, float]:
    longest = max(each.size for each in tones.values())
    frames = longest + round(BEGINS_WITHIN_S * SAMPLE_RATE_HZ)
    alone = [_answers(tones, NOISES[noise](frames, random)) for _ in range(count)]
    share = 1 - FALSE_SHARE
    return {name: float(np.quantile([each[name] for each in alone], share)) for name in tones}


def _loudest(tones: Mapping[str, Floats], sound: Floats, limits: Mapping[str, float]) -> str:
    answers = _answers(tones, sound)
    name = max(answers, key=lambda each: answers[each])
    return name if answers[name] > limits[name] else ""
