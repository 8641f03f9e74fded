"""What facts of the plan and of repairs change in a state."""

from __future__ import annotations

from dataclasses import replace

from assistant.facts import Fact
from assistant.guide.places import Library
from assistant.guide.state import State


def plan_changed(library: Library, state: State, fact: Fact) -> State:
    """Who leads, or where to; a block that is left takes what waited there with it."""
    left, again = fact.data.get("put_off"), fact.data.get("again")
    chosen = {str(fact.data[key]) for key in ("to", "put_off") if fact.data.get(key)}
    return replace(
        state,
        leads=bool(fact.data.get("leads", state.leads)),
        chosen=state.chosen | chosen | ({second_look(str(again))} if again else set()),
        proposed=str(fact.data.get("fault", "")) if "to" in fact.data else state.proposed,
        pending=None if left else state.pending,
        timed=None if left else state.timed,
        finding=False if left else state.finding,
        repaired=None if left else state.repaired,
    )


def second_look(test: str) -> str:
    """How a plan's second look at a test is kept among what it chose."""
    return f"again {test}"


def left_out(library: Library, state: State, fact: Fact) -> State:
    """What cannot be done is waited for no longer."""
    left = fact.data.get("put_off")
    return replace(
        state,
        chosen=state.chosen | ({str(left)} if left else set()),
        pending=None,
        timed=None,
    )


def repair_done(library: Library, state: State, fact: Fact) -> State:
    """A repair is to be checked."""
    fault, minutes = str(fact.data["fault"]), float(fact.data["minutes"])
    return replace(state, finding=False, repaired=fault, repair_min=minutes, kept=())


def repair_settled(library: Library, state: State, fact: Fact) -> State:
    """What was repaired is seen to have cured the car or not; the desk's word comes when all is over."""
    return replace(state, repaired=None)
