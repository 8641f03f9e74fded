"""What the ear on a stream makes of what is over: a burst, one that turned nothing, or none at all."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from assistant.cranking import live
from assistant.cranking.case import Case
from assistant.cranking.events import Dropped, Ended
from assistant.cranking.judge import TOLD
from assistant.cranking.kinds import KINDS
from assistant.cranking.layers import PARTS
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ
from assistant.cranking.likely import TURNS_FROM, Likely
from assistant.cranking.live import CrankEar
from assistant.cranking.model import Kind
from assistant.cranking.rate import Pulses
from assistant.cranking.stay import SAME, Standing, Stay, Turning
from assistant.cranking.traits import STEP
from tests.cranking.test_live_parts import case, ear_at, raised

STAY = Stay(start=1000, stop=1300)
BURST = case(1000, 1300)


def like(kind: Kind, **more: Any) -> Likely:
    """Surely of that kind."""
    return Likely(shares={each: float(each is kind) for each in KINDS}, **more)


def judged(
    monkeypatch: pytest.MonkeyPatch, ear: CrankEar, found: Case | None, *kinds: Likely, stay: Stay = STAY
) -> list[tuple[Any, ...]]:
    """What is told of it. `kinds`: what it sounds like, each time that it is asked; the last from then on."""
    asked = iter(kinds)
    last = [like(Kind.CRANK)]

    def likely(*_: Any) -> Likely:
        last[0] = next(asked, last[0])
        return last[0]

    monkeypatch.setattr(ear, "_weigh", lambda _stay: found)
    monkeypatch.setattr(ear, "_likely", likely)
    monkeypatch.setattr(live, "trace_of", lambda *about: about[1:])
    monkeypatch.setattr(live, "unless_plain", lambda _levels, _pcm, case: case)  # there is no sound
    return [in_words(event) for event in ear._judge(stay)]


def in_words(event: Any) -> tuple[Any, ...]:
    """Kind, edges in levels and outcome of a burst; what else was told, and when."""
    if isinstance(event, Ended):
        one = event.burst
        return str(one.kind), one.start_s * LEVEL_RATE_HZ, one.end_s * LEVEL_RATE_HZ, one.caught
    return type(event).__name__, event.at_s * LEVEL_RATE_HZ, *([str(event.kind)] if isinstance(event, Dropped) else [])


def ear(**knows: Any) -> CrankEar:
    """An ear that was asked for a starter, and told that one began."""
    knows = {"turning": Turning(start=1000, began=True), "expected": 1.0} | knows
    return ear_at(1600, first=500, **knows)


def test_a_burst_is_told_and_what_began_before_its_end_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to where the engine stopped that surely ran after it, and never less than it seemed to turn."""
    for found, told_to, told in (
        (BURST, 1300, ("crank", 1000, 1300, False)),
        (case(1000, 1350), 1350, ("crank", 1000, 1350, False)),
        (case(1000, 1200), 1300, ("crank", 1000, 1200, False)),
        (case(1000, 1300, rest_stop=1500, caught=True), 1500, ("crank", 1000, 1300, True)),
        (case(1000, 1300, rest_stop=1500, caught=None), 1300, ("crank", 1000, 1300, None)),
    ):
        heard = ear()
        assert judged(monkeypatch, heard, found) == [told]
        assert heard._told_to == told_to and heard._turning is None and heard._rejected == []


