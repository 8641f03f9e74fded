"""The odds on a stream are those of the whole sound."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.cranking.judge import odds_of
from assistant.cranking.levels import LevelMeter, levels_of
from assistant.cranking.scenes import make_scene
from assistant.cranking.synthetic import CrankPlan
from assistant.cranking.track import AGAIN, KEPT, OddsTrack
from assistant.cranking.traits import STEP

LAYERS = starter_layers()


def tracked(pcm: np.ndarray, block: int) -> OddsTrack:
    """The track after this sound, looked at after each block."""
    meter, track = LevelMeter(), OddsTrack(LAYERS)
    for at in range(0, len(pcm), block):
        piece = pcm[at : at + block]
        track.feed(meter.feed(piece), piece)
        track.look()
    return track


def scene() -> np.ndarray:
    plan = CrankPlan(cylinders=4, rpm=200.0, burst_s=2.5, run_s=1.5)
    return make_scene(np.random.default_rng(11), plan=plan, snr_db=12.0, noise="hum").pcm


def test_what_is_heard_block_by_block_is_what_is_heard_at_once():
    """The latest steps have the same odds; all have the same likeliest part."""
    pcm = scene()
    track = tracked(pcm, 4_800)
    whole = odds_of(levels_of(pcm), pcm, LAYERS)
    assert len(track.odds) == len(whole)
    assert np.exp(track.odds[-AGAIN:]) == pytest.approx(np.exp(whole[-AGAIN:]), abs=0.05)
    assert (track.odds.argmax(axis=1) == whole.argmax(axis=1)).mean() > 0.97


def test_what_is_forgotten_is_not_missed():
    """After more than a minute no more than a minute is kept, and the latest odds are as they would be without."""
    quiet = np.random.default_rng(0).normal(0, 30, 66 * 16_000).astype(np.int16)
    pcm = np.concatenate([quiet, scene()])
    track = tracked(pcm, 32_000)
    assert track.first > 0 and len(track.odds) <= KEPT + 2 * AGAIN
    assert track.now == track.first + len(track.levels)
    whole = odds_of(levels_of(pcm), pcm, LAYERS)
    assert len(track.odds) == len(whole) - track.first // STEP
    assert np.exp(track.odds[-AGAIN:]) == pytest.approx(np.exp(whole[-AGAIN:]), abs=0.05)
