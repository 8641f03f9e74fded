"""What is told of a whole sound, where cases and kinds are given."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from assistant.cranking import ear
from assistant.cranking.case import Case
from assistant.cranking.judge import TOLD
from assistant.cranking.kinds import KINDS
from assistant.cranking.levels import BANDS, LEVEL_RATE_HZ
from assistant.cranking.likely import Likely
from assistant.cranking.model import Hearing, Kind, Sound
from assistant.cranking.stretches import Stretch
from tests.cranking.test_judge_given import case

LAYERS: Any = SimpleNamespace(kinds=None)
EVEN = np.ones(BANDS)


def raised(start: int, stop: int | None, rise_db: float = 9.0) -> Stretch:
    """A stretch of raised sound."""
    return Stretch(start=start, stop=stop, before=EVEN, weights=EVEN, rise_db=rise_db)


def heard(
    monkeypatch: pytest.MonkeyPatch,
    *cases: Case,
    stretches: tuple[Stretch, ...] = (),
    kinds: dict[int, Kind] | None = None,
    seconds: float = 20.0,
    knocks: tuple[tuple[int, int], ...] = (),
) -> tuple[Hearing, dict[str, Any]]:
    """What is told, and what the cases were asked by. `kinds`: what it sounds like from a level on; else a starter."""
    asked: dict[str, Any] = {}

    def likely_of(
        _kinds: Any, _levels: Any, _pcm: Any, _odds: Any, span: tuple[int, int], *, case: Any, expected: float
    ) -> Likely:
        kind = (kinds or {}).get(span[0], Kind.CRANK)
        asked.setdefault("spans", []).append(span)
        return Likely(shares={one: float(one is kind) for one in KINDS}, believed=None if case is None else 0.9)

    def weigh(_levels: Any, _pcm: Any, _odds: Any, found: Any, **about: Any) -> list[Case]:
        asked.update(about, stretches=found)
        return list(cases)

    class Finder:
        def feed(self, _levels: Any) -> tuple[list[Stretch], list[Stretch]]:
            return [], list(stretches[1:])

        def finish(self) -> list[Stretch]:
            return list(stretches[:1])

    monkeypatch.setattr(ear, "StretchFinder", Finder)
    monkeypatch.setattr(ear, "odds_of", lambda *_: None)
    monkeypatch.setattr(ear, "weigh", weigh)
    monkeypatch.setattr(ear, "likely_of", likely_of)
    monkeypatch.setattr(ear, "find_knocks", lambda _levels: list(knocks))
    return ear.listen(np.zeros(round(seconds * 16_000), np.int16), LAYERS, 4), asked


def edges(told: tuple[Any, ...]) -> list[tuple[str, float, float]]:
    """Kind and edges in levels."""
    return [(str(one.kind), one.start_s * LEVEL_RATE_HZ, one.end_s * LEVEL_RATE_HZ) for one in told]


def test_bursts_are_told_from_half_sure_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """With their speed where the cylinders are known, and how long the sound was."""
    hearing, asked = heard(monkeypatch, case(500, 900, confidence=TOLD), case(1000, 1200, confidence=TOLD - 0.01))
    assert edges(hearing.bursts) == [("crank", 500, 900)] and hearing.others == ()
    assert hearing.bursts[0].rpm == 180.0 and hearing.seconds == 20.0
    assert (asked["cylinders"], asked["brief"], asked["expected"]) == (4, False, pytest.approx(np.log(6)))


@pytest.mark.parametrize(("seconds", "brief"), [(7.9, True), (8.0, False)])
def test_in_a_clip_an_engine_is_told_however_briefly_it_ran(
    monkeypatch: pytest.MonkeyPatch, seconds: float, *, brief: bool
) -> None:
    """It is cut around a start: elsewhere what ran on for less than 1.6 s is not sure."""
    ran = case(500, 700, rest_stop=705, caught=True)
    hearing, asked = heard(monkeypatch, ran, seconds=seconds)
    assert hearing.caught is (True if brief else None) and asked["brief"] is brief


def test_stretches_are_weighed_in_order(monkeypatch: pytest.MonkeyPatch) -> None:
    """Those that go on to the end of the sound among them."""
    _, asked = heard(monkeypatch, stretches=(raised(900, 2000), raised(300, 400), raised(1000, 1100)))
    assert [one.start for one in asked["stretches"]] == [300, 900, 1000]


def test_what_turns_nothing_is_told_in_place_of_a_burst(monkeypatch: pytest.MonkeyPatch) -> None:
    """And what is something else not at all; neither is a knock told beside them."""
    two = case(500, 900), case(1000, 1200)
    hearing, _ = heard(monkeypatch, *two, kinds={500: Kind.WHINE}, knocks=((40, 50),))
    assert edges(hearing.bursts) == [("crank", 1000, 1200)] and edges(hearing.others) == [("whine", 500, 900)]
    hearing, _ = heard(monkeypatch, *two, kinds={500: Kind.OTHER}, knocks=((40, 50),))
    assert edges(hearing.bursts) == [("crank", 1000, 1200)] and hearing.others == ()
    hearing, _ = heard(monkeypatch, kinds={}, knocks=((40, 50), (900, 910)))
    assert edges(hearing.others) == [("clunk", 40, 50), ("clunk", 900, 910)]
    whine = Sound(kind=Kind.WHINE, start_s=4.0, end_s=7.2)
    assert heard(monkeypatch, case(500, 900), kinds={500: Kind.WHINE})[0].others == (whine,)


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (raised(100, 160), True), (raised(100, 159), False), (raised(100, 300, 6.0), True),
        (raised(100, 300, 5.9), False),
        (raised(100, 450), True), (raised(100, 451), False),  # 0.4 s next to a burst it belongs to it
        (raised(750, 1000), True), (raised(749, 1000), False), (raised(510, 600), False),
    ],
)  # fmt: skip
def test_raised_sound_apart_from_bursts_may_be_one_that_turned_nothing(
    monkeypatch: pytest.MonkeyPatch, one: Stretch, *, told: bool
) -> None:
    """Half a second of it, by six decibels; the engine that ran after a burst is its own."""
    ran = case(500, 600, rest_stop=700, caught=True)
    hearing, _ = heard(monkeypatch, ran, stretches=(one,), kinds={one.start: Kind.WHINE})
    assert edges(hearing.others) == ([("whine", one.start, one.stop)] if told else [])
    dead, _ = heard(monkeypatch, case(500, 700), stretches=(one,), kinds={one.start: Kind.WHINE})
    assert edges(dead.others) == edges(hearing.others)
    usual, _ = heard(monkeypatch, ran, stretches=(one,))
    assert usual.others == ()


def test_what_begins_within_one_that_turned_nothing_is_part_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once it is over another one may begin; all are told in order."""
    kinds = {100: Kind.WHINE, 200: Kind.CHATTER, 300: Kind.CHATTER, 299: Kind.CHATTER}
    found = [raised(100, 300), raised(200, 400), raised(300, 400), raised(299, 500)]
    hearing, _ = heard(monkeypatch, stretches=tuple(found), kinds=kinds)
    assert edges(hearing.others) == [("whine", 100, 300), ("chatter", 300, 400)]
    late = case(1000, 1200)
    hearing, _ = heard(monkeypatch, late, stretches=(raised(1300, 1500),), kinds={1000: Kind.WHINE, 1300: Kind.CHATTER})
    assert edges(hearing.others) == [("whine", 1000, 1200), ("chatter", 1300, 1500)]
