"""The fit of the phone layers."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.hearing.phones import REACHES, fits
from assistant.training import phone_training
from assistant.training.phone_training import CLASSES, Example, alignment_loss, phone_error_rate, train

READINGS = ((3, 4, 4, 9), (1, 2), (5,))
LENGTHS = np.array([14, 9, 6])


def logs_of(scores: NDArray[np.float64]) -> NDArray[np.float64]:
    logs: NDArray[np.float64] = scores - np.logaddexp.reduce(scores, axis=2, keepdims=True)
    return logs


def test_the_slope_is_that_of_the_loss() -> None:
    """Outside check: differences of the loss for small changes of single scores, in each row and past its end."""
    random = np.random.default_rng(4)
    scores = random.normal(size=(3, 14, CLASSES))
    _, slope = alignment_loss(logs_of(scores), READINGS, LENGTHS)
    for row, step, phone in [(0, 0, 3), (0, 7, 4), (1, 8, 2), (1, 3, 0), (2, 5, 5), (2, 10, 5)]:
        losses = []
        for change in (-1e-4, 1e-4):
            changed = scores.copy()
            changed[row, step, phone] += change
            losses.append(alignment_loss(logs_of(changed), READINGS, LENGTHS)[0])
        assert slope[row, step, phone] == pytest.approx((losses[1] - losses[0]) / 2e-4, abs=1e-5)


def test_the_loss_is_what_the_recogniser_scores() -> None:
    """Training and hearing mean the same by a likelihood."""
    logs = logs_of(np.random.default_rng(5).normal(size=(3, 14, CLASSES)))
    loss, _ = alignment_loss(logs, READINGS, LENGTHS)
    heard = 0.0
    for row, (reading, length) in enumerate(zip(READINGS, LENGTHS, strict=True)):
        sound = logs[row, :length].astype(np.float32)
        heard += fits(sound[None], [[reading]])[0] + float(sound.max(axis=1).sum())
    assert loss == pytest.approx(-heard, abs=1e-2)


def plain(count: int, seed: int = 6) -> list[Example]:
    """Sounds of three phones, each of which has a direction of its own."""
    looks = np.random.default_rng(6).normal(size=(4, 12)) * 3
    random = np.random.default_rng(seed)
    found = []
    for _ in range(count):
        reading = tuple(int(phone) for phone in random.integers(1, 4, 3))
        steps = [look for phone in reading for look in (looks[0], looks[phone], looks[phone])]
        found.append(((np.array(steps) + random.normal(size=(9, 12)) * 0.3).astype(np.float32), reading))
    return found


def test_it_learns_phones_that_are_plain_to_see() -> None:
    """Three phones, each with a direction of its own in the sound: once learnt hardly one is wrong."""
    ear = train(plain(400), hidden=16, rounds=40, seed=0, tell=lambda words: None)
    assert phone_error_rate(ear, plain(50, seed=8)) < 0.02


def test_the_slopes_of_all_layers_are_those_of_the_loss(monkeypatch: pytest.MonkeyPatch) -> None:
    """Outside check: differences of the loss for small changes of single weights of each layer; rows of two lengths."""
    monkeypatch.setattr(phone_training, "DECAY", 0.0)
    random = np.random.default_rng(7)
    widths = [5, 6, 6, 6, CLASSES]
    weights = [
        random.normal(size=(len(reach) * into, out)) * 0.5
        for reach, into, out in zip(REACHES, widths, widths[1:], strict=False)
    ]
    biases = [random.normal(size=out) * 0.1 for out in widths[1:]]
    scale = (np.zeros(5, np.float32), np.ones(5, np.float32))
    batch = [(random.normal(size=(length, 5)).astype(np.float32), (3, 7)) for length in (9, 14)]

    def loss(values: list[NDArray[np.float64]]) -> float:
        return phone_training._slopes(values[:4], values[4:], scale, batch, np.ones)[1] / len(batch)

    slopes, _ = phone_training._slopes(weights, biases, scale, batch, np.ones)
    for layer in range(8):
        values = [*weights, *biases]
        place = tuple(int(random.integers(size)) for size in values[layer].shape)
        changed = []
        for change in (-1e-5, 1e-5):
            values[layer] = [*weights, *biases][layer].copy()
            values[layer][place] += change
            changed.append(loss(values))
        assert slopes[layer][place] == pytest.approx((changed[1] - changed[0]) / 2e-5, abs=2e-4)


def test_layers_learn_on_from_what_they_knew() -> None:
    """One more round after others begins where they ended, whatever the seed, and needs no random start."""
    examples, others = plain(200), plain(50, seed=8)
    begun = train(examples, hidden=16, rounds=40, seed=0, tell=lambda words: None)
    more = train(examples, hidden=16, rounds=1, seed=1, tell=lambda words: None, begun=begun)
    anew = train(examples, hidden=16, rounds=1, seed=1, tell=lambda words: None)
    assert phone_error_rate(more, others) < phone_error_rate(anew, others) / 3
    assert np.abs(more.weights[0] - begun.weights[0]).max() > 0
