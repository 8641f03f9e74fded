"""How a stretch is cut and read, where rhythm and edges are given."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from assistant.cranking import readings
from assistant.cranking.edges import Frame
from assistant.cranking.levels import BANDS, HOP
from assistant.cranking.rate import Pulses
from assistant.cranking.reading import Reading, Stage
from assistant.cranking.readings import SURE_RAN, _beat_on, _changes, _trim, read
from tests.cranking.test_plain_measures import flat, pulsing

EVEN = np.ones(BANDS)


def reading(start: int = 300, stop: int = 900, **more: Any) -> Reading:
    """A plain one."""
    usual = {"pulses": Pulses(hz=5.0, strength=0.5, clear=0.3), "weights": EVEN, "score": 0.5, "rise_db": 1.0}
    return Reading(**{"start": start, "stop": stop, **usual, "fall_db": 1.0, "votes": {}, **more})


def stage_of(levels: np.ndarray) -> Stage:
    """Of levels, without a sound."""
    return Stage(levels=levels, pcm=np.zeros(0, np.int16), known=None, cylinders=4)


def steps(count: int, *at: tuple[int, float]) -> np.ndarray:
    """So many levels, which rise by so much from there on."""
    levels = flat(count)
    for first, by_db in at:
        levels[first:] += by_db
    return levels


@pytest.mark.parametrize(
    ("levels", "found"),
    [
        (steps(600, (300, 5.0)), [300]),
        (steps(600, (300, 1.6)), [300]),
        (steps(600, (300, 1.4)), []),
        (steps(600, (300, -5.0)), [300]),
        (steps(900, (200, 4.0), (400, 5.0), (600, 3.0)), [400, 200, 600]),  # the clearest first
        (steps(900, (100, 3.0), (250, 3.5), (400, 4.0), (550, 4.5), (700, 5.0)), [700, 550, 400, 250]),  # four at most
        (steps(600, (60, 5.0)), [60]),
        (steps(600, (55, 5.0)), [60]),  # nearer to the beginning it is not looked at
        (steps(600, (560, 5.0)), [560]),
        (steps(600, (575, 5.0)), [560]),
        (steps(120, (60, 5.0)), [60]),
        (steps(119, (60, 5.0)), []),
    ],
)
def test_a_sound_became_another_where_its_levels_step(levels: np.ndarray, found: list[int]) -> None:
    """By a decibel and a half in the mean of all bands, over half a second on each side."""
    assert _changes(levels) == found


def test_what_lies_further_than_a_third_of_a_second_from_it_is_another() -> None:
    """A steep step shows there still, by a quarter of what it is at its place."""
    assert sorted(_changes(steps(600, (300, 6.1)))) == [255, 300, 345]


def test_a_change_of_colour_is_one_too() -> None:
    """Bands count by how far they move, whichever way."""
    levels = flat(600)
    levels[300:, ::2] += 3.0
    levels[300:, 1::2] -= 3.0
    assert _changes(levels) == [300]


Sounds = Callable[[int], float]


def trimmed(monkeypatch: pytest.MonkeyPatch, pulses: Sounds, case: Reading) -> tuple[int, int, list[Any]]:
    """Edges of the case once what does not pulse is off, where `pulses` tells how much it does from a level on."""
    asked = list[Any]()

    def find_step(_levels: np.ndarray, start: int, near: int, stop: int, *, forward: bool) -> int:
        asked.append((start, near, stop, forward))
        return near

    monkeypatch.setattr(readings, "swings", lambda levels: levels)
    monkeypatch.setattr(readings, "likeness", lambda swing, *_, **__: swing)
    monkeypatch.setattr(readings, "comb_at", lambda swing, _hz: pulses(int(swing[0, 0])))
    monkeypatch.setattr(readings.edges, "find_step", find_step)
    levels = np.arange(1200.0)[:, None].repeat(BANDS, 1)
    found = _trim(stage_of(levels), case)
    return found.start, found.stop, asked


def test_a_head_that_does_not_pulse_is_cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a second of it; edges that are clear stand. Pieces are 3.3 pulses long, 0.9 s at least, and 0.1 s apart."""
    for first, start in ((372, 427), (373, 439), (360, 300), (361, 427)):
        told = trimmed(monkeypatch, lambda at, first=first: float(at >= first), reading())
        assert told[:2] == (start, 900)
        assert told[2] == ([] if start == 300 else [(300, start, 900, False)])
    plain = reading(rise_db=5.1)
    assert trimmed(monkeypatch, lambda at: float(at >= 400), plain)[:2] == (300, 900)
    assert trimmed(monkeypatch, lambda at: float(at >= 400), reading(rise_db=5.0))[0] > 300
    assert trimmed(monkeypatch, lambda at: float(at >= 400), reading(rise_db=np.nan))[0] > 300


