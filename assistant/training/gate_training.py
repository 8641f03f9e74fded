"""Training of the gate: from made-up voices and recorded single words in shop noise to small layers."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.bench.noises import NOISES
from assistant.bench.recorded import LEARNT, single_words
from assistant.bench.setting import Setting
from assistant.bench.stream import core_of, strung
from assistant.bench.voices import trimmed
from assistant.hearing.gate import FRAME, TRAITS, Gate, GateLayers
from assistant.ports import SAMPLE_RATE_HZ
from assistant.speech_detector import speech_detector
from assistant.training.adam import Adam
from assistant.training.colleagues import colleagues

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]

SHORT_WORDS = ("done", "ready", "yes", "no", "stop")
RECORDED_WORDS = ("yes", "no", "stop", "go", "on", "off", "up", "down", "left", "right")
SNRS_DB = (15.0, 9.0, 6.0, 3.0)
QUIET_SNR_DB = 38.0
LEVELS_DBFS = (-26.0, -36.0, -46.0)
SOUNDS_A_STREAM = 18
NOISE_S = 90.0
"""Noise alone of each kind in a round."""

DOUBT = 0.25
"""What a detector says, at most, that wavers over noise."""

UNITS, ROUNDS, BATCH = 12, 20, 256
STEP, DECAY = 0.003, 1e-4
AFTER_FRAMES = 3
"""Frames after a sound, in which it may still ring, are not learnt from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """`traits`: (frames, TRAITS). `speech`: 1 where somebody speaks to us. `counts`: 0 where that is not known."""

    traits: Floats
    speech: Floats
    counts: Floats


def lessons(setting: Setting, number: int) -> list[Lesson]:
    """One round: every noise at every level with sounds of all kinds in it, and every noise alone."""
    random = np.random.default_rng([setting.wish.seed, number])
    talk = colleagues(setting.voices["tuning"], setting.wish.people, random)
    sounds = _sounds(setting, random)
    found = []
    for kind in NOISES:
        for snr_db in SNRS_DB:
            found.append(_lesson(sounds, snr_db, kind, random, talk))
        found.append(_alone(kind, random, talk))
    found.append(_lesson(sounds, QUIET_SNR_DB, "fan", random, talk))
    return found + [_wavering(kind, random) for kind in NOISES if kind != "babble"]


def trained(lessons: Sequence[Lesson], *, seed: int) -> GateLayers:
    """Layers fitted to the lessons by Adam, cross-entropy."""
    random = np.random.default_rng(seed)
    counts = np.concatenate([each.counts for each in lessons]) > 0
    traits = np.concatenate([each.traits for each in lessons])[counts]
    speech = np.concatenate([each.speech for each in lessons])[counts]
    middle, spread = traits.mean(axis=0), traits.std(axis=0) + 1e-6
    inputs = (traits - middle) / spread
    weights = [
        random.standard_normal((TRAITS, UNITS)) / np.sqrt(TRAITS),
        np.zeros(UNITS),
        random.standard_normal(UNITS) / np.sqrt(UNITS),
        np.zeros(1),
    ]
    fit = Adam(weights, kept_square=0.999)
    for turn in range(ROUNDS):
        order = random.permutation(len(inputs))
        step = STEP * (1 - turn / ROUNDS) + STEP / 30
        for at in range(0, len(order), BATCH):
            batch = order[at : at + BATCH]
            fit.move(_slopes(fit.values, inputs[batch], speech[batch]), step)
    inner, inner_bias, outer, outer_bias = fit.values
    return GateLayers(
        middle=middle, spread=spread, inner=inner, inner_bias=inner_bias, outer=outer, outer_bias=float(outer_bias[0])
    )


def _slopes(weights: Sequence[Floats], inputs: Floats, speech: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    inner, inner_bias, outer, outer_bias = weights
    units = np.tanh(inputs @ inner + inner_bias)
    error = (1 / (1 + np.exp(-(units @ outer + outer_bias[0]))) - speech) / len(inputs)
    back = error[:, None] * outer * (1 - units**2)
    return inputs.T @ back + DECAY * inner, back.sum(axis=0), units.T @ error, np.array([error.sum()])


def _sounds(setting: Setting, random: np.random.Generator) -> Iterator[Pcm]:
    """Without end: short words and phrases of the tuning voices, and recorded words that may be learnt from."""
    speakers = setting.voices["tuning"]
    phrases = sorted({words for ask in setting.asks for words in (*ask.answers, *ask.others)})
    people = setting.wish.people
    recorded = [take.pcm for word in RECORDED_WORDS for take in single_words(people, word, *LEARNT)] if people else []
    while True:
        speaker = speakers[int(random.integers(len(speakers)))]
        yield setting.speech(speaker, SHORT_WORDS[int(random.integers(len(SHORT_WORDS)))])
        if recorded:
            yield trimmed(recorded[int(random.integers(len(recorded)))], 30.0)
        yield setting.speech(speaker, phrases[int(random.integers(len(phrases)))])


def _lesson(
    sounds: Iterator[Pcm], snr_db: float, kind: str, random: np.random.Generator, talk: Sequence[Pcm]
) -> Lesson:
    said = [next(sounds) for _ in range(SOUNDS_A_STREAM)]
    level_db = LEVELS_DBFS[int(random.integers(len(LEVELS_DBFS)))]
    pcm, spans = strung(said, snr_db, kind, random, talk, level_db=level_db)
    traits = traits_of(pcm)
    speech, counts = np.zeros(len(traits)), np.ones(len(traits))
    for sound, (begins, ends) in zip(said, spans, strict=True):
        core = begins + np.array(core_of(sound))
        first, last = -(-core[0] // FRAME), core[1] // FRAME + 1
        counts[begins // FRAME : max(ends // FRAME + 1, last + AFTER_FRAMES - 1)] = 0.0
        counts[first:last], speech[first:last] = 1.0, 1.0
    return Lesson(traits=traits, speech=speech, counts=counts)


def _alone(kind: str, random: np.random.Generator, talk: Sequence[Pcm]) -> Lesson:
    nothing = [np.zeros(16, np.int16)]
    pcm, _ = strung(nothing * round(NOISE_S / 1.9), 9.0, kind, random, talk, level_db=-36.0)
    traits = traits_of(pcm)
    return Lesson(traits=traits, speech=np.zeros(len(traits)), counts=np.ones(len(traits)))


def _wavering(kind: str, random: np.random.Generator) -> Lesson:
    """Noise alone in which the detector doubts: what rises over the noise tells a word, not its doubt."""
    pcm = (NOISES[kind](round(NOISE_S * SAMPLE_RATE_HZ), random) * 300.0).clip(-32_000, 32_000).astype(np.int16)
    traits = traits_of(pcm, lambda _: float(random.uniform(0.0, DOUBT)))
    return Lesson(traits=traits, speech=np.zeros(len(traits)), counts=np.ones(len(traits)))


def traits_of(pcm: Pcm, detector: Callable[[bytes], float] | None = None) -> Floats:
    """What the gate sees in each frame of a stream: (frames, TRAITS). `detector`: another than the shipped one."""
    gate, detector = Gate(), detector or speech_detector()
    found = []
    for frame in pcm[: len(pcm) // FRAME * FRAME].reshape(-1, FRAME):
        probability = detector(gate.levelled(frame).tobytes())
        found.append(gate.traits(frame, probability))
    return np.stack(found)
