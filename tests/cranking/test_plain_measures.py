"""What is measured of a sound before anything is judged, on levels made so that each answer is known."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from assistant.cranking.around import colour_db, dip_db, rank, risen
from assistant.cranking.edges import Frame, find_edges, find_step
from assistant.cranking.levels import BANDS, FLOOR_DB, LEVEL_RATE_HZ, levels_of
from assistant.cranking.rate import find_pulses, range_hz, rpm_of, speed_track
from assistant.cranking.reading import Stage
from assistant.cranking.stretches import StretchFinder
from assistant.cranking.trust import Proof
from assistant.cranking.votes import measure

EVEN = np.ones(BANDS)


def flat(count: int, db: float = -60.0) -> np.ndarray:
    """So many levels, all alike."""
    return np.full((count, BANDS), db, dtype=np.float32)


def raised(count: int, start: int, stop: int, by_db: float, bands: slice = slice(None)) -> np.ndarray:
    """A stretch that stands so far above what is around it, in some bands."""
    levels = flat(count)
    levels[start:stop, bands] += by_db
    return levels


def pulsing(hz: float, count: int = 625, depth_db: float = 4.0) -> np.ndarray:
    """Levels that swell and fade in all bands so often a second."""
    wave = -45.0 + depth_db * np.cos(2 * np.pi * hz * np.arange(count) / LEVEL_RATE_HZ)
    return wave[:, None].repeat(BANDS, 1).astype(np.float32)


@pytest.mark.parametrize(("hz", "band"), [(1000, 7), (2000, 9), (5000, 12)])
def test_a_tone_stands_in_its_own_band_at_its_own_level(hz: int, band: int) -> None:
    """3 dB below full scale, as the power of a sine is half of its peak squared; silence lies at the floor."""
    tone = 32767 * np.sin(2 * np.pi * hz * np.arange(16_000) / 16_000)
    levels = levels_of(tone.astype(np.int16))
    assert len(levels) == LEVEL_RATE_HZ == 125
    assert levels[60, band] == pytest.approx(-3.01, abs=0.05)
    assert np.delete(levels[60], band).max() < -85.0
    assert levels_of(np.zeros(16_000, np.int16)) == pytest.approx(FLOOR_DB, abs=0.01)
    assert [len(levels_of(np.zeros(count, np.int16))) for count in (127, 128, 255, 256)] == [0, 1, 1, 2]


@pytest.mark.parametrize(("by_db", "share"), [(8.0, 1.0), (12.0, 1.0), (4.0, 0.125), (0.0, 0.001), (-5.0, 0.001)])
def test_a_band_counts_by_how_far_it_rose(by_db: float, share: float) -> None:
    """By the third power of its share of 8 dB; where nothing is around it, all bands count alike."""
    assert risen(raised(900, 300, 600, by_db), 300, 600) == pytest.approx(share, abs=1e-5)
    for start, stop in ((0, 600), (300, 900)):  # only one side to go by
        assert risen(raised(900, start, stop, by_db), start, stop) == pytest.approx(share, abs=1e-5)
    assert risen(flat(300), 0, 300) == pytest.approx(1.0)
    louder_after = raised(900, 300, 600, 8.0)
    louder_after[600:] += 4.0
    assert risen(louder_after, 300, 600) == pytest.approx(0.125, abs=1e-5)


def test_colour_wanders_where_bands_go_apart_alone() -> None:
    """By their spread about the mean of all; louder and softer together is no change of colour."""
    apart, together = flat(1000), flat(1000)
    apart[500:, ::2] += 6.0
    apart[500:, 1::2] -= 6.0
    together[500:] += 6.0
    assert colour_db(apart) == pytest.approx(3.0, abs=0.1) and colour_db(together) == pytest.approx(0.0, abs=1e-3)
    one = np.zeros(BANDS)
    one[:2] = 1.0, 1.0
    assert colour_db(apart, one) == pytest.approx(3.0, abs=0.1)


@pytest.mark.parametrize(("share", "dips_db"), [(0.0, 0.0), (0.05, 0.0), (0.2, 10.0), (0.4, 10.0)])
def test_a_dip_is_told_from_the_quietest_tenth(share: float, dips_db: float) -> None:
    """Against what is usual; a shorter fade is none."""
    levels = raised(1000, 0, int(1000 * share), -10.0)
    assert dip_db(levels, 5) == pytest.approx(dips_db, abs=0.01)
    assert rank(levels[:, :1], 0.5)[0] == -60.0 and rank(raised(10, 0, 4, -10.0), 0.4)[0] == -60.0


@pytest.mark.parametrize(
    ("by_db", "bands", "broad", "weight"),
    [(10.0, slice(None), 1.0, 1.0), (4.0, slice(0, 7), 0.5, 0.125), (2.0, slice(None), 0.5, 0.015625)],
)
def test_edges_are_found_where_the_levels_step(by_db: float, bands: slice, broad: float, weight: float) -> None:
    """From a rough guess, with how clear they are and how many bands rose."""
    frame = find_edges(raised(1000, 300, 620, by_db, bands), 290, 640)
    assert (frame.start, frame.stop, frame.broad) == (300, 620, pytest.approx(broad))
    assert (frame.rise_db, frame.fall_db) == (pytest.approx(by_db), pytest.approx(by_db))
    assert frame.weights.max() == pytest.approx(weight)
    steep = find_edges(raised(1000, 300, 620, 40.0), 290, 640)
    assert steep.rise_db == 15.0  # more says no more


def test_an_edge_that_the_sound_does_not_reach_is_unknown() -> None:
    """The other one is found all the same."""
    first = find_edges(raised(700, 0, 420, 10.0), 0, 400)
    assert (first.start, first.stop, first.fall_db) == (0, 420, 10.0) and math.isnan(first.rise_db)
    last = find_edges(raised(700, 300, 700, 10.0), 280, 700)
    assert (last.start, last.stop, last.rise_db) == (300, 700, 10.0) and math.isnan(last.fall_db)
    whole = find_edges(flat(400), 0, 400)
    assert math.isnan(whole.rise_db) and math.isnan(whole.fall_db) and whole.broad == 0.75


@pytest.mark.parametrize("near", [250, 280, 300, 320, 350])
def test_a_step_within_a_sound_is_found_near_a_guess(near: int) -> None:
    """Either way round; with too little on one side the guess stands."""
    levels = raised(600, 300, 500, 10.0)
    assert find_step(levels, 100, near, 500, forward=True) == find_step(levels, 100, near, 500, forward=False) == 300
    assert find_step(levels, near - 20, near, 500, forward=True) == near
    assert find_step(levels, 100, near, near + 20, forward=True) == near


@pytest.mark.parametrize(("by_db", "found"), [(1.5, False), (1.7, True), (10.0, True)])
def test_a_raised_stretch_begins_and_ends(by_db: float, found: bool) -> None:
    """Within a tenth of a second, where its floor rises by 1.6 dB; told once it has gone on for a moment."""
    finder = StretchFinder()
    begun, ended = finder.feed(raised(1500, 500, 900, by_db))
    begun = [one for one in begun if one.start]
    assert bool(begun) is bool(ended) is found
    if found:
        assert begun[0].start == pytest.approx(500, abs=12) and begun[0].rise_db == pytest.approx(by_db, abs=0.01)
        assert ended[0].stop == pytest.approx(900, abs=8) and ended[0].fall_db == pytest.approx(by_db, abs=0.01)
        assert begun[0].weights[0] == pytest.approx(min(1.0, by_db / 8.0) ** 2, abs=1e-4)
        assert begun[0].before == pytest.approx(-60.0)


def test_what_goes_on_for_forty_seconds_is_the_shop() -> None:
    """It ends there without a fall; what is there from the first is one as soon as it can be heard at all."""
    finder = StretchFinder()
    _, ended = finder.feed(raised(8000, 500, 8000, 10.0))
    assert next((one.start, one.stop - one.start, one.fall_db) for one in ended) == (0, 5005, 0.0)
    assert all(one.stop - one.start == 5005 and one.fall_db == 0.0 for one in ended)
    for db, heard in ((-79.0, True), (-81.0, False)):
        finder = StretchFinder()
        begun, _ = finder.feed(flat(300, db))
        assert [(one.start, one.rise_db) for one in begun] == ([(0, 0.0)] if heard else [])
        assert [(one.start, one.stop) for one in finder.finish()] == ([(0, 300)] if heard else [])
        assert finder.finish() == []


@pytest.mark.parametrize(
    ("hz", "cylinders"),
    [
        *((hz, None) for hz in (1.5, 2.5, 6.0, 12.0, 20.0, 25.0, 30.0)),
        (1.5, 4),
        (6.0, 4),
        (12.0, 4),
        (2.5, 6),
        (20.0, 6),
    ],
)
def test_the_rate_of_plain_pulses_is_found(hz: float, cylinders: int | None) -> None:
    """To half a percent; plain ones are like themselves, and clearer than any other rate."""
    found = find_pulses(pulsing(hz), EVEN, cylinders=cylinders)
    assert found is not None and found.hz == pytest.approx(hz, rel=5e-3)
    assert found.strength > 0.85 and found.clear > (0.5 if hz < 26 else 0.15)


@pytest.mark.parametrize("pulses", [3, 4, 6, 8])
@pytest.mark.parametrize(
    ("depth_db", "unknown", "known"), [(3.5, True, True), (2.8, True, True), (2.4, False, True), (1.0, False, False)]
)
def test_an_uneven_cycle_is_not_taken_for_a_pulse(pulses: int, depth_db: float, *, unknown: bool, known: bool) -> None:
    """Where the compressions in it stand out against it; less is enough where it fits the cylinders told."""
    at = np.arange(1000) / LEVEL_RATE_HZ
    wave = -45.0 + 3 * np.cos(2 * np.pi * 1.8 * at) + depth_db * np.cos(2 * np.pi * 1.8 * pulses * at)
    levels = wave[:, None].repeat(BANDS, 1).astype(np.float32)
    blind = find_pulses(levels, EVEN)
    assert blind is not None and blind.hz == pytest.approx(1.8 * (pulses if unknown else 1), rel=0.01)
    told = find_pulses(levels, EVEN, cylinders=pulses)
    assert told is not None and (told.hz == pytest.approx(1.8 * pulses, rel=0.01)) is known


def test_rates_that_no_starter_reaches_are_not_looked_for_where_the_cylinders_are_known() -> None:
    """45 to 420 rpm of a four-stroke engine: a compression a cylinder in two turns."""
    assert [range_hz(count) for count in (None, 1, 4, 8)] == [(1.4, 48.0), (0.8, 3.5), (1.5, 14.0), (3.0, 28.0)]
    assert (rpm_of(6.0, 4), rpm_of(6.0, 3), rpm_of(20.0, 8)) == (180.0, 240.0, 300.0)
    quick = find_pulses(pulsing(20.0), EVEN, cylinders=4)
    assert quick is not None and quick.hz < 14.5 and quick.clear < 0.1
    weights = np.full(BANDS, 0.01)
    weights[3] = 1.0
    mixed = np.where(np.arange(BANDS) == 3, pulsing(6.0), pulsing(9.7))
    assert find_pulses(mixed.astype(np.float32), weights).hz == pytest.approx(6.0, rel=0.01)


def test_the_speed_through_a_burst_is_told_piece_by_piece() -> None:
    """About five pulses each, a second at least, four times as often as they are long."""
    at, hz = speed_track(pulsing(6.0), 6.0)
    assert at.tolist() == [62.5 + 31 * place for place in range(17)] and hz == pytest.approx(6.0, abs=0.05)
    at, hz = speed_track(pulsing(2.5), 2.5)
    assert at.tolist() == [125.0 + 62 * place for place in range(7)] and hz == pytest.approx(2.5, abs=0.05)
    slows = np.concatenate([pulsing(7.0, 500), pulsing(5.0, 500)])
    _, hz = speed_track(slows, 6.0)
    assert hz[0] == pytest.approx(6.8, abs=0.3) and hz[-1] == pytest.approx(5.1, abs=0.3)


def _votes(hz: float, cylinders: int | None, frame: Frame, count: int = 500) -> dict[str, float] | None:
    levels = flat(200 + count + 200)
    levels[200 : 200 + count] = pulsing(hz, count)
    stage = Stage(levels=levels, pcm=np.zeros(len(levels) * 128, np.int16), known=None, cylinders=cylinders)
    found = measure(stage, replace(frame, start=200, stop=200 + count))
    return None if found is None else dict(found.votes)


WHOLE = Frame(start=0, stop=0, weights=EVEN, broad=1.0, rise_db=10.0, fall_db=10.0)


def test_what_speaks_for_a_plain_burst_has_all_its_votes() -> None:
    """At most so much each, so that no test decides alone."""
    assert _votes(6.0, 4, WHOLE) == pytest.approx(
        {"colour": 0.5, "length": 0.5, "strength": 1.5, "clear": 1.0, "rise": 0.8, "broad": 0.8, "fall": 0.6,
         "floor": 0.7, "count": 0.6, "rate": 0.3, "beat": 0.2}, abs=1e-6
    )  # fmt: skip


@pytest.mark.parametrize(
    ("hz", "cylinders", "vote"),
    [
        (6.0, None, 0.3),
        (20.0, None, 0.3),
        (20.8, None, -0.2),
        (12.0, 4, 0.3),
        (13.4, 4, -0.05),
        (3.2, 8, 0.2),
        (3.1, 8, 0.1),
    ],
)
def test_a_speed_that_few_starters_reach_speaks_against_one(hz: float, cylinders: int | None, vote: float) -> None:
    """Above some twenty pulses a second or 400 rpm, and below 45 rpm."""
    votes = _votes(hz, cylinders, WHOLE)
    assert votes is not None and votes["rate"] == pytest.approx(vote, abs=0.12)


@pytest.mark.parametrize(
    ("hz", "beat_hz", "cylinders", "least", "most"),
    [
        (6.0, 0.0, 4, 0.2, 0.2),  # none
        (6.0, 12.5, 4, 0.0, 0.0),  # slower than any engine's or tool's
        (8.0, 16.0, 4, 0.0, 0.0),  # the second swing of the same pulses
        (12.0, 16.0, 8, 0.0, 0.0),  # hardly quicker than they
        (6.0, 15.0, 4, -0.6, -0.6),  # another's, beside plain pulses
        (6.0, 30.0, 4, -0.6, -0.6),
        (16.0, 16.0, 8, 0.0, 0.0),
        (17.0, 17.0, 8, -2.8, -2.5),  # as quick and as crisp as the blows of a tool
        (17.0, 17.0, None, -3.0, -3.0),
    ],
)
def test_a_quick_beat_speaks_against_a_starter(
    hz: float, beat_hz: float, cylinders: int | None, least: float, most: float
) -> None:
    """But where it may be its own, or beside it."""
    levels = flat(900)
    levels[200:700] = pulsing(hz, 500)
    sound = np.random.default_rng(2).normal(size=900 * 128) * 300
    sound[: 200 * 128] = 0.0
    if beat_hz:
        sound *= (1 + np.cos(2 * np.pi * beat_hz * np.arange(len(sound)) / 16_000)) ** 3 / 2
    stage = Stage(levels=levels, pcm=sound.astype(np.int16), known=None, cylinders=cylinders)
    found = measure(stage, replace(WHOLE, start=200, stop=700))
    assert found is not None and least - 1e-6 <= found.votes["beat"] <= most + 1e-6


@pytest.mark.parametrize(
    ("edge", "name", "vote"),
    [
        ({"rise_db": math.nan}, "rise", -0.6),
        ({"rise_db": math.nan, "fall_db": math.nan}, "broad", 0.0),
        ({"fall_db": math.nan}, "fall", 0.6),
        ({"rise_db": 3.0}, "rise", 0.0),
        ({"rise_db": 3.75}, "rise", 0.5),
        ({"rise_db": -9.0}, "rise", -0.6),  # plain pulses may stand against louder noise beside them
        ({"fall_db": -9.0}, "fall", -0.6),
        ({"broad": 0.45}, "broad", 0.0),
        ({"broad": 0.0}, "broad", -0.6),
    ],
)
def test_edges_speak_by_how_clear_they_are(edge: dict[str, float], name: str, vote: float) -> None:
    """What the sound does not reach says little."""
    votes = _votes(6.0, 4, replace(WHOLE, **edge))
    assert votes is not None and votes[name] == pytest.approx(vote, abs=1e-6)


def test_what_is_too_long_or_changes_its_colour_is_no_starter() -> None:
    """Thirty seconds and four decibels; and what hardly pulses at all."""
    assert _votes(6.0, 4, WHOLE, count=30 * LEVEL_RATE_HZ) is not None
    assert _votes(6.0, 4, WHOLE, count=31 * LEVEL_RATE_HZ) is None
    levels = pulsing(6.0)
    levels[300:, ::2] += 20.0
    stage = Stage(levels=levels, pcm=np.zeros(len(levels) * 128, np.int16), known=None, cylinders=4)
    assert measure(stage, replace(WHOLE, start=0, stop=len(levels))) is None


PROOF = Proof(
    sure=1.1, votes=None, strength=0.23, clear=0.31, begins=1.7, ends=1.9, dips=2.3, risen=0.41, engine=0.37, long=0.43,
    expected=0.0, brief=False,
)  # fmt: skip


@pytest.mark.parametrize(
    ("votes", "brief", "odds"),
    [(None, False, -2.8157), (0.53, False, -2.1774), (None, True, 1.2019), (0.53, True, 1.6675)],
)
def test_what_speaks_for_a_starter_is_weighed_as_it_was_fitted(
    votes: float | None, *, brief: bool, odds: float
) -> None:
    """All proofs at once, so that any weight that moves is seen; what is expected is added to them."""
    for expected in (0.0, -0.5):
        sure = replace(PROOF, votes=votes, brief=brief, expected=expected).confidence
        assert math.log(sure / (1 - sure)) == pytest.approx(odds + expected, abs=1e-3)