def test_a_tail_that_does_not_pulse_is_cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """Unless an engine was heard to take over there."""
    # Pieces of 110 levels begin at 300, 312 ... 780; the last that pulses begins at 708, and ends at 818.
    start, stop, asked = trimmed(monkeypatch, lambda at: float(at <= 719), reading())
    assert (start, stop, asked) == (300, 818 - 55, [(300, 818 - 55, 900, True)])
    for end, cut in ((902, False), (903, True)):  # the last that pulses ends at 842
        told = trimmed(monkeypatch, lambda at: float(at <= 732), reading(stop=end))
        assert (told[1] < end) is cut
    assert trimmed(monkeypatch, lambda at: float(at <= 719), reading(rest_stop=1000))[1] == 900
    assert trimmed(monkeypatch, lambda at: float(at <= 719), reading(fall_db=5.1))[1] == 900
    assert trimmed(monkeypatch, lambda at: float(at <= 719), reading(fall_db=5.0))[1] < 900


def test_what_pulses_hardly_less_than_the_rest_is_part_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """45 % of what is usual in the better fifth; where nothing pulses, and in what is short, nothing is cut."""
    for share, cut in ((0.46, False), (0.44, True)):
        told = trimmed(monkeypatch, lambda at, share=share: 0.5 if at >= 420 else share / 2, reading())
        assert (told[0] > 300) is cut
    assert trimmed(monkeypatch, lambda _: -1.0, reading())[2] == []
    for long, cut in ((219, False), (220, True)):  # twice a piece of 110
        told = trimmed(monkeypatch, lambda at: float(at >= 372), reading(stop=300 + long))
        assert bool(told[2]) is cut
    slow = Pulses(hz=2.5, strength=0.5, clear=0.3)  # a piece is 165 levels long
    for long, cut in ((329, False), (330, True)):
        told = trimmed(monkeypatch, lambda at: float(at >= 384), reading(stop=300 + long, pulses=slow))
        assert bool(told[2]) is cut


@pytest.mark.parametrize(
    ("there", "here", "on"), [(0.16, 0.2, True), (0.14, 0.01, False), (0.3, 0.42, True), (0.3, 0.44, False)]
)
def test_a_rhythm_goes_on_where_it_was_nearly_as_strong_before(
    monkeypatch: pytest.MonkeyPatch, there: float, here: float, *, on: bool
) -> None:
    """By more than 70 % of what it is within, and plainly; over a second and a half on each side of the beginning."""
    looked = list[list[int]]()

    def comb_at(swing: np.ndarray, _hz: float) -> float:
        looked.append([int(swing[0, 0]), len(swing)])
        return there if swing[0, 0] < 288 else here

    monkeypatch.setattr(readings, "swings", lambda levels: levels)
    monkeypatch.setattr(readings, "likeness", lambda swing, *_, **__: swing)
    monkeypatch.setattr(readings, "comb_at", comb_at)
    levels = np.arange(1200.0)[:, None].repeat(BANDS, 1)
    assert _beat_on(stage_of(levels), reading()) is on
    assert looked == [[88, 200], [312, 200]]
    assert not _beat_on(stage_of(levels), reading(start=94)), "82 levels before it, less than 3.3 pulses"
    assert len(looked) == 2
    _beat_on(stage_of(levels), reading(start=95))
    assert len(looked) == 4
    assert not _beat_on(stage_of(levels), reading(start=11))


@pytest.mark.parametrize(("frame_start", "known"), [(300, None), (301, 296), (700, 620)])
def test_the_rhythm_before_is_known_where_there_is_enough_of_it(
    monkeypatch: pytest.MonkeyPatch, frame_start: int, known: int | None
) -> None:
    """Up to five seconds, but for what lies next to the beginning."""
    stages = list[Stage]()

    def measure(stage: Stage, frame: Frame) -> Reading:
        stages.append(stage)
        return reading(frame.start, frame.stop, score=0.0)

    monkeypatch.setattr(readings, "swings", lambda levels: levels)
    monkeypatch.setattr(readings, "rhythm", lambda swing: np.array([len(swing), swing[0, 0], swing[-1, 0]]))
    monkeypatch.setattr(readings, "measure", measure)
    monkeypatch.setattr(readings, "_changes", lambda *_: [])
    frame = Frame(start=frame_start, stop=1100, weights=EVEN, broad=1.0, rise_db=9.0, fall_db=9.0)
    monkeypatch.setattr(readings.edges, "find_edges", lambda *_: frame)
    levels = np.arange(1200.0)[:, None].repeat(BANDS, 1)
    readings._read_from(levels, np.zeros(0, np.int16), frame_start, 1100, 4)
    [stage] = stages
    told = None if stage.known is None else int(stage.known[0])
    assert told == known
    if stage.known is not None:
        assert stage.known[1:].tolist() == [max(0, frame_start - 625), frame_start - 6]