def test_what_is_not_plainly_an_engine_is_not_told_as_running(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is asked of the sound that is kept, and says nothing of where the burst ends or up to where it was told of."""
    heard, ran = ear(), case(1000, 1300, rest_stop=1500, caught=True)
    judged(monkeypatch, heard, ran)
    asked: list[Case] = []

    def not_sure(levels: np.ndarray, pcm: np.ndarray, one: Case) -> Case:
        asked.append(one)
        assert len(pcm) == HOP * len(levels)
        return replace(one, caught=None)

    monkeypatch.setattr(live, "unless_plain", not_sure)
    heard = ear()
    monkeypatch.setattr(heard, "_weigh", lambda _stay: ran)
    monkeypatch.setattr(heard, "_likely", lambda *_: like(Kind.CRANK))
    assert [in_words(event) for event in heard._judge(STAY)] == [("crank", 1000, 1300, None)]
    assert heard._told_to == 1500
    assert [(one.start, one.stop, one.rest_stop) for one in asked] == [(500, 800, 1000)]


def test_the_trace_of_a_burst_is_of_what_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its times count from the oldest level kept; its speed is that of the case."""
    pulses = Pulses(hz=6.0, strength=0.5, clear=0.3)
    heard = ear()
    judged(monkeypatch, heard, None)
    monkeypatch.setattr(heard, "_weigh", lambda _stay: case(1000, 1300, rest_stop=1500, caught=True, pulses=pulses))
    [event] = heard._judge(STAY)
    assert isinstance(event, Ended) and event.trace == (500, 800, 1000, 6.0)
    monkeypatch.setattr(heard, "_weigh", lambda _stay: case(1500, 1550))
    [event] = heard._judge(Stay(start=1500, stop=1550))
    assert isinstance(event, Ended) and event.trace == (1000, 1050, None, None)


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (None, False), (case(1000, 1300, confidence=TOLD - 0.01), False), (case(1000, 1300, confidence=TOLD), True),
        (case(799, 1300), False), (case(800, 1300), True),
    ],
)  # fmt: skip
def test_what_is_hardly_a_starter_is_taken_back(
    monkeypatch: pytest.MonkeyPatch, found: Case | None, *, told: bool
) -> None:
    """Nor is what began before something that was told of; it is kept in mind as none."""
    heard = ear(told_to=800)
    assert (judged(monkeypatch, heard, found) != [("Dropped", 1300, "crank")]) is told
    assert (heard._rejected == [STAY]) is not told
    for turning in (None, Turning(start=1000)):
        assert bool(judged(monkeypatch, ear(told_to=800, turning=turning), found)) is told


def test_a_whine_or_a_chatter_is_told_where_a_starter_was_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether the two views took it for a starter or not; else it was none."""
    whine = like(Kind.WHINE, believed=None)
    whole = ("whine", 1000, 1300, False)
    for found in (None, BURST):
        assert judged(monkeypatch, ear(), found, whine) == [whole]
        assert judged(monkeypatch, ear(expected=0.0), found, whine) == [("Dropped", 1300, "whine")]
        assert judged(monkeypatch, ear(expected=0.0, turning=None), found, whine) == []
        assert judged(monkeypatch, ear(expected=0.0, turning=Turning(start=1000)), found, whine) == []
        assert judged(monkeypatch, ear(turning=None), found, whine) == [whole]
    other = like(Kind.OTHER)
    heard = ear()
    assert judged(monkeypatch, heard, BURST, other) == [("Dropped", 1300, "other")] and heard._rejected == [STAY]
    assert judged(monkeypatch, ear(), BURST, other, whine) == [whole]  # judged again as what only rose
    assert judged(monkeypatch, ear(expected=0.0), BURST, other, whine) == [("Dropped", 1300, "other")]


def test_what_runs_out_is_no_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    """A starter that turns nothing stood there, and seemed to go on: what followed is not told as an engine."""
    ran = case(1000, 1300, rest_stop=1500, caught=True)
    for start, caught in ((1000 + SAME, None), (1000 - SAME, None), (1001 + SAME, True)):
        standing = Standing(likely=like(Kind.WHINE), start=start, stop=1100)
        assert judged(monkeypatch, ear(standing=standing), ran) == [("crank", 1000, 1300, caught)]


def test_a_spin_is_told_by_all_of_the_raised_sound_that_began_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its first moment sounds like a starter under load; what ran, or may have, is not looked at so."""
    usual, whine = like(Kind.CRANK), like(Kind.WHINE)
    long = raised(1010, 1500)
    longer = ("whine", 1000, 1500, False)
    assert judged(monkeypatch, ear(stretches=[long]), BURST, usual, whine) == [longer]
    assert judged(monkeypatch, ear(stretches=[raised(1010, 1300 + SAME)]), BURST, usual, whine) != [longer]
    unsure = case(1000, 1300, caught=None)
    assert judged(monkeypatch, ear(stretches=[long]), unsure, usual, whine) == [("crank", 1000, 1300, None)]
    standing = Standing(likely=whine, start=1000, stop=1100)
    assert judged(monkeypatch, ear(stretches=[long], standing=standing), unsure, usual, whine) == [longer]
    ran = case(1000, 1300, rest_stop=1550, caught=True)
    assert judged(monkeypatch, ear(stretches=[long]), ran, usual, whine) == [("crank", 1000, 1300, True)]
    # What is a usual starter over all of it stays one; but something rose with it and went on without it.
    assert judged(monkeypatch, ear(stretches=[long]), BURST, usual, usual) == [("crank", 1000, 1300, None)]
    light = like(Kind.LIGHT)
    assert judged(monkeypatch, ear(stretches=[long]), BURST, light, usual) == [("light", 1000, 1300, False)]


