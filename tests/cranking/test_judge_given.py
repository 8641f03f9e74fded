"""What every case of a starter is judged by, where pulses, proof and course are given."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from assistant.cranking import judge
from assistant.cranking.case import Case
from assistant.cranking.course import Span
from assistant.cranking.judge import TOLD, doubted, not_sure_over, odds_of, takes_over, to_burst, weigh
from assistant.cranking.layers import ELSE, ENGINE, STARTER
from assistant.cranking.levels import BANDS, HOP, LEVEL_RATE_HZ
from assistant.cranking.rate import Pulses
from assistant.cranking.readings import Reader
from assistant.cranking.stretches import Stretch
from assistant.cranking.traits import STEP
from assistant.cranking.trust import LONGEST_S, SHORTEST_S

EVEN = np.ones(BANDS)
PULSES = Pulses(hz=6.0, strength=0.5, clear=0.3)


def case(start: int, stop: int, **more: Any) -> Case:
    """A starter and no engine after it."""
    usual: dict[str, Any] = {"pulses": PULSES, "uneven": None, "confidence": 0.9, "rest_stop": None, "caught": False}
    return Case(start=start, stop=stop, **usual | more)


def room(steps: int = 300, **more: Any) -> judge._Room:
    """What is heard: each level is its own number, in all bands; nothing is likely."""
    odds = np.zeros((steps, 3), np.float32)
    levels = np.arange(float(steps * STEP), dtype=np.float32)[:, None].repeat(BANDS, 1)
    usual: dict[str, Any] = {"cylinders": None, "expected": 0.0, "brief": False, "reader": Reader(), "origin": 0}
    return judge._Room(levels=levels, odds=odds, **usual | more)


@pytest.mark.parametrize(
    ("seconds", "sure"), [(SHORTEST_S, True), (SHORTEST_S - 0.01, False), (LONGEST_S, True), (LONGEST_S + 0.01, False)]
)
def test_no_starter_turns_shorter_or_longer_than_any_does(
    monkeypatch: pytest.MonkeyPatch, seconds: float, *, sure: bool
) -> None:
    """From 0.3 to 25 s; and all that speaks for it is asked."""
    asked = list[Any]()

    def prove(_levels: object, start: int, stop: int, **about: Any) -> Any:
        asked.append((start, stop, about))
        return SimpleNamespace(confidence=0.7)

    monkeypatch.setattr(judge, "prove", prove)
    monkeypatch.setattr(judge, "LEVEL_RATE_HZ", 1000)  # a stretch of one level is 1 ms, so that edges fall between
    there = room(expected=0.4, brief=True)
    there.odds[10:20, STARTER], there.odds[10:20, ELSE], there.odds[20:, STARTER] = 2.0, -1.5, 9.0
    stop = 100 + round(seconds * 1000)
    assert there.confidence(100, stop, PULSES, votes=0.3, engine=True) == (0.7 if sure else 0.0)
    assert len(asked) == sure


@pytest.mark.parametrize(
    ("start", "stop", "odds"), [(100, 200, 3.5), (100, 300, 5.75), (105, 149, 3.5), (190, 205, 3.5), (2999, 3040, 8.0)]
)
def test_how_sure_the_layers_are_is_the_mean_over_the_stretch(
    monkeypatch: pytest.MonkeyPatch, start: int, stop: int, odds: float
) -> None:
    """Log-odds of a starter against nothing, of its steps; of one at least."""
    found = list[float]()
    monkeypatch.setattr(judge, "prove", lambda *_, sure, **__: found.append(sure) or SimpleNamespace(confidence=0.7))
    monkeypatch.setattr(judge, "SHORTEST_S", 0.0)
    there = room()
    there.odds[10:20, STARTER], there.odds[10:20, ELSE], there.odds[20:, STARTER] = 2.0, -1.5, 8.0
    there.confidence(start, stop, None, votes=None, engine=False)
    assert found == [pytest.approx(odds)]
    there.confidence(3000, 3040, None, votes=None, engine=False)
    assert found[1:] == [0.0], "beyond the last step nothing is known"


def test_pulses_are_looked_for_within_the_edges_and_before_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.05 s off on either side, in a quarter of a second at least; the rhythm of the five seconds before is known."""
    asked = list[Any]()

    def find_pulses(levels: np.ndarray, weights: np.ndarray, *, known: Any, cylinders: Any) -> Pulses:
        asked.append((levels[0, 0], levels[-1, 0], weights[0], known, cylinders))
        return PULSES

    monkeypatch.setattr(judge, "find_pulses", find_pulses)
    monkeypatch.setattr(judge, "risen", lambda _levels, start, stop: np.full(BANDS, start + stop))
    monkeypatch.setattr(judge, "swings", lambda levels: levels)
    monkeypatch.setattr(judge, "rhythm", lambda swing: (swing[0, 0], swing[-1, 0]))
    monkeypatch.setattr(
        judge, "weakest_share", lambda levels, weights, hz, cylinders: (len(levels), weights[0], hz, cylinders)
    )
    levels = room().levels
    assert judge._turning(levels, 1000, 1300, None) == (PULSES, None)
    assert asked.pop() == (1006, 1293, 2300, (375, 993), None)
    assert judge._turning(levels, 1000, 1300, 4) == (PULSES, (288, 2300, 6.0, 4))
    assert asked.pop()[-1] == 4
    judge._turning(levels, 300, 600, None)
    assert asked.pop()[3] is None
    judge._turning(levels, 301, 600, None)
    assert asked.pop()[3] == (0, 294)
    assert judge._turning(levels, 1000, 1041, 4) == (None, None)
    assert judge._turning(levels, 1000, 1042, 4)[0] == PULSES
    there = room(cylinders=4)
    assert judge._uneven(there, 1000, 1300, PULSES) == (288, 2300, 6.0, 4)
    assert judge._uneven(there, 1000, 1042, PULSES) is not None and judge._uneven(there, 1000, 1041, PULSES) is None
    assert judge._uneven(room(), 1000, 1300, PULSES) is None
    monkeypatch.setattr(judge, "find_pulses", lambda *_, **__: None)
    assert judge._turning(levels, 1000, 1300, 4) == (None, None)


