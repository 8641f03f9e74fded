"""What each physical test says of a stretch, where what it measures is given; and what they say together."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
import pytest

from assistant.cranking import votes
from assistant.cranking.edges import Frame
from assistant.cranking.firing import Beat
from assistant.cranking.levels import BANDS, HOP, LEVEL_RATE_HZ
from assistant.cranking.rate import Pulses
from assistant.cranking.reading import Reading, Stage

FRAME = Frame(start=100, stop=600, weights=np.ones(BANDS), broad=1.0, rise_db=10.0, fall_db=10.0)


@dataclass(frozen=True, kw_only=True)
class Given:
    """What is measured of a stretch of `long` levels; as it stands, of a plain burst."""

    wanders_db: float = 0.0
    dips_db: float = 0.0
    hz: float = 4.0
    strength: float = 0.4
    clear: float = 0.2
    long: int = 500
    beat: Beat | None = None
    before: Beat | None = None
    cylinders: int | None = None
    frame: Frame = FRAME
    split: bool = False

    def read(self, monkeypatch: pytest.MonkeyPatch) -> Reading | None:
        """What the tests make of it."""
        pulses = Pulses(hz=self.hz, strength=self.strength, clear=self.clear)
        self.looked_at.clear()

        def find(levels: np.ndarray, *_: object, **__: object) -> Pulses:
            self.looked_at.append(levels[:, 0])
            return pulses

        monkeypatch.setattr(votes, "colour_db", lambda *_: self.wanders_db)
        monkeypatch.setattr(votes, "dip_db", self._dips)
        monkeypatch.setattr(votes, "find_pulses", find)
        levels = np.arange(self.frame.start + self.long + 100.0)[:, None].repeat(BANDS, 1).astype(np.float32)
        stage = Stage(levels=levels, pcm=np.zeros(len(levels) * HOP, np.int16), known=None, cylinders=self.cylinders)
        start, stop = self.frame.start, self.frame.start + self.long
        stage._beats[start + 12, stop] = self.beat  # as if it had been heard there
        stage._beats[max(0, start - 250), max(0, start - 12)] = self.before
        return votes.measure(stage, replace(self.frame, stop=stop), split=self.split)

    def _dips(self, _levels: np.ndarray, width: float, _weights: np.ndarray) -> float:
        assert width == pytest.approx(1.5 * LEVEL_RATE_HZ / self.hz), "more than a pulse, for each may fade deeply"
        return self.dips_db

    looked_at: ClassVar = list[np.ndarray]()


def told(monkeypatch: pytest.MonkeyPatch, **given: object) -> Mapping[str, float]:
    """The votes."""
    found = Given(**given).read(monkeypatch)  # type: ignore[arg-type] - as the case has it
    assert found is not None
    return found.votes


def frame(**edges: float) -> Frame:
    """The plain one with other edges."""
    return replace(FRAME, **edges)


@pytest.mark.parametrize(
    ("name", "given", "vote"),
    [
        # nothing is said in the middle, and one less or more for each width away from it, up to a most
        ("colour", {"wanders_db": 2.5}, 0.0),
        ("colour", {"wanders_db": 3.0}, -1.0),
        ("colour", {"wanders_db": 2.3}, 0.4),
        ("colour", {"wanders_db": 0.0}, 0.5),
        ("length", {"long": 85, "hz": 9.0}, -0.2),
        ("length", {"long": 90, "hz": 9.0}, 0.2),
        ("length", {"long": 100, "hz": 9.0}, 0.5),
        ("strength", {"strength": 0.3, "hz": 2.0}, 0.0),
        ("strength", {"strength": 0.25, "hz": 2.0}, -0.5),
        ("strength", {"strength": 0.4, "hz": 2.0}, 1.0),
        ("strength", {"strength": 0.9, "hz": 2.0}, 1.5),
        ("clear", {"clear": 0.09}, 0.0),
        ("clear", {"clear": 0.055}, -0.5),
        ("clear", {"clear": 0.125}, 0.5),
        ("clear", {"clear": 0.5}, 1.0),
        ("rise", {"frame": frame(rise_db=3.0)}, 0.0),
        ("rise", {"frame": frame(rise_db=2.25)}, -0.5),
        ("rise", {"frame": frame(rise_db=3.75)}, 0.5),
        ("rise", {"frame": frame(rise_db=10.0)}, 0.8),
        ("broad", {"frame": frame(broad=0.45)}, 0.0),
        ("broad", {"frame": frame(broad=0.39)}, -0.5),
        ("broad", {"frame": frame(broad=0.51)}, 0.5),
        ("broad", {"frame": frame(broad=1.0)}, 0.8),
        ("fall", {"frame": frame(fall_db=3.0)}, 0.0),
        ("fall", {"frame": frame(fall_db=2.25)}, -0.5),
        ("fall", {"frame": frame(fall_db=3.75)}, 0.5),
        ("fall", {"frame": frame(fall_db=9.0)}, 0.6),
        ("floor", {"dips_db": 4.0}, 0.0),
        ("floor", {"dips_db": 4.5}, -0.5),
        ("floor", {"dips_db": 3.5}, 0.5),
        ("floor", {"dips_db": 0.0}, 0.7),
        ("count", {"hz": 1.2}, 0.0),
        ("count", {"hz": 1.1}, -0.4),
        ("count", {"hz": 1.3}, 0.4),
        ("count", {"hz": 5.0}, 0.6),
        ("rate", {"hz": 20.5}, 0.0),
        ("rate", {"hz": 21.25}, -0.5),
        ("rate", {"hz": 19.0}, 0.3),
        ("rate", {"hz": 400 / 30, "cylinders": 4}, 0.0),
        ("rate", {"hz": 420 / 30, "cylinders": 4}, -0.5),
        ("rate", {"hz": 45 / 15, "cylinders": 8}, 0.0),
        ("rate", {"hz": 37.5 / 15, "cylinders": 8}, -0.5),
        ("rate", {"hz": 47.25 / 15, "cylinders": 8}, 0.15),
        ("rate", {"hz": 6.0, "cylinders": 4}, 0.3),
    ],
)
def test_a_measure_speaks_as_it_did_when_it_was_tried(
    monkeypatch: pytest.MonkeyPatch, name: str, given: dict[str, object], vote: float
) -> None:
    """By how far it lies from where it says nothing, so that no test decides alone."""
    assert told(monkeypatch, **given)[name] == pytest.approx(vote, abs=1e-6)


@pytest.mark.parametrize(("pulses", "more"), [(30, 1.0), (40, 1.0), (62.5, 1.25), (90, 1.5), (102.4, 1.6), (200, 1.6)])
def test_many_pulses_that_agree_a_little_say_as_much_as_few_that_agree_well(
    monkeypatch: pytest.MonkeyPatch, pulses: float, more: float
) -> None:
    """From forty on by the root of how many, up to 1.6 times."""
    vote = told(monkeypatch, strength=0.24, hz=pulses / 8, long=1000, cylinders=8)["strength"]
    assert vote == pytest.approx((0.24 * more - 0.3) / 0.1, abs=1e-6)


@pytest.mark.parametrize(
    ("given", "at_least"),
    [
        ({"strength": 0.41, "clear": 0.21, "hz": 1.53}, -0.6),
        ({"strength": 0.40, "clear": 0.21, "hz": 1.53}, -1.0),
        ({"strength": 0.41, "clear": 0.20, "hz": 1.53}, -1.0),
        ({"strength": 0.41, "clear": 0.21, "hz": 1.49}, -1.0),
    ],
)
def test_plain_pulses_stand_against_louder_noise_beside_them(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, object], at_least: float
) -> None:
    """Where they are strong, clear and more than six; each by itself is not enough."""
    beside = frame(rise_db=1.5, fall_db=1.5, broad=0.33)
    found = told(monkeypatch, frame=beside, **given)
    assert [found[name] for name in ("rise", "broad", "fall")] == pytest.approx([at_least] * 3)


def test_edges_that_the_sound_does_not_reach_say_little(monkeypatch: pytest.MonkeyPatch) -> None:
    """An unknown beginning speaks a little against it, an unknown end not; where both are, breadth tells nothing."""
    whole = told(monkeypatch, frame=frame(rise_db=math.nan, fall_db=math.nan, broad=0.39))
    assert (whole["rise"], whole["fall"], whole["broad"]) == pytest.approx((-0.6, 0.6, 0.0))
    first = told(monkeypatch, frame=frame(rise_db=math.nan, broad=0.39))
    assert (first["rise"], first["broad"]) == pytest.approx((-0.6, -0.5))
    assert told(monkeypatch, frame=frame(fall_db=math.nan, broad=0.39))["broad"] == pytest.approx(-0.5)


@pytest.mark.parametrize(
    ("given", "vote"),
    [
        ({}, 0.0),
        ({"beat": Beat(hz=12.9, strength=0.9)}, 0.0),
        ({"beat": Beat(hz=13.1, strength=0.12)}, 0.0),
        ({"beat": Beat(hz=30.0, strength=0.15)}, -0.5),
        ({"beat": Beat(hz=30.0, strength=0.111)}, 0.15),
        ({"beat": Beat(hz=30.0, strength=0.0)}, 0.2),
        ({"beat": Beat(hz=30.0, strength=0.9), "before": Beat(hz=31.0, strength=0.12)}, -0.6),
        ({"beat": Beat(hz=30.0, strength=0.9), "strength": 0.56, "clear": 0.26}, -0.6),
        # the second swing of plain pulses
        ({"beat": Beat(hz=20.0, strength=0.9), "strength": 0.56, "clear": 0.26, "hz": 9.6}, 0.0),
        ({"beat": Beat(hz=20.0, strength=0.9), "strength": 0.56, "clear": 0.26, "hz": 10.4}, 0.0),
        ({"beat": Beat(hz=20.0, strength=0.9), "strength": 0.56, "clear": 0.26, "hz": 9.4}, -0.6),
        ({"beat": Beat(hz=20.0, strength=0.15), "strength": 0.55, "clear": 0.26, "hz": 10.0}, -0.5),
        ({"beat": Beat(hz=20.0, strength=0.15), "strength": 0.56, "clear": 0.25, "hz": 10.0}, -0.5),
        # as quick as the pulses: blows, where these are so quick
        ({"beat": Beat(hz=20.0, strength=0.9), "hz": 14.5}, 0.0),
        ({"beat": Beat(hz=20.0, strength=0.15), "hz": 14.2}, -0.5),
        ({"beat": Beat(hz=17.0, strength=0.54), "hz": 16.6}, -0.5),
        ({"beat": Beat(hz=17.0, strength=0.54), "hz": 16.4}, 0.0),
        ({"beat": Beat(hz=17.0, strength=0.488), "hz": 16.6}, 0.15),
        ({"beat": Beat(hz=17.0, strength=0.1), "hz": 16.6}, 0.2),
        ({"beat": Beat(hz=17.0, strength=0.79), "hz": 16.6, "cylinders": 8}, -0.5),
    ],
)
def test_a_quick_beat_is_an_engine_s_or_a_tool_s(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, object], vote: float
) -> None:
    """Unless it is the starter's own, or was there before; 13 a second is the slowest, 16.5 the slowest tool's."""
    found = told(monkeypatch, **({"strength": 0.5, "clear": 0.3} | given))
    assert found["beat"] == pytest.approx(vote, abs=1e-6)


def test_the_score_is_their_sum_unless_one_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    """A quarter of what they say, and a quarter; a test failed outright cannot be bought back by the others."""
    hardly = {"strength": 0.3, "hz": 2.0, "clear": 0.055, "frame": frame(rise_db=2.25, broad=0.39, fall_db=2.25)}
    doubtful = Given(dips_db=4.5, **hardly).read(monkeypatch)  # type: ignore[arg-type]
    assert doubtful is not None and sum(doubtful.votes.values()) == pytest.approx(-0.6)
    assert doubtful.score == pytest.approx(0.25 - 0.6 / 4)
    plain = Given(strength=0.5, clear=0.3).read(monkeypatch)
    assert plain is not None and plain.votes["beat"] == 0.0 and plain.score == 1.0
    dips = Given(strength=0.5, clear=0.3, dips_db=5.2).read(monkeypatch)
    assert dips is not None and dips.votes["floor"] == pytest.approx(-1.2) and dips.score == pytest.approx(-0.2)
    read = (plain.start, plain.stop, plain.rise_db, plain.fall_db, plain.pulses.hz, plain.ran, plain.cut)
    assert read == (100, 600, 10.0, 10.0, 4.0, 0.0, False)


BARE = frame(rise_db=1.5, broad=0.33, fall_db=1.5)
"""Whose edges say nearly nothing for it."""


@pytest.mark.parametrize(
    ("given", "hopes"),
    [
        ({"dips_db": 5.32}, True), ({"dips_db": 5.34}, False),
        ({"wanders_db": 3.16}, True), ({"wanders_db": 3.17}, False),
        ({"long": 72, "hz": 9.0}, True), ({"long": 70, "hz": 9.0}, False),
        ({"long": 3750}, True), ({"long": 3751}, False),
        # none fails, and all of them say little: a quarter of their sum is more than an engine would add
        ({"strength": 0.2, "clear": 0.02, "hz": 1.5, "frame": BARE, "dips_db": 3.4}, True),
        ({"strength": 0.2, "clear": 0.02, "hz": 1.5, "frame": BARE, "dips_db": 3.44}, False),
    ],
)  # fmt: skip
def test_what_no_engine_after_it_could_make_up_for_is_not_read(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, object], *, hopes: bool
) -> None:
    """A running engine adds a third at most; thirty seconds are none of a starter's."""
    case = Given(**({"strength": 0.5, "clear": 0.3} | given))  # type: ignore[arg-type]
    assert (case.read(monkeypatch) is not None) is hopes


@pytest.mark.parametrize(("given", "first", "last"), [
    ({"long": 500}, 112, 594), ({"long": 500, "split": True}, 112, 575), ({"long": 80, "hz": 9.0}, 110, 175),
    ({"long": 90, "hz": 9.0, "split": True}, 111, 175),
])  # fmt: skip
def test_pulses_are_looked_for_within_the_edges(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, object], first: int, last: int
) -> None:
    """A tenth of a second after the beginning, less before the end; a fifth where an engine takes over there, which is
    heard before. Of short stretches an eighth, and a sixth."""
    case = Given(strength=0.5, clear=0.3, **given)  # type: ignore[arg-type]
    assert case.read(monkeypatch) is not None
    assert (case.looked_at[0][0], case.looked_at[0][-1] + 1) == (first, last)
