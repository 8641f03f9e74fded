"""What the phone layers learn from: made-up and recorded speech in shop noise, as the network's encoder gives it on.

What is said, by whom and in what noise follows from the seed of each chunk alone, so that any number of processes
makes the same.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from random import Random

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import find_network, read_token_texts
from assistant.adapters.recogniser_embedded.network import Encoder
from assistant.bench.noises import NOISES, babble, mixed
from assistant.bench.recorded import WORDS, Part, read_sound, single_words
from assistant.bench.voices import LEARNT, Speaker, at_our_rate, available, speak, spoken_by_flite, trimmed
from assistant.cranking import shop_noise
from assistant.hearing.digits import DIGITS, TEENS, TENS
from assistant.hearing.phones import numbered
from assistant.hearing.sound import cleaned
from assistant.language.commands import command_phrases
from assistant.ports import SAMPLE_RATE_HZ
from assistant.procedure.model import Procedure
from assistant.procedure.sound import sounds_of
from assistant.training.phone_throats import NARROW, by_another_throat, by_telephone
from assistant.training.phone_training import Example

Pcm = NDArray[np.int16]
Said = tuple[Pcm, str]

SNRS_DB = (40.0, 30.0, 20.0, 15.0, 12.0, 9.0, 6.0, 3.0)
VARIANTS = (
    "", "", "+m1", "+m2", "+m3", "+m4", "+m5", "+m6", "+m7", "+m8", "+f1", "+f2", "+f3", "+f4", "+f5", "+Annie",
    "+Andy", "+Gene", "+Hugo", "+Jacky", "+Lee", "+Mario", "+Michael", "+Mike", "+adam", "+belinda", "+benjamin",
    "+boris", "+caleb", "+david", "+ed", "+edward", "+grandma", "+grandpa", "+john", "+klatt", "+klatt2", "+klatt3",
    "+linda", "+max", "+paul", "+quincy", "+rob", "+steph", "+steph2", "+travis", "+victor", "+zac",
)  # fmt: skip
"""Throats that eSpeak NG gives each of its voices."""

RECORDED_WORDS, RECORDED_SENTENCES = 0.3, 0.06
"""Shares of recorded people, where a folder of them is given."""

LOUD_DB = 30.0
"""What is further below the loudest moment of a recording is cut off at its ends."""

GAPS_S = (0.03, 0.45)
"""Silence between words said one by one."""

SHOP_KINDS = ("hum", "wrench", "syllables")
NOISE_KINDS = (*NOISES, "babble", "babble", "impact", *SHOP_KINDS, "wrench", "whole")
"""Talk and blows hide the most, and are met more often."""

LEAD, TAIL = (1600, 6400), (1600, 8000)
"""Samples of noise alone before and after what is said."""

TEN = tuple(DIGITS)[:10]
NUMBER_WORDS = (
    *TEN, "oh", *TEENS, *TENS, "hundred", "point", "minus",
    "volts", "amps", "ohms", "millivolts", "percent", "bar", "p", "s", "i", "degrees",
)  # fmt: skip
SHORT_WORDS = (
    "yes", "no", "stop", "done", "ready", "pause", "skip", "note", "repeat", "resume", "continue", "louder", "softer",
    "nope", "yep", "yeah", "okay", "go", "on", "off", "up", "down", "left", "right", "know", "so", "low", "top", "shop",
    "step", "yet", "guess", "us", "own", "now", "not", "none", "both", "gone", "dark", "clear", "cloudy", "good", "bad",
)  # fmt: skip
"""Words said alone, and some that sound like them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """What is learnt from. `phrases`: of procedures and commands. `talk`: what strangers say behind. `varied`: share of
    speech that goes through `by_another_throat`. `people`: a folder as `bench.recorded` has it; `sentences`: one with
    `sentences.tsv`, a line "name<tab>words", and `name.*` sounds. `shares`: of recorded words, and of recorded
    sentences, where there are any."""

    phrases: tuple[str, ...]
    talk: tuple[str, ...]
    varied: float
    people: Path | None = None
    sentences: Path | None = None
    seed: int = 1
    shares: tuple[float, float] = (RECORDED_WORDS, RECORDED_SENTENCES)


