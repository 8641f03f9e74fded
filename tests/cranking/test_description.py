"""The numbers by which a stretch is judged again, on sounds made so that each is known."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from assistant.cranking import description, likely
from assistant.cranking.description import MOST_SURE, NEITHER, described, measures_of, quickest_db
from assistant.cranking.kinds import KINDS
from assistant.cranking.layers import ELSE, ENGINE, STARTER
from assistant.cranking.levels import BANDS, FLOOR_DB, HOP, LEVEL_RATE_HZ
from assistant.cranking.likely import LEAST_BEFORE, TURNS, likely_of
from assistant.cranking.load import UNKNOWN
from assistant.cranking.traits import STEP
from tests.cranking.test_judge_given import case
from tests.cranking.test_plain_measures import flat, raised

SILENT = np.zeros(900 * HOP, np.int16)


def tone(hz: float, count: int, loud: float = 3000.0) -> np.ndarray:
    """A steady one over so many levels."""
    return (loud * np.sin(2 * np.pi * hz * np.arange(count * HOP) / 16_000)).astype(np.int16)


def test_what_is_too_short_for_pulses_has_none() -> None:
    """Less than 0.4 s within its edges: as of no rhythm, at a usual rate; and no quick beat in half a second."""
    short = measures_of(raised(900, 300, 360, 9.0), SILENT, 300, 360)
    assert (short.strength, short.clear, short.rate, short.colour) == (0.0, 0.0, math.log(4.0), 0.0)
    assert (short.depth, short.plain, short.wobble, short.drift) == (
        UNKNOWN.depth, UNKNOWN.plain, UNKNOWN.wobble, UNKNOWN.drift,
    )  # fmt: skip
    assert short.beat == 0.0 and short.long == pytest.approx(math.log(60 / LEVEL_RATE_HZ))
    wave = flat(900)
    wave[300:362] += 9 + 3 * np.cos(np.arange(62) * 0.7)[:, None]
    assert measures_of(wave, SILENT, 300, 362).strength > 0.0  # six off on either side


def test_where_nothing_was_heard_before_it_stands_above_a_quiet_room() -> None:
    """20 dB above the floor."""
    levels = flat(900, -60.0)
    for start, rise in ((11, -60.0 - FLOOR_DB - 20), (12, 0.0)):
        assert measures_of(levels, SILENT, start, 400).rise == pytest.approx(rise)


@pytest.mark.parametrize(("by_db", "told"), [(9.0, 9.0), (40.0, 30.0), (-20.0, -5.0)])
def test_how_far_it_stands_above_what_was_before_is_told_of_the_half_that_rose_most(by_db: float, told: float) -> None:
    """Up to 30 dB; and how much further the low bands rose than all."""
    levels = raised(900, 300, 600, by_db, slice(0, 7))
    found = measures_of(levels, SILENT, 300, 600)
    assert found.rise == pytest.approx(told if by_db > 0 else max(-5.0, 0.0))
    assert found.low == pytest.approx(float(np.clip(by_db / 2, -15, 15)))
    assert measures_of(raised(900, 300, 600, -20.0), SILENT, 300, 600).rise == -5.0


def test_dips_gaps_attack_and_skew_are_of_its_height() -> None:
    """Its quietest twentieth against what is usual, its share near what was before, its quickest rises and falls."""
    levels = raised(900, 300, 600, 20.0)
    levels[400:430] -= 17.0  # to 3 dB above silence, at once
    found = measures_of(levels, SILENT, 300, 600)
    inside = 300 - 2 * 6
    assert found.dips == pytest.approx(17.0) and found.gaps == pytest.approx(30 / inside)
    some = (inside - 2) // 25
    assert found.attack == pytest.approx(2 * 17.0 / some) and found.skew == pytest.approx(0.0)
    levels[430:447] += np.linspace(-17.0, 0.0, 17)[:, None]  # rises slowly
    assert measures_of(levels, SILENT, 300, 600).skew == pytest.approx(
        -(2 * 17.0 - some * 17.0 / 16 * 2) / some, abs=0.2
    )
    levels = raised(900, 300, 600, 90.0)
    levels[400:440:4] -= 90.0
    wild = measures_of(levels, SILENT, 300, 600)
    assert (wild.attack, wild.skew) == (25.0, pytest.approx(0.0)) and wild.dips == 0.0
    levels[400:440] = -60.0
    assert measures_of(levels, SILENT, 300, 600).dips == 25.0


def test_the_quickest_rises_are_told_in_16_ms() -> None:
    """The mean of one in twenty-five, one at least."""
    levels = raised(100, 50, 100, 12.0)
    assert quickest_db(levels) == pytest.approx(2 * 12.0 / 3)  # of 98 the quickest three
    assert quickest_db(levels[40:60]) == pytest.approx(12.0)
    assert quickest_db(levels[:2]) == 0.0 and quickest_db(levels[:0]) == 0.0
    assert quickest_db(levels[49:52]) == pytest.approx(12.0)


def test_a_steady_tone_stands_out_of_its_spectrum() -> None:
    """In powers of ten against the usual line, with nearly all of the power; the hiss of before is taken off."""
    rng = np.random.default_rng(1)
    hiss = rng.normal(0, 20, 900 * HOP)
    pcm = hiss.copy()
    pcm[300 * HOP : 600 * HOP] += tone(1000, 300)
    plain = measures_of(raised(900, 300, 600, 9.0), pcm.astype(np.int16), 300, 600)
    # Of a Hann window of 2048 the sum is 1023.5, that of its squares 767.6; the hiss is weakened to a fiftieth.
    line, usual = (3000 * 1023.5 / 2) ** 2, 20**2 * 767.6
    assert plain.tone == pytest.approx(math.log10(line / usual * 50), abs=0.1) and plain.lines > 0.99
    early = measures_of(flat(900), pcm[290 * HOP :].astype(np.int16), 10, 310)  # too little before it
    assert early.tone == pytest.approx(math.log10(line / usual), abs=0.1) and early.lines > 0.99
    assert measures_of(flat(900), SILENT, 300, 310).tone == 0.0  # no whole spectrum
    assert measures_of(flat(900), SILENT, 300, 310).lines == 0.0


def test_what_the_layers_say_is_told_within_before_and_after() -> None:
    """Mean log-odds of starter and engine, half a second beside it, at most eight; none where nothing was heard."""
    odds = np.zeros((90, 3), np.float32)
    odds[30:60] = (-1.0, 2.0, -2.5)
    odds[24:30, STARTER], odds[23, STARTER] = 1.0, 99.0
    odds[60:66, ENGINE], odds[66, ENGINE] = 20.0, -999.0
    found = description._sure(odds, 300, 600)
    assert found == pytest.approx([3.0, -1.5, 1.0, 0.0, 0.0, MOST_SURE])
    assert description._sure(odds, 0, 240)[2:4] == [-MOST_SURE] * 2
    assert description._sure(odds, 600, 900)[4:] == [-MOST_SURE] * 2
    assert description._sure(odds, 241, 245)[0] == pytest.approx(1.0) and ELSE == 0 and STEP == 10


def test_the_pitch_of_a_whine_is_told_with_how_it_moves() -> None:
    """In octaves above 250 Hz: at first, usually, and after the end; a line is found each 32 ms."""
    hiss = np.random.default_rng(2).normal(0, 5, 900 * HOP)
    pcm = hiss.copy()
    pcm[300 * HOP :] += np.concatenate([tone(2000, 100), tone(1000, 200), tone(500, 300)])
    usual, wander, first, out, plain, least, after, step, still = description._whine(pcm.astype(np.int16), 300, 600)
    assert (usual, wander, first) == pytest.approx((2.0, 1.0, 1.0), abs=0.02)
    assert out == pytest.approx(-1 + 1 / 15)  # the first of fifteen is still the tone before
    assert plain > 4 and least > 2 and after > 4 and step == 0.0
    assert still == pytest.approx(1 - 1 / 73)  # one step of an octave
    assert (description._whine(pcm[: 312 * HOP].astype(np.int16), 300, 312) == 0).all()  # less than four lines
    last = description._whine(pcm[: 600 * HOP].astype(np.int16), 300, 600)
    assert (last[3], last[6]) == (0.0, 0.0)  # nothing after its end
    assert (description._usual_lines(pcm.astype(np.int16), 13) == 1).all()
    assert (description._usual_lines(pcm.astype(np.int16), 14) != 1).all()


@pytest.mark.parametrize(("believed", "told"), [(None, NEITHER), (1.5, 1.5), (99.0, MOST_SURE), (-99.0, -MOST_SURE)])
def test_what_the_two_views_say_stands_after_the_measures(believed: float | None, told: float) -> None:
    """As far as it says anything."""
    row = described(flat(900), SILENT, np.zeros((90, 3), np.float32), (300, 600), believed)
    assert row[18] == pytest.approx(told) and len(row) == 18 + 1 + 6 + 9


def likely_at(monkeypatch: pytest.MonkeyPatch, levels: np.ndarray, pcm: np.ndarray = SILENT, **more: Any) -> Any:
    """What the stretch from 300 to 600 was, where its numbers are given; the layers see what they are asked."""
    numbers = np.arange(34, dtype=np.float32)
    asked = list[Any]()

    def describe(*about: Any) -> np.ndarray:
        asked.append(about[3:])
        return numbers

    monkeypatch.setattr(likely, "described", describe)
    layers: Any = lambda _numbers: np.linspace(0.0, 0.5, len(KINDS))  # noqa: E731 - a stand-in
    found = likely_of(layers, levels, pcm, np.zeros((90, 3), np.float32), more.pop("span", (300, 600)), **more)
    return SimpleNamespace(found=found, asked=asked)


def test_what_it_most_likely_was_is_told_with_what_speaks_against_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its rise and wobble, how long it was, what the two views made of it before it was asked for."""
    told = likely_at(monkeypatch, flat(900))
    assert told.asked == [((300, 600), None)]
    one = told.found
    assert (one.rise_db, one.wobble, one.seconds, one.pulses, one.caught) == (13.0, 16.0, 2.4, None, False)
    assert one.shares == pytest.approx(dict(zip(KINDS, np.linspace(0.0, 0.5, len(KINDS)), strict=True)))
    assert one.believed is None and not one.clipped
    for caught in (True, False, None):
        burst = case(300, 600, confidence=0.8, caught=caught)
        told = likely_at(monkeypatch, flat(900), case=burst, expected=0.5)
        assert told.asked == [((300, 600), pytest.approx(math.log(4) - 0.5))]
        assert (told.found.believed, told.found.caught, told.found.pulses) == (0.8, caught is True, burst.pulses)
    assert likely_at(monkeypatch, flat(900), span=(LEAST_BEFORE - 1, 600)).found is TURNS
    assert likely_at(monkeypatch, flat(900), span=(LEAST_BEFORE, 600)).found is not TURNS


