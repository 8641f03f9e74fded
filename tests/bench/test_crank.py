"""The measure of the ear counts against it whatever it did not hear."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from assistant.bench.crank import score, shares
from assistant.bench.crank_live import called, late, outcome, shown
from assistant.bench.crank_words import is_lost
from assistant.cranking.model import Burst, Kind
from assistant.cranking.scenes import Scene
from assistant.language.model import BurstCaught, BurstHeard, BurstReleased, BurstStarted

TRUE = Scene(
    pcm=np.zeros(0, dtype=np.int16),
    cylinders=4,
    start_s=2.0,
    end_s=6.0,
    pulse_hz=6.0,
    rpm=180.0,
    caught=False,
    run_s=None,
    snr_db=10.0,
    noise="hum",
)


def test_a_burst_that_is_right_counts_in_every_share():
    """Edges within 0.3 s, speed within 2 %, caught right."""
    one = score(TRUE, [Burst(start_s=2.2, end_s=5.8, pulse_hz=6.1, caught=False)])
    assert (one.edges, one.caught, one.extra) == (True, True, 0)
    assert shares([one])["speed_within_2_percent_from_6_db"] == 1.0


def test_a_scene_that_is_not_heard_counts_against_every_share():
    """No burst, or one elsewhere: nothing is right, and the other is an extra one."""
    one = score(TRUE, [Burst(start_s=8.0, end_s=9.0, pulse_hz=6.0, caught=False)])
    found = shares([one])
    assert (found["heard"], found["edges_within_0.3_s"], found["caught_right"], found["extra_bursts"]) == (0, 0, 0, 1)


def test_a_burst_without_a_speed_is_heard_and_one_told_without_compression_is_counted():
    """No speed is told of a light engine: that is neither unheard nor right."""
    found = shares([score(TRUE, [Burst(start_s=2.0, end_s=6.0, pulse_hz=None, caught=False, kind=Kind.LIGHT)])])
    assert (found["heard"], found["told_without_compression"], found["speed_within_2_percent_from_6_db"]) == (1, 1, 0)


def test_half_the_speed_is_gross_and_an_unsure_answer_is_not_right():
    """Half the rate is told apart from a small error; null for caught is unsure, not right."""
    found = shares([score(TRUE, [Burst(start_s=2.0, end_s=6.0, pulse_hz=3.0, caught=None)])])
    assert (found["half_or_double"], found["caught_right"], found["caught_unsure"]) == (1.0, 0.0, 1.0)


def test_a_word_is_lost_to_what_is_told_while_it_is_said_or_soon_after():
    """What changes nothing, or is told before it or long after, costs no word."""
    span = (16_000, 24_000)
    assert is_lost(span, [(1.2, BurstStarted())])
    assert is_lost(span, [(2.2, BurstHeard(seconds=0.5))])
    assert not is_lost(span, [(0.9, BurstStarted()), (2.4, BurstHeard(seconds=0.5)), (1.2, BurstReleased())])


def test_what_is_told_of_a_scene_is_counted_as_the_technician_hears_it():
    """A no-start told as running is counted; so is one that the ear is not sure of, and whatever is told elsewhere."""

    def told(caught, end_s=6.0, confidence=1.0, kind="crank"):
        return [(end_s + 1.0, BurstHeard(seconds=4.0, caught=caught, ago_s=1.0, confidence=confidence, kind=kind))]

    assert outcome(TRUE, told(caught=True)) == ["no start", "told running"]
    assert outcome(TRUE, told(caught=None)) == ["no start", "unsure"]
    assert outcome(TRUE, told(caught=False)) == ["no start", "right"]
    assert outcome(TRUE, told(caught=True, end_s=20.0)) == ["extra", "no start"]
    assert outcome(TRUE, told(caught=False, kind="light")) == ["no start", "right", "another kind"]
    assert outcome(TRUE, told(caught=False, confidence=0.6)) == ["asked", "no start", "right"]
    assert outcome(TRUE, told(caught=True, end_s=20.0, confidence=0.6)) == ["extra asked", "no start"]


def test_a_release_that_is_called_in_the_midst_of_cranking_is_counted():
    """Nothing takes over in a no-start; an engine does at its end, not two seconds before."""
    ran = replace(TRUE, caught=True, run_s=2.0)
    assert called(TRUE, [(4.0, BurstCaught())]) == ["called in vain", "called in vain while it turns"]
    assert called(TRUE, [(6.1, BurstCaught())]) == ["called in vain"]
    assert called(TRUE, [(6.1, BurstReleased())]) == called(ran, [(6.1, BurstCaught())]) == []
    assert called(ran, [(4.0, BurstCaught()), (6.1, BurstCaught())]) == ["called too early"]
    fires = replace(ran, fires_s=5.7)
    assert called(fires, [(5.7, BurstCaught())]) == ["called while it fires"]
    assert called(fires, [(5.95, BurstCaught())]) == []
    assert called(fires, [(5.6, BurstCaught()), (5.8, BurstCaught())]) == ["called too early"]


def test_a_starter_that_is_shown_to_let_go_while_it_turns_is_counted():
    """An end that comes early must cost something, or telling it all the time would be best."""
    assert shown(TRUE, [(4.0, BurstReleased()), (6.1, BurstReleased())]) == ["shown too early"]
    assert shown(TRUE, [(1.9, BurstReleased()), (5.95, BurstReleased()), (4.0, BurstCaught())]) == []


def test_an_end_that_is_told_before_the_truth_is_no_answer_to_it():
    """Only what is told at the end or after it counts, by how late it was told."""
    told = [(4.0, BurstReleased()), (6.2, BurstReleased())]
    assert round(late(told, BurstReleased, 6.0), 3) == 0.2
    assert late(told[:1], BurstReleased, 6.0) is None
