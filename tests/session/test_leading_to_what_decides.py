"""Where results do not fit together the plan leads to what decides, once, and repairs nothing by them before."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from assistant.guide import Library, fold
from assistant.reasoning.planner import Act
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from assistant.session.thoughts import Thoughts
from tests.session.led_jobs import changes, lead
from tests.session.room import Room

CONTRADICTION = {"spark-check": "present", "injector-pulse": "flickers", "crank-signal": "zero"}
"""Spark and injection, and yet no speed on the reader."""


def contradicted(library: Library, reasoner: Reasoner) -> Room:
    """A led job in which the technician tells what does not fit together."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead(room, library, "no-start/prime")
    for test, value in CONTRADICTION.items():
        known = reasoner.model.test(test)
        room.type(f"i found {known.values[known.index(value)].say}")
    return room


def test_the_plan_leads_to_what_decides_between_results_that_do_not_fit(library: Library, reasoner: Reasoner) -> None:
    """The test that was named with the conflict comes next, for the result in doubt, and the fact says so."""
    room = contradicted(library, reasoner)
    said = " ".join(room.trace[-1]["said"])
    assert "These results do not fit together. Once more the engine speed on the reader" in said
    assert room.type("what next")[0]["said"][0].startswith("Once more the engine speed on the reader")
    room.type("another test")
    chosen = changes(room)[-1]
    assert (chosen["settles"], chosen["test"], chosen["again"]) == ("crank-signal",) * 3
    assert str(chosen["why"]) in said
    assert fold(library, room.facts) == room.conversation.state


def test_each_result_in_doubt_is_gone_for_once(library: Library, reasoner: Reasoner) -> None:
    """What was led to is not led to again for the same doubt, by a resumed job neither."""
    room = contradicted(library, reasoner)
    room.type("another test", "another test")
    assert [each.get("settles", "") for each in changes(room)].count("crank-signal") == 1
    assert "crank-signal" in Thoughts(reasoner, library, room.facts).settled()


def test_nothing_is_repaired_by_results_that_do_not_fit_before_what_decides(
    library: Library, reasoner: Reasoner
) -> None:
    """Where testing pays no more and one result is in doubt, what decides comes before the proposal; once it was
    led to, the repair is proposed."""
    room = contradicted(library, reasoner)
    leader = Adviser(reasoner, library, room.facts).leader
    state = room.conversation.state
    ended = partial(replace, act=Act.REPAIR, name="crank-sensor")
    plan = leader._plan
    leader._plan = lambda here, among: ended(plan(here, among))  # type: ignore[method-assign]
    led = leader(state, (), state.at)
    assert led is not None and (led.settles, led.fault) == ("crank-signal", "")
    room.type("another test")
    again = Adviser(reasoner, library, room.facts).leader
    again._plan = leader._plan  # type: ignore[method-assign]
    led = again(room.conversation.state, (), state.at)
    assert led is not None and led.fault == "crank-sensor"
