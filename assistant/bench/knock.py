"""Two knocks on the microphone, made up: how often they are told, and how often something else is.

A thump is a dull, dying swing with the click of a fingernail on it, driven beyond what the microphone can tell. No real
microphone was knocked on for it, so these are figures about our own rules and sounds.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

import click
import numpy as np
from numpy.typing import NDArray

from assistant.bench.noises import NOISES
from assistant.bench.voices import HELD_OUT, available, speak
from assistant.hearing.knock import KnockEar
from assistant.ports import SAMPLE_RATE_HZ

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]
Blow = Callable[[np.random.Generator], Floats]

BLOCK = 320
FIRST_S, LASTS_S = 1.5, 4.0
APART_S = (0.15, 0.5)
NOISES_DBFS = (-41.0, -35.0, -29.0)
LOUD_DBFS = -12.0
"""Of noise and talk that hold no knock: so loud that their peaks are beyond what the microphone can tell."""


def thump(random: np.random.Generator) -> Floats:
    """A finger on the housing of a microphone."""
    seconds = np.arange(round(0.12 * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    swing = np.sin(2 * np.pi * random.uniform(60, 220) * seconds + random.uniform(0.3, 1.2))
    sound = swing * np.exp(-seconds / random.uniform(0.008, 0.02))
    sound += 0.25 * random.standard_normal(seconds.size) * np.exp(-seconds / 0.002)
    return np.asarray(sound * random.uniform(0.8, 2.0) / np.abs(sound).max())


def hammer(random: np.random.Generator) -> Floats:
    """A blow on steel beside the microphone: as loud, and it rings."""
    seconds = np.arange(round(0.3 * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    ring = np.sin(2 * np.pi * random.uniform(700, 3000) * seconds) * np.exp(-seconds / random.uniform(0.02, 0.08))
    sound = ring + 0.6 * random.standard_normal(seconds.size) * np.exp(-seconds / 0.01)
    return np.asarray(sound * 1.3 / np.abs(sound).max())


def scene(blows_s: Sequence[float], blow: Blow, noise: str, dbfs: float, random: np.random.Generator) -> Pcm:
    """Blows at these seconds over noise of that mean level."""
    frames = round(LASTS_S * SAMPLE_RATE_HZ)
    sound = NOISES[noise](frames, random)
    sound = sound / np.sqrt((sound**2).mean()) * 10 ** (dbfs / 20)
    for at_s in blows_s:
        at = round(at_s * SAMPLE_RATE_HZ)
        made = blow(random)[: frames - at]
        sound[at : at + made.size] += made
    return np.asarray(np.clip(sound, -1, 1) * 32_767, np.int16)


def told_s(pcm: Pcm) -> list[float]:
    """When, in seconds of the sound, the ear told of two knocks."""
    ear = KnockEar()
    blocks = [pcm[at : at + BLOCK] for at in range(0, pcm.size, BLOCK)]
    return [(number + 1) * BLOCK / SAMPLE_RATE_HZ for number, block in enumerate(blocks) if ear.feed(block)]


def measure(count: int, minutes: float, seed: int) -> dict[str, dict[str, object]]:
    """Two knocks told once, by noise and its level, with the median delay; what else was told; false ones in noise and
    talk too loud for the microphone."""
    random = np.random.default_rng(seed)
    told: dict[str, object] = {}
    for dbfs in NOISES_DBFS:
        for noise in NOISES:
            late = list[float]()
            for _ in range(count):
                second_s = FIRST_S + random.uniform(*APART_S)
                found = told_s(scene((FIRST_S, second_s), thump, noise, dbfs, random))
                late += [found[0] - second_s] if len(found) == 1 and found[0] > second_s else []
            after_s = round(float(np.median(late)), 2) if late else None
            told[f"{noise} at {dbfs:.0f} dBFS"] = {"told": len(late), "of": count, "after_s": after_s}
    others = {"one knock": (1, thump), "three knocks": (3, thump), "two blows of a hammer": (2, hammer)}
    wrong: dict[str, object] = {}
    for name, (blows, blow) in others.items():
        made = ([FIRST_S + each * apart_s for each in range(blows)] for apart_s in random.uniform(*APART_S, count))
        wrong[name] = sum(bool(told_s(scene(blows_s, blow, "fan", NOISES_DBFS[0], random))) for blows_s in made)
    false: dict[str, object] = {noise: len(told_s(_loud(NOISES[noise](_frames(minutes), random)))) for noise in NOISES}
    false["talk"] = len(told_s(_loud(_talk(minutes, random))))
    return {"told": told, "wrong": wrong, "false": false, "made": {"of": count, "minutes_each": minutes}}


def _frames(minutes: float) -> int:
    return round(minutes * 60 * SAMPLE_RATE_HZ)


def _loud(sound: Floats) -> Pcm:
    loud = sound / np.sqrt((sound**2).mean()) * 10 ** (LOUD_DBFS / 20)
    return np.asarray(np.clip(loud, -1, 1) * 32_767, np.int16)


def _talk(minutes: float, random: np.random.Generator) -> Floats:
    said = [speak(voice, "put the big pan back by the pump, but pop the bonnet first") for voice in available(HELD_OUT)]
    pieces, frames = list[Floats](), 0
    while frames < _frames(minutes):
        piece = np.concatenate([said[int(random.integers(len(said)))].astype(np.float64), np.zeros(4_000)])
        pieces.append(piece)
        frames += piece.size
    return np.concatenate(pieces)[: _frames(minutes)]


@click.command(epilog="Example: hoodside bench knock --count 40 --minutes 5")
@click.option("--count", default=40, show_default=True, help="Pairs of knocks in each noise, and of each other blow.")
@click.option("--minutes", default=5.0, show_default=True, help="Of each noise, and of talk, without a knock.")
@click.option("--seed", default=5, show_default=True)
@click.option("--json", "as_json", is_flag=True, help="One JSON value in place of words.")
def command(*, count: int, minutes: float, seed: int, as_json: bool) -> None:
    """Measure the ear for two knocks on the microphone, on made-up knocks."""
    found = measure(count, minutes, seed)
    if as_json:
        click.echo(json.dumps(found))
        return
    for title, rows in found.items():
        for name, row in rows.items():
            click.echo(f"{title}: {name}: {row}")