def test_blows_before_it_are_a_share_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Over four seconds before; where it has none itself, against one decibel."""
    levels = flat(900)
    levels[350:600:25] += 10.0
    levels[100:300:25] += 5.0
    own, before = quickest_db(levels[300:600]), quickest_db(levels[:300])
    assert likely_at(monkeypatch, levels).found.blows_before == pytest.approx(before / own)
    levels[300:] = -60.0
    assert likely_at(monkeypatch, levels).found.blows_before == pytest.approx(before)
    long = np.concatenate([raised(250, 100, 102, 50.0), flat(900)])
    assert likely_at(monkeypatch, long, np.zeros(1150 * HOP, np.int16), span=(603, 900)).found.blows_before == 0.0


@pytest.mark.parametrize(
    ("peak", "share", "clipped"),
    [(32_700, 0.05, True), (32_699, 0.05, False), (-32_700, 0.049, False), (-32_768, 0.05, True)],
)
def test_a_stretch_is_clipped_where_a_twentieth_of_it_is_at_full_scale(
    monkeypatch: pytest.MonkeyPatch, peak: int, share: float, *, clipped: bool
) -> None:
    """Of its own samples, whichever way."""
    pcm = SILENT.copy()
    pcm[: 300 * HOP] = 32_767
    pcm[300 * HOP : 300 * HOP + round(share * 300 * HOP)] = peak
    pcm[600 * HOP :] = 32_767
    assert likely_at(monkeypatch, flat(900), pcm).found.clipped is clipped


def test_levels_have_fourteen_bands() -> None:
    """As the nets learnt them."""
    assert BANDS == 14
