"""How well the ear for the starter hears: bursts, speed, caught or not, false bursts, and what it costs."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
import numpy as np

from assistant.adapters.layers_starter import starter_layers
from assistant.adapters.voice_silero import voice_detector
from assistant.bench import crank_noise
from assistant.bench.crank_live import measure_live
from assistant.bench.crank_noise import Pcm
from assistant.bench.crank_third_live import measure_mixed, measure_odd, measure_third, measure_uneven
from assistant.bench.crank_tools import measure_tools
from assistant.bench.crank_variant import make_variant
from assistant.bench.crank_words import measure_words
from assistant.cranking.ear import listen
from assistant.cranking.live import CrankEar
from assistant.cranking.model import Burst, Kind
from assistant.cranking.scenes import Scene, make_scene
from assistant.cranking.shop_noise import NOISES
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.record.wording import fitted
from assistant.session.starter import StarterEar

EDGE_S = 0.3
CLOSE, WIDE, GROSS = 0.02, 0.05, 0.2
"""Shares by which a speed may be off: at 6 dB and above, below that; more than `GROSS` is the half, double or worse."""
PLAIN_DB = 6.0
BLOCK = 320
HELD_OUT_NOISES = ("fan", "impact", "bustle")

Make = Callable[[np.random.Generator], Scene]


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """One scene. `heard`: whether a burst was. `off`: share by which its speed is off, None where none was told.
    `light`: told as an engine without compression, which none of them is. `extra`: other bursts."""

    noise: str
    snr_db: float
    heard: bool
    light: bool
    edges: bool
    off: float | None
    caught: bool
    unsure: bool
    extra: int


def score(scene: Scene, bursts: Sequence[Burst]) -> Score:
    """The burst that overlaps the true one most, against the truth."""
    best = max(bursts, key=lambda one: _overlap(one, scene), default=None)
    if best is None or _overlap(best, scene) <= 0:
        return Score(
            noise=scene.noise,
            snr_db=scene.snr_db,
            heard=False,
            light=False,
            edges=False,
            off=None,
            caught=False,
            unsure=False,
            extra=len(bursts),
        )
    return Score(
        noise=scene.noise,
        snr_db=scene.snr_db,
        heard=True,
        light=best.kind is Kind.LIGHT,
        edges=abs(best.start_s - scene.start_s) <= EDGE_S and abs(best.end_s - scene.end_s) <= EDGE_S,
        off=None if best.pulse_hz is None else abs(best.pulse_hz / scene.pulse_hz - 1),
        caught=best.caught is scene.caught,
        unsure=best.caught is None,
        extra=len(bursts) - 1,
    )


def _overlap(burst: Burst, scene: Scene) -> float:
    return min(burst.end_s, scene.end_s) - max(burst.start_s, scene.start_s)


def measure_scenes(make: Make, count: int, seed: int, *, cylinders: bool) -> dict[str, Any]:
    """Shares over `count` scenes; one that is not heard counts against every share. `cylinders`: whether it is told."""
    layers, scores = starter_layers(), []
    for number in range(count):
        scene = make(np.random.default_rng([seed, number]))
        scores.append(score(scene, listen(scene.pcm, layers, scene.cylinders if cylinders else None).bursts))
    by_noise = {name: [one for one in scores if one.noise == name] for name in sorted({one.noise for one in scores})}
    return shares(scores) | {"by_noise": {name: shares(some) for name, some in by_noise.items()}}


def shares(scores: Sequence[Score]) -> dict[str, Any]:
    """The shares that are asked for, of scenes that were scored."""
    plain = [one for one in scores if one.snr_db >= PLAIN_DB]
    noisy = [one for one in scores if one.snr_db < PLAIN_DB]
    return {
        "scenes": len(scores),
        "heard": _share(one.heard for one in scores),
        "told_without_compression": _share(one.light for one in scores),
        "edges_within_0.3_s": _share(one.edges for one in scores),
        "speed_within_2_percent_from_6_db": _share(one.off is not None and one.off <= CLOSE for one in plain),
        "speed_within_5_percent_below_6_db": _share(one.off is not None and one.off <= WIDE for one in noisy),
        "half_or_double": _share(one.off is not None and one.off > GROSS for one in scores),
        "caught_right": _share(one.caught for one in scores),
        "caught_unsure": _share(one.unsure for one in scores),
        "extra_bursts": sum(one.extra for one in scores),
    }


def _share(hits: Iterable[bool]) -> float | None:
    counted = list(hits)
    return round(float(sum(counted) / len(counted)), 4) if counted else None


def measure_noise(hours: float, seed: int, tell: Callable[[str], None], sounds: Path | None = None) -> dict[str, Any]:
    """False bursts an hour by kind. `hours`: of all made-up kinds together; recordings are taken whole.

    `sounds`: a folder of folders of recordings without a starter.
    """
    each = hours / (len(NOISES) + len(HELD_OUT_NOISES))
    kinds: dict[str, Iterator[Pcm]] = {f"made {name}": crank_noise.made_up(name, each, seed) for name in NOISES}
    kinds |= {f"held-out {name}": crank_noise.of_hearing_bench(name, each, seed) for name in HELD_OUT_NOISES}
    kinds |= {"recorded music": crank_noise.recorded_music(), "recorded talk": crank_noise.recorded_talk()}
    kinds |= dict(crank_noise.recordings(sounds)) if sounds is not None else {}
    layers = starter_layers()
    found: dict[str, Any] = {}
    total_s, total = 0.0, 0
    for name, pieces in kinds.items():
        tell(f"listening to {name}")
        seconds, bursts = 0.0, 0
        for pcm in pieces:
            seconds += len(pcm) / SAMPLE_RATE_HZ
            bursts += len(listen(pcm, layers).bursts)
        if not seconds:
            found[name] = {"skipped": "the Debian package, or the G722 wheel, is not installed"}
            continue
        found[name] = {
            "minutes": round(seconds / 60, 1),
            "bursts": bursts,
            "per_hour": round(bursts * 3600 / seconds, 2),
        }
        total_s, total = total_s + seconds, total + bursts
    return {
        "hours": round(total_s / 3600, 3),
        "bursts": total,
        "per_hour": round(total * 3600 / total_s, 2),
        "by": found,
    }


def measure_cost(seed: int) -> dict[str, Any]:
    """Processor time: of an hour in one go, from ten minutes of scenes and noise; of a core, live, in 20 ms blocks.

    The yardstick is what a machine needs to take one spectrum of 512 samples of each such block.
    """
    parts = [make_scene(np.random.default_rng([seed, number])).pcm for number in range(12)]
    parts += list(crank_noise.made_up("talk", 0.05, seed)) + list(crank_noise.made_up("impact-wrench", 0.05, seed))
    sound = np.concatenate(parts)
    seconds = len(sound) / SAMPLE_RATE_HZ
    layers = starter_layers()
    began = time.process_time()
    listen(sound, layers)
    whole = time.process_time() - began
    ear = CrankEar(layers, 4)
    live = _share_of_a_core(ear.feed, sound)
    asked = StarterEar(lambda: 4, layers, voice=voice_detector())
    heard = _share_of_a_core(lambda pcm: asked.accept(AudioBlock(pcm=pcm, start_s=0.0)), sound)
    yardstick = _share_of_a_core(lambda pcm: np.fft.rfft(pcm, 512), sound)
    return {
        "minutes": round(seconds / 60, 1),
        "hour_takes_s": round(whole / seconds * 3600, 1),
        "live_share_of_a_core": round(live, 4),
        "live_yardstick_ratio": round(live / yardstick, 1),
        "live_asked_with_voice_watch_share": round(heard, 4),
        "live_asked_yardstick_ratio": round(heard / yardstick, 1),
    }


def _share_of_a_core(take: Callable[[Pcm], object], sound: Pcm) -> float:
    """Processor time that each second of sound costs, block by block."""
    began = time.process_time()
    for at in range(0, len(sound), BLOCK):
        take(sound[at : at + BLOCK])
    return (time.process_time() - began) / len(sound) * SAMPLE_RATE_HZ


def _third(third: int, odd: int, uneven: int, mixed: float, seed: int) -> dict[str, Any]:
    """What the third maker is there for, each part where its count is more than none."""
    layers, found = starter_layers(), dict[str, Any]()
    if third:
        click.echo(f"listening live to {third} scenes of the third maker at each noise level", err=True)
        found["third"] = measure_third(third, seed, layers)
    if odd:
        click.echo(f"listening live to {odd} starters of each odd kind at each noise level", err=True)
        found["odd"] = measure_odd(odd, seed, layers)
    if uneven:
        click.echo(f"listening live to {uneven} engines with a weak cylinder and as many without", err=True)
        found["uneven"] = measure_uneven(uneven, seed, layers)
    if mixed:
        click.echo(f"listening live to {mixed:g} hours of mixed sounds, twice", err=True)
        found["mixed"] = measure_mixed(mixed, seed, layers)
    return found


@click.command(epilog="Example: hoodside bench crank --scenes 300 --json")
@click.option("--scenes", default=300, show_default=True, help="Of the maker that the ear was built with.")
@click.option("--held-out", default=100, show_default=True, help="Scenes of a maker with other formulas and noises.")
@click.option(
    "--hours", default=1.0, show_default=True, help="Made-up noise without a starter; recordings come on top."
)
@click.option(
    "--people", type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="Recordings: DIR/commands/WORD/*.flac. Whether words of people are taken for a starter.",
)  # fmt: skip
@click.option(
    "--sounds", type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="Recordings without a starter to hear besides: DIR/KIND/*; `.ci/sounds DIR` fetches some.",
)  # fmt: skip
@click.option("--words", default=0, show_default=True, help="Words of each group at each noise level, heard live.")
@click.option("--live", default=60, show_default=True, help="Held-out scenes heard as they happen, for the delays.")
@click.option("--third", default=0, show_default=True, help="Scenes of a third maker at each noise level, heard live.")
@click.option(
    "--odd", default=0, show_default=True, help="Starters of each kind that turn no engine, at each level, live."
)
@click.option("--uneven", default=0, show_default=True, help="Engines with a weak cylinder, and as many without, live.")
@click.option(
    "--tools", default=0, show_default=True, help="Scenes of each maker, a tool beginning at the end; as many amid."
)
@click.option("--mixed", default=0.0, show_default=True, help="Hours of mixed sounds that are no starter, heard live.")
@click.option("--seed", default=5, show_default=True, help="Another seed makes other scenes.")
@click.option("--cylinders/--no-cylinders", default=True, show_default=True, help="Tell the ear how many there are.")
@click.option("--cost/--no-cost", default=True, show_default=True, help="What listening costs.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(
    *,
    scenes: int,
    held_out: int,
    hours: float,
    people: Path | None,
    sounds: Path | None,
    words: int,
    live: int,
    third: int,
    odd: int,
    uneven: int,
    tools: int,
    mixed: float,
    seed: int,
    cylinders: bool,
    cost: bool,
    as_json: bool,
) -> None:
    """Bursts, speed, caught or not in made-up scenes; false bursts an hour of noise; cost. All scenes are synthetic."""
    measured: dict[str, Any] = {}
    for name, make, count in (("scenes", make_scene, scenes), ("held_out", make_variant, held_out)):
        if count:
            click.echo(f"listening to {count} {name.replace('_', '-')}", err=True)
            measured[name] = measure_scenes(make, count, seed, cylinders=cylinders)
    if hours or sounds is not None:
        measured["noise"] = measure_noise(hours, seed, lambda text: click.echo(text, err=True), sounds)
    if live:
        click.echo(f"listening live to {live} held-out scenes", err=True)
        measured["live"] = measure_live(make_variant, live, seed, starter_layers())
    measured |= _third(third, odd, uneven, mixed, seed)
    if tools:
        click.echo(f"listening live to {tools} scenes of each maker, a tool beginning at the end, and amid", err=True)
        measured |= measure_tools(tools, seed, starter_layers())
    if words:
        click.echo(f"listening live to {words} words of each group at each noise level", err=True)
        measured["words"] = measure_words(people, words, seed)
    if cost:
        measured["cost"] = measure_cost(seed)
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, part in measured.items():
        for key, value in part.items():
            click.echo(fitted(f"{name} {key}: {value}"))
