"""The sounds that the ear was learnt and measured by, and what it makes numbers of, are still the same.

Weights are worth only what their numbers mean: a formula that changes by itself leaves every figure standing and none
true. Whoever changes one on purpose learns the weights anew, measures anew, and writes this list anew:
`python -m tests.cranking.test_learnt_from > tests/cranking/learnt_from.json`.
"""

from __future__ import annotations

import functools
import json
from collections.abc import Iterator
from dataclasses import astuple
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.cranking import likely
from assistant.cranking.course import changes
from assistant.cranking.description import described
from assistant.cranking.firing import find_beat
from assistant.cranking.layers import StarterLayers
from assistant.cranking.levels import LEVEL_RATE_HZ, levels_of
from assistant.cranking.rate import find_pulses, rhythm, swings
from assistant.cranking.scenes import draw_plan, make_scene
from assistant.cranking.shop_noise import NOISES, microphone, room
from assistant.cranking.synthetic import CrankPlan, clunk, crank, free_whine
from assistant.cranking.traits import STEP, traits_of
from assistant.cranking.trust import expected_in, prove

KEPT = Path(__file__).with_name("learnt_from.json")
PLANS = (
    CrankPlan(cylinders=4, rpm=200, burst_s=1.5),
    CrankPlan(cylinders=6, rpm=90, burst_s=2.0, weak=2),
    CrankPlan(cylinders=3, rpm=330, burst_s=1.0, firings=3),
    CrankPlan(cylinders=8, rpm=160, burst_s=1.0, run_s=1.2, idle_rpm=900),
    CrankPlan(cylinders=5, rpm=240, burst_s=0.8, run_s=1.5, dies=False),
)

Numbers = list[float]


def print_of(values: np.ndarray) -> Numbers:
    """A few numbers that any change of any value moves: count, mean, spread, ends, and a sum by place."""
    flat = np.asarray(values, np.float64).ravel()
    by_place = float(flat @ np.cos(0.37 * np.arange(len(flat))) / max(1, len(flat)) ** 0.5)
    return [len(flat), *(float(each) for each in (flat.mean(), flat.std(), flat.min(), flat.max())), by_place]


def noises() -> Iterator[tuple[str, Numbers]]:
    """The makers of shop noise."""
    for kind, make in NOISES.items():
        for seed in range(2):
            yield f"noise {kind} {seed}", print_of(make(2.5, np.random.default_rng(seed)))


def starts() -> Iterator[tuple[str, Numbers]]:
    """The maker of starters and engines."""
    for number, plan in enumerate(PLANS):
        for seed in range(2):
            sound = crank(plan, np.random.default_rng(seed))
            run_s = -1.0 if sound.run_s is None else sound.run_s
            yield f"crank {number} {seed}", [*print_of(sound.samples), sound.pulse_hz, sound.rpm, sound.caught, run_s]


def places() -> Iterator[tuple[str, Numbers]]:
    """Rooms and microphones."""
    click = np.zeros(16_000)
    click[2_000] = 1.0
    for seed in range(6):
        yield f"room {seed}", print_of(room(click, np.random.default_rng(seed)))
        heard = microphone(PLAIN, np.random.default_rng(seed), level=0.5 if seed % 2 else None)
        yield f"microphone {seed}", print_of(heard)


def parts() -> Iterator[tuple[str, Numbers]]:
    """What starters do besides, and what is drawn of them."""
    for seed in range(3):
        yield f"whine {seed}", print_of(free_whine(1.0, np.random.default_rng(seed)))
        yield f"clunk {seed}", print_of(clunk(np.random.default_rng(seed)))
    for seed in range(40):
        plan = draw_plan(np.random.default_rng(seed))
        yield f"plan {seed}", [-1.0 if each is None else float(each) for each in astuple(plan)]


def scenes() -> Iterator[tuple[str, Numbers]]:
    """All of it together."""
    for seed in (3, 7, 11, 20):
        scene = make_scene(np.random.default_rng(seed))
        yield (
            f"scene {seed}",
            [*print_of(scene.pcm), scene.start_s, scene.end_s, scene.pulse_hz, scene.rpm, scene.snr_db],
        )


def limits() -> Iterator[tuple[str, Numbers]]:
    """The limits that were set by what these sounds showed."""
    for name, value in vars(likely).items():
        if name.isupper() and isinstance(value, int | float):
            yield f"limit {name}", [float(value)]


PLAIN = np.random.default_rng(5).normal(size=24_000) * np.linspace(0.1, 2.0, 24_000)


