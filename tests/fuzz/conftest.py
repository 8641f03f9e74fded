"""Odd input of every kind. `pytest tests/fuzz --hypothesis-profile campaign` makes more than 100,000 cases."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import settings

from tests.fuzz.odd import resident_mb

MOST_GROWN_MB, OF_CAMPAIGN_MB = 150.0, 800.0
"""What one kind of input may add to the memory of the test program: caches, and what hypothesis keeps of its cases."""


@pytest.fixture(autouse=True, scope="module")
def bounded_memory() -> Iterator[None]:
    """Whatever was read, the program has not grown by more than that."""
    before = resident_mb()
    yield
    campaign = settings.default is not None and settings.default.max_examples > 1_000
    assert resident_mb() - before < (OF_CAMPAIGN_MB if campaign else MOST_GROWN_MB)
