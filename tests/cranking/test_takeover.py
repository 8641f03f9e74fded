"""Whether an engine ran on after the starter, in sounds made so that only one thing differs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.cranking.levels import HOP
from assistant.cranking.reading import Reading, Stage
from assistant.cranking.readings import read
from assistant.cranking.takeover import engine_after, split
from assistant.cranking.votes import measure
from tests.cranking.test_plain_measures import WHOLE, flat, pulsing


def stage_of(loud_db: float, beat_hz: float, *, after: int = 300, still: float = 0.0, before: bool = False) -> Stage:
    """A starter that turns for 4 s, then something so much louder or softer than it, with a quick beat or none.

    `after`: levels of that. `still`: how much of the starter's pulses goes on in it. `before`: the beat is there all
    the time, as another engine's is.
    """
    levels = flat(900 + after)
    levels[200:700] = pulsing(6.0, 500)
    levels[700 : 700 + after] = -45.0 + loud_db + still * (pulsing(6.0, after) + 45.0)
    sound = np.random.default_rng(1).normal(size=len(levels) * HOP) * 300
    there = slice(0 if before else 700 * HOP, (700 + after) * HOP)
    if beat_hz:
        beats = 1 + np.cos(2 * np.pi * beat_hz * np.arange(len(sound)) / 16_000)
        sound[there] *= beats[there] ** 3 / 2
    return Stage(levels=levels, pcm=sound.astype(np.int16), known=None, cylinders=4)


def told(one: Reading | None) -> tuple[int | None, float, bool, float] | None:
    """Up to where an engine ran, how surely, whether something else went on, and the score."""
    return None if one is None else (one.rest_stop, one.ran, one.cut, one.score)


@pytest.mark.parametrize(
    ("made", "split_up", "heard_after"),
    [
        # louder by 2 dB, with an engine's beat: one that runs
        (stage_of(2.0, 30), (1000, 1.0, False, 0.73), (1004, 1.0, False, 1.53)),
        # without a beat nobody is sure
        (stage_of(2.0, 0), (1000, 0.418, False, 0.381), (1004, 0.415, False, 1.179)),
        # so too with one that is too short to be heard
        (stage_of(2.0, 30, after=60), (760, 0.418, False, 0.381), None),
        # much softer or louder than the starter: no engine, and the louder one is not explained
        (stage_of(-10.0, 30), (None, 0.0, False, 1.0), None),
        (stage_of(20.0, 30), (None, 0.0, True, 1.0), None),
        # the starter turns on beneath it
        (stage_of(2.0, 30, still=0.8), (None, 0.0, True, 0.2), None),
        # another engine that ran before, which speaks against the starter too
        (stage_of(2.0, 30, before=True), (1000, 1.0, False, 0.73), None),
        (stage_of(8.0, 60), (1000, 1.0, False, 1.53), (1004, 1.0, False, 1.53)),
    ],
)
def test_an_engine_is_told_by_loudness_beat_and_what_turns_on(
    made: Stage, split_up: tuple[object, ...], heard_after: tuple[object, ...] | None
) -> None:
    """Where the stretch is split between the two, and where the starter's own noise had stopped before."""
    whole = replace(WHOLE, start=200, stop=len(made.levels) - 200)
    assert told(split(made, whole, 690)) == pytest.approx(split_up, abs=0.02)
    starter = measure(made, replace(WHOLE, start=200, stop=700))
    assert starter is not None
    after = told(engine_after(made, starter))
    assert after == (None if heard_after is None else pytest.approx(heard_after, abs=0.02))


def test_too_little_of_either_is_no_engine() -> None:
    """A third of a second of the starter, half a second of what follows."""
    made = stage_of(2.0, 30)
    whole = replace(WHOLE, start=200, stop=1000)
    assert split(made, whole, 239) is None and split(made, whole, 931) is None
    assert split(made, replace(whole, start=500), 690) is not None
    assert split(made, replace(whole, stop=770), 700) is not None and split(made, replace(whole, stop=769), 700) is None


@pytest.mark.parametrize(
    ("made", "stop", "rest_stop"),
    [(stage_of(8.0, 60), 700, 1000), (stage_of(-10.0, 30), 700, None), (stage_of(2.0, 30, before=True), 696, 1000)],
)
def test_the_best_reading_of_a_stretch_is_told(made: Stage, stop: int, rest_stop: int | None) -> None:
    """All of it cranking, or cranking and then the engine."""
    found = read(made.levels, made.pcm, 200, len(made.levels) - 200, cylinders=4)
    assert found is not None and (found.start, found.stop, found.rest_stop) == (200, stop, rest_stop)


def test_what_is_too_short_or_falls_silent_within_is_not_read() -> None:
    """A starter never pauses."""
    made = stage_of(8.0, 60)
    assert read(made.levels, made.pcm, 200, 239, cylinders=4) is None
    silent = made.levels.copy()
    silent[350:600] = -60.0
    assert read(silent, made.pcm, 200, len(made.levels) - 200, cylinders=4) is None


def test_a_rhythm_that_was_there_before_speaks_against_a_starter() -> None:
    """As music's or a compressor's is; a starter brings its own."""
    scores = []
    for depth_db in (0.0, 2.0):
        levels = flat(1200)
        levels[:300] = pulsing(6.0, 300, depth_db) - 15.0
        levels[300:800] = pulsing(6.0, 500)
        sound = (np.random.default_rng(1).normal(size=1200 * HOP) * 300).astype(np.int16)
        found = read(levels, sound, 300, 800, cylinders=4)
        assert found is not None and (found.start, found.stop) == (300, 800)
        scores.append(found.score)
    assert scores == pytest.approx([1.2, 0.8], abs=0.01)