def heard(layers: StarterLayers, seed: int) -> Iterator[tuple[str, Numbers]]:
    """What the ear makes numbers of: levels, traits, odds, descriptions, pulses, beats, proofs."""
    scene = make_scene(np.random.default_rng(seed), snr_db=12.0, plan=PLANS[seed % 4])
    levels = levels_of(scene.pcm)
    traits = traits_of(levels, scene.pcm)
    odds = layers(traits)
    span = int(scene.start_s * LEVEL_RATE_HZ), int(scene.end_s * LEVEL_RATE_HZ)
    inside, before = levels[span[0] : span[1]], levels[: span[0] - 5]
    yield f"levels {seed}", print_of(levels)
    yield f"traits {seed}", print_of(traits)
    yield f"odds {seed}", print_of(odds)
    yield f"changes {seed}", print_of(changes(levels, len(levels) // STEP))
    for name, (start, stop) in {
        "whole": span,
        "first": (span[0], span[0] + 30),
        "last": (span[1] - 80, span[1]),
    }.items():
        for believed in (None, 1.5):
            yield (
                f"described {name} {believed} {seed}",
                described(levels, scene.pcm, odds, (start, stop), believed).tolist(),
            )
    yield f"rhythm {seed}", print_of(rhythm(swings(before)))
    beat = find_beat(scene.pcm[span[0] * 128 : span[1] * 128])
    yield f"beat {seed}", [] if beat is None else [beat.hz, beat.strength]
    for cylinders in (None, scene.cylinders):
        for known in (None, rhythm(swings(before))):
            pulses = find_pulses(inside, np.linspace(0.2, 1.0, levels.shape[1]), known=known, cylinders=cylinders)
            found = [] if pulses is None else [pulses.hz, pulses.strength, pulses.clear]
            yield f"pulses {cylinders} {known is None} {seed}", found
    for votes in (None, 0.7):
        for brief in (True, False):
            for pulses in (None, find_pulses(inside, np.ones(levels.shape[1]))):
                proof = prove(
                    levels, *span, sure=1.2, votes=votes, pulses=pulses, engine=brief, expected=0.4, brief=brief
                )
                about = [each for each in astuple(proof) if each is not None]
                yield f"proof {votes} {brief} {pulses is None} {seed}", [*map(float, about), proof.confidence]


def expectations() -> Iterator[tuple[str, Numbers]]:
    """What is expected of sounds of some lengths."""
    yield "expected", [expected_in(seconds) for seconds in (1.0, 7.9, 8.0, 30.0, 120.0, 600.0)]


GROUPS = {
    "noise": noises, "crank": starts, "room microphone": places, "whine clunk plan": parts, "scene": scenes,
    "limit": limits,
    **{f"3 7 20: {seed}": functools.partial(heard, starter_layers(), seed) for seed in (3, 7, 20)},
    "expected": expectations,
}  # fmt: skip
"""What is reckoned together; all of a group is held by one test, which runs all that makes it."""
MADE = ("noise", "crank", "room", "microphone", "whine", "clunk", "plan", "scene", "limit", "expected")
"""How the names of what is made begin, and of what is only set."""


def group(words: str) -> dict[str, Numbers]:
    """One group as it is today."""
    return {name: [float(f"{each:.7g}") for each in numbers] for name, numbers in GROUPS[words]()}


def measured() -> dict[str, Numbers]:
    """All of it by name."""
    return {name: numbers for words in GROUPS for name, numbers in group(words).items()}


def group_of(name: str) -> str:
    """Which one makes it: by what its name begins with; what is heard is told by its seed, which it ends with."""
    first, last = name.split(maxsplit=1)[0], name.rsplit(maxsplit=1)[-1]
    return next((words for words in GROUPS if first in words.split()), f"3 7 20: {last}")


BEFORE = json.loads(KEPT.read_text(encoding="utf-8"))


@pytest.mark.parametrize("words", GROUPS)
def test_nothing_moved_under_the_weights(words: str) -> None:
    """Libraries reckon their last digits differently: of what is made to a part in 100,000, of what is heard, for the
    most part in short floats, in 10,000."""
    made = group(words)
    assert list(made) == [name for name in BEFORE if group_of(name) == words]
    for name, numbers in made.items():
        rel = 1e-5 if name.startswith(MADE) else 1e-4
        assert (name, numbers) == (name, pytest.approx(BEFORE[name], rel=rel, abs=rel))


def test_all_that_is_kept_is_made() -> None:
    """By one group each."""
    assert {group_of(name) for name in BEFORE} == set(GROUPS)


if __name__ == "__main__":
    print(
        "{\n" + ",\n".join(f"{json.dumps(name)}: {json.dumps(numbers)}" for name, numbers in measured().items()) + "\n}"
    )
