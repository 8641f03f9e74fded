"""How many "stop", "pause" and "hold on" said over our own voice are obeyed: in rooms and over headsets, in shop noise.

All goes the live way: block by block through the canceller, the gate, the end of speech and the whole recogniser, which
listens for nothing but stop and pause, as it does while we speak.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.echo_rooms import any_room, speech_level
from assistant.bench.noises import NOISES, babble
from assistant.bench.voices import Speaker, speak, trimmed
from assistant.hearing.echo import HOP, EchoCanceller
from assistant.language.commands import COMMAND_PHRASES, CUTS_SPEECH
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.speech_detector import speech_detector

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]

WORDS = ("stop", "pause", "hold on")
SNRS_DB = {"quiet": 40.0, "15 dB": 15.0, "9 dB": 9.0}

SHOP = ("fan", "impact", "bustle")
TALK = "babble"
"""Colleagues who talk all the time are counted apart: there the end of speech, not the canceller, decides."""

BEFORE_S = 1.0
"""Noise alone before we begin to speak, as the microphone of a job hears it."""

WITHIN_S = 1.5
"""So long after its end a word counts as obeyed; `cut_ms` says how soon."""

STOPS_A_ROOM = 6
"""So often something is said in one room."""

LEVELS_DBFS = (-26.0, -38.0)
"""Levels of the word in turn: a close microphone and a soft one. What we play keeps its level."""

BLOCK = 512
_PEOPLE_BELOW_PEAK_DB = 30.0  # recorded people breathe and hum around the word
_LISTENING = Listening(grammar=grammar_of(Expected(controls=CUTS_SPEECH)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A word that somebody says; `pcm` trimmed to where it sounds."""

    words: str
    who: str
    pcm: Pcm


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """`heard` and `played`: int16, (frames,), 16 000 Hz. `begins`, `ends`: samples of the word."""

    heard: Pcm
    played: Pcm
    said: Said
    noise: str
    begins: int
    ends: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """`echo_db`: of our voice, relative to the word; None over a headset. `snr_db`: mean power of the word over that of
    the noise, 0 to 8 kHz. `talk`: what colleagues say."""

    echo_db: float | None
    snr_db: float
    noises: Sequence[str] = SHOP
    talk: Sequence[Pcm] = ()


def said_by(speakers: Sequence[Speaker], people: Path | None, *, learnt: bool, most: int) -> list[Said]:
    """The words by each of the speakers, and "stop" by at most so many of the people: of the files sorted by name, even
    places may be tuned on (`learnt`), odd ones are reported on."""
    made = [Said(words=words, who=each.name, pcm=speak(each, words)) for words in WORDS for each in speakers]
    paths = sorted((people / "commands" / "stop").glob("*.flac"))[0 if learnt else 1 :: 2] if people else []
    chosen = [paths[round(at)] for at in np.linspace(0, len(paths) - 1, min(most, len(paths)))]
    recorded = [Said(words="stop", who=f"people:{path.stem}", pcm=_recorded(path)) for path in chosen]
    return [*made, *recorded]


def _recorded(path: Path) -> Pcm:
    sound, _ = soundfile.read(path, dtype="int16")
    return trimmed(np.asarray(sound, np.int16), _PEOPLE_BELOW_PEAK_DB)


