"""The rules of the ear on a stream one by one: what is raised, followed and judged is given."""

from __future__ import annotations

from contextlib import nullcontext
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from assistant.cranking import live
from assistant.cranking.case import Case
from assistant.cranking.course import Span
from assistant.cranking.events import Began, Caught, Dropped, Knocked
from assistant.cranking.judge import TOLD
from assistant.cranking.layers import ELSE, ENGINE, STARTER
from assistant.cranking.levels import BANDS, HOP, LEVEL_RATE_HZ
from assistant.cranking.live import CrankEar
from assistant.cranking.model import Kind
from assistant.cranking.stay import SAME, Stay, Turning
from assistant.cranking.stretches import Stretch
from assistant.cranking.traits import STEP

EVEN = np.ones(BANDS)
LAYERS: Any = SimpleNamespace(kinds=None, one_core=nullcontext)


def ear_at(now: int, first: int = 0, **knows: Any) -> CrankEar:
    """An ear that has heard so many levels and keeps those from `first` on. `knows`: what it has in mind."""
    ear = CrankEar(LAYERS, 4)
    count = now - first
    odds = np.full((count // STEP, 3), -9.0, dtype=np.float32)
    odds[:, ELSE] = 0.0
    track = SimpleNamespace(now=now, first=first, odds=odds, look=lambda: None)
    track.levels = np.arange(float(first), now, dtype=np.float32)[:, None].repeat(BANDS, 1)
    track.pcm = np.repeat(np.arange(first, now), HOP)
    ear._track = track  # type: ignore[assignment] - a stand-in
    for name, value in knows.items():
        setattr(ear, f"_{name}" if hasattr(ear, f"_{name}") else name, value)
    return ear


def raised(start: int, stop: int | None = None, rise_db: float = 9.0) -> Stretch:
    """A stretch of raised sound."""
    return Stretch(start=start, stop=stop, before=EVEN, weights=EVEN, rise_db=rise_db)


def case(start: int, stop: int, **more: Any) -> Case:
    """What is judged of a burst."""
    usual: dict[str, Any] = {"pulses": None, "uneven": None, "confidence": 0.9, "rest_stop": None, "caught": False}
    return Case(start=start, stop=stop, **usual | more)


@pytest.mark.parametrize(
    ("one", "now", "worth"),
    [
        (raised(1000, 1040), 1500, True), (raised(1000, 1039), 1500, False),
        (raised(1000), 1040, True), (raised(1000), 1039, False),
        (raised(1000, 1200, 2.5), 1500, True), (raised(1000, 1200, 2.4), 1500, False),
        (raised(0, 1200), 1500, False), (raised(100, 400), 1500, True),
    ],
)  # fmt: skip
def test_raised_sound_is_worth_reading_where_it_is_long_and_clear(one: Stretch, now: int, *, worth: bool) -> None:
    """A third of a second, 2.5 dB, and not there from the first."""
    ear = ear_at(now, first=500)
    ear._track.odds[:, STARTER] = -1.0
    assert ear._may_be(one) is worth


@pytest.mark.parametrize("part", [STARTER, ENGINE])
@pytest.mark.parametrize(("odds", "worth"), [(-2.9, True), (-3.1, False)])
def test_what_the_layers_hold_for_nothing_throughout_is_not_read(part: int, odds: float, *, worth: bool) -> None:
    """In the mean over the stretch alone, whichever of starter and engine is likelier."""
    ear = ear_at(1500, first=500)
    ear._track.odds[50:70, part] = odds  # from level 1000 to 1200
    assert ear._may_be(raised(1000, 1200)) is worth
    ear._track.odds[50:70, ELSE] = -0.3
    assert ear._may_be(raised(1000, 1200))


def due(ear: CrankEar, *, over: bool = False, stay: Stay | None = None, goes_on: bool = False) -> Stay | None:
    """What is over, where the course has `stay`."""
    ear._stay = lambda: stay  # type: ignore[method-assign]
    ear._goes_on = lambda _stay: goes_on  # type: ignore[method-assign]
    ear._may_be = lambda one: one.rise_db > 5.0  # type: ignore[method-assign]
    return ear._due(over=over)


def test_a_stretch_is_judged_once_enough_was_heard_after_it() -> None:
    """0.56 s, or all that there is; and once alone."""
    ear = ear_at(1070, stretches=[raised(500, 1000)])
    assert due(ear) == Stay(start=500, stop=1000) and due(ear) is None
    assert due(ear_at(1069, stretches=[raised(500, 1000)])) is None
    assert due(ear_at(1069, stretches=[raised(500, 1000)]), over=True) == Stay(start=500, stop=1000)
    assert due(ear_at(1500, stretches=[raised(500, 1000, 1.0)])) is None
    two = ear_at(1500, stretches=[raised(200, 400), raised(500, 1000)])
    assert [due(two), due(two), due(two)] == [Stay(start=200, stop=400), Stay(start=500, stop=1000), None]
    assert due(ear_at(1500, stretches=[raised(500, 1000)], told_to=500)) is not None
    assert due(ear_at(1500, stretches=[raised(500, 1000)], told_to=501)) is None


@pytest.mark.parametrize(
    ("start", "stop", "own"), [(500, 600, True), (500, 601, False), (900, 1000, True), (899, 1000, False)]
)
def test_a_stretch_apart_from_the_course_is_judged_by_itself(start: int, stop: int, *, own: bool) -> None:
    """What overlaps a starter by the course is that; which is told once it does not go on."""
    stay = Stay(start=600, stop=900)
    found = due(ear_at(1500, stretches=[raised(start, stop)]), stay=stay, goes_on=True)
    assert found == (Stay(start=start, stop=stop) if own else None)
    assert due(ear_at(1500), stay=stay) == stay
    assert due(ear_at(1500), stay=stay, goes_on=True) is None
    assert due(ear_at(1500), stay=stay, goes_on=True, over=True) == stay


@pytest.mark.parametrize(
    ("one", "expected", "kept"),
    [
        (raised(500, 560, 4.0), 0.1, True), (raised(500, 559, 4.0), 0.1, False), (raised(500, 560, 3.9), 0.1, False),
        (raised(500, 560, 4.0), 0.0, False), (raised(500, 560, 6.0), 0.1, False),
    ],
)  # fmt: skip
def test_what_only_rose_is_heeded_where_a_starter_was_asked_for(one: Stretch, expected: float, *, kept: bool) -> None:
    """Half a second of it by four decibels may be one that turns nothing; what is read is no longer that."""
    ear = ear_at(1500, stretches=[one], expected=expected)
    due(ear)
    assert ear._aside == ([one] if kept else [])


def reads(monkeypatch: pytest.MonkeyPatch, ear: CrankEar, found: Case | None) -> list[Stay]:
    """Looks whether raised sound reads as a starter, where each reads alike; what was read."""
    asked = list[Stay]()

    def weigh(stay: Stay) -> Case | None:
        asked.append(stay)
        return found

    monkeypatch.setattr(ear, "_weigh", weigh)
    monkeypatch.setattr(ear, "_stay_by_course", lambda: None)
    monkeypatch.setattr(ear, "_may_be", lambda one: one.rise_db > 5.0)
    ear._read_open()
    return asked


def test_what_goes_on_is_read_once_a_second(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sooner where it was seen to turn."""
    ear = ear_at(1000, read_next=1000)
    ear._finder.open = [raised(500, None, 1.0), raised(700), raised(800)]
    asked = reads(monkeypatch, ear, case(700, 990))
    assert asked == [Stay(start=700, stop=1000)] and ear._by_reading == Stay(start=700, stop=990, nats=9.0)
    assert ear._read_next == 1000 + LEVEL_RATE_HZ
    late = ear_at(999, read_next=1000)
    late._finder.open = [raised(700)]
    assert reads(monkeypatch, late, case(700, 990)) == []
    for now, began, read in ((910, True, True), (909, True, False), (999, False, False)):
        seen = ear_at(now, read_next=1000, turning=Turning(start=700, began=began))
        seen._finder.open = [raised(700)]
        assert bool(reads(monkeypatch, seen, case(700, 900))) is read


def test_what_reads_as_a_starter_is_kept_with_the_engine_that_surely_ran(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not what was told of, nor what is hardly one; the course knows better."""
    for found, kept in (
        (case(700, 900, rest_stop=950, caught=True), Stay(start=700, stop=900, ran_to=950, nats=9.0)),
        (case(700, 900, rest_stop=950, caught=None), Stay(start=700, stop=900, nats=9.0)),
        (case(700, 900, confidence=TOLD), Stay(start=700, stop=900, nats=9.0)),
        (case(700, 900, confidence=TOLD - 0.01), None),
        (case(600, 900), Stay(start=600, stop=900, nats=9.0)),
        (case(599, 900), None),
        (None, None),
    ):
        ear = ear_at(1000, told_to=600)
        ear._finder.open = [raised(600)]
        reads(monkeypatch, ear, found)
        assert ear._by_reading == kept
    told = ear_at(1000, told_to=601)
    told._finder.open = [raised(600)]
    assert reads(monkeypatch, told, case(700, 900)) == []
    known = ear_at(1000, by_reading=Stay(start=1, stop=2))
    known._stay_by_course = lambda: Stay(start=700, stop=900)  # type: ignore[method-assign]
    known._read_open()
    assert known._by_reading is None


def course(monkeypatch: pytest.MonkeyPatch, ear: CrankEar, *spans: tuple[int, int, int]) -> Stay | None:
    """The starter of a course of part, first and last step, of what is looked at."""
    found = [Span(part=part, start=start, stop=stop, sure=2.0) for part, start, stop in spans]
    monkeypatch.setattr(live, "follow", lambda odds, levels: found if len(levels) // STEP == len(odds) else [])
    return ear._stay_by_course()


def test_the_first_starter_of_the_course_that_was_not_told_is_the_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the engine that follows it; not what is there from the very first, nor what was rejected and is no more."""
    spans = (STARTER, 10, 30), (ENGINE, 30, 50), (STARTER, 60, 90)
    assert course(monkeypatch, ear_at(1000), *spans) == Stay(start=100, stop=300, ran_to=500, nats=40.0)
    assert course(monkeypatch, ear_at(1000), (STARTER, 0, 30)) is None
    assert course(monkeypatch, ear_at(1000), (STARTER, 1, 30)) == Stay(start=10, stop=300)
    assert course(monkeypatch, ear_at(1000, told_to=110), *spans) is not None
    assert course(monkeypatch, ear_at(1000, told_to=111), *spans) == Stay(start=600, stop=900)
    again = ear_at(1000, rejected=[Stay(start=100, stop=300)])
    assert course(monkeypatch, again, *spans) == Stay(start=600, stop=900)
    assert course(monkeypatch, ear_at(1000), (ENGINE, 10, 30)) is None
    assert ear_at(1000, by_reading=Stay(start=5, stop=9))._stay() == Stay(start=5, stop=9)
    assert ear_at(1000, by_reading=Stay(start=5, stop=9), rejected=[Stay(start=5, stop=9)])._stay() is None


@pytest.mark.parametrize(
    ("turning", "first_step"),
    [(None, 125), (Turning(start=4500), 125), (Turning(start=1000), 93), (Turning(start=60), 0)],
)
def test_half_a_minute_is_followed_and_more_where_a_burst_is_longer(
    monkeypatch: pytest.MonkeyPatch, turning: Turning | None, first_step: int
) -> None:
    """From half a second before it; and once alone for a look."""
    asked = list[tuple[int, int]]()

    def follow(odds: np.ndarray, levels: np.ndarray) -> list[Span]:
        asked.append((len(odds), int(levels[0, 0])))
        return [Span(part=STARTER, start=2, stop=20, sure=2.0)]

    monkeypatch.setattr(live, "follow", follow)
    ear = ear_at(5000 + 1250, first=1250, turning=turning and Turning(start=turning.start + 1250))
    stay = ear._stay_by_course()
    assert asked == [(500 - first_step, 1250 + first_step * STEP)]
    assert stay == Stay(start=1250 + (first_step + 2) * STEP, stop=1250 + (first_step + 20) * STEP)
    ear._stay_by_course()
    assert len(asked) == 1


@pytest.mark.parametrize(
    ("stay", "now", "knows", "goes_on"),
    [
        (Stay(start=500, stop=1000), 1069, {}, True), (Stay(start=500, stop=1000), 1070, {}, False),
        (Stay(start=500, stop=1000), 1249, {"turning": Turning(start=500, caught=True)}, True),
        (Stay(start=500, stop=1000), 1250, {"turning": Turning(start=500, caught=True)}, False),
        (Stay(start=500, stop=1000), 1249, {"turning": Turning(start=500)}, False),
        (Stay(start=500, stop=1000), 1100, {"judged_again": 1101}, True),
        (Stay(start=500, stop=1000), 1101, {"judged_again": 1101}, False),
        (Stay(start=500, stop=3624), 3625, {}, True), (Stay(start=500, stop=3625), 3625, {}, False),
        (Stay(start=500, stop=1000, ran_to=1200), 1269, {}, True),
        (Stay(start=500, stop=1000, ran_to=1200), 1270, {}, False),
        (Stay(start=500, stop=1000, ran_to=1499), 1499, {}, True),
        (Stay(start=500, stop=1000, ran_to=1500), 1500, {}, False),
    ],
)  # fmt: skip
def test_a_burst_goes_on_until_its_end_has_settled(
    stay: Stay, now: int, knows: dict[str, Any], *, goes_on: bool
) -> None:
    """0.56 s, 2 s where an engine was told of, which may be hidden; 25 s of a starter, 4 s of an engine are enough."""
    ear = ear_at(now, **knows)
    ear._still_turns = lambda _stay: False  # type: ignore[method-assign]
    assert ear._goes_on(stay) is goes_on
    ear._still_turns = lambda _stay: True  # type: ignore[method-assign]
    assert ear._goes_on(stay) is (goes_on if stay.ran_to or stay.stop == 3625 else True)


@pytest.mark.parametrize(
    ("found", "turns"),
    [
        (case(500, 992), True), (case(500, 991), False), (case(500, 992, confidence=TOLD), True),
        (case(500, 992, confidence=TOLD - 0.01), False), (case(500, 992, rest_stop=999), False), (None, False),
    ],
)  # fmt: skip
def test_what_reads_as_one_burst_up_to_now_is_judged_again_later(found: Case | None, *, turns: bool) -> None:
    """In half a second; its end is not known yet."""
    ear = ear_at(1000)
    ear._weigh = lambda _stay: found  # type: ignore[method-assign]
    assert ear._still_turns(Stay(start=500, stop=800)) is turns
    assert ear._judged_again == (1070 if turns else 0)


def news(ear: CrankEar, stay: Stay | None) -> list[Any]:
    """What is told of a starter that seems to turn so."""
    ear._stay = lambda: stay  # type: ignore[method-assign]
    return ear._news()


def test_what_is_out_of_sight_for_a_moment_is_not_taken_back() -> None:
    """Eight looks, 0.64 s; what was not told of need not be."""
    ear = ear_at(1000, turning=Turning(start=500, began=True))
    assert [news(ear, None) for _ in range(7)] == [[]] * 7 and ear._turning is not None
    assert news(ear, None) == [Dropped(at_s=8.0, kind=Kind.OTHER)] and ear._turning is None
    ear = ear_at(1000, turning=Turning(start=500))
    assert news(ear, None) == [] and ear._turning is None
    ear = ear_at(1000, turning=Turning(start=500, began=True, gone=3))
    news(ear, Stay(start=500 + SAME, stop=1000))
    assert ear._turning is not None and (ear._turning.gone, ear._turning.stop) == (0, 1000)
    assert ear._turning.start == 500
    news(ear, Stay(start=501 + SAME, stop=1000))
    assert ear._turning.gone == 1
    ear._turning.gone = 7
    assert news(ear, Stay(start=700, stop=1000)) == [Dropped(at_s=8.0, kind=Kind.OTHER)]


@pytest.mark.parametrize(("long", "told"), [(40, True), (39, False)])
def test_a_beginning_is_told_after_a_third_of_a_second(long: int, *, told: bool) -> None:
    """Once."""
    ear = ear_at(900 + long)
    stay = Stay(start=900, stop=900 + long)
    assert news(ear, stay) == ([Began(at_s=7.2)] if told else [])
    assert Began(at_s=7.2) not in news(ear, stay)


def ends(
    monkeypatch: pytest.MonkeyPatch, now: int, stay: Stay, *, read: bool = False, plain: bool = True, **turning: Any
) -> tuple[list[Any], CrankEar, list[Any]]:
    """What is told of its end, the ear, and how it was asked whether an engine takes over. `plain`: it does."""
    ear = ear_at(now, first=200, turning=Turning(start=stay.start, began=True, **turning))
    ear._by_reading = stay if read else None
    asked = list[Any]()

    def takes_over(_levels: Any, _odds: Any, start: int, stop: int, *, by_layers: bool) -> bool:
        asked.append((start, stop, by_layers))
        return plain

    monkeypatch.setattr(live, "takes_over", takes_over)
    assert ear._turning is not None
    return ear._end(stay, ear._turning), ear, asked


def test_the_engine_is_told_where_it_plainly_takes_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """With enough evidence, and half a second after it, for glances see it sooner. A reading always seems to end.

    What is found out later than 0.7 s is mostly of a starter that turns on.
    """
    ran = Stay(start=500, stop=900, ran_to=950, nats=4.1)
    told, ear, asked = ends(monkeypatch, 988, ran)
    assert told == [Caught(at_s=7.2)] and asked == [(300, 700, True)]
    assert ear._turning is not None and ear._turning.took_over == ear._turning.released == 900
    assert ends(monkeypatch, 960, ran)[0] == [Caught(at_s=7.2)] and ends(monkeypatch, 959, ran)[0] == []
    assert ends(monkeypatch, 989, ran)[0] == [] == ends(monkeypatch, 980, ran, took_over=900)[0]
    told, _, asked = ends(monkeypatch, 908, ran, read=True)
    assert told == [Caught(at_s=7.2)] and asked == [(300, 700, False)]
    assert ends(monkeypatch, 907, ran, read=True)[0] == []
    so_far = Stay(start=500, stop=900, nats=4.1)
    assert ends(monkeypatch, 969, so_far, read=True)[0] == [] != ends(monkeypatch, 970, so_far, read=True)[0]


def test_the_course_says_nothing_of_a_release(monkeypatch: pytest.MonkeyPatch) -> None:
    """It loses sight of a starter that turns on; who glances at it knows."""
    ran = Stay(start=500, stop=900, ran_to=950, nats=4.1)
    assert ends(monkeypatch, 980, ran, plain=False)[0] == []
    assert ends(monkeypatch, 980, Stay(start=500, stop=900, ran_to=950, nats=4.0))[0] == []
    assert ends(monkeypatch, 980, Stay(start=500, stop=900))[0] == []
    ear = ear_at(980, turning=Turning(start=500))
    assert ear._turning is not None and ear._end(ran, ear._turning) == []


def test_a_knock_is_told_only_where_a_starter_was_asked_for_and_none_turns() -> None:
    """What was told of takes its own knocks with it."""
    for expected, turning, told in ((0.1, None, True), (0.0, None, False), (0.1, Turning(start=1), False)):
        ear = ear_at(1000, expected=expected, turning=turning, told_to=77)
        ear._knocked = SimpleNamespace(look=lambda levels, now, to: [now - len(levels) + to])  # type: ignore[assignment]
        assert ear._knocks() == ([Knocked(at_s=77 / 125)] if told else [])
