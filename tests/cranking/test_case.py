"""Two views of the same burst become one case."""

from __future__ import annotations

from dataclasses import replace

from assistant.cranking.case import Case, joined
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


def test_other_times_stay_apart():
    """Two bursts with a pause are two; so is a short one within a long one."""
    later = replace(READ, start=1_000, stop=1_400)
    within = replace(READ, start=100, stop=300)
    assert joined([FELT], [later, within]) == [later, within, FELT]


def test_nothing_joined_is_nothing():
    """No view, no case."""
    assert joined([], []) == []
