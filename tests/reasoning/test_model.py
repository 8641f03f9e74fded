"""What a model tells of a test by itself: above all what it leaves so of car and bay."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.reasoning.model import Model


def test_a_result_leaves_so_what_the_test_and_it_make(lamp: Model) -> None:
    """Each once, the test's own first; another result of the same test makes nothing of the first one's."""
    test = lamp.test("look")
    assert test.work is not None
    lit, dark = test.values
    both = replace(
        test,
        work=replace(test.work, makes=("can-out", "leak")),
        values=(lit, replace(dark, makes=("leak", "vapour"))),
    )
    assert both.made("dark") == ("can-out", "leak", "vapour")
    assert both.made("lit") == ("can-out", "leak")
    assert replace(both, work=None).made("dark") == ("leak", "vapour")
    assert test.made("lit") == ()
    with pytest.raises(KeyError):
        both.made("half")
