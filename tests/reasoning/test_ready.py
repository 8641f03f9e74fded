"""The state of car and bay as the planner is told it: tests it forbids, and minutes to get ready for the others."""

from __future__ import annotations

import pytest

from assistant.procedure.condition import UNDOES, C
from assistant.procedure.forbidden import REMEDIES
from assistant.procedure.model import Hazard
from assistant.reasoning.ready import Ways, closed_by, readiness_of
from assistant.wiring import load_library, load_model

MODEL = load_model("no-start")
LIBRARY = load_library("no-start")[1]
TESTS = frozenset(test.id for test in MODEL.tests)
HURTS = frozenset({Hazard.OPEN_FUEL_LINE, Hazard.EXPOSED_SPARK, Hazard.SPRAYING, Hazard.BATTERY_CLAMP})


@pytest.fixture(scope="module")
def ways() -> Ways:
    """What closes each shipped test."""
    return closed_by(MODEL, LIBRARY)


def test_a_leak_forbids_every_test_that_turns_sparks_or_sprays(ways: Ways) -> None:
    """Only a repair undoes it, so no minutes of set-up lead there; what needs none of it stays."""
    ready = readiness_of(ways, frozenset({C.LEAK, C.VAPOUR}), TESTS)
    turning = {test.id for test in MODEL.tests if test.work and test.work.cranks_s}
    assert len(turning) > 25
    assert turning <= ready.forbidden
    assert {"spark-check", "fuel-substitute", "puffs", "fuel-pressure", "fuel-volume"} <= ready.forbidden
    assert not {"codes", "history", "fuel-level", "security-lamp", "tailpipe-smell"} & ready.forbidden


def test_vapour_adds_its_five_minutes_to_what_could_light_it(ways: Ways) -> None:
    """A spark test is not forbidden: its wait is set-up. A look at the gauge costs no more than before."""
    ready = readiness_of(ways, frozenset({C.VAPOUR, C.CAN_OUT}), TESTS)
    assert "spark-check" not in ready.forbidden
    assert ready.extra_min["spark-check"] == pytest.approx(5.5)  # the can is taken away before
    assert ready.extra_min["cranking-speed"] == pytest.approx(0.5)
    assert "fuel-level" not in ready.extra_min


@pytest.mark.parametrize(
    ("so", "test", "minutes"),
    [
        (C.PACK_ON, "spark-check", REMEDIES[C.PACK_ON].minutes),
        (C.PACK_ON, "fuel-sample", REMEDIES[C.PACK_ON].minutes),
        (C.LINE_OPEN, "cranking-speed", REMEDIES[C.LINE_OPEN].minutes),
        (C.TESTER_HUNG, "other-key", REMEDIES[C.TESTER_HUNG].minutes),
        (C.ENGINE_HOT, "fuel-volume", REMEDIES[C.ENGINE_HOT].minutes),
    ],
)
def test_what_a_remedy_undoes_is_set_up(ways: Ways, so: C, test: str, minutes: float) -> None:
    """Taking the pack off, closing the line, taking the tester off, letting it cool: each in its minutes."""
    assert readiness_of(ways, frozenset({so}), TESTS).extra_min[test] == minutes


def test_a_line_closed_leaves_vapour_to_wait_for(ways: Ways) -> None:
    """The remedy of one thing brings the next."""
    ready = readiness_of(ways, frozenset({C.LINE_OPEN}), TESTS)
    assert ready.extra_min["spark-check"] == pytest.approx(3.0 + 5.0)


def test_what_is_not_here_cannot_be_done(ways: Ways) -> None:
    """Without gauge, load tester or pack no test is proposed that needs it; nor one left out by word."""
    assert readiness_of(ways, frozenset({C.NO_PRESSURE_GAUGE}), TESTS).forbidden >= {"fuel-pressure", "fuel-volume"}
    assert readiness_of(ways, frozenset({C.NO_LOAD_TESTER}), TESTS).forbidden == {"battery-load"}
    assert readiness_of(ways, frozenset(), TESTS, ["codes"]).forbidden == {"codes"}


def test_nothing_is_so_and_nothing_is_added(ways: Ways) -> None:
    """What counts as so at first costs nothing beside the minutes that each test has."""
    for so in (frozenset[C](), frozenset({C.KEY_ON, C.PRESSURE_UP})):
        ready = readiness_of(ways, so, TESTS)
        assert (ready.forbidden, ready.extra_min) == (frozenset(), {})


@pytest.mark.parametrize("test", MODEL.tests, ids=lambda test: test.id)
def test_a_test_says_what_the_steps_need_that_ask_for_it(test) -> None:
    """What every one of them needs undone the test needs too, for it may be told without them."""
    steps = [LIBRARY[seen.procedure].step(seen.step) for seen in test.seen_from if seen.procedure in LIBRARY]
    needed = [{word for word in step.needs if word in UNDOES} for step in steps]
    if needed:
        assert set.intersection(*needed) <= set(test.work.needs)


@pytest.mark.parametrize("test", MODEL.tests, ids=lambda test: test.id)
def test_what_can_hurt_says_what_it_needs_or_leaves(test) -> None:
    """An open line, a spark or a spray in the step that asks, and the test has its own lines on it."""
    steps = [LIBRARY[seen.procedure].step(seen.step) for seen in test.seen_from if seen.procedure in LIBRARY]
    shown = frozenset[Hazard]().union(*(step.all_hazards for step in steps)) & HURTS
    if shown or "vapour" in test.work.leaves:
        assert test.work.needs
        # A clip on a stud may spark, but leaves nothing behind.
        assert test.work.makes or shown == {Hazard.BATTERY_CLAMP}
