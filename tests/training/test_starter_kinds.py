"""The nets that judge a stretch again learn what they are shown, and scenes to learn from say what is in them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.cranking.kinds import KINDS, KindLayers
from assistant.cranking.model import Kind
from assistant.training import starter_kinds
from assistant.training.crank_practice_kinds import RATE_HZ, Example, Truth, examples, light_turn, machines, what_it_was
from assistant.training.starter_kinds import fit, right_shares


def test_kinds_that_differ_in_one_number_each_are_learnt():
    """Of clear examples nearly all are told right, and the shares are of what was tested."""
    rng = np.random.default_rng(1)
    some = []
    for place, kind in enumerate(KINDS):
        for _ in range(30):
            numbers = rng.normal(0, 0.3, 20).astype(np.float32)
            numbers[place] += 4
            some.append(Example(kind=kind, numbers=numbers))
    shares = right_shares(fit(some, 1), some)
    assert set(shares) == set(KINDS)
    assert min(shares.values()) > 0.9


def test_a_stretch_is_what_most_of_it_was():
    """The beginning of a whine is a whine; what holds an engine that ran belongs to the starter before it; what touches
    a starter hardly is neither."""
    turned = Truth(start=500, stop=700, ran=300)
    assert what_it_was(Kind.WHINE, (500, 560), [turned]) is Kind.WHINE
    assert what_it_was(Kind.CRANK, (505, 1000), [turned]) is Kind.CRANK
    assert what_it_was(Kind.CRANK, (720, 990), [turned]) is None
    assert what_it_was(Kind.CRANK, (100, 600), [turned]) is None
    assert what_it_was(Kind.CRANK, (100, 400), [turned]) is Kind.OTHER
    assert what_it_was(Kind.OTHER, (100, 400), []) is Kind.OTHER


@pytest.mark.parametrize("kind", [Kind.WHINE, Kind.OTHER])
def test_a_scene_gives_stretches_as_they_are_described(kind):
    """All alike in width and sound in every number; one without a starter holds only something else."""
    layers = replace(starter_layers(), kinds=None)
    found = [one for number in (0, 3) for one in examples(np.random.default_rng([1, number]), kind, layers)]
    assert len(found) > 1
    assert len({one.numbers.shape for one in found}) == 1
    assert all(np.isfinite(one.numbers).all() for one in found)
    assert {one.kind for one in found} <= {kind, Kind.OTHER}


def test_the_file_holds_nets_that_tell_kinds(tmp_path, monkeypatch):
    """From rounds of one whine and one chatter; what was learnt from is told besides."""
    monkeypatch.setattr(starter_kinds, "ROUND", (Kind.WHINE, Kind.CHATTER))
    said: list[str] = []
    starter_kinds.write_kinds(2, 1, tmp_path / "kinds.npz", said.append)
    with np.load(tmp_path / "kinds.npz") as held:
        layers = KindLayers(**{name: held[name] for name in held.files})
    assert layers(layers.mean).sum() == pytest.approx(1.0, abs=1e-5)
    assert "stretches learnt from" in said[-1]


def test_a_machine_runs_now_and_then():
    """It is sound of the length asked for, and not equally loud all the time."""
    sound = machines(160_000, np.random.default_rng(5))
    assert sound.shape == (160_000,)
    assert np.isfinite(sound).all()
    loud = np.sqrt((sound.reshape(-1, 1_600) ** 2).mean(axis=1))
    assert loud.max() > 3 * np.quantile(loud, 0.05)


def test_a_light_engine_is_heard_to_run_out():
    """After the key it is softer than while it turned, and fades: of eight the last 50 ms hold little."""
    for number in range(8):
        sound = light_turn(np.random.default_rng([6, number]))
        usual, last = np.mean(sound[: len(sound) // 2] ** 2), np.mean(sound[-RATE_HZ // 20 :] ** 2)
        assert last < 0.4 * usual
