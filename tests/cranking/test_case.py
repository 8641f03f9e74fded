"""Two views of the same burst become one case."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.cranking.case import Case, joined, moved
from assistant.cranking.rate import Pulses

FELT = Case(
    start=100,
    stop=600,
    pulses=Pulses(hz=6.0, strength=0.4, clear=0.2),
    uneven=None,
    confidence=0.95,
    rest_stop=900,
    caught=True,
)
READ = replace(
    FELT,
    start=140,
    stop=660,
    pulses=Pulses(hz=6.1, strength=0.5, clear=0.3),
    confidence=0.99,
    rest_stop=None,
    caught=False,
)


def test_where_the_layers_are_sure_their_edges_and_outcome_stand():
    """The case is as sure as the surer view, and keeps the speed of that."""
    assert joined([FELT], [READ]) == [replace(READ, start=100, stop=600, rest_stop=900, caught=True, doubts=2)]


def test_where_the_layers_doubt_the_tests_stand():
    """Edges and outcome are those of the physical tests."""
    assert joined([replace(FELT, confidence=0.6)], [READ]) == [replace(READ, doubts=2)]


def test_an_outcome_that_one_view_does_not_know_is_the_others():
    """Who is not sure whether the engine ran leaves the word to the other; no engine stops before it has started."""
    unsure = replace(FELT, rest_stop=None, caught=None)
    ran = replace(READ, stop=520, rest_stop=590, caught=True)
    assert joined([unsure], [READ])[0].caught is False
    assert joined([unsure], [ran]) == [replace(ran, start=100, stop=600, rest_stop=600)]


def test_an_engine_heard_too_briefly_is_not_made_sure_by_the_other_view():
    """The layers heard one, and too little of it to be sure: what the tests heard may be the same."""
    hardly = replace(FELT, caught=None)
    assert joined([hardly], [replace(READ, rest_stop=900, caught=True)])[0].caught is None
    assert joined([hardly], [READ])[0].caught is None


def test_other_times_stay_apart():
    """Two bursts with a pause are two; so is a short one within a long one."""
    later = replace(READ, start=1_000, stop=1_400)
    within = replace(READ, start=100, stop=300)
    assert joined([FELT], [later, within]) == [later, within, FELT]


@pytest.mark.parametrize(
    ("start", "stop", "one"),
    [(350, 600, True), (352, 600, False), (100, 350, True), (100, 348, False), (100, 1_100, True), (96, 1_104, False)],
)
def test_half_of_their_time_in_common_makes_them_one(start, stop, one):
    """Of the time that either takes, whichever is the longer and on whichever side they differ."""
    assert len(joined([FELT], [replace(READ, start=start, stop=stop)])) == (1 if one else 2)


def test_each_finds_the_one_that_it_shares_most_with():
    """The surest chooses first, and takes the nearest."""
    felt = [replace(FELT, start=0, stop=100, rest_stop=None), FELT, replace(FELT, start=700, stop=900, rest_stop=None)]
    read = [
        replace(READ, start=0, stop=110, confidence=0.92),
        READ,
        replace(READ, start=700, stop=880, confidence=0.91),
    ]
    found = joined(felt, read)
    assert sorted((case.start, case.stop) for case in found) == [(0, 100), (100, 600), (700, 900)]
    assert joined([FELT], [replace(READ, confidence=0.92), READ])[0].confidence == READ.confidence


@pytest.mark.parametrize(
    ("felt", "read", "told", "doubts"),
    [
        (True, True, True, 0), (True, None, True, 1), (None, True, True, 1), (True, False, True, 2),
        (False, True, False, 2), (False, False, False, 2), (None, None, None, 2), (None, False, False, 2),
        (False, None, False, 2),
    ],
)  # fmt: skip
def test_doubts_count_who_does_not_know_and_who_denies(felt, read, told, doubts):
    """The sure layers' word stands where they have one; never are there more doubts than two."""
    sure, other = replace(FELT, caught=felt, rest_stop=None), replace(READ, caught=read)
    [case] = joined([sure], [other])
    assert (case.caught, case.doubts) == (told, doubts)


@given(st.integers(-10_000, 10_000), st.none() | st.integers(0, 5_000))
def test_moved_there_and_back_is_the_same(by, rest_stop):
    """All its times, and nothing else."""
    case = replace(FELT, rest_stop=rest_stop)
    there = moved(case, by)
    assert moved(there, -by) == case
    assert (there.start, there.stop) == (100 + by, 600 + by)
    assert there.rest_stop == (None if rest_stop is None else rest_stop + by)


@pytest.mark.parametrize(
    ("confidence", "odds"), [(0.5, 0.0), (0.9, 2.197225), (0.1, -2.197225), (1.0, 20.72327), (0.0, -20.72327)]
)
def test_belief_is_in_log_odds(confidence, odds):
    """ln(p / (1 - p)), cut off where p is certain."""
    assert replace(FELT, confidence=confidence).believed == pytest.approx(odds, rel=1e-5)


def test_nothing_joined_is_nothing():
    """No view, no case."""
    assert joined([], []) == []
