"""A test or condition that cannot be meant so is told, whatever else of the file is right."""

from __future__ import annotations

import pytest

from assistant.reasoning.reader import check_model_text
from tests.reasoning.conftest import LAMP

BANDS = """    bands:
      - {result: low, below: 11, source: judgement}
      - {result: good, at_least: 11, source: judgement}
"""


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("    unit: V\n", "    unit: V\n    wrong: 1.5\n", "found 1.5 for 'wrong'; expected 0 to 1"),
        ("{id: dark, say: it is dark}]", "{id: dark, say: it is dark}, {id: dark, say: x}]", "found 'dark' twice"),
        ("{feed: [gone, sags]}", "{feed: []}", "found an empty list; expected at least one value"),
        ("at_least: 11,", "at_least: 12,", "found a band that does not follow the one before; expected at_least: 11"),
        ("{result: low, below: 11,", "{result: low, at_least: 9, below: 11,", "expected no 'at_least'"),
        ("{result: low, below: 11,", "{result: low,", "found no 'below' in a band that is not the last"),
        ("at_least: 11,", "at_least: 11, below: 15,", "found 'below: 15' in the last band; expected an open end"),
        (BANDS, "    bands:\n      - {result: low, source: judgement}\n", "found no band for the result 'good'"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_told(old: str, new: str, told: str) -> None:
    """With what was found and what was expected; the file as it is has no fault."""
    assert old in LAMP
    assert check_model_text("lamp.faults.yaml", LAMP) == ()
    assert any(told in str(fault) for fault in check_model_text("lamp.faults.yaml", LAMP.replace(old, new)))
