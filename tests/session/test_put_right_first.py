"""Led elsewhere with something off the car: it is asked for by itself, and its "done" is of nothing else."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Library, Mode, State, fold
from assistant.guide.places import puts_back_here
from assistant.guide.state import Frame, Position
from tests.session.dialogue_player import Leader
from tests.session.led_jobs import USUAL, kinds, lead
from tests.session.room import Room

ASKED = "Key out. First put right the injector connector. Then say: it is put right."


@pytest.fixture
def lamp(led: Room, library: Library) -> Room:
    """A led job where the test lamp is to be put in place of an injector."""
    lead(led, library, "injector-pulse/fit")
    return led


@pytest.mark.parametrize("before", [(), ("done",)])
def test_done_puts_right_what_was_asked_for_and_the_way_is_taken(
    lamp: Room, library: Library, before: tuple[str, ...]
) -> None:
    """Begun or finished: "done" once counted as the lamp in its place, and led to the key."""
    lamp.type(*before)
    (asked,) = lamp.type("take me to the battery")
    assert (asked["mode"], asked["said"]) == ("putting-back", [ASKED])
    assert lamp.conversation.state.open_items == ("injector connector",)
    (turn,) = lamp.type("done")
    assert turn["said"][:2] == ["Noted: injector connector, put right.", "To the battery."]
    assert (turn["procedure"], lamp.conversation.state.open_items) == ("battery-state", ())
    assert sum(kind is FactKind.INSTRUCTION_DONE for kind in kinds(lamp)[-8:]) == 0
    assert fold(library, lamp.facts) == lamp.conversation.state


@pytest.mark.parametrize("words", ["it is put right", "it is back on"])
def test_another_test_waits_for_it_as_well(lamp: Room, words: str) -> None:
    """Its own words say so too; the block is left then."""
    (asked,) = lamp.type("another test")
    assert asked["said"] == [ASKED]
    (turn,) = lamp.type(words)
    assert turn["procedure"] != "injector-pulse" and lamp.conversation.state.open_items == ()


def test_a_no_stays_with_the_work(lamp: Room, library: Library) -> None:
    """What was begun counts as off until it is seen to be back."""
    lamp.type("take me to the battery")
    (turn,) = lamp.type("no")
    assert (turn["mode"], turn["step"]) == ("asking", "fit") and "Test lamp" not in turn["said"][0]
    assert fold(library, lamp.facts) == lamp.conversation.state


@pytest.mark.parametrize("at", [Mode.ASKING, Mode.POISED])
def test_without_the_tool_the_way_on_is_told(lamp: Room, library: Library, at: Mode) -> None:
    """At the lamp, and at the key with the lamp said to be in place: it was refused, and no way told."""
    if at is Mode.POISED:
        on = Leader(lamp, library, USUAL)
        while lamp.conversation.state.mode is not Mode.POISED:
            on.next_line()
    lamp.type("can't do that, no noid light and no test lamp")
    (asked,) = lamp.type("no tool") if lamp.conversation.state.mode is Mode.EXCUSING else ({"said": []},)
    assert asked["said"][-1] == ASKED
    (no,) = lamp.type("no")
    assert no["said"][0] == "First put right the injector connector."
    (turn,) = lamp.type("done")
    assert lamp.conversation.state.open_items == () and turn["procedure"] != "injector-pulse"
    assert fold(library, lamp.facts) == lamp.conversation.state


def test_what_needs_a_caution_is_put_back_by_its_own_step(library: Library) -> None:
    """A pressure gauge, a fuel line and a battery clamp are not put back by word; an injector's connector is."""
    by_word = {
        (procedure.id, item): all(puts_back_here(library, State(position=Position(at=at)), (item,)))
        for procedure in library.values()
        for at in (Frame(procedure=procedure.id, step=procedure.begin),)
        for step in procedure.steps
        for item in step.removes
    }
    assert by_word["injector-pulse", "injector connector"] and by_word["no-start", "oil filler cap"]
    for where in (
        ("fuel-pressure", "fuel gauge"),
        ("fuel-supply", "fuel line at the rail"),
        ("parasitic-draw", "ground clamp"),
        ("boost-battery", "jump pack"),
    ):
        assert not by_word[where], where


@pytest.mark.parametrize("at", ["read-port", "lost"])
def test_what_needs_cautions_is_put_back_with_them_and_the_way_is_taken(led: Room, library: Library, at: str) -> None:
    """A gauge on an open fuel line was a refusal. Its own step is led, and nothing is logged that nobody measured."""
    Leader(led, library, USUAL | {"fuel-pressure/read-port": "three hundred kilopascals"}).until(f"fuel-pressure/{at}")
    before = len(led.facts)
    led.type("take me to the battery")
    state = led.conversation.state
    assert (state.at.procedure, library["fuel-pressure"].step(state.at.step).refits) == (
        "fuel-pressure",
        ("fuel gauge",),
    )
    assert state.mode in (Mode.CAUTIONING, Mode.GATING)
    on = Leader(led, library, USUAL)
    for _ in range(12):
        if led.conversation.state.at.procedure != "fuel-pressure":
            break
        on.next_line()
    assert led.conversation.state.at.procedure == "battery-state"
    assert led.conversation.state.open_items == ()
    assert fold(library, led.facts) == led.conversation.state
    logged = [fact for fact in led.facts[before:] if fact.kind is FactKind.RESULT_LOGGED]
    assert not [fact for fact in logged if fact.procedure in ("fuel-pressure", "fuel-supply")]


def test_after_the_way_was_taken_no_later_step_takes_it_again(led: Room, library: Library) -> None:
    """What was wanted then is not wanted for the rest of the job."""
    Leader(led, library, USUAL).until("fuel-pressure/read-port")
    led.type("take me to the battery")
    on = Leader(led, library, USUAL)
    for _ in range(30):
        if led.conversation.state.at.procedure == "battery-state":
            break
        on.next_line()
    assert led.conversation.state.wanted == ("", "")
