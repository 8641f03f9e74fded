"""The ear for stop by itself: how many of people's words it misses against how often it is wrong, at each threshold.

The words go into a stream of noise, of colleagues' talk, or of our own voice as the canceller leaves it; the same
streams without a word, an hour of talk and our own voice count what it tells wrongly.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from time import process_time
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import (
    STOP_LAYERS,
    find_network,
    read_stop_layers,
    write_stop_layers,
)
from assistant.adapters.recogniser_embedded.network import Network
from assistant.adapters.recogniser_embedded.stop import StopListener
from assistant.bench.checkout import training
from assistant.bench.echo_rooms import any_room, speech_level
from assistant.bench.noises import NOISES, babble
from assistant.bench.recorded import Part, single_words
from assistant.bench.strangers import printed, sentences
from assistant.bench.stream import core_of
from assistant.bench.voices import HELD_OUT, Speaker, available, speak, trimmed
from assistant.errors import UsageError
from assistant.hearing.echo import HOP, EchoCanceller
from assistant.hearing.gate import FRAME
from assistant.hearing.stop_ear import StopLayers
from assistant.ports import SAMPLE_RATE_HZ
from assistant.procedure.model import Procedure
from assistant.wiring import load_library

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]

SNRS_DB = {"quiet": 40.0, "15 dB": 15.0, "9 dB": 9.0, "6 dB": 6.0}
SHOP = ("fan", "impact", "bustle")
THRESHOLDS = (0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.95)
OUR_NATURAL, OUR_PLAIN = Speaker("hibari", "own"), Speaker("espeak", "en-us")
SPEECH_DBFS = -26.0
ECHO_DB = -6.0
LEAD_S, TAIL_S = 3.0, 1.2
WITHIN_S = 1.0
"""So long after its end a word counts as heard."""

TRAIN_STREAMS, TRAIN_ROUNDS = 450, 20
BLOCK = 320
OURS = re.compile(r"\b(stop\w*|paus\w*|hold (on|it)|whoa)\b", re.IGNORECASE)
LONGEST_TALK = 120
"""Characters."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the ear told: in which second of the stream, how sure, and whether it would be obeyed."""

    at_s: float
    words: str
    sure: float
    acts: bool


