"""The state of car and bay as the planner is told it: tests it forbids, and minutes to get ready for the others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.procedure.condition import UNDOES, C
from assistant.procedure.forbidden import forbids_hazards
from assistant.procedure.model import Hazard, Place
from assistant.procedure.remedies import REMEDIES
from assistant.reasoning.model import Variable, Work
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
    assert {"codes", "fuel-level", "security-lamp"} <= ready.forbidden, "with the key on the pump pushes out more"
    assert "tailpipe-smell" in ready.forbidden, "where fuel leaks it smells all round the car"
    assert not {"history", "how-it-stopped", "clamps"} & ready.forbidden


def test_vapour_adds_its_five_minutes_to_what_could_light_it(ways: Ways) -> None:
    """Neither spark nor starter is forbidden: the wait is set-up. A look at the gauge costs no more than before."""
    ready = readiness_of(ways, frozenset({C.VAPOUR, C.CAN_OUT}), TESTS)
    assert "spark-check" not in ready.forbidden
    assert ready.extra_min["spark-check"] == pytest.approx(5.5)  # the can is taken away before
    assert ready.extra_min["cranking-speed"] == pytest.approx(5.5)  # a starter sparks as well
    assert "fuel-level" not in ready.extra_min


@pytest.mark.parametrize(
    ("so", "test", "minutes"),
    [
        (C.PACK_ON, "spark-check", REMEDIES[C.PACK_ON].minutes),
        (C.PACK_ON, "fuel-sample", REMEDIES[C.PACK_ON].minutes),
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
    assert ready.extra_min["cranking-speed"] == pytest.approx(3.0 + 5.0)
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


def made_up(**work: object) -> Variable:
    """A made-up test of this work, which no step asks for."""
    own = Work(place=Place.HOOD, minutes=1.0, **work)
    return Variable(id="x", say="x", values=(), default=(), rows=(), source="", work=own)


@pytest.mark.parametrize(
    ("work", "hazard"),
    [
        ({"cranks_s": 0.1}, Hazard.CRANKING),
        ({"makes": ("can-out",)}, Hazard.SPRAYING),
        ({"makes": ("line-open",)}, Hazard.OPEN_FUEL_LINE),
        ({"makes": ("tester-hung",)}, Hazard.EXPOSED_SPARK),
    ],
)
def test_a_test_that_no_step_asks_for_is_closed_by_its_own_lines(work: dict[str, object], hazard: Hazard) -> None:
    """What turns, sprays, opens a line or sparks is closed as such work is, but by what it makes itself."""
    (closed,) = closed_by(replace(MODEL, tests=(made_up(**work),)), {}).values()
    assert closed == forbids_hazards(frozenset({hazard})) - {C(word) for word in work.get("makes", ())}
    assert C.LEAK in closed


def test_a_look_is_closed_by_nothing_but_what_it_says() -> None:
    """What it needs undone, what must be gone first, what is not here; a linger of another kind forbids nothing."""
    look = made_up(needs=("pack-off", "key-on"), not_during=("vapour", "smoke"), unless=("no-load-tester",))
    (closed,) = closed_by(replace(MODEL, tests=(look,)), {}).values()
    assert closed == {C.PACK_ON, C.VAPOUR, C.NO_LOAD_TESTER}
    for plain in (made_up(), replace(made_up(), work=None)):
        assert closed_by(replace(MODEL, tests=(plain,)), {}) == {"x": frozenset()}


def test_what_a_test_makes_itself_forbids_it_where_it_says_that_it_needs_it_undone() -> None:
    """A pack that it puts on must first be off."""
    both = made_up(makes=("pack-on",), needs=("pack-off",))
    (closed,) = closed_by(replace(MODEL, tests=(both,)), {}).values()
    assert closed == {C.PACK_ON}


def test_readiness_names_only_what_is_asked_about() -> None:
    """A test that nothing is known of costs nothing more; what is left out by word is forbidden beside the rest."""
    ways = {"a": frozenset({C.PACK_ON}), "b": frozenset({C.WRONG_FUEL})}
    ready = readiness_of(ways, frozenset({C.PACK_ON, C.WRONG_FUEL}), ("a", "b", "c"), ["d"])
    assert ready.extra_min == {"a": REMEDIES[C.PACK_ON].minutes}
    assert ready.forbidden == {"b", "d"} and ready.among == ("a", "b", "c")


def test_a_pack_stays_on_beside_a_leak() -> None:
    """Its clamp would spark, so that no minutes make the test ready that needs it off."""
    ready = readiness_of({"a": frozenset({C.PACK_ON})}, frozenset({C.PACK_ON, C.LEAK}), ("a",))
    assert (ready.forbidden, ready.extra_min) == ({"a"}, {})


def test_what_a_step_forbids_closes_the_test_that_it_asks_for(ways: Ways) -> None:
    """A wiggle cranks in the step that asks for it; a session without that procedure knows only its own lines."""
    turning = {C.LEAK, C.WRONG_FUEL, C.LINE_OPEN, C.CLAMP_OFF, C.BATTERY_UNSAFE}
    assert turning <= ways["wiggle"]
    assert not turning & closed_by(MODEL, {})["wiggle"]


def test_what_a_test_puts_there_itself_does_not_forbid_it() -> None:
    """A start on the spray has the can in its hand; one that does not spray waits until it is away."""
    sprays, turns = made_up(cranks_s=5.0, makes=("can-out",)), made_up(cranks_s=5.0)
    (with_can,) = closed_by(replace(MODEL, tests=(sprays,)), {}).values()
    (without,) = closed_by(replace(MODEL, tests=(turns,)), {}).values()
    assert C.CAN_OUT not in with_can and C.CAN_OUT in without
