"""Which result a heard burst sounds like, by what the ear made of it, on a made-up crank step."""

from dataclasses import replace

import pytest

from assistant.guide.proposal import other_view, propose
from assistant.language.model import BurstHeard
from tests.guide.job import LIBRARY, TO_CRANK, Job

TURN = LIBRARY["small"].step("turn")


def offering(*ids):
    """The crank step with other results."""
    return replace(TURN, results=tuple(replace(TURN.results[0], id=each) for each in ids))


def proposed(ids, **heard):
    result = propose(offering(*ids.split()), BurstHeard(**{"seconds": 3.0, "rpm": 180.0, "caught": False, **heard}))
    return None if result is None else result.id


@pytest.mark.parametrize(
    ("run_s", "ids", "result"),
    [
        (2.0, "started fired none", "fired"),
        (4.9, "started ran-briefly", "ran-briefly"),
        (5.0, "fired started", "started"),
        (9.0, "fired none", None),
        (2.0, "started none", "started"),
        (None, "fired runs", "runs"),
    ],
)
def test_an_engine_that_ran_up_to_five_seconds_ran_briefly_where_the_step_tells_them_apart(run_s, ids, result):
    """Where it cannot, having run at all is having run."""
    assert proposed(ids, caught=True, run_s=run_s) == result


@pytest.mark.parametrize(
    ("rpm", "ids", "result"),
    [
        (110.0, "slow normal none", None),
        (149.9, "slow normal none", None),
        (150.0, "slow normal none", "normal"),
        (99.0, "slow normal none", "slow"),
        (100.0, "slow normal none", None),
        (300.0, "slow normal none", "normal"),
        (301.0, "slow normal none", None),
        (200.0, "normal other", None),
        (200.0, "turned still", "turned"),
        (200.0, "turned none", None),
        (90.0, "no-change slow", "no-change"),
        (None, "slow normal none", None),
        (None, "no-change slow", "no-change"),
    ],
)
def test_an_engine_that_does_not_fire_is_told_by_how_fast_it_turned(rpm, ids, result):
    """Usual turning is a result only beside one that says that it did not turn."""
    assert proposed(ids, rpm=rpm) == result


@pytest.mark.parametrize(
    ("heard", "ids", "result"),
    [
        ({"kind": "whine"}, "none turns", "none"),
        ({"kind": "chatter"}, "click silent", "click"),
        ({"kind": "chatter"}, "none no-change", None),
        ({"rpm": 0.0}, "still slow no-change", "still"),
        ({"kind": "light"}, "light no-change", "light"),
        ({"kind": "light", "caught": True, "run_s": 9.0}, "light started", "started"),
        ({"kind": "light"}, "no-change started", "no-change"),
        ({"caught": None, "kind": "light"}, "light started", "light"),
        ({"caught": None}, "no-change started", None),
    ],
)
def test_what_turns_no_engine_is_told_by_its_sound(heard, ids, result):
    """A motor that whines or chatters says nothing of spark, and an unsure ear proposes nothing."""
    assert proposed(ids, **heard) == result


def test_the_other_view_is_there_only_for_a_burst_that_was_heard_and_says_otherwise():
    """Neither before the burst, nor where both say the same, nor of a step that turns nothing."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready").wait(7.0)
    job.act(BurstHeard(seconds=3.0, rpm=180.0, caught=False))
    assert other_view(TURN, job.state, "started").id == "no-change"
    assert other_view(TURN, job.state, "no-change") is None
    assert other_view(TURN, replace(job.state, burst_done=False), "started") is None
    assert other_view(TURN, replace(job.state, burst=None), "started") is None
    assert other_view(LIBRARY["small"].step("look"), job.state, "clean") is None
