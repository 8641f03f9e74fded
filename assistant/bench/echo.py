"""Whether our own voice in the microphone does anything, and whether "stop" is heard over it; in made-up rooms.

Every caution, instruction and prompt of a procedure is spoken by our own voice and comes back from a made-up room
(`echo_rooms`). The loop's own order of listening is kept: stop and pause while we speak, everything legal in the step
right after. What is said over it is in `echo_stop`.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.adapters.synthesiser_hibari import HibariSynthesiser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.bench.echo_answer import answers_heard
from assistant.bench.echo_rooms import any_room, speech_level
from assistant.bench.echo_stop import said_by, stops_heard
from assistant.bench.noises import fan
from assistant.bench.talk import announcements
from assistant.bench.voices import HELD_OUT, TUNING, available
from assistant.english.lists import say_list
from assistant.guide.words import caution_words, gate_words, instruction_words
from assistant.language.breaths import breaths
from assistant.language.commands import CUTS_SPEECH, names_of_commands
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.procedure.model import Procedure, Step
from assistant.record.wording import fitted
from assistant.wiring import load_library
from assistant.wiring.voices import NATURAL, PLAIN, VOICES

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

LEAST_MINUTES = 3.0
"""So much of our voice is made at least, so that the words over it do not always meet the same sentence."""

ROOM_S = 60.0
"""So long we speak in one room; then the next, without a word to the program."""

OURS = {NATURAL: "hibari", PLAIN: ""}
"""The engine that nobody else speaks by; eSpeak NG has many voices."""

ANSWER_SNRS_DB = (15.0, 9.0)
"""Shop noise below an answer that is said over a prompt."""

STOP_ONLY = Expected(controls=CUTS_SPEECH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """What we say in one breath, and what is listened for afterwards."""

    pcm: Pcm
    then: Expected


def our_words(procedures: Sequence[Procedure], random: np.random.Generator, voice: str) -> Iterator[Spoken]:
    """Without end: what a step says, the phrases that it waits for among it. `voice`: natural or plain."""
    synthesiser = Pyttsx3Synthesiser() if voice == PLAIN else HibariSynthesiser()
    steps = [(procedure, step) for procedure in procedures for step in procedure.steps]
    while True:
        procedure, step = steps[int(random.integers(len(steps)))]
        sentences = _sentences(procedure, step)
        sentences = sentences[int(random.integers(max(1, len(sentences) - 1))) :]
        rate = int(random.choice([145, 165, 185]))
        gap = np.zeros(SAMPLE_RATE_HZ // 4, np.int16)
        parts = [
            synthesiser.render(breath, words_per_minute=rate, rate_hz=SAMPLE_RATE_HZ)
            for each in sentences
            for breath in breaths(each)
        ]
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
    said += [f"Or {names_of_commands()}"]
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
    *, procedure: str = "no-start", minutes: float = 10.0, stops: int = 60, echo_db: float = ECHO_DB,
    voice: str = NATURAL, people: Path | None = None, learnt: bool = False, seed: int = 4, answers: int = 0,
) -> dict[str, Any]:  # fmt: skip
    """JSON values: what our own voice set off in so many minutes with and without the canceller, and how many of so
    many words said over our voice were obeyed, case by case."""
    random = np.random.default_rng(seed)
    _, library = load_library(procedure)
    words = our_words(list(library.values()), random, voice)
    own: list[Spoken] = []
    least = LEAST_MINUTES if stops else 0.0
    while sum(len(each.pcm) for each in own) < max(minutes, least) * 60 * SAMPLE_RATE_HZ:
        own.append(next(words))
    found: dict[str, Any] = {"echo_db": echo_db, "our_voice": voice, "minutes": minutes}
    if minutes:
        recogniser = make_embedded()
        found["minutes"] = round(_seconds(own) / 60, 2)
        for name, known in (("cancelled", True), ("as_heard", False)):
            found[name] = dict(own_voice(recogniser, own, echo_db=echo_db, known=known, seed=seed))
            recogniser.finish()
    if answers:
        speakers = tuple(each for each in available(TUNING if learnt else HELD_OUT) if each.engine != OURS[NATURAL])
        found["answers"] = {
            f"{snr_db:g} dB": answers_heard(
                list(library.values()), speakers, count=answers, echo_db=echo_db, snr_db=snr_db, seed=seed
            )
            for snr_db in ANSWER_SNRS_DB
        }
    if stops:
        # Nobody speaks with the very voice that we do: to hear the same voice over itself is another question.
        speakers = tuple(each for each in available(TUNING if learnt else HELD_OUT) if each.engine != OURS[voice])
        said = said_by(speakers, people, learnt=learnt, most=stops)
        pcms = [each.pcm for each in own]
        found["stop"] = stops_heard(pcms, said, count=stops, echo_db=echo_db, talk=announcements()[::2], seed=seed)
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


def in_microphone(echo: Floats, random: np.random.Generator, *, echo_db: float) -> Pcm:
    """The echo at its level and a fan (0 dB is TECHNICIAN_DBFS): int16, (frames,)."""
    loud = 10 ** (TECHNICIAN_DBFS / 20)
    noise = fan(len(echo), random)
    sound = noise * loud * 10 ** (NOISE_DB / 20) / math.sqrt(float((noise**2).mean()))
    sound += echo * loud * 10 ** (echo_db / 20) / max(speech_level(echo), 1e-9)
    return np.clip(sound * 32_768, -32_768, 32_767).astype(np.int16)


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


def _seconds(own: Sequence[Spoken]) -> float:
    return sum(len(each.pcm) for each in own) / SAMPLE_RATE_HZ


@click.command(epilog="Example: hoodside bench echo --minutes 10 --json")
@click.option("--minutes", default=10.0, show_default=True, help="Minutes of our own voice; 0 leaves that part out.")
@click.option("--stops", default=60, show_default=True, help="Words said over it in each case; 0 leaves that part out.")
@click.option("--answers", default=0, show_default=True, help="Answers said over a prompt, as --cut-in hears them.")
@click.option("--echo-db", default=ECHO_DB, show_default=True, help="Our voice, relative to the technician's.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose words are spoken.")
@click.option("--voice", type=click.Choice(VOICES), default=NATURAL, show_default=True, help="Our voice.")
@click.option(
    "--people",
    type=click.Path(path_type=Path, exists=True),
    help='Recordings, DIR/commands/stop/*.flac: odd ones say "stop".',
)
@click.option("--tuning", "learnt", is_flag=True, help="By the voices, and the even recordings, that may be tuned on.")
@click.option("--seed", default=4, show_default=True, help="Of rooms, noises and words.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(*, as_json: bool, **settings: Any) -> None:
    """What our own voice in the microphone sets off, and how often "stop" is heard over it, in made-up rooms."""
    measured = measure_echo(**settings)
    if as_json:
        click.echo(json.dumps(measured))
        return
    cases = measured.pop("stop", {})
    for name, value in (measured | cases).items():
        click.echo(fitted(f"{name}: {value}"))