@pytest.mark.parametrize(("stop", "odd"), [(1599, False), (1600, True)])
def test_the_rhythm_of_a_burst_is_that_of_the_whole_where_it_is_most_of_it(
    monkeypatch: pytest.MonkeyPatch, stop: int, *, odd: bool
) -> None:
    """A rhythm as slow as a crankshaft, or a swell as slow and even, says that something turned."""
    for known in ({"pulses": Pulses(hz=4.0, strength=0.5, clear=0.3)}, {"turn": TURNS_FROM}):
        whole = like(Kind.CRANK, **known)
        found = judged(monkeypatch, ear(stretches=[raised(1000, stop)]), BURST, whole, like(Kind.WHINE))
        assert found[0][0] == ("whine" if odd else "crank")


def test_an_engine_that_was_told_of_is_not_denied(monkeypatch: pytest.MonkeyPatch) -> None:
    """The release was called for it."""
    told = ear(turning=Turning(start=1000, began=True, caught=True))
    assert judged(monkeypatch, told, BURST) == [("crank", 1000, 1300, None)]
    assert judged(monkeypatch, ear(turning=None), BURST) == [("crank", 1000, 1300, False)]


def test_a_burst_is_weighed_by_what_lies_around_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Thirteen seconds before it, and the raised sound that meets it; of the cases the one that it shares most with."""
    asked = list[Any]()
    cases = list[Case]()

    def weigh(levels: Any, pcm: Any, odds: Any, near: Any, **about: Any) -> list[Case]:
        asked.append((int(levels[0, 0]), int(pcm[0]), len(odds), [(one.start, one.stop) for one in near], about))
        return cases

    monkeypatch.setattr(live, "weigh", weigh)
    heard = ear_at(4000, first=1000, expected=0.7, stretches=[raised(900, 2900), raised(2900, 2999), raised(900, 3001)])
    heard._finder.open = [raised(3100), raised(3400)]
    first = 3000 - 13 * LEVEL_RATE_HZ - 5  # a whole step
    assert heard._weigh(Stay(start=3000, stop=3300)) is None
    [(level, frame, steps, near, about)] = asked
    assert (level, frame, steps) == (first, first, 300 - (first - 1000) // STEP)
    assert near == [(0, 3001 - first), (3100 - first, 4000 - first)]
    assert about == {"cylinders": 4, "expected": 0.7, "known": (heard._reader, first)}
    low = 3000 - first
    cases[:] = [case(low - 200, low + 50), case(low + 100, low + 200), case(low + 400, low + 900)]
    best = heard._weigh(Stay(start=3000, stop=3300))
    assert best is not None and (best.start, best.stop) == (3100, 3200)
    cases[:] = [case(low - 200, low), case(low + 300, low + 400)]
    assert heard._weigh(Stay(start=3000, stop=3300)) is None
    cases[:] = [case(low - 200, low + 1), case(low + 299, low + 400)]
    assert heard._weigh(Stay(start=3000, stop=3300)) is not None
    early = ear_at(4000)
    cases[:] = [case(9, 900)]
    assert early._weigh(Stay(start=20, stop=300)) is None
    cases[:] = [case(10, 900)]
    assert early._weigh(Stay(start=20, stop=300)) is not None


def test_what_is_raised_is_that_which_meets_the_burst(monkeypatch: pytest.MonkeyPatch) -> None:
    """What ended before it or begins after it is not, nor what was there from the first."""
    near = list[Any]()
    monkeypatch.setattr(live, "weigh", lambda *there, **_: near.extend((one.start, one.stop) for one in there[3]) or [])
    heard = ear_at(
        1000, stretches=[raised(100, 300), raised(100, 301), raised(0, 400), raised(599, 700), raised(600, 700)]
    )
    heard._finder.open = [raised(250)]
    heard._weigh(Stay(start=300, stop=600))
    assert near == [(100, 301), (599, 700), (250, 1000)]


def test_a_standing_spin_is_told_once_it_is_over() -> None:
    """0.56 s after its raised sound ended, or after ten seconds, or with the end of the sound; unless told already."""
    likely = like(Kind.WHINE, believed=None)
    for now, stretches, over, told in (
        (1600, [raised(1000)], False, False),
        (1600, [raised(1000)], True, True),
        (1600, [raised(1000, 1531)], False, False),
        (1600, [raised(1000, 1530)], False, True),
        (1600, [raised(1000 + SAME)], False, False),
        (1600, [raised(1001 + SAME)], False, True),
        (2249, [raised(1000)], False, False),
        (2250, [raised(1000)], False, True),
    ):
        heard = ear_at(now, stretches=stretches, standing=Standing(likely=likely, start=1000, stop=1100))
        found = [in_words(event) for event in heard._stands(over=over)]
        assert found == ([("whine", 1000, 1100, False)] if told else [])
        assert (heard._standing is None) is told and heard._told_to == (1100 if told else 0)
    for told_to, told in ((1000, True), (1001, False)):
        heard = ear_at(1600, told_to=told_to, standing=Standing(likely=likely, start=1000, stop=1100))
        assert bool(heard._stands(over=True)) is told and heard._standing is None
    assert ear_at(1600)._stands(over=True) == []


def test_what_turns_nothing_stands_while_its_raised_sound_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """And is told up to the end of all that began with it; not what was told of, nor what an engine is."""
    whine = like(Kind.WHINE, believed=0.6)
    for stretches, told in (
        ([raised(1010)], []),
        ([raised(1010, 1400)], [("whine", 1000, 1400, False)]),
        ([raised(1010, 1200)], [("whine", 1000, 1300, False)]),
        ([raised(1010, 1400), raised(1020, 1450)], [("whine", 1000, 1450, False)]),
        ([], [("whine", 1000, 1300, False)]),
    ):
        heard = ear_at(1600, stretches=stretches)
        monkeypatch.setattr(heard, "_likely", lambda *_: whine)
        events = heard._oddly(1000, 1300)
        assert [in_words(event) for event in events] == told
        assert (heard._standing == Standing(likely=whine, start=1000, stop=1300)) is not bool(told)
        assert all(isinstance(one, Ended) and one.burst.confidence == pytest.approx(0.6) for one in events)
    for knows, told in (
        ({"told_to": 1000}, True), ({"told_to": 1001}, False),
        ({"took_over": 1000 - SAME}, False), ({"took_over": 1000 + SAME}, False), ({"took_over": 999 - SAME}, True),
    ):  # fmt: skip
        heard = ear_at(1600, **knows)
        monkeypatch.setattr(heard, "_likely", lambda *_: whine)
        assert bool(heard._oddly(1000, 1300)) is told
    heard = ear_at(1600)
    monkeypatch.setattr(heard, "_likely", lambda *_: like(Kind.CRANK))
    assert heard._oddly(1000, 1300) == []


def test_how_surely_a_starter_turns_is_asked_of_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing where none is heard, or hardly one, or one that was told of, or something else."""
    for stay, found, kind, sure in (
        (STAY, BURST, like(Kind.CRANK, believed=0.8), 0.8),
        (None, BURST, like(Kind.CRANK), 0.0),
        (STAY, None, like(Kind.CRANK), 0.0),
        (STAY, replace(BURST, confidence=TOLD), like(Kind.CRANK), 1.0),
        (STAY, replace(BURST, confidence=TOLD - 0.01), like(Kind.CRANK), 0.0),
        (STAY, replace(BURST, start=900), like(Kind.CRANK), 1.0),
        (STAY, replace(BURST, start=899), like(Kind.CRANK), 0.0),
        (STAY, BURST, like(Kind.OTHER), 0.0),
    ):
        heard = ear(told_to=900)
        monkeypatch.setattr(heard, "_stay", lambda stay=stay: stay)
        monkeypatch.setattr(heard, "_weigh", lambda _stay, found=found: found)
        monkeypatch.setattr(heard, "_likely", lambda *_, kind=kind: kind)
        assert heard.judged() == pytest.approx(sure)


