"""What the phone layers learn from: made-up speech in shop noise, as the network's encoder gives it on."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import find_network, read_token_texts
from assistant.adapters.recogniser_embedded.network import Network
from assistant.bench.noises import NOISES, babble, mixed
from assistant.bench.phone_recorded import recorded_phrases
from assistant.bench.talk import announcements
from assistant.bench.voices import (
    LEARNT,
    TUNING,
    Speaker,
    at_our_rate,
    available,
    speak,
    spoken_by_flite,
    spoken_by_rhvoice,
    trimmed,
)
from assistant.cranking import shop_noise
from assistant.hearing.digits import DIGITS, TEENS, TENS
from assistant.hearing.phones import Reading, numbered
from assistant.hearing.sound import cleaned
from assistant.language.commands import command_phrases
from assistant.ports import SAMPLE_RATE_HZ
from assistant.procedure.model import Procedure
from assistant.procedure.sound import sounds_of

Floats = NDArray[np.float32]

SNRS_DB = (30.0, 20.0, 15.0, 12.0, 9.0, 6.0, 3.0)
VARIANTS = ("", "", "+m1", "+m2", "+m3", "+m4", "+m5", "+m6", "+m7", "+f1", "+f2", "+f3", "+f4")
RECORDED = 0.1
"""Share of recorded speech."""

SHOP_KINDS = ("hum", "wrench", "syllables")
NOISE_KINDS = (*NOISES, "babble", "babble", "impact", *SHOP_KINDS, "wrench", "whole")
"""Talk and blows hide the most, and are met more often."""

NUMBER_WORDS = (
    *DIGITS, *TEENS, *TENS, "hundred", "point", "minus",
    "volts", "amps", "ohms", "millivolts", "percent", "bar", "p", "s", "i", "degrees",
)  # fmt: skip


def heard_phrases(
    network: Network, procedures: list[Procedure], *, count: int, seed: int
) -> Iterator[tuple[Floats, Reading]]:
    """`count` times: what the encoder made of a phrase in noise, (steps, 288), and the phones that were said.

    Half are common words in no order, so that any grammar gains; a third are phrases of the procedures; the rest are
    numbers; and where recorded speech is installed, a share of it. Voices for tuning and for learning only, at 30 to
    3 dB.
    """
    choice, noise = Random(seed), np.random.default_rng(seed)
    texts = read_token_texts(find_network().tokenizer)
    pieces = {text.strip().lower() for text in texts if text and text.startswith(" ")}
    words = sorted(word for word in pieces if word.isalpha() and len(word) > 1 and sounds_of(word))
    phrases = sorted(phrase for phrase in _phrases(procedures) if all(map(sounds_of, phrase.split())))
    numbers = [word for word in NUMBER_WORDS if sounds_of(word)]
    talk = announcements()[::2]
    recorded = recorded_phrases(network)
    for _ in range(count):
        if recorded and choice.random() < RECORDED:
            speech, said = choice.choice(recorded)
        else:
            said = _text(choice, words, phrases, numbers)
            speech = _spoken(choice, said)
        speech = _by_another_throat(speech, noise)
        lead, tail = int(noise.uniform(1600, 6400)), int(noise.uniform(1600, 8000))
        around = _noise(lead + len(speech) + tail, noise, talk)
        pcm = mixed(speech, around, float(noise.choice(SNRS_DB)), lead=lead, tail=tail)
        phones = [phone for word in said.split() for phone in sounds_of(word)[0]]
        yield network.encode(cleaned(pcm))[0], numbered(phones)


def _text(choice: Random, words: list[str], phrases: list[str], numbers: list[str]) -> str:
    kind = choice.random()
    if kind < 0.5:
        return " ".join(choice.choice(words) for _ in range(choice.randint(1, 5)))
    if kind < 0.85:
        return choice.choice(phrases)
    return " ".join(choice.choice(numbers) for _ in range(choice.randint(1, 5)))


def _phrases(procedures: list[Procedure]) -> set[str]:
    found = set(command_phrases())
    for procedure in procedures:
        found.update(words for caution in procedure.cautions for words in caution.acknowledge)
        found.update(words for gate in procedure.gates for words in gate.acknowledge)
        for step in procedure.steps:
            found.update(step.done)
            found.update(phrase for result in step.results for phrase in result.phrases)
    return found


def _spoken(choice: Random, words: str) -> NDArray[np.int16]:
    """The words by one of the engines at hand, by one of its voices, at some speed."""
    speakers = available((*TUNING, *LEARNT))
    engine = choice.choice(sorted({speaker.engine for speaker in speakers}))
    voice = choice.choice([speaker.voice for speaker in speakers if speaker.engine == engine])
    if engine == "espeak":
        return speak(Speaker("espeak", f"{voice}{choice.choice(VARIANTS)}", choice.randint(130, 200)), words)
    if engine == "flite":
        sound, rate_hz = spoken_by_flite(voice, words, stretch=choice.uniform(0.8, 1.25))
    else:
        sound, rate_hz = spoken_by_rhvoice(voice, words, speed=choice.randint(80, 130))
    return at_our_rate(sound, rate_hz)


def _by_another_throat(pcm: NDArray[np.int16], random: np.random.Generator) -> NDArray[np.int16]:
    """The speech as of someone smaller or larger, in another room and by another microphone: few voices become many.

    Pitch and resonances move together by up to 17 %, as the rate does; then a tilt of up to 5 dB an octave about
    1 kHz, for some a telephone's band, for some the echo of a room.
    """
    sound = pcm.astype(np.float64)
    if random.random() < 0.7:
        sound = soxr.resample(sound, 16_000, round(16_000 * np.exp(random.uniform(-0.16, 0.13))))
    if random.random() < 0.25:
        frames = int(random.uniform(0.05, 0.25) * SAMPLE_RATE_HZ)
        echo = random.standard_normal(frames) * np.exp(-5 * np.arange(frames) / frames)
        room = np.concatenate([[1.0], random.uniform(0.2, 0.8) * echo / np.sqrt((echo**2).sum())])
        length = len(sound) + frames
        sound = np.fft.irfft(np.fft.rfft(sound, length) * np.fft.rfft(room, length), length)
    spectrum = np.fft.rfft(sound)
    hz = np.fft.rfftfreq(len(sound), 1 / SAMPLE_RATE_HZ)
    gain = (np.maximum(hz, 100.0) / 1000) ** (random.uniform(-5, 5) / 6.02)
    if random.random() < 0.15:
        gain /= np.sqrt(1 + (hz / random.uniform(3_000, 6_000)) ** 8)
        gain /= np.sqrt(1 + (random.uniform(100, 350) / np.maximum(hz, 1.0)) ** 4)
    sound = np.fft.irfft(spectrum * gain, len(sound))
    loudest = float(np.abs(sound).max(initial=1.0))
    return trimmed(np.asarray(sound * min(1.0, 32_000 / loudest), np.int16))


def _noise(frames: int, random: np.random.Generator, talk: list[NDArray[np.int16]]) -> NDArray[np.float64]:
    """One of the bench's noises, or of the rehearsal's, or the rehearsal's shop whole."""
    seconds = frames / SAMPLE_RATE_HZ + 0.6
    shop = (shop_noise.hum, shop_noise.impact_wrench, shop_noise.talk)
    name = NOISE_KINDS[int(random.integers(len(NOISE_KINDS)))]
    if name == "babble":
        sound = babble(frames, random, talk)
    elif name in NOISES:
        sound = NOISES[name](frames, random)
    elif name in SHOP_KINDS:
        sound = shop[SHOP_KINDS.index(name)](seconds, random)[:frames]
    else:
        mixture = zip((1.0, 0.5, 0.5), shop, strict=True)
        sound = np.sum([share * make(seconds, random)[:frames] for share, make in mixture], axis=0)
    return np.asarray(sound / (np.sqrt((sound**2).mean()) + 1e-9), np.float64)
