"""What a misheard word could lead to, and the readings that are offered as examples."""

from dataclasses import replace

import pytest

from assistant.guide.echo import near_limit, opens_hazard
from assistant.guide.expect import reading_examples
from assistant.guide.state import Frame, Mode, Position, State
from assistant.procedure.model import Hazard, Kind, Result, Step
from tests.guide.small import small_library

LIBRARY = small_library()
SMALL = LIBRARY["small"]
PLAIN = {"minutes": 1.0, "place": SMALL.steps[0].place}


def step(name, kind=Kind.INSTRUCT, **more):
    """A harmless step."""
    return Step(id=name, kind=kind, say="Look.", hazards=more.pop("hazards", frozenset()), **PLAIN, **more)


def job(*steps, **more):
    """A library of these steps and of a procedure that is called, and a job in it."""
    called = [step("inside", Kind.CHOOSE, vehicle="fuel", cases={"petrol": "back"}, otherwise="danger")]
    called += [step("back", Kind.RETURN, outcome="done"), step("danger", hazards=frozenset({Hazard.CRANKING}))]
    library = {
        "small": replace(SMALL, steps=steps),
        "called": replace(SMALL, id="called", begin="inside", steps=tuple(called)),
    }
    return library, State(
        root="small", position=Position(at=Frame(procedure="small", step="x")), mode=Mode.ASKING, **more
    )


CRANK = step("crank", hazards=frozenset({Hazard.CRANKING}))
CALL = step("call", Kind.CALL, calls="called", results=(Result(id="done", phrases=(), goes="calm"),))
ASK = step(
    "ask", Kind.ASK, vehicle="fuel",
    results=(
        Result(id="petrol", phrases=("petrol",), goes="calm"), Result(id="diesel", phrases=("diesel",), goes="crank"),
    ),
)  # fmt: skip


@pytest.mark.parametrize(
    ("target", "vehicle", "opens"),
    [
        ("calm", {}, False), ("crank", {}, True), ("end", {}, True), ("call", {"fuel": "petrol"}, False),
        ("call", {"fuel": "diesel"}, True), ("call", {}, True), ("ask", {"fuel": "petrol"}, False),
        ("ask", {"fuel": "diesel"}, True), ("ask", {"fuel": "gas"}, False), ("ask", {}, False),
    ],
)  # fmt: skip
def test_a_way_opens_a_hazard_where_the_first_step_that_is_not_silent_has_one(target, vehicle, opens):
    """Through calls, returns, choices and facts that are known; a finding counts as one."""
    library, state = job(step("calm"), CRANK, CALL, ASK, step("end", Kind.FINDING), vehicle=vehicle)
    assert opens_hazard(library, state, target) is opens


def test_a_way_that_never_ends_counts_as_a_hazard():
    """A round of silent steps must not hang, and nothing is known of it."""
    there = step("there", Kind.CHOOSE, vehicle="fuel", cases={}, otherwise="back")
    library, state = job(there, step("back", Kind.CHOOSE, vehicle="fuel", cases={}, otherwise="there"))
    assert opens_hazard(library, state, "there")


def test_a_reading_is_near_a_limit_by_its_share_or_by_two_digits():
    """And never where nothing is measured."""
    _, state = job()
    state = replace(state, position=Position(at=Frame(procedure="small", step="volts")))
    volts = SMALL.step("volts")
    assert near_limit(LIBRARY, state, volts, 12.4) and near_limit(LIBRARY, state, volts, 12.35)
    assert not near_limit(LIBRARY, state, volts, 11.0)
    assert not near_limit(LIBRARY, state, SMALL.step("look"), 12.4)


def test_an_example_lies_in_each_band_that_a_meter_can_show():
    """A band between limits that leave no room for a value has none, and what is not measured has none."""
    at = Position(at=Frame(procedure="small", step="volts"))
    state = State(root="small", position=at, mode=Mode.ASKING)
    assert len(reading_examples(LIBRARY, state)) == 2
    good, low = SMALL.step("volts").bands
    squeezed = tuple(
        replace(SMALL.step("volts"), bands=(replace(good, below="good"), low)) if each.id == "volts" else each
        for each in SMALL.steps
    )
    assert len(reading_examples({"small": replace(SMALL, steps=squeezed)}, state)) == 1
    look = replace(state, position=Position(at=Frame(procedure="small", step="look")))
    assert reading_examples(LIBRARY, look) == []
