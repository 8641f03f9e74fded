"""What goes on after a starter is told as running only where it is plainly its engine."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.cranking.case import Case
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, SAMPLE_RATE_HZ, levels_of
from assistant.cranking.running import unless_plain

STARTS_S, STOPS_S, RAN_S = 4, 7, 3
CASE = Case(
    start=STARTS_S * LEVEL_RATE_HZ,
    stop=STOPS_S * LEVEL_RATE_HZ,
    pulses=None,
    uneven=None,
    confidence=0.9,
    rest_stop=(STOPS_S + RAN_S) * LEVEL_RATE_HZ,
    caught=True,
    doubts=0,
)


def noise(seconds: float, loud: float, seed: int) -> np.ndarray:
    return loud * np.random.default_rng(seed).normal(size=int(seconds * SAMPLE_RATE_HZ))


def firing(first_hz: float, last_hz: float) -> np.ndarray:
    """Noise in three seconds of short blasts, at a rate that goes from the one to the other."""
    sound = noise(RAN_S, 4000, 3)
    time = np.arange(len(sound)) / SAMPLE_RATE_HZ
    turns = first_hz * time + (last_hz - first_hz) * time**2 / (2 * RAN_S)
    return sound * (0.1 + np.exp(-8 * (turns % 1)))


def told(after: np.ndarray, before: np.ndarray | None = None, *, pause_s: float = 0.0) -> bool | None:
    """What is told of a shop, three seconds of a starter, and this."""
    shop = noise(STARTS_S, 30, 1)
    if before is not None:
        shop[-len(before) - 8000 : -8000] += before
    starter = noise(STOPS_S - STARTS_S, 1500, 2)
    pcm = np.concatenate([shop, starter, after, noise(1, 30, 4)])
    at = STOPS_S * SAMPLE_RATE_HZ
    pcm[at : at + int(pause_s * SAMPLE_RATE_HZ)] /= 100
    sound = np.clip(pcm, -32768, 32767).astype(np.int16)
    return unless_plain(levels_of(sound), sound, CASE).caught


def test_an_engine_that_flares_and_settles_is_told():
    """Its blasts come ever slower: it runs."""
    assert told(firing(40, 22)) is True


def test_what_does_not_beat_is_not_told_as_running():
    """A grinder, or talk, is no engine, however loud it begins."""
    assert told(noise(RAN_S, 4000, 3)) is None


def test_what_is_at_its_own_speed_from_the_first_is_not_told_as_running():
    """A compressor beats as an engine does, always alike."""
    assert told(firing(25, 25)) is None


@pytest.mark.parametrize(("pause_s", "caught"), [(0.02, True), (0.2, None)])
def test_what_begins_after_a_pause_is_not_told_as_running(pause_s, caught):
    """An engine takes over while the starter turns; between two compressions is no pause."""
    assert told(firing(40, 22), pause_s=pause_s) is caught


def test_what_the_shop_sounded_like_before_is_not_told_as_running():
    """A wrench that was used before is used again."""
    assert told(firing(40, 22), before=firing(40, 22)[-16000:]) is None
    assert told(firing(40, 22), before=0.1 * firing(40, 22)[-16000:]) is True, "what was far softer was something else"


def test_what_was_not_told_to_run_stays_as_it_is():
    """Only the claim that an engine ran is held against its sound."""
    sound = np.zeros(12 * SAMPLE_RATE_HZ, np.int16)
    for caught in (False, None):
        one = replace(CASE, caught=caught, rest_stop=None)
        assert unless_plain(levels_of(sound), sound, one) == one


def test_where_too_little_is_heard_the_claim_stands():
    """Of half a second no beat is known, and of a moment before it no shop."""
    sound = np.concatenate([noise(0.2, 30, 1), noise(1, 1500, 2), firing(40, 22)]).astype(np.int16)
    levels = levels_of(sound)
    brief = replace(CASE, start=25, stop=150, rest_stop=200)
    assert unless_plain(levels, sound, brief).caught is True
    assert unless_plain(levels, sound, replace(brief, rest_stop=155)).caught is True
    assert len(levels) == len(sound) // HOP
