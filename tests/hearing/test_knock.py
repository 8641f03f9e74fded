"""Two knocks on the microphone: what counts as two, and what else is as loud."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.bench.knock import LOUD_DBFS, hammer, scene, thump, told_s
from assistant.bench.noises import NOISES
from assistant.hearing.knock import HOP, KnockEar
from assistant.ports import SAMPLE_RATE_HZ

SOFT_DBFS = -41.0


@pytest.mark.parametrize("noise", sorted(NOISES))
def test_two_knocks_are_told_once_when_no_third_follows(noise: str) -> None:
    """In each noise, soon after the second."""
    random = np.random.default_rng(7)
    for apart_s in (0.16, 0.3, 0.5):
        (told,) = told_s(scene((1.5, 1.5 + apart_s), thump, noise, SOFT_DBFS, random))
        assert 1.5 + 2 * apart_s < told < 1.5 + 2 * apart_s + 0.35


@pytest.mark.parametrize("blows_s", [(1.5,), (1.5, 1.58), (1.5, 2.6), (1.5, 1.8, 2.1), (1.2, 1.5, 1.8, 2.1)])
def test_one_or_many_or_knocks_far_apart_are_none(blows_s: tuple[float, ...]) -> None:
    """What comes in rows is work, and what comes alone is chance."""
    assert told_s(scene(blows_s, thump, "fan", SOFT_DBFS, np.random.default_rng(7))) == []


def test_blows_of_a_hammer_are_no_knocks() -> None:
    """They are as loud, and they ring."""
    random = np.random.default_rng(7)
    assert [told_s(scene((1.5, 1.9), hammer, "fan", SOFT_DBFS, random)) for _ in range(10)] == [[]] * 10


@pytest.mark.parametrize("noise", sorted(NOISES))
def test_a_loud_shop_does_not_knock(noise: str) -> None:
    """A minute of each noise, its peaks beyond what a microphone can tell."""
    sound = NOISES[noise](60 * SAMPLE_RATE_HZ, np.random.default_rng(7))
    loud = sound / np.sqrt((sound**2).mean()) * 10 ** (LOUD_DBFS / 20)
    assert told_s(np.asarray(np.clip(loud, -1, 1) * 32_767, np.int16)) == []


def test_it_is_the_same_however_the_sound_is_cut() -> None:
    """Blocks of any size, none at all among them."""
    pcm = scene((1.5, 1.8), thump, "fan", SOFT_DBFS, np.random.default_rng(7))
    for size in (1, 100, HOP, 1_000, pcm.size):
        ear = KnockEar()
        assert not ear.feed(pcm[:0])
        assert sum(ear.feed(pcm[at : at + size]) for at in range(0, pcm.size, size)) == 1