def weighed(monkeypatch: pytest.MonkeyPatch, *felt: Case, brief: bool = False, levels: int = 3000) -> list[Case]:
    """What is told of cases by the layers alone."""
    spans = [Span(part=STARTER, start=at, stop=at + 1, sure=1.0) for at in range(len(felt))]
    monkeypatch.setattr(judge, "follow", lambda *_: spans)
    monkeypatch.setattr(judge, "_felt", lambda _room, _spans, at: felt[at])
    there = np.zeros((levels, BANDS), np.float32), np.zeros(0, np.int16), np.zeros((levels // STEP, 3), np.float32)
    return weigh(*there, [], cylinders=None, expected=0.0, brief=brief)


def test_of_cases_that_overlap_the_surest_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Told in order; one begins at the earliest where the engine after the other stopped."""
    sure, less = case(500, 900, confidence=0.8), case(800, 1200, confidence=0.7)
    assert weighed(monkeypatch, less, sure) == [sure]
    assert weighed(monkeypatch, case(900, 1200, confidence=0.7), sure) == [sure, case(900, 1200, confidence=0.7)]
    assert weighed(monkeypatch, case(899, 1200, confidence=0.7), sure) == [sure]
    ran = case(500, 900, rest_stop=1000, caught=None)
    later = case(1000, 1200, confidence=0.7)
    assert weighed(monkeypatch, later, ran) == [ran, later]
    assert weighed(monkeypatch, case(999, 1200, confidence=0.7), ran) == [ran]
    before = case(100, 500, confidence=0.95)
    assert weighed(monkeypatch, ran, before) == [before, ran]
    assert weighed(monkeypatch, case(400, 1300, confidence=0.95), before, ran) != []


def test_an_engine_is_doubted_but_in_a_brief_sound(monkeypatch: pytest.MonkeyPatch) -> None:
    """A clip is cut around a start, hardly ever around a tool: there the claim stands."""
    ran = case(500, 900, rest_stop=1500, caught=True)
    assert [one.caught for one in weighed(monkeypatch, ran)] == [None]
    assert [one.caught for one in weighed(monkeypatch, ran, brief=True)] == [True]


@pytest.mark.parametrize(
    ("part", "stops", "sure", "brief", "caught"),
    [
        (ENGINE, 40, 1.6, False, True), (ENGINE, 40, 1.5, False, None), (ENGINE, 40, 0.7, True, True),
        (ENGINE, 40, 0.6, True, None), (ELSE, 40, 9.0, False, False), (None, 40, 9.0, False, False),
    ],
)  # fmt: skip
def test_the_layers_tell_an_engine_by_its_evidence(
    monkeypatch: pytest.MonkeyPatch, part: int | None, stops: int, sure: float, *, brief: bool, caught: bool | None
) -> None:
    """15 nats of it, 6 in a brief sound, in the span that follows the starter's."""
    asked = list[Any]()
    monkeypatch.setattr(judge, "_turning", lambda *about: asked.append(about[1:]) or (PULSES, 0.2))
    monkeypatch.setattr(judge._Room, "confidence", lambda *about, **more: asked.append((about[1:], more)) or 0.77)
    spans = [Span(part=STARTER, start=10, stop=30, sure=5.0)]
    spans += [] if part is None else [Span(part=part, start=30, stop=stops, sure=sure)]
    there = room(brief=brief, cylinders=6)
    there.odds[:, ENGINE] = -9.0
    found = judge._felt(there, spans, 0)
    runs = part == ENGINE
    assert found == case(100, 300, uneven=0.2, confidence=0.77, rest_stop=400 if runs else None, caught=caught)
    assert asked == [(100, 300, 6), ((100, 300, PULSES), {"votes": None, "engine": runs})]


@pytest.mark.parametrize(
    ("steps", "odds", "caught"), [(12, 0.31, None), (12, 0.29, False), (6, 0.61, None), (6, 0.59, False)]
)
def test_an_engine_may_have_run_where_the_second_after_it_is_likely_one(
    monkeypatch: pytest.MonkeyPatch, steps: int, odds: float, caught: bool | None
) -> None:
    """30 % in the mean of it, though no course was found; at the very end nobody knows, and it is none."""
    monkeypatch.setattr(judge, "_turning", lambda *_: (None, None))
    monkeypatch.setattr(judge._Room, "confidence", lambda *_, **__: 0.77)
    there = room()
    there.odds[:, ENGINE] = -99.0
    there.odds[30 : 30 + steps, ENGINE] = np.log(odds)
    there.odds[42:, ENGINE] = 0.0
    assert judge._felt(there, [Span(part=STARTER, start=10, stop=30, sure=5.0)], 0).caught is caught
    assert judge._felt(room(30), [Span(part=STARTER, start=10, stop=30, sure=5.0)], 0).caught is False


def test_a_reading_looks_five_seconds_around_the_stretch() -> None:
    """As far as there is sound; its times are counted from there, and the stream's are told with it."""
    asked = list[Any]()

    class Reads:
        def read(self, levels: Any, pcm: Any, start: int, stop: int, *, cylinders: Any, origin: int) -> None:
            asked.append((levels[0, 0], levels[-1, 0], pcm[0], pcm[-1], start, stop, cylinders, origin))

    there = room(reader=Reads(), origin=70, cylinders=6)
    pcm = np.repeat(np.arange(3000), HOP)
    for start, stop in ((1000, 1500), (100, 2900)):
        one = Stretch(start=start, stop=stop, before=EVEN, weights=EVEN, rise_db=9.0)
        assert judge._read(there, pcm, one) is None
    assert asked == [(375, 2124, 375, 2124, 625, 1125, 6, 445), (0, 2999, 0, 2999, 100, 2900, 6, 70)]


def test_a_long_sound_is_judged_in_pieces_as_if_it_were_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Five minutes at once would take too much memory; 14 s on either side of a piece are looked at with it."""

    def traits_of(levels: np.ndarray, pcm: np.ndarray) -> np.ndarray:
        """Sums of levels and of sound over 174 steps on either side of each step."""
        sums = [part[: len(levels) // STEP * long].reshape(-1, long).sum(axis=1) for part, long in
                ((levels[:, 0], STEP), (pcm, STEP * HOP))]  # fmt: skip
        return np.stack([np.convolve(one, np.ones(349), "same")[: len(one)] for one in sums], axis=1)

    monkeypatch.setattr(judge, "traits_of", traits_of)
    rng = np.random.default_rng(5)
    levels = rng.integers(-90, 0, (1000 * STEP + 7, BANDS)).astype(np.float64)
    pcm = np.repeat(rng.integers(-9, 9, 1000 * STEP + 7), HOP)
    layers: Any = np.copy  # a stand-in
    whole = odds_of(levels, pcm, layers)
    monkeypatch.setattr(judge, "_PIECE", 400)
    assert np.array_equal(odds_of(levels, pcm, layers), whole) and len(whole) == 1000
    assert odds_of(levels[:9], pcm[:0], layers).shape == (0, 3)


RAN = case(0, 375, rest_stop=625, caught=True, doubts=0)


def quieter_down(low_db: float, rest_db: float = 0.0, *, from_: int = 387) -> np.ndarray:
    """Three seconds of cranking, then two in which low bands and the others are so much louder."""
    levels = np.full((800, BANDS), -40.0, dtype=np.float32)
    levels[from_:, :4] += low_db
    levels[from_:, 4:] += rest_db
    levels[:25] += 40.0  # spinning up
    levels[363:from_] -= 40.0  # next to the end
    return levels


@pytest.mark.parametrize(
    ("low_db", "rest_db", "more", "caught"),
    [
        (1.5, 0.0, {}, True), (1.4, 0.0, {}, None), (2.0, 0.0, {"doubts": 1}, True), (1.9, 0.0, {"doubts": 1}, None),
        (4.0, 0.0, {"doubts": 2}, True), (3.9, 0.0, {"doubts": 2}, None),
        (1.5, 0.0, {"rest_stop": 750}, True), (1.4, 0.0, {"rest_stop": 750}, None),
        (5.0, -6.1, {"doubts": 1}, True), (5.0, -6.3, {"doubts": 1}, None), (5.0, -9.0, {}, True),
        (5.0, 0.0, {"rest_stop": 450}, True), (5.0, 0.0, {"rest_stop": 449}, None),
    ],
)  # fmt: skip
def test_an_engine_is_held_against_how_its_low_sounds_come_up(
    low_db: float, rest_db: float, more: dict[str, Any], caught: bool | None
) -> None:
    """1.5, 2 or 4 dB by how much it is doubted, however long it is heard; no fall by 3 dB where it is doubted."""
    one = Case(**{name: getattr(RAN, name) for name in Case.__slots__} | more)
    assert doubted(quieter_down(low_db, rest_db), one).caught is caught


@pytest.mark.parametrize(
    ("low_db", "plain", "over"),
    [
        (1.0, 1.76, True), (1.0, 1.74, False), (0.9, 9.0, False), (3.9, 1.74, False), (4.0, 1.01, True),
        (4.0, 0.99, False),
    ],
)  # fmt: skip
def test_the_release_is_called_where_an_engine_is_plain_now(low_db: float, plain: float, *, over: bool) -> None:
    """In the mean of the last quarter of a second, against whatever else is likeliest."""
    for other in (STARTER, ELSE):
        odds = np.full((80, 3), -20.0, dtype=np.float32)
        odds[-3:, other], odds[-3:, ENGINE] = -1.0, -1.0 + plain
        odds[-4, ENGINE] = 50.0
        assert takes_over(quieter_down(low_db, from_=381), odds, 0, 375) is over
    assert takes_over(quieter_down(low_db, from_=381), odds - 99, 0, 375, by_layers=False) is (low_db >= 1.0)
    assert not takes_over(quieter_down(9.0, from_=381), odds, 0, 30), "it had hardly spun up"


@pytest.mark.parametrize(
    ("start", "stop", "confidence", "sure"),
    [
        (376, 452, 0.9, False), (376, 451, 0.9, True), (300, 451, 0.9, False), (300, 450, 0.9, True),
        (549, 900, 0.9, False), (550, 900, 0.9, True), (376, 600, TOLD, False), (376, 600, TOLD - 0.01, True),
    ],
)  # fmt: skip
def test_where_a_starter_turns_on_for_long_nobody_is_sure_of_an_engine(
    start: int, stop: int, confidence: float, *, sure: bool
) -> None:
    """0.6 s within the time that it is said to have run, by a case that would be told of."""
    hardly = Case(**{name: getattr(RAN, name) for name in Case.__slots__} | {"doubts": 1})
    other = case(start, stop, confidence=confidence)
    assert not_sure_over(hardly, [hardly, other]).caught is (True if sure else None)


def test_a_burst_is_told_in_seconds_and_turns() -> None:
    """A four-stroke engine compresses once a cylinder in two turns; what ran too briefly is not sure."""
    told = to_burst(case(250, 625, rest_stop=875, caught=True, uneven=0.3), 4)
    assert (told.start_s, told.end_s, told.pulse_hz, told.rpm) == (2.0, 5.0, 6.0, 180.0)
    assert (told.caught, told.run_s, told.uneven, told.confidence) == (True, 2.0, 0.3, 0.9)
    for more, caught, run_s in (
        ({"rest_stop": 824, "caught": True}, None, None), ({"rest_stop": 825, "caught": True}, True, 1.6),
        ({"rest_stop": 875, "caught": None}, None, None), ({"caught": True}, None, None), ({}, False, None),
    ):  # fmt: skip
        told = to_burst(case(250, 625, **more), None)
        assert (told.caught, told.run_s, told.rpm) == (caught, run_s, None)
    for hz, cylinders, known in ((26.0, None, True), (26.1, None, False), (26.1, 8, True)):
        told = to_burst(case(250, 625, pulses=Pulses(hz=hz, strength=0.5, clear=0.3)), cylinders)
        assert (told.pulse_hz is not None) is known
    assert to_burst(case(250, 625, pulses=None), 4).rpm is None
    assert LEVEL_RATE_HZ == 125
