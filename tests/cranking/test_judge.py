"""What is told of a burst that was weighed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.cranking.case import Case
from assistant.cranking.judge import RAN_TOLD, doubted, not_sure_over, takes_over, to_burst, weigh
from assistant.cranking.layers import ELSE, ENGINE, STARTER
from assistant.cranking.levels import BANDS, HOP
from assistant.cranking.rate import Pulses
from assistant.cranking.reading import Reading
from assistant.cranking.stretches import Stretch
from assistant.cranking.traits import STEP


def case(hz: float) -> Case:
    pulses = Pulses(hz=hz, strength=0.5, clear=0.3)
    return Case(start=0, stop=300, pulses=pulses, uneven=None, confidence=0.9, rest_stop=None, caught=False)


def test_a_rate_that_no_starter_reaches_is_not_told():
    """49 pulses a second are something else's: the ear says that it does not know rather than guess."""
    assert to_burst(case(49.0), None).pulse_hz is None
    assert to_burst(case(20.0), None).pulse_hz == 20.0


def sound(low_rise_db: float) -> np.ndarray:
    """Three seconds of cranking, then two in which the four lowest bands are louder by so much."""
    levels = np.full((700, BANDS), -40.0, dtype=np.float32)
    levels[375:, :4] += low_rise_db
    return levels


RAN = replace(case(6.0), start=0, stop=375, rest_stop=625, caught=True, doubts=0)


@pytest.mark.parametrize(
    ("doubts", "low_rise_db", "caught"),
    [(0, 1.5, True), (0, 0.0, None), (1, 1.5, None), (2, 3.0, None), (2, 5.0, True)],
)
def test_an_engine_without_low_sounds_is_not_told_as_running(doubts, low_rise_db, caught):
    """The more the two views doubt it, the more must come up; else the ear is not sure."""
    assert doubted(sound(low_rise_db), replace(RAN, doubts=doubts)).caught is caught


def test_an_engine_that_both_views_heard_for_three_seconds_must_grow_as_well():
    """A tool that begins as the starter lets go is heard as long: how long says nothing of what it is."""
    long = replace(RAN, rest_stop=375 + 380)
    for low_rise_db, caught in ((1.6, True), (1.4, None), (0.0, None)):
        levels = np.concatenate([sound(low_rise_db), sound(low_rise_db)[-100:]])
        assert doubted(levels, long).caught is caught


def test_what_runs_on_for_a_second_or_so_is_not_told_as_running():
    """It may be the starter that runs out, or a tool."""
    assert to_burst(replace(RAN, rest_stop=375 + RAN_TOLD - 1), 4).caught is None
    assert to_burst(replace(RAN, rest_stop=375 + RAN_TOLD), 4).caught is True
    assert to_burst(replace(RAN, rest_stop=375 + 20), 4, least=0).caught is True


def test_what_runs_on_for_half_a_second_seems_no_engine():
    """It may be the starter that slows down, so no release is called for it."""
    assert doubted(sound(6.0), replace(RAN, rest_stop=435)).caught is None
    assert doubted(sound(6.0), replace(RAN, rest_stop=450)).caught is True


def test_what_is_softer_than_the_starter_in_most_bands_is_sure_only_where_both_views_hear_it():
    """A compressor goes on behind a starter that drowned it: low sounds seem to come up, all others fall."""
    levels = sound(6.0)
    levels[375:, 4:] -= 8.0
    assert doubted(levels, RAN).caught is True
    assert doubted(levels, replace(RAN, doubts=1)).caught is None


def test_an_engine_that_only_one_view_hears_is_not_sure_where_the_starter_turns_on():
    """A drill that joins in is no engine, as long as another case of a starter goes on beneath it."""
    alone = replace(RAN, doubts=1)
    assert not_sure_over(alone, [alone, replace(RAN, stop=600, rest_stop=None, caught=False)]).caught is None
    assert not_sure_over(alone, [alone, replace(RAN, stop=400, rest_stop=None, caught=False)]).caught is True
    assert not_sure_over(RAN, [RAN, replace(RAN, stop=600, rest_stop=None, caught=False)]).caught is True


def now(engine: float) -> np.ndarray:
    """The odds of a starter, and in the last quarter of a second of an engine against it."""
    odds = np.full((70, 3), -9.0, dtype=np.float32)
    odds[:, STARTER] = -1.0
    odds[-3:, ENGINE] = -1.0 + engine
    return odds


def test_the_engine_takes_over_once_it_is_plain_and_low_sounds_come_up():
    """Else the release would be called in the midst of cranking, for a tool beside the car."""
    assert takes_over(sound(1.5), now(2.0), 0, 375)
    assert not takes_over(sound(1.5), now(1.5), 0, 375)
    assert takes_over(sound(4.5), now(1.5), 0, 375) and not takes_over(sound(4.5), now(0.9), 0, 375)
    assert not takes_over(sound(0.5), now(2.0), 0, 375)
    assert not takes_over(sound(1.5), now(2.0), 0, 700), "nothing was heard after it"


