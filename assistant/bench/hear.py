"""How well the recogniser hears: right, wrong, asked and refused, by noise level, noise and voice; strangers' talk."""

from __future__ import annotations

import json
import math
import resource
import time
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.sets import Ask, Utterance, announcements, asks_of, utterances
from assistant.bench.voices import HELD_OUT, TUNING, available
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.wiring import load_library

Pcm = NDArray[np.int16]
BLOCK = 512
KINDS = ("right", "asked-right", "wrong", "asked-wrong", "refused")


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What became of one utterance: right, asked-right, wrong, asked-wrong or refused."""

    said: Utterance
    kind: str
    heard: str | None
    took_ms: float


def measure_hear(
    *, procedure: str = "no-start", count: int = 240, snrs_db: Sequence[float] = (15, 9, 6, 3), seed: int = 1,
    tell: Callable[[str], None] = lambda words: None,
) -> dict[str, Any]:  # fmt: skip
    """JSON values: a row for each noise level and group of voices, confusions, false accepts, speed and memory."""
    started = time.perf_counter()
    recogniser = make_embedded()
    ready_s = time.perf_counter() - started
    _, library = load_library(procedure)
    asks = asks_of(list(library.values()))
    talk = announcements()
    rows, answers = [], []
    for group, speakers in (("tuning", available(TUNING)), ("held-out", available(HELD_OUT))):
        for snr_db in snrs_db:
            made = utterances(asks, speakers, snr_db=snr_db, count=count, seed=seed, talk=talk[1::2])
            got = [answer_to(recogniser, each) for each in made]
            answers += got
            rows.append({"voices": group, "speakers": len(speakers), "snr_db": snr_db} | rates(got))
            tell(f"{group} {snr_db:g} dB: {rows[-1]['right']:.1%} right of {count}")
    return {
        "rows": rows,
        "by_noise": _by(answers, lambda answer: answer.said.noise),
        "by_speaker": _by(answers, lambda answer: answer.said.speaker),
        "confusions": _confusions(answers),
        "strangers": strangers(recogniser, asks, talk),
        "took_ms_median": round(float(np.median([answer.took_ms for answer in answers])), 1),
        "rtf": round(_rtf(answers), 4),
        "ready_s": round(ready_s, 2),
        "silence_cpu": round(silence_cpu(recogniser), 4),
        "peak_memory_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024),
    }


def answer_to(recogniser: EmbeddedRecogniser, said: Utterance) -> Answer:
    """The utterance heard among what is legal where it was said."""
    recogniser.expect(Listening(grammar=said.ask.grammar, hazardous=said.ask.hazardous))
    heard = recogniser.hear_take(said.pcm)
    if heard.words is None:
        kind = "refused"
    else:
        kind = ("asked-" if heard.unsure else "") + ("right" if heard.words == said.words else "wrong")
    return Answer(said=said, kind=kind, heard=heard.words, took_ms=heard.took_ms)


def rates(answers: Sequence[Answer]) -> dict[str, Any]:
    """Shares of each kind; `right` with its 95 % interval (Wilson's)."""
    kinds = Counter(answer.kind for answer in answers)
    total = len(answers)
    low, high = wilson(kinds["right"], total)
    shares = {kind: round(kinds[kind] / total, 4) for kind in KINDS}
    return {"count": total, **shares, "right_low": round(low, 4), "right_high": round(high, 4)}


def wilson(hits: int, total: int, z: float = 1.96) -> tuple[float, float]:
    """95 % interval of a share. Source: Wilson 1927, score interval (from memory)."""
    if total == 0:
        return 0.0, 1.0
    share = hits / total
    middle = share + z * z / (2 * total)
    reach = z * math.sqrt(share * (1 - share) / total + z * z / (4 * total * total))
    return (middle - reach) / (1 + z * z / total), (middle + reach) / (1 + z * z / total)


def strangers(recogniser: EmbeddedRecogniser, asks: Sequence[Ask], talk: Iterable[Pcm]) -> dict[str, Any]:
    """False accepts while a stranger talks, streamed through the live path with the busiest step's grammar."""
    pieces = list(talk)[1::2]  # the others helped to choose the thresholds
    if not pieces:
        return {"skipped": "asterisk-core-sounds-en-g722 or the G722 wheel is not installed"}
    busiest = max(asks, key=lambda ask: len(ask.phrases))
    gap = np.zeros(SAMPLE_RATE_HZ, np.int16)
    sound = np.concatenate([part for piece in pieces for part in (piece, gap)])
    found: dict[str, Any] = {"hours": round(len(sound) / SAMPLE_RATE_HZ / 3600, 3), "speakers": 1, "step": busiest.step}
    for name, hazardous in (("accepted", False), ("accepted_hazardous", True)):
        recogniser.expect(Listening(grammar=busiest.grammar, hazardous=hazardous))
        heard = [
            recogniser.accept(AudioBlock(pcm=sound[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
            for at in range(0, len(sound), BLOCK)
        ]
        taken = [each.words for each in heard if each is not None and each.words is not None and not each.unsure]
        found |= {name: len(taken), f"{name}_words": taken}
    found["per_hour"] = round(found["accepted"] / found["hours"], 2)
    found["per_hour_upper_95"] = round(poisson_upper(found["accepted"]) / found["hours"], 2)
    return found


def poisson_upper(count: int) -> float:
    """95 % upper bound of a Poisson mean. Source: exact chi-square bound (Garwood 1936, from memory)."""
    return float(chi2.ppf(0.95, 2 * (count + 1)) / 2)


def silence_cpu(recogniser: EmbeddedRecogniser, seconds: int = 20) -> float:
    """Share of a core while it hears a quiet room."""
    random = np.random.default_rng(3)
    room = (random.standard_normal(seconds * SAMPLE_RATE_HZ) * 20).astype(np.int16)
    began = time.process_time()
    for at in range(0, len(room), BLOCK):
        recogniser.accept(AudioBlock(pcm=room[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
    return (time.process_time() - began) / seconds


def _by(answers: Sequence[Answer], key: Callable[[Answer], str]) -> dict[str, Any]:
    groups: dict[str, list[Answer]] = {}
    for answer in answers:
        groups.setdefault(key(answer), []).append(answer)
    return {name: rates(group) for name, group in sorted(groups.items())}


def _confusions(answers: Sequence[Answer]) -> list[dict[str, Any]]:
    pairs = Counter((each.said.words, each.heard) for each in answers if each.kind in ("wrong", "asked-wrong"))
    return [{"said": said, "heard": heard, "count": count} for (said, heard), count in pairs.most_common(20)]


def _rtf(answers: Sequence[Answer]) -> float:
    sound_s = sum(len(answer.said.pcm) for answer in answers) / SAMPLE_RATE_HZ
    return sum(answer.took_ms for answer in answers) / 1000 / sound_s


@click.command(epilog="Example: hoodside bench hear --count 400 --json")
@click.option("--count", default=240, show_default=True, help="Utterances for each noise level and group of voices.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose steps and phrases.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(count: int, procedure: str, as_json: bool) -> None:
    """Accuracy by noise level, noise and voice; confusions; false accepts on a stranger's talk; speed and memory."""
    measured = measure_hear(procedure=procedure, count=count, tell=lambda words: click.echo(words, err=True))
    if as_json:
        click.echo(json.dumps(measured))
        return
    for row in measured["rows"]:
        shares = "  ".join(f"{kind} {row[kind]:.1%}" for kind in KINDS)
        click.echo(f"{row['voices']:9} {row['snr_db']:4g} dB  {shares}")
    for name in ("strangers", "took_ms_median", "rtf", "ready_s", "silence_cpu", "peak_memory_mb"):
        click.echo(f"{name}: {measured[name]}")