@pytest.mark.parametrize(("gone", "frames", "turns"), [(0, 1329, True), (0, 1330, False), (1, 1329, False)])
def test_it_turns_while_its_end_is_fresh(gone: int, frames: int, *, turns: bool) -> None:
    """Less than a quarter of a second after the end that was seen."""
    heard = ear(turning=Turning(start=1000, stop=1300, gone=gone), frames=frames * HOP)
    assert heard.turns is turns
    assert not ear(turning=None).turns


def test_what_ended_long_ago_is_forgotten() -> None:
    """After half a minute, raised sound and what was rejected alike."""
    heard = ear_at(5000, stretches=[raised(900, 1249), raised(900, 1250)])
    heard._rejected = [Stay(start=900, stop=1249), Stay(start=900, stop=1250)]
    heard._read_to = 2000
    heard._track.odds = np.zeros((500, PARTS), np.float32)
    heard._look(over=False)
    assert [one.stop for one in heard._stretches] == [1250] and [one.stop for one in heard._rejected] == [1250]


def test_two_stretches_that_end_one_after_the_other_are_both_judged() -> None:
    """Of those that end together the first is."""
    for second, told in ((401, [200, 250]), (400, [200])):
        heard = ear_at(1000, stretches=[raised(200, 400), raised(250, second)])
        heard._stay = lambda: None  # type: ignore[method-assign]
        heard._may_be = lambda _one: True  # type: ignore[method-assign]
        found = [due.start for due in (heard._due(over=False), heard._due(over=False)) if due is not None]
        assert found == told


