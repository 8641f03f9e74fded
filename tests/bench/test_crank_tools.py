"""A tool begins where it is said to: about the end of the burst, as loud as was drawn, in the same scene."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.bench import crank_tools
from assistant.bench.crank_tools import MAKERS, TOOLS, beside_a_tool

RATE_HZ = 16_000


@pytest.mark.parametrize("maker", list(MAKERS))
def test_the_scene_is_the_makers_with_a_tool_behind_it(maker: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Before it nothing changed; behind it, 10 dB over the starter, it is louder than anything was."""
    monkeypatch.setattr(crank_tools, "BEGINS_S", (0.2, 0.2))
    monkeypatch.setattr(crank_tools, "LOUD_DB", (10.0, 10.0))
    plain = MAKERS[maker](np.random.default_rng(4))
    scene = beside_a_tool(MAKERS[maker])(np.random.default_rng(4))
    begins = round((scene.end_s + 0.2) * RATE_HZ)
    assert (scene.start_s, scene.end_s, scene.caught, scene.rpm) == (
        plain.start_s,
        plain.end_s,
        plain.caught,
        plain.rpm,
    )
    assert np.array_equal(scene.pcm[: min(begins, len(plain.pcm))], plain.pcm[:begins])
    turned = scene.pcm[round(scene.start_s * RATE_HZ) : round(scene.end_s * RATE_HZ)].astype(float)
    behind = scene.pcm[begins : begins + RATE_HZ].astype(float)
    assert (behind**2).mean() > 2 * (turned**2).mean()
    assert len(scene.pcm) >= round((scene.end_s + crank_tools.GOES_ON_S) * RATE_HZ)
    assert scene.noise.split(", ")[-1] in TOOLS


@pytest.mark.parametrize("maker", list(MAKERS))
def test_amid_a_burst_the_tool_begins_while_the_starter_turns(maker: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the two ends that are named, of a burst of two seconds at least."""
    made = []
    for loud_db in (-300.0, 10.0):
        monkeypatch.setattr(crank_tools, "LOUD_DB", (loud_db, loud_db))
        made.append(beside_a_tool(MAKERS[maker], amid=True)(np.random.default_rng(6)))
    still, scene = made
    assert scene.end_s - scene.start_s > crank_tools.LEAST_S
    begins_s = np.flatnonzero(scene.pcm != still.pcm)[0] / RATE_HZ
    assert scene.start_s + 0.8 <= begins_s <= scene.end_s - 0.4