def test_where_only_the_physical_tests_know_of_the_starter_the_layers_need_not_say_it():
    """They knew of no starter, so they know of no engine after it."""
    assert takes_over(sound(1.5), now(-9.0), 0, 375, by_layers=False)
    assert not takes_over(sound(0.5), now(2.0), 0, 375, by_layers=False)


def test_a_burst_that_did_not_catch_is_not_doubted():
    """Only the claim that an engine ran is held against its sound."""
    dead = replace(RAN, rest_stop=None, caught=False)
    assert doubted(sound(0.0), dead) == dead


def felt(engine: float | None, tail: float = -6.0, *, brief: bool = True) -> Case:
    """What the layers alone make of two seconds of a starter, then one and a half of an engine as likely as that.

    `tail`: how likely an engine is behind the starter where none is found, each as log-odds against nothing.
    """
    odds = np.full((75, 3), -6.0, dtype=np.float32)
    odds[:, ELSE] = -0.01
    odds[20:45] = (-6.0, -0.01, -6.0)
    levels = np.full((75 * STEP, BANDS), -60.0, dtype=np.float32)
    levels[20 * STEP : 45 * STEP] = -35.0
    if engine is None:
        odds[45:48, ENGINE] = tail
        odds[48:57, ENGINE] = tail
    else:
        odds[45:64, ENGINE], odds[45:64, ELSE] = -0.01, -0.01 - engine
        levels[45 * STEP : 64 * STEP] = -30.0
    pcm = np.zeros(len(levels) * HOP, dtype=np.int16)
    [found] = weigh(levels, pcm, odds, [], cylinders=None, expected=0.0, brief=brief)
    return found


def test_the_layers_tell_an_engine_by_how_sure_they_are_of_it_for_how_long():
    """Sure of it, it ran; hardly sure, nobody knows; none found, it did not, unless one may have run."""
    assert felt(6.0).caught is True
    assert felt(6.0).rest_stop == 64 * STEP and (felt(6.0).start, felt(6.0).stop) == (20 * STEP, 45 * STEP)
    assert felt(0.6).caught is True and felt(0.3).caught is None and felt(0.3).rest_stop == 64 * STEP
    assert felt(0.6, brief=False).caught is None and felt(0.9, brief=False).caught is True
    assert felt(None).caught is False and felt(None).rest_stop is None
    assert felt(None, tail=-1.15).caught is None and felt(None, tail=-1.25).caught is False


class _Reads:
    """In place of the physical tests: they read every stretch alike."""

    def __init__(self, **told: object) -> None:
        self.told = told

    def read(self, _levels: object, _pcm: object, start: int, stop: int, **_about: object) -> Reading:
        """The stretch itself."""
        usual = {"score": 0.8, "rise_db": 9.0, "fall_db": 9.0, "votes": {}, "weights": np.ones(BANDS)}
        pulses = Pulses(hz=6.0, strength=0.5, clear=0.3)
        return Reading(**{"start": start, "stop": stop, "pulses": pulses, **usual, **self.told})


@pytest.mark.parametrize(
    ("told", "caught", "stop"),
    [
        ({}, False, 700),
        ({"cut": True}, None, 700),
        ({"rest_stop": 900, "ran": 0.32}, False, 715),
        ({"rest_stop": 900, "ran": 0.33}, None, 715),
        ({"rest_stop": 900, "ran": 0.44}, None, 715),
        ({"rest_stop": 900, "ran": 0.45}, True, 715),
        ({"rest_stop": 900, "ran": 0.45, "cut": True}, None, 715),
        ({"rest_stop": 900, "ran": 0.1, "cut": True}, None, 715),
    ],
)
def test_what_the_physical_tests_read_is_told_as_surely_as_they_have_it(told, caught, stop):
    """The starter stays engaged for a moment after the engine takes over; what they do not take for one is no case."""
    levels = np.full((1200, BANDS), -60.0, dtype=np.float32)
    levels[200:700] = -45.0
    odds = np.zeros((1200 // STEP, 3), dtype=np.float32)
    stretch = Stretch(start=200, stop=700, before=np.full(BANDS, -60.0), weights=np.ones(BANDS), rise_db=9.0)
    there = levels, np.zeros(1200 * HOP, np.int16), odds, [stretch]
    [case] = weigh(*there, cylinders=None, expected=0.0, brief=True, known=(_Reads(**told), 0))
    assert (case.start, case.stop, case.rest_stop, case.caught) == (200, stop, told.get("rest_stop"), caught)
    assert weigh(*there, cylinders=None, expected=0.0, known=(_Reads(**told, score=0.0), 0)) == []
    assert weigh(*there[:3], [replace(stretch, stop=None)], cylinders=None, expected=0.0) == []
