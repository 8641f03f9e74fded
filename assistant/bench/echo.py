"""Whether our own voice in the microphone does anything, and whether "stop" is heard over it; in made-up rooms.

Every caution, instruction and prompt of a procedure is spoken by our own voice and comes back from a made-up room: a
speaker that bends and has no bass, echoes, a delay, a clock a little off. The loop's own order of listening is kept:
stop and pause while we speak, everything legal in the step right after.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import click
import numpy as np
import scipy.signal
import soxr
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.bench.noises import fan
from assistant.bench.voices import HELD_OUT, TUNING, available, speak
from assistant.guide.words import caution_words, gate_words, instruction_words
from assistant.language.commands import CUTS_SPEECH
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, Heard
from assistant.language.speak import say_list
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.procedure.model import Procedure, Step
from assistant.record.wording import fitted
from assistant.wiring import load_library

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]

BLOCK = 320
TECHNICIAN_DBFS = -26.0
ECHO_DB = -6.0
"""Our voice in the microphone, relative to the technician's."""

NOISE_DB = -15.0
"""A fan, relative to the technician's voice."""

SILENCE_S = 1.4
"""After each thing said; the technician says nothing."""

OWN_GAIN = 0.64
"""The volume that a job begins with: 0.8, squared."""

ROOM_S = 60.0
"""So long we speak in one room; then the next, without a word to the program."""

STOPS_A_ROOM = 6
"""So often "stop" is said in one room."""

