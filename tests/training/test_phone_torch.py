"""The fit of the phone layers by torch."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from assistant.errors import SetupError
from assistant.training import phone_torch
from assistant.training.phone_training import phone_error_rate
from tests.training.test_phone_training import plain


def test_without_torch_it_says_what_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Torch is needed to learn, never to hear."""
    monkeypatch.setitem(sys.modules, "torch", None)
    with pytest.raises(SetupError, match="torch is not installed"):
        phone_torch.train(plain(4), hidden=4, rounds=1, seed=0, tell=lambda words: None)


def test_it_learns_what_is_plain_to_see_and_on_from_there() -> None:
    """As the fit without torch does: the layers that come of it hear the same way."""
    pytest.importorskip("torch")
    ear = phone_torch.train(plain(2_000), hidden=16, rounds=60, seed=0, tell=lambda words: None)
    others = plain(50, seed=8)
    assert phone_error_rate(ear, others) < 0.05
    more = phone_torch.train(plain(400), hidden=16, rounds=1, seed=1, tell=lambda words: None, begun=ear)
    assert phone_error_rate(more, others) < 0.05
    assert np.abs(more.weights[0] - ear.weights[0]).max() > 0