def best_of(
    monkeypatch: pytest.MonkeyPatch, whole: Reading | None, *splits: Reading | None, on: bool = False, **more: Any
) -> Reading | None:
    """Which of some readings is told. `more`: `after`, the reading with an engine once it had stopped; `long`."""
    asked = iter(splits)
    frame = Frame(start=300, stop=300 + more.get("long", 600), weights=EVEN, broad=1.0, rise_db=9.0, fall_db=9.0)
    monkeypatch.setattr(readings.edges, "find_edges", lambda *_: frame)
    monkeypatch.setattr(readings, "measure", lambda *_: whole)
    monkeypatch.setattr(readings, "split", lambda *_: next(asked))
    monkeypatch.setattr(readings, "_changes", lambda *_: [100] * len(splits))
    monkeypatch.setattr(readings, "_trim", lambda _stage, case: case)
    monkeypatch.setattr(readings, "_beat_on", lambda *_: on)
    monkeypatch.setattr(readings, "engine_after", lambda *_: more.get("after"))
    return readings._read_from(flat(1000), np.zeros(1000 * HOP, np.int16), 300, 900, 4)


def test_the_best_of_all_readings_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the whole and of each split; an engine heard afterwards counts where it surely ran, and none ran before."""
    whole, better = reading(score=0.5), reading(score=0.6, rest_stop=950)
    assert best_of(monkeypatch, whole, None, better) == better
    assert best_of(monkeypatch, None, None) is None
    assert best_of(monkeypatch, reading(score=0.7), better) == reading(score=0.7)
    bad = reading(score=0.0)
    assert best_of(monkeypatch, bad, on=True) == bad
    told = best_of(monkeypatch, whole, on=True)
    assert told is not None and told.score == pytest.approx(0.1)
    ran, hardly = reading(rest_stop=950, ran=SURE_RAN, score=0.4), reading(rest_stop=950, ran=SURE_RAN - 0.01)
    assert best_of(monkeypatch, whole, after=ran) == ran
    assert best_of(monkeypatch, whole, after=hardly) == whole
    assert best_of(monkeypatch, better, after=ran) == better
    assert best_of(monkeypatch, whole, long=40) == whole and best_of(monkeypatch, whole, long=39) is None


def test_what_is_there_from_the_first_may_begin_on_top_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """A starter in a recording that holds nothing else before it; a third of a second in at the earliest."""
    begins = list[int]()

    def from_(_levels: np.ndarray, _pcm: np.ndarray, start: int, _stop: int, _cylinders: int | None) -> Reading:
        begins.append(start)
        return reading(score=start / 1000)

    monkeypatch.setattr(readings, "_read_from", from_)
    monkeypatch.setattr(readings, "_changes", lambda inside: [40, 41, len(inside) - 100])
    levels = pulsing(6.0, 900)
    told = read(levels, np.zeros(900 * HOP, np.int16), 0, 700)
    assert begins == [0, 41, 600] and told is not None and told.score == 0.6
    begins.clear()
    read(levels, np.zeros(900 * HOP, np.int16), 1, 700)
    assert begins == [1]
    begins.clear()
    for long in (39, 40):
        read(levels, np.zeros(900 * HOP, np.int16), 100, 100 + long)
    assert begins == [100]


@pytest.mark.parametrize(("falls_db", "read_at_all"), [(10.9, True), (11.1, False)])
def test_what_falls_silent_within_is_no_starter(
    monkeypatch: pytest.MonkeyPatch, falls_db: float, *, read_at_all: bool
) -> None:
    """By eleven decibels over half a second."""
    monkeypatch.setattr(readings, "_read_from", lambda *_: reading())
    monkeypatch.setattr(readings, "dip_db", lambda _levels, width: falls_db if width == 60 else 0.0)
    assert (read(flat(900), np.zeros(900 * HOP, np.int16), 100, 700) is not None) is read_at_all
