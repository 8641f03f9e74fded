"""How far back the odds of a stream are judged again and kept, where what a step sounds like is given."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from assistant.cranking import track
from assistant.cranking.levels import BANDS, HOP
from assistant.cranking.track import AGAIN, ALL_AGAIN, ALL_EACH, KEPT, OddsTrack
from assistant.cranking.traits import LONG, LONG_HOP, STEP, Moments


class Heard:
    """A track of a stream whose levels are their own numbers; what it asked to be judged."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.asked, self.fresh, self.at = list[tuple[int, int, int]](), list[tuple[int, int]](), 0

        def moments_of(levels: np.ndarray, pcm: np.ndarray, first: int = 0) -> Moments:
            assert len(pcm) == len(levels) // STEP * STEP * HOP and (not len(pcm) or pcm[0] == levels[0, 0])
            numbers = levels[first * STEP : len(levels) // STEP * STEP : STEP, :1] / STEP
            if len(numbers):
                self.fresh.append((int(levels[0, 0]) // STEP, int(numbers[0, 0])))
            return Moments(means=numbers, dips=numbers, pulses=numbers, beats=numbers)

        def traits_around(moments: Moments, first: int = 0, *, heard: int = 0) -> np.ndarray:
            self.asked.append((int(moments.means[0, 0]), int(moments.means[first, 0]), heard))
            return moments.means[first:].repeat(3, 1)

        monkeypatch.setattr(track, "moments_of", moments_of)
        monkeypatch.setattr(track, "traits_around", traits_around)
        layers: Any = np.copy  # a stand-in: the odds of a step are its number
        self.track = OddsTrack(layers)

    def hear(self, steps: int) -> None:
        """So many steps more, and a look."""
        levels = np.arange(float(self.at), self.at + steps * STEP, dtype=np.float64)[:, None].repeat(BANDS, 1)
        self.track.feed(levels.astype(np.float32), np.repeat(levels[:, 0], HOP))
        self.at += steps * STEP
        self.track.look()


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> Heard:
    monkeypatch.setattr(track, "HOP", 1)
    monkeypatch.setattr("tests.cranking.test_track_given.HOP", 1)
    monkeypatch.setattr(track, "Tail", lambda none, _capacity: track_tail(none))
    return Heard(monkeypatch)


def track_tail(none: np.ndarray) -> Any:
    """A tail that holds any numbers."""
    from assistant.cranking.tail import Tail  # noqa: PLC0415 - the one that the track uses is replaced

    return Tail(none.astype(np.float64), 10)


def test_each_step_has_its_own_odds_whatever_is_forgotten(heard: Heard) -> None:
    """Never fewer than 58 s are kept of a long stream, nor many more; the oldest kept has its number."""
    for _ in range(60):
        heard.hear(24)
        track_ = heard.track
        assert track_.now == heard.at
        assert track_.odds[:, 0].tolist() == list(range(track_.first // STEP, heard.at // STEP))
        assert len(track_.levels) == len(track_.odds) * STEP == len(track_.pcm)
        assert track_.levels[0, 0] == track_.first == track_.pcm[0]
        kept = len(track_.odds)
        assert kept == heard.at // STEP if heard.at // STEP <= KEPT else KEPT <= kept <= KEPT + 20 * LONG_HOP
        assert track_.first % (LONG_HOP * STEP) == 0
    assert track_.first > 0


def test_four_seconds_are_judged_again_at_each_look_and_all_that_may_change_now_and_then(heard: Heard) -> None:
    """Each 24 steps, that is two seconds; with as much before them as their traits look at, from a fifth step on."""
    heard.hear(600)
    heard.asked.clear()
    for steps in (1, 10, 12, 1, 5):
        before = len(heard.track.odds)
        heard.hear(steps)
        around, begin, told = heard.asked.pop()
        again = ALL_AGAIN if heard.at // STEP == 600 + ALL_EACH else AGAIN
        assert begin == before - again
        low = begin - LONG - LONG_HOP
        assert around == told == low - low % LONG_HOP


def test_what_a_step_sounds_like_is_settled_after_a_second(heard: Heard) -> None:
    """Its pulses and beats hang on what follows; those of the last twelve steps are reckoned anew."""
    heard.hear(100)
    heard.fresh.clear()
    heard.hear(3)
    heard.hear(3)
    assert heard.fresh == [(76, 88), (79, 91)]