def told_in(listener: StopListener, pcm: Pcm) -> Iterator[Told]:
    """Everything that it proposes in a stream, however little it trusts it."""
    for number, frame in enumerate(pcm[: len(pcm) // FRAME * FRAME].reshape(-1, FRAME)):
        found = listener.frame(frame)
        if found is not None:
            at_s = (number + 1) * FRAME / SAMPLE_RATE_HZ
            yield Told(at_s=at_s, words=found.words, sure=found.sure, acts=found.acts)


def in_stream(word: Pcm, under: Floats, snr_db: float) -> tuple[Pcm, float, float]:
    """The word in that noise of root mean square one, and when it begins and ends."""
    begin = round(LEAD_S * SAMPLE_RATE_HZ)
    voice = word.astype(np.float64) / (np.sqrt((word.astype(np.float64) ** 2).mean()) + 1e-9)
    whole = under * 10 ** (-snr_db / 20)
    whole[begin : begin + len(voice)] += voice
    first, last = core_of(word, 25.0)
    sound = np.clip(whole * 10 ** (SPEECH_DBFS / 20) * 32_768, -32_768, 32_767).astype(np.int16)
    return sound, (begin + first) / SAMPLE_RATE_HZ, (begin + last) / SAMPLE_RATE_HZ


def words_heard(
    listener: StopListener, words: Sequence[Pcm], kinds: Sequence[str], *, snr_db: float, talk: Sequence[Pcm],
    own: Sequence[Pcm] = (), seed: int,
) -> dict[str, Any]:  # fmt: skip
    """Of each threshold the share of words told, the share obeyed, and the median and 95th percentile of the seconds
    after their end. `own`: what we say meanwhile, over a loud-speaker; none for silence."""
    random = np.random.default_rng(seed)
    surest, after_s, obeyed = list[float](), list[float](), 0
    for number, word in enumerate(words):
        frames = round((LEAD_S + TAIL_S) * SAMPLE_RATE_HZ) + len(word)
        kind = kinds[number % len(kinds)]
        under = babble(frames, random, list(talk)) if kind == "babble" else NOISES[kind](frames, random)
        pcm, begins_s, ends_s = in_stream(word, under / np.sqrt((under**2).mean()), snr_db)
        if own:
            pcm = over_our_voice(pcm, own[number % len(own)], random)
        listener.forget()
        told = [one for one in told_in(listener, pcm) if begins_s + 0.1 < one.at_s < ends_s + WITHIN_S]
        obeyed += any(one.acts for one in told)
        surest.append(max((one.sure for one in told), default=0.0))
        after_s += [one.at_s - ends_s for one in told if one.acts][:1]
    shares = {f"{least:g}": round(float(np.mean(np.array(surest) >= least)), 3) for least in THRESHOLDS}
    late = [round(float(each), 3) for each in np.percentile(after_s, (50, 95))] if after_s else []
    return {"count": len(words), "obeyed": round(obeyed / max(1, len(words)), 3), "heard": shares, "after_s": late}


def over_our_voice(pcm: Pcm, said: Pcm, random: np.random.Generator) -> Pcm:
    """The same while we speak over a loud-speaker in some room, as the canceller leaves it."""
    played = np.zeros(len(pcm), np.int16)
    begin = SAMPLE_RATE_HZ // 2
    piece = np.tile(said, 1 + len(pcm) // max(1, len(said)))[: len(pcm) - begin]
    played[begin:] = piece * 0.64
    echo = any_room(random).echo(played)
    loud = 10 ** ((SPEECH_DBFS + ECHO_DB) / 20) * 32_768 / max(speech_level(echo), 1e-9)
    return cleaned_of(np.clip(pcm + echo * loud, -32_768, 32_767).astype(np.int16), played)


def cleaned_of(heard: Pcm, played: Pcm) -> Pcm:
    """What the canceller leaves, as long as what was heard."""
    canceller = EchoCanceller()
    blocks = [slice(at, at + BLOCK) for at in range(0, len(heard), BLOCK)]
    out = np.concatenate([canceller.clean(heard[block], played[block]) for block in blocks])[HOP:]
    return np.pad(out, (0, max(0, len(heard) - len(out))))[: len(heard)]


def false_alarms(listener: StopListener, pcms: Iterator[Pcm]) -> dict[str, Any]:
    """How often an hour it tells a word in sound that holds none, at each threshold; looks an hour, and computing."""
    told: list[Told] = []
    seconds, began = 0.0, process_time()
    for pcm in pcms:
        listener.forget()
        found = list(told_in(listener, pcm))
        told += [replace(one, at_s=one.at_s + seconds) for one in found]
        seconds += len(pcm) / SAMPLE_RATE_HZ
    hours = seconds / 3600
    per_hour = {
        f"{least:g}": round(apart([one for one in told if one.sure >= least]) / hours, 1) for least in THRESHOLDS
    }
    acted = apart([one for one in told if one.acts])
    return {
        "hours": round(hours, 3), "per_hour": per_hour, "acted": acted, "looks_a_second": round(len(told) / seconds, 2),
        "cpu_s_a_second": round((process_time() - began) / seconds, 4),
    }  # fmt: skip


def apart(told: Sequence[Told]) -> int:
    """How many there are, those within a second of each other counted once."""
    count, last_s = 0, -np.inf
    for one in told:
        count += one.at_s - last_s > 1.0
        last_s = one.at_s
    return count


def talk_of(texts: Sequence[str], speakers: Sequence[Speaker], minutes: float, seed: int) -> Iterator[Pcm]:
    """So many minutes of made-up talk, ten seconds or so at a time, at the level of the technician's own."""
    random = np.random.default_rng(seed)
    left = minutes * 60 * SAMPLE_RATE_HZ
    while left > 0:
        parts = [np.zeros(SAMPLE_RATE_HZ)]
        speaker = speakers[int(random.integers(len(speakers)))]
        for _ in range(4):
            said = speak(speaker, texts[int(random.integers(len(texts)))]).astype(np.float64)
            said *= 10 ** (SPEECH_DBFS / 20) * 32_768 / (np.sqrt((said**2).mean()) + 1.0)
            parts += [said, np.zeros(int(random.uniform(0.2, 1.2) * SAMPLE_RATE_HZ))]
        sound = np.concatenate(parts)
        sound += random.standard_normal(len(sound)) * 40
        left -= len(sound)
        yield np.clip(sound, -32_768, 32_767).astype(np.int16)


def noise_of(kind: str, minutes: float, talk: Sequence[Pcm], seed: int) -> Iterator[Pcm]:
    """So many minutes of noise as loud as speech."""
    random = np.random.default_rng(seed)
    for _ in range(max(1, round(minutes * 2))):
        frames = 30 * SAMPLE_RATE_HZ
        sound = babble(frames, random, list(talk)) if kind == "babble" else NOISES[kind](frames, random)
        sound = sound / np.sqrt((sound**2).mean()) * 10 ** (SPEECH_DBFS / 20) * 32_768
        yield np.clip(sound, -32_768, 32_767).astype(np.int16)


def own_of(own: Sequence[Pcm], minutes: float, seed: int) -> Iterator[Pcm]:
    """So many minutes of our own voice in rooms, over a fan, as the canceller leaves it."""
    random = np.random.default_rng(seed)
    for number in range(max(1, round(minutes * 2))):
        frames = 30 * SAMPLE_RATE_HZ
        fan = NOISES["fan"](frames, random)
        quiet = fan / np.sqrt((fan**2).mean()) * 10 ** ((SPEECH_DBFS - 15) / 20) * 32_768
        said = np.concatenate([own[(number * 5 + place) % len(own)] for place in range(5)])
        yield over_our_voice(quiet.astype(np.int16), said, random)


def plain_talk(library: Sequence[Procedure]) -> list[str]:
    """Sentences in which none of the words is said."""
    texts = [step.say for procedure in library for step in procedure.steps if step.say]
    every = [*sentences(texts), *sentences(printed())]
    return [text for text in every if not OURS.search(text) and len(text) < LONGEST_TALK]


def our_sentences(library: Sequence[Procedure]) -> list[str]:
    """What we say ourselves, none of the words in it."""
    said = [step.say for procedure in library for step in procedure.steps if step.say]
    return [text for text in said if not OURS.search(text)][:60]


def measure(layers: StopLayers, people: Path | None, library: Sequence[Procedure], *, count: int, minutes: float,
    seed: int, part: Part = Part.MEASURE) -> dict[str, Any]:  # fmt: skip
    """JSON values: words by people (or made up, where there are none) told, and what is told wrongly."""
    listener = StopListener(layers, Network(find_network(), threads=1))
    voices = available(HELD_OUT)
    texts = plain_talk(library)[::7]
    talk = [speak(voices[number % len(voices)], text) for number, text in enumerate(texts[:24])]
    own = [speak(OUR_PLAIN, text) for text in our_sentences(library)[:20]]
    if people is not None:
        takes = [trimmed(take.pcm, 30.0) for take in single_words(people, "stop", part)]
    else:
        takes = [speak(voice, "stop") for voice in voices]
    words = [takes[round(at)] for at in np.linspace(0, len(takes) - 1, min(count, len(takes)))]
    rows: dict[str, Any] = {}
    for name, snr_db in SNRS_DB.items():
        rows[f"shop, {name}"] = words_heard(listener, words, SHOP, snr_db=snr_db, talk=talk, seed=seed)
    for name in ("15 dB", "9 dB", "6 dB"):
        rows[f"talk, {name}"] = words_heard(listener, words, ("babble",), snr_db=SNRS_DB[name], talk=talk, seed=seed)
    for name in ("15 dB", "9 dB"):
        rows[f"our plain voice, {name}"] = words_heard(
            listener, words, SHOP, snr_db=SNRS_DB[name], talk=talk, own=own, seed=seed
        )
    natural = [speak(OUR_NATURAL, text) for text in our_sentences(library)[:12]]
    for name in ("15 dB", "9 dB"):
        rows[f"our natural voice, {name}"] = words_heard(
            listener, words, SHOP, snr_db=SNRS_DB[name], talk=talk, own=natural, seed=seed
        )
    made = {
        phrase: words_heard(
            listener, [speak(voice, phrase) for voice in voices] * 2, SHOP, snr_db=15.0, talk=talk, seed=seed
        )
        for phrase in ("stop", "pause", "hold on", "hold it", "whoa")
    }
    alarms = {"made-up talk": false_alarms(listener, talk_of(plain_talk(library), voices, minutes, seed))}
    alarms["our plain voice"] = false_alarms(listener, own_of(own, minutes / 4, seed))
    alarms["our natural voice"] = false_alarms(listener, own_of(natural, minutes / 2, seed))
    for kind in NOISES:
        alarms[kind] = false_alarms(listener, noise_of(kind, minutes / 4, talk, seed))
    return {"people": len(words) if people else 0, "words": rows, "made_up": made, "false_alarms": alarms}


@click.command(epilog="Example: hoodside bench stop --people DIR --count 60 --minutes 10 --json")
@click.option(
    "--people", type=click.Path(path_type=Path, exists=True),
    help="Recorded words, DIR/commands/WORD/*.flac; odd ones measure, three of four even ones are learnt from.",
)  # fmt: skip
@click.option("--count", default=60, show_default=True, help="Words by people in each case.")
@click.option("--minutes", default=10.0, show_default=True, help="Of made-up talk; a quarter of each other sound.")
@click.option("--seed", default=5, show_default=True, help="Of noises and talk, or of what is learnt from.")
@click.option("--train", "trains", is_flag=True, help="Learn the layers anew and write them to --out.")
@click.option("--streams", "streams_made", default=TRAIN_STREAMS, show_default=True, help="With --train: so many.")
@click.option("--rounds", default=TRAIN_ROUNDS, show_default=True, help="With --train: over all of them.")
@click.option("--out", type=click.Path(path_type=Path), help=f"With --train: the file to write, as {STOP_LAYERS.name}.")
@click.option("--layers", type=click.Path(path_type=Path, exists=True), help="To measure; the shipped ones by default.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(
    *, people: Path | None, count: int, minutes: float, seed: int, trains: bool, streams_made: int, rounds: int,
    out: Path | None, layers: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Measure the ear for stop, its misses against its false alarms; or train its layers."""
    _, found = load_library("no-start")
    library = list(found.values())
    if trains:
        if out is None:
            raise UsageError("--train needs --out, the file to write.")
        write_stop_layers(training("stop").train(people, library, count=streams_made, rounds=rounds, seed=seed), out)
        click.echo(f"Written: {out}")
        return
    shipped = read_stop_layers(layers or STOP_LAYERS)
    measured = measure(shipped, people, library, count=count, minutes=minutes, seed=seed)
    if as_json:
        click.echo(json.dumps(measured))
        return
    for title in ("words", "made_up"):
        for name, row in measured[title].items():
            click.echo(f"{name}, {row['count']}: obeyed {row['obeyed']}, after {row['after_s']} s; {row['heard']}")
    for name, row in measured["false_alarms"].items():
        looks = f"{row['looks_a_second']} looks and {row['cpu_s_a_second']} s of computing a second"
        click.echo(f"{name}, {row['hours']} h: obeyed {row['acted']}; an hour {row['per_hour']}; {looks}")