def test_what_may_well_be_something_else_is_no_starter_now(monkeypatch: pytest.MonkeyPatch) -> None:
    """However sure the two views are."""
    half = Likely(shares={kind: 0.5 * (kind in (Kind.CRANK, Kind.OTHER)) for kind in KINDS})
    heard = ear()
    monkeypatch.setattr(heard, "_stay", lambda: STAY)
    monkeypatch.setattr(heard, "_weigh", lambda _stay: BURST)
    monkeypatch.setattr(heard, "_likely", lambda *_: half)
    assert half.sure == 0.5 and heard.judged() == 0.0


def wired(monkeypatch: pytest.MonkeyPatch) -> tuple[CrankEar, list[Any]]:
    """An ear that only takes in sound, and what it did, in order: levels and frames taken in, and looks."""
    heard, done = ear_at(0), list[Any]()

    def feed(levels: np.ndarray, sound: np.ndarray) -> None:
        done.append((len(levels), len(sound)))
        heard._track.now += len(levels)  # type: ignore[misc] - a stand-in

    heard._track.feed = feed  # type: ignore[method-assign]
    monkeypatch.setattr(heard._finder, "feed", lambda levels: ([raised(1)], [raised(2, 2 + len(levels))]))
    monkeypatch.setattr(heard._finder, "finish", lambda: [raised(3, 9)])
    monkeypatch.setattr(heard, "_look", lambda *, over: done.append(over) or ["looked"])
    monkeypatch.setattr(heard, "_news", lambda: ["news"])
    monkeypatch.setattr(heard, "_knocks", lambda: ["knocks"])
    return heard, done


def test_sound_waits_until_it_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each 0.24 s, each 0.08 s while something turns; and what waits at the end is taken in."""
    heard, done = wired(monkeypatch)
    level = np.zeros(HOP, np.int16)
    assert heard.feed(np.zeros(5 * HOP, np.int16)) == ["looked", "news", "knocks"]
    assert [len(heard.feed(level)) for _ in range(30)] == [0] * 29 + [3]
    assert done == [(5, 5 * HOP), False, (30, 30 * HOP), False]
    heard._turning = Turning(start=1)
    assert [len(heard.feed(level)) for _ in range(40)] == [0] * 29 + [3] + [0] * 9 + [3]
    assert [one.stop for one in heard._stretches] == [7, 32, 32, 12]
    done.clear()
    heard.feed(level)
    assert heard.finish() == ["looked"] and done == [(1, HOP), True] and heard._stretches[-1].stop == 9
    assert heard.finish() == ["looked"] and done[2:] == [(0, 0), True]


def test_a_look_judges_all_that_is_due_then_what_only_rose_then_what_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    """In that order; what only rose is asked about once."""
    heard = ear_at(5000, followed=(0, []))
    aside, due, told = [raised(100, 200)], iter([STAY, STAY, None, None]), list[Any]()
    heard._aside = aside
    heard._track.look = lambda: told.append("look")  # type: ignore[method-assign]
    monkeypatch.setattr(heard, "_read_open", lambda: told.append("read"))
    monkeypatch.setattr(heard, "_due", lambda *, over: told.append(over) or next(due))
    monkeypatch.setattr(heard, "_judge", lambda stay: [stay.start])
    monkeypatch.setattr(heard, "_oddly", lambda start, stop: [(start, stop)])
    monkeypatch.setattr(heard, "_stands", lambda *, over: [over])
    assert heard._look(over=True) == [1000, 1000, (100, 200), True]
    assert told == ["look", "read", True, True, True]
    assert heard._aside == [] and heard._followed is None
    assert heard._look(over=False) == [False]