STOP_ONLY = Expected(controls=CUTS_SPEECH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """`reverberation_s`: time in which sound falls by 60 dB. `delay_s`: by which what we play leads its echo.
    `bends`: how hard the speaker is driven. `clock_ppm`: by which the microphone's clock is off the speaker's."""

    reverberation_s: float
    delay_s: float
    bends: float
    clock_ppm: float
    seed: int

    def echo(self, played: Pcm) -> Floats:
        """What comes back of it: (frames,), of any level."""
        random = np.random.default_rng(self.seed)
        sound = np.tanh(played / 32_768.0 * self.bends) / self.bends
        sound = scipy.signal.fftconvolve(sound, self._way(random))[: len(sound)]
        sound = np.concatenate([np.zeros(round(self.delay_s * SAMPLE_RATE_HZ)), sound])[: len(played)]
        moved = soxr.resample(sound, 1e6, 1e6 + self.clock_ppm) if self.clock_ppm else sound
        return np.asarray(np.pad(moved, (0, max(0, len(played) - len(moved))))[: len(played)], np.float64)

    def _way(self, random: np.random.Generator) -> Floats:
        frames = int(SAMPLE_RATE_HZ * self.reverberation_s)
        tail = random.standard_normal(frames) * 10 ** (-3 * np.arange(frames) / frames)
        tail[:30] = 0.0
        tail *= 10 ** (random.uniform(-9, -3) / 20) / math.sqrt(float((tail**2).sum()))
        tail[0] = 1.0
        edges = [random.uniform(150, 350), random.uniform(5_000, 7_500)]
        small = scipy.signal.butter(2, edges, "bandpass", fs=SAMPLE_RATE_HZ, output="sos")
        return np.asarray(scipy.signal.sosfilt(small, tail), np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """What we say in one breath, and what is listened for afterwards."""

    pcm: Pcm
    then: Expected


def any_room(random: np.random.Generator) -> Room:
    """Reverberation of 0.15 to 0.6 s, 5 to 80 ms of delay, up to 30 millionths off the clock."""
    return Room(
        reverberation_s=random.uniform(0.15, 0.6),
        delay_s=random.uniform(0.005, 0.08),
        bends=random.uniform(0.5, 2.0),
        clock_ppm=random.uniform(-30, 30),
        seed=int(random.integers(1 << 30)),
    )


def our_words(procedures: Sequence[Procedure], random: np.random.Generator) -> Iterator[Spoken]:
    """Without end: what a step of the procedures says, the phrases that it waits for among it."""
    synthesiser = Pyttsx3Synthesiser()
    steps = [(procedure, step) for procedure in procedures for step in procedure.steps]
    while True:
        procedure, step = steps[int(random.integers(len(steps)))]
        sentences = _sentences(procedure, step)
        sentences = sentences[int(random.integers(max(1, len(sentences) - 1))) :]
        rate = int(random.choice([145, 165, 185]))
        gap = np.zeros(SAMPLE_RATE_HZ // 4, np.int16)
        parts = [synthesiser.render(each, words_per_minute=rate, rate_hz=SAMPLE_RATE_HZ) for each in sentences]
        pcm = np.concatenate([part for each in parts for part in (each, gap)][:-1])
        yield Spoken(pcm=(pcm * OWN_GAIN).astype(np.int16), then=_expected(procedure, step))


def _sentences(procedure: Procedure, step: Step) -> list[str]:
    cautions = [each for each in procedure.cautions if each.id in step.cautions]
    gates = [each for each in procedure.gates if each.id in step.gates]
    said = [one.text for caution in cautions for one in caution_words(caution)]
    said += [one.text for gate in gates for one in gate_words(gate)]
    said += [one.text for one in instruction_words(step)]
    choices = [result.phrases[0] for result in step.results if result.phrases]
    said += [f"Say {say_list(choices, last='or')}."] if choices else []
    said += ["Or stop, pause, say again, go back, skip, where am i, how long, note, strike that, end job."]
    return said


def _expected(procedure: Procedure, step: Step) -> Expected:
    acknowledge = [phrase for each in procedure.cautions if each.id in step.cautions for phrase in each.acknowledge]
    acknowledge += [phrase for each in procedure.gates if each.id in step.gates for phrase in each.acknowledge]
    return Expected(
        controls=frozenset(Control),
        results={result.id: result.phrases for result in step.results},
        acknowledge=tuple(acknowledge),
        done=step.done,
        quantity=step.quantity,
        unit=step.unit,
    )


def measure_echo(
    *, procedure: str = "no-start", minutes: float = 10.0, stops: int = 60, echo_db: float = ECHO_DB, seed: int = 4
) -> dict[str, Any]:
    """JSON values: what our own voice set off in so many minutes with and without the canceller, and how many of so
    many "stop" over our voice were heard: with it, without it, and without any echo."""
    random = np.random.default_rng(seed)
    _, library = load_library(procedure)
    words = our_words(list(library.values()), random)
    own: list[Spoken] = []
    while sum(len(each.pcm) for each in own) < minutes * 60 * SAMPLE_RATE_HZ:
        own.append(next(words))
    recogniser = make_embedded()
    found: dict[str, Any] = {"echo_db": echo_db, "minutes": round(_seconds(own) / 60, 2)}
    for name, known in (("cancelled", True), ("as_heard", False)):
        found[name] = dict(own_voice(recogniser, own, echo_db=echo_db, known=known, seed=seed))
        recogniser.finish()
    found["stop"] = stops_heard(recogniser, own, count=stops, echo_db=echo_db, seed=seed)
    return found


def own_voice(
    recogniser: EmbeddedRecogniser, own: Sequence[Spoken], *, echo_db: float, known: bool, seed: int
) -> Counter[str]:
    """What our voice set off: `acted`, `asked` (heard, but unsure), `not_caught` (it would say so)."""
    random = np.random.default_rng(seed)
    found: Counter[str] = Counter(acted=0, asked=0, not_caught=0)
    room, left_s, at_s = any_room(random), ROOM_S, 0.0
    for each in own:
        if left_s <= 0:
            room, left_s = any_room(random), ROOM_S
        left_s -= len(each.pcm) / SAMPLE_RATE_HZ
        played = np.concatenate([each.pcm, np.zeros(round(SILENCE_S * SAMPLE_RATE_HZ), np.int16)])
        heard = in_microphone(room.echo(played), random, echo_db=echo_db)
        for said_s, answer in listened(recogniser, heard, played if known else None, each, at_s):
            speaking = said_s - at_s <= len(each.pcm) / SAMPLE_RATE_HZ
            if answer.words is not None:
                found["asked" if answer.unsure else "acted"] += 1
            elif not speaking:
                found["not_caught"] += 1
        at_s += len(played) / SAMPLE_RATE_HZ
    return found


def in_microphone(echo: Floats, random: np.random.Generator, *, echo_db: float, said: Floats | None = None) -> Pcm:
    """The echo at its level, a fan, and what the technician `said` (0 dB is TECHNICIAN_DBFS): int16, (frames,)."""
    loud = 10 ** (TECHNICIAN_DBFS / 20)
    noise = fan(len(echo), random)
    sound = noise * loud * 10 ** (NOISE_DB / 20) / math.sqrt(float((noise**2).mean()))
    sound += echo * loud * 10 ** (echo_db / 20) / max(speech_level(echo), 1e-9)
    if said is not None:
        sound += said * loud
    return np.clip(sound * 32_768, -32_768, 32_767).astype(np.int16)


def speech_level(sound: Floats) -> float:
    """Root mean square where it speaks: frames of 20 ms within 40 dB of the loudest."""
    power = (sound[: len(sound) // 320 * 320].reshape(-1, 320) ** 2).mean(axis=1)
    return math.sqrt(float(power[power >= power.max() * 1e-4].mean())) if power.any() else 0.0


def listened(
    recogniser: EmbeddedRecogniser, heard: Pcm, played: Pcm | None, own: Spoken, at_s: float
) -> Iterator[tuple[float, Heard]]:
    """The second in which each thing was heard, on the clock of the sound, and what was heard."""
    told = None
    for at in range(0, len(heard), BLOCK):
        speaking = at < len(own.pcm)
        now = STOP_ONLY if speaking else own.then
        if now is not told:
            recogniser.expect(Listening(grammar=grammar_of(now)))
            told = now
        block = slice(at, at + BLOCK)
        sent = None if played is None else played[block]
        answer = recogniser.accept(AudioBlock(pcm=heard[block], start_s=at_s + at / SAMPLE_RATE_HZ, played=sent))
        if answer is not None:
            yield at_s + (at + BLOCK) / SAMPLE_RATE_HZ, answer


def stops_heard(
    recogniser: EmbeddedRecogniser, own: Sequence[Spoken], *, count: int, echo_db: float, seed: int
) -> dict[str, Any]:
    """Shares of "stop" that were obeyed within 1.5 s of being said into the middle of what we say; and how long it took
    from the end of the word until it was recognised, computing included, in ms."""
    speakers = available(TUNING) + available(HELD_OUT)
    long = [each for each in own if len(each.pcm) > 6 * SAMPLE_RATE_HZ]
    shares: dict[str, Any] = {"count": count, "speakers": len(speakers)}
    for name, known, level_db in (
        ("cancelled", True, echo_db),
        ("as_heard", False, echo_db),
        ("no_echo", False, -99.0),
    ):
        random = np.random.default_rng(seed)
        took_ms, room = [], any_room(random)
        for number in range(count if long else 0):
            each = long[number % len(long)]
            room = room if number % STOPS_A_ROOM else any_room(random)
            speech = speak(speakers[number % len(speakers)], "stop").astype(np.float64)
            begins = int(random.uniform(2.0, 4.0) * SAMPLE_RATE_HZ)
            said = np.zeros(len(each.pcm))
            said[begins : begins + len(speech)] = speech / speech_level(speech)
            heard = in_microphone(room.echo(each.pcm), random, echo_db=level_db, said=said)
            ends_s = (begins + len(speech)) / SAMPLE_RATE_HZ
            recogniser.finish()
            answers = listened(recogniser, heard, each.pcm if known else None, each, 0.0)
            window_s = (begins / SAMPLE_RATE_HZ - 0.5, ends_s + 1.5)
            obeyed = [(at_s - ends_s) * 1000 + answer.took_ms for at_s, answer in answers if _is_stop(answer, window_s)]
            took_ms += obeyed[:1]
        shares[name] = {"obeyed": round(len(took_ms) / max(1, count), 3)}
        if took_ms:
            p50, p95 = np.percentile(took_ms, [50, 95])
            shares[name] |= {"ms_p50": round(p50), "ms_p95": round(p95)}
    return shares


def _is_stop(answer: Heard, window_s: tuple[float, float]) -> bool:
    return answer.words is not None and answer.words.startswith("stop") and window_s[0] < answer.ended_s < window_s[1]


def _seconds(own: Sequence[Spoken]) -> float:
    return sum(len(each.pcm) for each in own) / SAMPLE_RATE_HZ


@click.command(epilog="Example: hoodside bench echo --minutes 10 --json")
@click.option("--minutes", default=10.0, show_default=True, help="Minutes of our own voice.")
@click.option("--stops", default=60, show_default=True, help='How often "stop" is said over it.')
@click.option("--echo-db", default=ECHO_DB, show_default=True, help="Our voice, relative to the technician's.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose words are spoken.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(minutes: float, stops: int, echo_db: float, procedure: str, as_json: bool) -> None:
    """What our own voice in the microphone sets off, and how often "stop" is heard over it, in made-up rooms."""
    measured = measure_echo(procedure=procedure, minutes=minutes, stops=stops, echo_db=echo_db)
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, value in measured.items():
        click.echo(fitted(f"{name}: {value}"))
