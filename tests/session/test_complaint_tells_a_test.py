"""A test that the complaint tells of is no finding of a customer's: it is said how it is told as one's own."""

import pytest

from tests.session.test_it_runs import fresh

COMPLAINT = "cranks fine, no spark, had the plugs out already"


def _complain(library, reasoner, words):
    room = fresh(library, reasoner)
    room.type("done")
    *_, turn = room.type(words)
    return room, turn


def test_it_is_said_how_it_is_told(library, reasoner):
    """The complaint itself moves no odds by it; said so, it counts."""
    room, turn = _complain(library, reasoner, COMPLAINT)
    assert "If you tested that yourself, say: i found there is no spark." in turn["said"]
    (told,) = room.type("i found there is no spark")
    assert told["command"] == "found spark-check=none"


@pytest.mark.parametrize("words", ["cranks fine but no spark when it's wet", "the customer says no spark", "it cranks"])
def test_what_is_doubted_or_another_s_is_not(library, reasoner, words):
    """Nor what happens only at times."""
    _, turn = _complain(library, reasoner, words)
    assert not any(said.startswith("If you tested") for said in turn["said"])


@pytest.mark.parametrize(
    ("words", "counts"),
    [
        ("no spark i had the plugs out and cranked it", True),
        ("there's no spark at all", True),
        ("no spark when it's cold", False),
        ("no spark i think", False),
    ],
)
def test_how_it_was_tested_may_follow_a_result(library, reasoner, words, counts):
    """At any question the result comes first and counts at once; what is doubted does not."""
    room, _ = _complain(library, reasoner, "it cranks but will not start")
    *_, turn = room.type(words)
    assert (turn["command"] == "found spark-check=none") is counts