def scenes(case: Case, own: Sequence[Pcm], said: Sequence[Said], *, count: int, seed: int) -> Iterator[Scene]:
    """`count` words in turn over what we say, each 2 to 4 s after we began. The same seed gives the same words, rooms
    and places in every case."""
    long = [each for each in own if len(each) > 6 * SAMPLE_RATE_HZ]
    rooms, random = np.random.default_rng(seed), np.random.default_rng(seed + 1)
    order = random.permutation(len(said))
    room = any_room(rooms)
    before = np.zeros(round(BEFORE_S * SAMPLE_RATE_HZ) // BLOCK * BLOCK, np.int16)
    for number in range(count if long else 0):
        room = room if number % STOPS_A_ROOM else any_room(rooms)
        one = said[order[number % len(said)]]
        begins = len(before) + round(random.uniform(2.0, 4.0) * SAMPLE_RATE_HZ)
        ends = begins + len(one.pcm)
        spoken = long[number % len(long)][: ends - len(before) + round((WITHIN_S + 0.1) * SAMPLE_RATE_HZ)]
        played = np.concatenate([before, spoken])
        kind = case.noises[number % len(case.noises)]
        loud = 10 ** (LEVELS_DBFS[number // len(case.noises) % len(LEVELS_DBFS)] / 20)
        sound = _noise(case, kind, len(played), int(random.integers(1 << 30)))
        if case.echo_db is not None:
            echo = room.echo(played)
            sound += echo * 10 ** (case.echo_db / 20) / max(speech_level(echo), 1e-9)
        ends = min(ends, len(sound))
        speech = one.pcm / np.sqrt((one.pcm.astype(np.float64) ** 2).mean())
        sound[begins:ends] += speech[: ends - begins]
        heard = np.clip(sound * loud * 32_768, -32_768, 32_767).astype(np.int16)
        yield Scene(heard=heard, played=played, said=one, noise=kind, begins=begins, ends=ends)


def _noise(case: Case, kind: str, frames: int, seed: int) -> Floats:
    random = np.random.default_rng(seed)
    sound = babble(frames, random, list(case.talk)) if kind == TALK else NOISES[kind](frames, random)
    return np.asarray(sound * 10 ** (-case.snr_db / 20) / np.sqrt((sound**2).mean()), np.float64)


def measure(recogniser: EmbeddedRecogniser, all_scenes: Sequence[Scene], *, known: bool = True) -> dict[str, Any]:
    """JSON values: shares obeyed and heard but unsure, `cut_ms` from the word's end, computing included, and what was
    obeyed before anybody said it. `known`: whether the canceller is told what we play."""
    recogniser.expect(_LISTENING)
    obeyed, asked, took_ms, early, cut = 0, 0, [], 0, 0
    by_noise: dict[str, list[bool]] = {}
    for scene in all_scenes:
        recogniser.finish()
        begins_s, ends_s = scene.begins / SAMPLE_RATE_HZ, scene.ends / SAMPLE_RATE_HZ
        answers = [(at_s, answer) for at_s, answer in _answers(recogniser, scene, known) if answer.words]
        in_time = [(at_s, answer) for at_s, answer in answers if begins_s < at_s < ends_s + WITHIN_S]
        early += sum(not answer.unsure for at_s, answer in answers if at_s <= begins_s)
        meant = [(at_s, answer) for at_s, answer in in_time if _means(answer, scene.said.words)]
        sure = [(at_s - ends_s) * 1000 + answer.took_ms for at_s, answer in meant if not answer.unsure]
        obeyed += bool(sure)
        cut += any(not answer.unsure for _, answer in in_time)
        asked += not sure and bool(meant)
        took_ms += sure[:1]
        by_noise.setdefault(scene.noise, []).append(bool(sure))
    count = max(1, len(all_scenes))
    found: dict[str, Any] = {"count": len(all_scenes), "obeyed": round(obeyed / count, 3)}
    found |= {"cut_off": round(cut / count, 3), "asked": round(asked / count, 3), "obeyed_early": early}
    if took_ms:
        p50, p95 = np.percentile(took_ms, [50, 95])
        found |= {"cut_ms_p50": round(p50), "cut_ms_p95": round(p95)}
    return found | {"by_noise": {name: round(float(np.mean(values)), 3) for name, values in by_noise.items()}}


def _answers(recogniser: EmbeddedRecogniser, scene: Scene, known: bool) -> Iterator[tuple[float, Heard]]:
    for at in range(0, len(scene.heard), BLOCK):
        block = slice(at, at + BLOCK)
        sent = scene.played[block] if known else None
        answer = recogniser.accept(AudioBlock(pcm=scene.heard[block], start_s=at / SAMPLE_RATE_HZ, played=sent))
        if answer is not None:
            yield (at + BLOCK) / SAMPLE_RATE_HZ, answer


def _means(answer: Heard, words: str) -> bool:
    control = Control.STOP if words in COMMAND_PHRASES[Control.STOP] else Control.PAUSE
    return answer.words in COMMAND_PHRASES[control]


def weakened(all_scenes: Sequence[Scene]) -> dict[str, float]:
    """What the canceller does, without the recogniser.

    `erle_db`: how much quieter our voice gets between its first second and the word, noise and all. `word_db`: how far
    the word gets louder. `speech_before`, `speech_after`: the probability of speech that the detector reaches in it,
    for two frames: median and least tenth.
    """
    canceller, detector = EchoCanceller(), speech_detector()
    quieter, louder, before, after = [], [], [], []
    for scene in all_scenes:
        blocks = [slice(at, at + BLOCK) for at in range(0, len(scene.heard), BLOCK)]
        out = np.concatenate([canceller.clean(scene.heard[block], scene.played[block]) for block in blocks])
        alone = slice(int(np.flatnonzero(scene.played)[0]) + SAMPLE_RATE_HZ, scene.begins)
        word = slice(scene.begins, scene.ends)
        quieter.append(_decibels(scene.heard[alone]) - _decibels(out[HOP:][alone]))
        louder.append(_decibels(out[HOP:][word]) - _decibels(scene.heard[word]))
        before.append(_speech(detector, scene.heard, scene))
        after.append(_speech(detector, out[HOP:], scene))
    found = {"erle_db": float(np.mean(quieter)), "word_db": float(np.mean(louder))}
    for name, values in (("before", before), ("after", after)):
        found |= {f"speech_{name}": float(np.median(values)), f"speech_{name}_p10": float(np.percentile(values, 10))}
    return {name: round(value, 2) for name, value in found.items()}


def _speech(detector: Any, pcm: Pcm, scene: Scene) -> float:
    detector.reset()
    word = scene.begins // BLOCK
    frames = range(max(0, word - 30), min(scene.ends, len(pcm) - BLOCK) // BLOCK + 1)
    chances = [detector(pcm[at * BLOCK : (at + 1) * BLOCK].tobytes()) for at in frames if (at + 1) * BLOCK <= len(pcm)]
    return max(map(min, pairwise(chances[word - frames.start :])), default=0.0)


def _decibels(pcm: Pcm) -> float:
    return float(10 * np.log10((pcm.astype(np.float64) ** 2).mean() + 0.1))


def stops_heard(
    own: Sequence[Pcm], said: Sequence[Said], *, count: int, echo_db: float, talk: Sequence[Pcm] = (), seed: int
) -> dict[str, Any]:
    """A row for each case: {loud-speaker, headset} x SNRS_DB in shop noise, and the headset among talk at 15 dB."""
    cases = {
        f"{place}, {level}": Case(echo_db=echo, snr_db=snr_db)
        for place, echo in (("loud-speaker", echo_db), ("headset", None))
        for level, snr_db in SNRS_DB.items()
    }
    if talk:
        cases["headset, 15 dB, talk around"] = Case(echo_db=None, snr_db=15.0, noises=(TALK,), talk=talk)
    rows = {}
    for name, case in cases.items():
        made = list(scenes(case, own, said, count=count, seed=seed))
        rows[name] = measure(make_embedded(), made) | weakened(made)
    return rows
