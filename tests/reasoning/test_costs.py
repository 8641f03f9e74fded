"""Minutes of a test: moving, set-up once, and the waiting that safety asks."""

from __future__ import annotations

import pytest

from assistant.procedure.model import Duty, Place
from assistant.reasoning.costs import Situation, after_tests, allowed, do_test, lacking, minutes_for
from assistant.reasoning.model import Model
from assistant.reasoning.reasoner import Reasoner

DUTY = Duty(burst_s=10.0, rest_s=120.0)


def test_moving_and_set_up_are_paid_once(lamp: Model) -> None:
    """From the seat the first test with the meter pays the way and the set-up, the second neither."""
    seat = Situation(place=Place.SEAT)
    assert minutes_for(lamp, lamp.test("volts"), seat, DUTY) == pytest.approx(0.75 + 4 + 2)
    after = do_test(lamp, lamp.test("volts"), seat, DUTY)
    assert after.place is Place.HOOD
    assert minutes_for(lamp, lamp.test("volts"), after, DUTY) == pytest.approx(2)


def test_a_due_rest_is_waited_for(lamp: Model) -> None:
    """Cranking that would pass the duty waits until the rest is over, counted from the end of the last."""
    after = after_tests(lamp, ["current"], DUTY)
    again = minutes_for(lamp, lamp.test("current"), after, DUTY)
    assert again == pytest.approx(2 + 3)
    elsewhere = do_test(lamp, lamp.test("look"), after, DUTY)
    waited = minutes_for(lamp, lamp.test("current"), elsewhere, DUTY)
    assert waited == pytest.approx(0.75 + 3), "the walk to the seat, the look and the walk back outlast the rest"


def test_what_lingers_is_waited_for(lamp: Model) -> None:
    """A test that must not be done in smoke waits until the smoke is gone."""
    after = after_tests(lamp, ["current"], DUTY)
    assert minutes_for(lamp, lamp.test("volts"), after, DUTY) == pytest.approx(5 + 2)


def test_a_test_opens_only_by_its_opening(lamp: Model) -> None:
    """A test with openings is allowed by one of their results and by nothing else."""
    assert not allowed(lamp.test("volts"), {})
    assert not allowed(lamp.test("volts"), {"look": "lit"})
    assert allowed(lamp.test("volts"), {"look": "dark"})
    assert allowed(lamp.test("look"), {})


def test_what_supposes_a_crank_waits_for_any_test_that_cranks(shipped: Reasoner) -> None:
    """Whichever it was, beside what else opens the way; what still lacks is told for the plan to do first."""
    smell, plug = shipped.model.test("tailpipe-smell"), shipped.model.test("one-plug")
    assert not allowed(smell, {"leak-check": "dry", "battery-at-rest": "good"})
    assert {"cranking-speed", "spark-check"} <= {opening.test for opening in lacking(smell, {})}
    assert allowed(smell, {"spark-check": "present"})
    assert [opening.test for opening in lacking(plug, {"cranking-speed": "normal"})] == ["leak-check", "leak-mended"]
    assert not allowed(plug, {"leak-check": "dry"})
    assert allowed(plug, {"leak-check": "dry", "key-cycles": "no-change"})


def test_conditions_cannot_be_done(lamp: Model) -> None:
    """A condition is no test: asking for its minutes is an error."""
    with pytest.raises(ValueError, match="not a test"):
        minutes_for(lamp, lamp.conditions[0], Situation(), DUTY)
