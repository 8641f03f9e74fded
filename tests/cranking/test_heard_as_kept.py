"""What the ear makes of a few made-up sounds, from its readings to what it tells, is what it was when measured.

Every threshold on the way moves some of it. Whoever changes one on purpose measures anew, looks at what moved, and
writes this list anew: `python -m tests.cranking.test_heard_as_kept > tests/cranking/heard_as_kept.json`.
"""

from __future__ import annotations

import functools
import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.bench.crank_live import listen_live
from assistant.bench.crank_third import Attempt, make_third
from assistant.bench.crank_variant import make_variant
from assistant.cranking.ear import listen
from assistant.cranking.levels import LEVEL_RATE_HZ, levels_of
from assistant.cranking.picture import draw
from assistant.cranking.readings import read
from assistant.cranking.scenes import Scene, make_scene
from assistant.cranking.synthetic import CrankPlan
from assistant.cranking.traits import STEP
from assistant.cranking.trust import prove

KEPT = Path(__file__).with_name("heard_as_kept.json")
LAYERS = starter_layers()


def _usual(seed: int, noise: str, snr_db: float, **plan: Any) -> Scene:
    drawn = CrankPlan(**{"cylinders": 4, "rpm": 190.0, "burst_s": 2.2, **plan})
    return make_scene(np.random.default_rng(seed), plan=drawn, snr_db=snr_db, noise=noise)


def _third(attempt: Attempt) -> Scene:
    return make_third(np.random.default_rng([77, 4]), attempt=attempt, snr_db=15.0)


SCENES: Mapping[str, Callable[[], Scene]] = {
    "dead": lambda: _usual(3, "hum", 14.0),
    "runs": lambda: _usual(5, "hum", 14.0, run_s=3.0, idle_rpm=850.0),
    "dies": lambda: _usual(6, "compressor", 9.0, run_s=1.2, dies=True),
    "weak": lambda: _usual(7, "talk", 12.0, weak=1, cylinders=6, burst_s=3.0),
    "wrench": lambda: _usual(8, "impact-wrench", 6.0),
    "music": lambda: _usual(9, "music", 6.0, rpm=240.0),
    "short": lambda: _usual(10, "hum", 10.0, burst_s=0.7),
    "variant": lambda: make_variant(np.random.default_rng([77, 7])),
    **{f"third {attempt}": functools.partial(_third, attempt) for attempt in Attempt},
}


def plain(value: Any) -> Any:
    """A value as numbers, words and lists of them; numbers to five digits."""
    if is_dataclass(value):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value) if each.name[0] != "_"}
    if isinstance(value, Mapping):
        return {str(name): plain(each) for name, each in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [plain(each) for each in value]
    return float(f"{value:.5g}") if isinstance(value, float | np.floating) else value


def _read(scene: Scene) -> Any:
    """The readings of the burst, with every vote, by who knows the cylinders and who does not."""
    levels = levels_of(scene.pcm)
    start, stop = int(scene.start_s * LEVEL_RATE_HZ) - 6, int(scene.end_s * LEVEL_RATE_HZ) + 6
    return [read(levels, scene.pcm, start, stop, cylinders=cylinders) for cylinders in (None, 4)]


def _told(scene: Scene) -> Any:
    """What is told while the sound goes on, and when."""
    return [(when, type(event).__name__, event) for when, event in listen_live(scene, LAYERS)]


def _proofs(scene: Scene) -> Any:
    """What speaks for a starter over the burst, and over stretches that the sound's ends cut off."""
    levels = levels_of(scene.pcm)
    start, stop, end = int(scene.start_s * LEVEL_RATE_HZ), int(scene.end_s * LEVEL_RATE_HZ), len(levels)
    spans = [
        (start, stop),
        (0, stop),
        (STEP, stop),
        (start, end),
        (start, end - 2 * STEP),
        (0, end),
        (0, end - 2 * STEP),
    ]
    known = {"sure": -3.0, "votes": None, "pulses": None, "engine": False, "expected": 0.3}
    return [prove(levels, *span, **known) for span in spans]


def _drawn(scene: Scene) -> Any:
    """Of the picture all words, and its numbers by count, sum and a sum by place."""
    svg = draw(scene.pcm, listen(scene.pcm, LAYERS, 4), 4)
    numbers = np.array([float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", re.sub(r"#[0-9a-f]+", "", svg))])
    places = np.cos(0.37 * np.arange(len(numbers)))
    words = [each for each in re.findall(r">([^<>]+)<", svg) if each.strip()]
    return [words, len(numbers), float(numbers.sum()), float(numbers @ places)]


PARTS: Mapping[str, Callable[[Scene], Any]] = {
    "read": _read,
    "heard": lambda scene: listen(scene.pcm, LAYERS, 4),
    "told": _told,
    "proofs": _proofs,
    "drawn": _drawn,
}
MORE = ("proofs", "drawn")
"""Parts that a few scenes show as well as all."""

EVERY = [
    f"{name}: {part}" for name in SCENES for part in PARTS if part not in MORE or name in ("dead", "runs", "short")
]


@functools.cache
def scene_of(name: str) -> Scene:
    """Made once."""
    return SCENES[name]()


def made(both: str) -> Any:
    """One part of what is made of one scene."""
    name, part = both.split(": ")
    return plain(PARTS[part](scene_of(name)))


def flat(value: Any) -> Iterator[Any]:
    """All values in a row, names among them."""
    if isinstance(value, Mapping):
        for name, each in value.items():
            yield name
            yield from flat(each)
    elif isinstance(value, list):
        for each in value:
            yield from flat(each)
    else:
        yield value


BEFORE = json.loads(KEPT.read_text(encoding="utf-8"))


@pytest.mark.parametrize("both", EVERY)
def test_a_sound_is_heard_as_when_it_was_measured(both: str) -> None:
    """To a part in a thousand: libraries reckon their last digits differently."""
    now, before = list(flat(made(both))), list(flat(BEFORE[both]))
    assert len(now) == len(before)
    for ours, theirs in zip(now, before, strict=True):
        numbers = isinstance(ours, int | float) and isinstance(theirs, int | float)
        assert ours == (pytest.approx(theirs, rel=1e-3, abs=2e-4, nan_ok=True) if numbers else theirs)


def test_every_sound_is_kept() -> None:
    """None was left out of the list."""
    assert list(BEFORE) == EVERY


if __name__ == "__main__":
    print("{\n" + ",\n".join(f"{json.dumps(both)}: {json.dumps(made(both))}" for both in EVERY) + "\n}")
