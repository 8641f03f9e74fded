"""The nets that tell kinds learn what they are shown."""

from __future__ import annotations

import numpy as np

from assistant.cranking.kinds import KINDS, WIDTH
from assistant.training.starter_kinds import fit, right_shares


def test_kinds_that_differ_in_one_number_each_are_learnt():
    """Of clear examples nearly all are told right, and the shares are of what was tested."""
    rng = np.random.default_rng(1)
    examples = []
    for place, kind in enumerate(KINDS):
        for _ in range(30):
            numbers = rng.normal(0, 0.3, WIDTH).astype(np.float32)
            numbers[place] += 4
            examples.append((numbers, kind))
    shares = right_shares(fit(examples, 1), examples)
    assert set(shares) == set(KINDS)
    assert min(shares.values()) > 0.9