CHUNK = 100
"""Utterances that one process makes at a time."""
TALKERS = 30
"""Sentences of strangers."""


def recipe_of(
    procedures: Sequence[Procedure], *, varied: float, people: Path | None = None, sentences: Path | None = None,
    seed: int = 1,
) -> Recipe:  # fmt: skip
    """With what the procedures say and hear; words whose sound is unknown are left out."""
    phrases = sorted(words for words in phrases_of(procedures) if all(map(sounds_of, words.split())))
    said = sorted({step.say for procedure in procedures for step in procedure.steps if step.say})
    talk = Random(seed).sample(said, min(TALKERS, len(said)))
    return Recipe(
        phrases=tuple(phrases), talk=tuple(talk), varied=varied, people=people, sentences=sentences, seed=seed
    )


def heard_phrases(recipe: Recipe, *, count: int, processes: int = 1) -> Iterator[Example]:
    """`count` times: what the encoder made of speech in noise, (steps, 288), and the phones that were said."""
    chunks = [(recipe, number, min(CHUNK, count - number * CHUNK)) for number in range(-(-count // CHUNK))]
    if processes == 1:
        for chunk in chunks:
            yield from _chunk(chunk)
        return
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        for examples in pool.imap(_chunk, chunks):
            yield from examples


def _chunk(asked: tuple[Recipe, int, int]) -> list[Example]:
    recipe, number, count = asked
    maker = _maker(recipe)
    choice, noise = Random(f"{recipe.seed} {number}"), np.random.default_rng([recipe.seed, number])
    return [maker.example(choice, noise) for _ in range(count)]


@lru_cache(maxsize=1)
def _maker(recipe: Recipe) -> _Maker:
    return _Maker(recipe)


class _Maker:
    """Says things. One for each process: it holds the recordings and the encoder."""

    def __init__(self, recipe: Recipe) -> None:
        files = find_network()
        self._encode = Encoder(files.encoder)
        self._varied = recipe.varied
        self._shares = recipe.shares
        pieces = {text.strip().lower() for text in read_token_texts(files.tokenizer) if text and text.startswith(" ")}
        self._words = sorted(word for word in pieces if word.isalpha() and len(word) > 1 and sounds_of(word))
        self._phrases = recipe.phrases
        self._numbers = [word for word in NUMBER_WORDS if sounds_of(word)]
        self._people = _recorded_words(recipe.people) if recipe.people else {}
        self._sentences = _recorded_sentences(recipe.sentences) if recipe.sentences else []
        self._talk = [pcm for pcm, _ in self._sentences[::10]] + made_up_talk(recipe)

    def example(self, choice: Random, noise: np.random.Generator) -> Example:
        """One utterance in noise, and its phones."""
        speech, said = self._utterance(choice, noise)
        pcm = in_a_shop(speech, self._varied, self._talk, choice, noise)
        phones = [phone for word in said.split() for phone in sounds_of(word)[0]]
        return self._encode(cleaned(pcm))[0].astype(np.float16), numbered(phones)

    def _utterance(self, choice: Random, noise: np.random.Generator) -> Said:
        kind = choice.random()
        if self._people and kind < self._shares[0]:
            return _one_by_one([self._recorded(choice) for _ in range(choice.choice((1, 1, 1, 1, 2, 3)))], noise)
        if self._sentences and 1 - kind < self._shares[1]:
            return choice.choice(self._sentences)
        return self._made_up(choice, noise)

    def _recorded(self, choice: Random) -> Said:
        word = choice.choice(sorted(self._people))
        return choice.choice(self._people[word]), word

    def _made_up(self, choice: Random, noise: np.random.Generator) -> Said:
        kind = choice.random()
        if kind < 0.12:
            said = [choice.choice(TEN) for _ in range(choice.randint(1, 5))]
            speaker = anyone(choice)
            return _one_by_one([(spoken(choice, speaker, word), word) for word in said], noise)
        if kind < 0.24:
            words = choice.choice(SHORT_WORDS)
        elif kind < 0.4:
            words = " ".join(choice.choice(self._numbers) for _ in range(choice.randint(1, 5)))
        elif kind < 0.65:
            words = choice.choice(self._phrases)
        else:
            words = " ".join(choice.choice(self._words) for _ in range(choice.randint(1, 5)))
        return spoken(choice, anyone(choice), words), words


def in_a_shop(speech: Pcm, varied: float, talk: Sequence[Pcm], choice: Random, noise: np.random.Generator) -> Pcm:
    """The speech in noise, that share of it by another throat, some by telephone. `talk`: of strangers."""
    speech = by_anyone(speech, varied, choice, noise)
    lead, tail = int(noise.uniform(*LEAD)), int(noise.uniform(*TAIL))
    around = any_noise(lead + len(speech) + tail, noise, talk)
    return mixed(speech, around, float(noise.choice(SNRS_DB)), lead=lead, tail=tail)


def by_anyone(speech: Pcm, varied: float, choice: Random, noise: np.random.Generator) -> Pcm:
    """That share of the speech by another throat, some by telephone."""
    if choice.random() < varied:
        speech = by_another_throat(speech, noise)
    return by_telephone(speech) if choice.random() < NARROW else speech


def made_up_talk(recipe: Recipe) -> list[Pcm]:
    """Strangers for the background, by voices that are learnt from."""
    choice = Random(recipe.seed)
    return [spoken(choice, anyone(choice), words) for words in recipe.talk]


def _recorded_words(people: Path) -> dict[str, list[Pcm]]:
    takes = {word: single_words(people, word, Part.PHONES) for word in WORDS}
    return {word: [trimmed(take.pcm, LOUD_DB) for take in each] for word, each in takes.items() if each}


def _recorded_sentences(folder: Path) -> list[Said]:
    found = []
    for line in (folder / "sentences.tsv").read_text(encoding="utf-8").splitlines():
        name, _, words = line.partition("\t")
        if all(map(sounds_of, words.split())):
            found.append((trimmed(read_sound(next(folder.glob(f"{name}.*"))), LOUD_DB), words))
    return found


def phrases_of(procedures: Sequence[Procedure]) -> set[str]:
    """All plain phrases that may be said, commands too."""
    found = set(command_phrases())
    for procedure in procedures:
        found.update(words for caution in procedure.cautions for words in caution.acknowledge)
        found.update(words for gate in procedure.gates for words in gate.acknowledge)
        for step in procedure.steps:
            found.update(step.done)
            found.update(phrase for result in step.results for phrase in result.phrases)
    return found


def anyone(choice: Random) -> Speaker:
    """One of the engines at hand, one of its voices, at some pace."""
    speakers = available(LEARNT)
    engine = choice.choice(sorted({speaker.engine for speaker in speakers}))
    voice = choice.choice([speaker.voice for speaker in speakers if speaker.engine == engine])
    if engine == "espeak":
        voice += choice.choice(VARIANTS)
    return Speaker(engine, voice, choice.randint(130, 200))


def spoken(choice: Random, speaker: Speaker, words: str) -> Pcm:
    """The words by that speaker, at some pace."""
    if speaker.engine != "flite":
        return speak(speaker, words)
    sound, rate_hz = spoken_by_flite(speaker.voice, words, stretch=165 / speaker.rate * choice.uniform(0.97, 1.03))
    return at_our_rate(sound, rate_hz)


def _one_by_one(said: Sequence[Said], noise: np.random.Generator) -> Said:
    """Words with gaps between them, at one level."""
    parts: list[NDArray[np.float64]] = []
    for pcm, _ in said:
        voice = pcm.astype(np.float64)
        parts.append(voice * (3_000 / (np.sqrt((voice**2).mean()) + 1.0)))
        parts.append(np.zeros(int(noise.uniform(*GAPS_S) * SAMPLE_RATE_HZ)))
    sound = np.concatenate(parts[:-1])
    return np.asarray(np.clip(sound, -32_000, 32_000), np.int16), " ".join(words for _, words in said)


def any_noise(frames: int, random: np.random.Generator, talk: Sequence[Pcm]) -> NDArray[np.float64]:
    """One of the bench's noises, or of the rehearsal's, or the rehearsal's shop whole. `talk`: what babble is of."""
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
