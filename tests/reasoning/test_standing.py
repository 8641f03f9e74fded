"""Whether "proved" may be said of a finding: one function decides, by the odds alone."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.standing import LEAST_PROVED, Standing, lead, standing_of

CHANCES = st.floats(0.0, 1.0)


@pytest.mark.parametrize(
    ("odds", "fault", "more", "stands"),
    [
        ({"pump": 0.96, "coil": 0.02}, "pump", {}, Standing.PROVED),
        ({"pump": 0.94, "coil": 0.02}, "pump", {}, Standing.NOT_PROVED),
        ({"pump": 0.30, "coil": 0.40}, "pump", {}, Standing.OUTWEIGHED),
        ({"pump": 0.30, NONE_OF_THESE: 0.40}, "pump", {}, Standing.OUTWEIGHED),
        ({"pump": 0.30, "coil": 0.40, "belt": 0.10}, "pump", {}, Standing.OUTWEIGHED),
        ({"pump": 0.98, "coil": 0.97}, "pump", {}, Standing.PROVED),
        ({"pump": 0.96}, "pump", {"proved_at": 0.99}, Standing.NOT_PROVED),
        ({"pump": 0.90}, "pump", {"proved_at": 0.80}, Standing.NOT_PROVED),
        ({"pump": 0.99}, "pump", {"exact": False}, Standing.NOT_PROVED),
        ({"pump": 0.99}, "pump", {"fits": False}, Standing.NOT_PROVED),
        ({"pump": 0.99}, "belt", {}, Standing.BY_TEST),
        ({"pump": 0.99}, NONE_OF_THESE, {}, Standing.BY_TEST),
        ({"pump": 0.30, NONE_OF_THESE: 0.99}, NONE_OF_THESE, {}, Standing.BY_TEST),
        ({"pump": 0.99}, "pump", {"direct": False}, Standing.NOT_PROVED),
        ({"pump": 0.40, "coil": 0.40}, "pump", {}, Standing.NOT_PROVED),
        ({"pump": LEAST_PROVED}, "pump", {}, Standing.PROVED),
        ({}, "pump", {}, Standing.BY_TEST),
        ({"pump": 0.99}, None, {}, Standing.OPEN),
    ],
)
def test_the_word_yields_to_the_odds(odds: dict[str, float], fault: str | None, more: dict, stands: Standing) -> None:
    """Proved needs the line, the very fault and results that fit; without odds there is only the test."""
    assert standing_of(odds, fault, **more) is stands


@given(pump=CHANCES, coil=CHANCES, line=CHANCES, exact=st.booleans(), fits=st.booleans())
def test_nothing_below_the_line_is_proved(pump: float, coil: float, line: float, exact: bool, fits: bool) -> None:
    """Whatever a model's own line is, and whatever else is likely."""
    stands = standing_of({"pump": pump, "coil": coil}, "pump", proved_at=line, exact=exact, fits=fits)
    assert (stands is Standing.PROVED) == (pump >= max(line, LEAST_PROVED) and exact and fits)
    assert (stands is Standing.OUTWEIGHED) == (pump < max(line, LEAST_PROVED) and coil > pump)


@pytest.mark.parametrize("stands", Standing)
def test_only_doubt_leads_the_words_in(stands: Standing) -> None:
    """What is not proved says so before its words; a lead never says proved alone."""
    doubtful = stands in (Standing.NOT_PROVED, Standing.OUTWEIGHED)
    assert lead(stands).startswith("Not proved") == doubtful
    assert bool(lead(stands)) == doubtful
