"""What the phone layers learn from: made-up speech in shop noise, as the network's encoder gives it on."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import find_network, read_token_texts
from assistant.adapters.recogniser_embedded.network import Network
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.bench.noises import NOISES, babble, mixed
from assistant.bench.talk import announcements
from assistant.bench.voices import TUNING, available, spoken_by_flite, trimmed
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
NUMBER_WORDS = (
    *DIGITS, *TEENS, *TENS, "hundred", "point", "minus",
    "volts", "amps", "ohms", "millivolts", "percent", "bar", "p", "s", "i", "degrees",
)  # fmt: skip


def heard_phrases(
    network: Network, procedures: list[Procedure], *, count: int, seed: int
) -> Iterator[tuple[Floats, Reading]]:
    """`count` times: what the encoder made of a phrase in noise, (steps, 288), and the phones that were said.

    Half are common words in no order, so that any grammar gains; a third are phrases of the procedures; the rest are
    numbers. Voices for tuning only, at 30 to 3 dB.
    """
    choice, noise = Random(seed), np.random.default_rng(seed)
    texts = read_token_texts(find_network().tokenizer)
    pieces = {text.strip().lower() for text in texts if text and text.startswith(" ")}
    words = sorted(word for word in pieces if word.isalpha() and len(word) > 1 and sounds_of(word))
    phrases = sorted(phrase for phrase in _phrases(procedures) if all(map(sounds_of, phrase.split())))
    numbers = [word for word in NUMBER_WORDS if sounds_of(word)]
    talk = announcements()[::2]
    for _ in range(count):
        said = _text(choice, words, phrases, numbers)
        speech = _spoken(choice, said)
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
    flites = [speaker.voice for speaker in available(TUNING) if speaker.engine == "flite"]
    if flites and choice.random() < 0.5:
        sound, rate_hz = spoken_by_flite(choice.choice(flites), words, stretch=choice.uniform(0.8, 1.25))
        resampled = soxr.resample(sound.astype(np.float32), rate_hz, SAMPLE_RATE_HZ)
        return trimmed(np.clip(resampled, -32768, 32767).astype(np.int16))
    espeaks = [speaker.voice for speaker in TUNING if speaker.engine == "espeak"]
    synthesiser = Pyttsx3Synthesiser(voice=f"gmw/{choice.choice(espeaks)}{choice.choice(VARIANTS)}")
    return trimmed(
        synthesiser.render(words, words_per_minute=choice.randint(130, 200), rate_hz=SAMPLE_RATE_HZ)
    )  # fmt: skip


def _noise(frames: int, random: np.random.Generator, talk: list[NDArray[np.int16]]) -> NDArray[np.float64]:
    """One of the bench's noises, or of the rehearsal's, or the rehearsal's shop whole."""
    seconds = frames / SAMPLE_RATE_HZ + 0.6
    shop = (shop_noise.hum, shop_noise.impact_wrench, shop_noise.talk)
    kind = int(random.integers(8))
    if kind < 4:
        name = list(NOISES)[kind]
        sound = babble(frames, random, talk) if name == "babble" else NOISES[name](frames, random)
    elif kind < 7:
        sound = shop[kind - 4](seconds, random)[:frames]
    else:
        mixture = zip((1.0, 0.5, 0.5), shop, strict=True)
        sound = np.sum([share * make(seconds, random)[:frames] for share, make in mixture], axis=0)
    return np.asarray(sound / (np.sqrt((sound**2).mean()) + 1e-9), np.float64)
