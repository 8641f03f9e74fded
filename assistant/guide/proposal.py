"""Which result of a crank step a heard burst sounds like. Only ever a proposal: the technician's word decides.

Where the two differ the technician is asked whether their word stands, and both are kept.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.cranking.model import Kind as Kinds
from assistant.guide.state import Burst, State
from assistant.language.model import BurstHeard
from assistant.procedure.condition import Condition
from assistant.procedure.model import Kind, Result, Step

SLOW_RPM = 100.0
"""A warm petrol engine that turns slower than this turns slowly. Source: common practice, no source."""

USUAL_RPM = 150.0
"""From here on it turns as usual; between, the technician's ear tells. Source: common practice, no source."""

FAST_RPM = 300.0
"""One that turns faster presses against little, which is no usual turning. Source: common practice, no source."""

RAN_ON_S = 5.0
"""An engine that ran longer than this ran on by itself. Source: judgement."""

RAN_BRIEFLY = ("ran-briefly", "fired", "briefly")
RAN_ON = ("started", "runs", "running", "ran", "start")
DEAD = ("no-change", "dead", "no-start", "nothing", "did-not-start", "not-started")
SLOW = ("slow", "slowly")
LIGHT = ("light",)
TURNED = {"normal": frozenset({"none", "slow"}), "turns": frozenset({"none"}), "turned": frozenset({"still"})}
NO_TURN = {
    "none": frozenset({"normal", "turns", "slow", "turned"}), "still": frozenset({"turned", "slow"}),
    "click": frozenset({"silent"}),
}  # fmt: skip
"""A result that says whether the engine turned, and those beside which it says so: "none" by itself may be no spark,
and beside "still" it may be the cam that "turns"."""


def other_view(step: Step, state: State, said: str) -> Result | None:
    """The result that the ear heard in place of the one `said`; None where they agree or the ear does not know."""
    if step.kind is not Kind.CRANK or not state.burst_done or state.burst is None:
        return None
    heard = propose(step, state.burst)
    return heard if heard is not None and heard.id != said else None


def cranked_unseen(state: State) -> bool:
    """Whether the result of a burst was said before anybody saw or heard it begin: it may have been no answer to it."""
    return state.burst_done and state.burst is not None and state.burst.assumed


def propose(step: Step, heard: BurstHeard | Burst) -> Result | None:
    """The result whose id names what was heard, or None when the ear is not sure or no result fits."""
    if heard.kind in (Kinds.WHINE, Kinds.CHATTER) or heard.rpm == 0:
        return _named(step, _beside(step, NO_TURN))
    light = _named(step, LIGHT) if heard.kind == Kinds.LIGHT and not heard.caught else None
    if light is not None or heard.caught is None:
        return light
    if heard.caught:
        briefly = heard.run_s is not None and heard.run_s < RAN_ON_S
        names = (*RAN_BRIEFLY, *RAN_ON) if briefly else RAN_ON
        return _named(step, names)
    slow = SLOW if heard.rpm is not None and heard.rpm < SLOW_RPM else ()
    turned = _beside(step, TURNED) if heard.rpm is not None and USUAL_RPM <= heard.rpm <= FAST_RPM else ()
    return _named(step, (*DEAD, *slow, *turned))


def started_by(step: Step) -> Result | None:
    """The result of a crank step that says that the engine runs on; None where the step does not turn the starter."""
    return _named(step, RAN_ON) if step.kind is Kind.CRANK else None


def _beside(step: Step, names: Mapping[str, frozenset[str]]) -> tuple[str, ...]:
    ids = {result.id for result in step.results}
    return tuple(name for name, others in names.items() if ids & others)


def _named(step: Step, names: tuple[str, ...]) -> Result | None:
    by_id = {result.id: result for result in step.results}
    return next((by_id[name] for name in names if name in by_id), None)


def since_heard(state: State, start_s: float, at_s: float) -> float:
    """When a burst that is told by word began at the earliest: what the ear has counted is not counted again."""
    burst = state.burst
    return max(start_s, min(burst.end_s, at_s)) if burst is not None and burst.by == "ear" else start_s


def may_run(state: State) -> bool:
    """Whether the engine runs, or the last that was told is that it started."""
    if Condition.ENGINE_RUNS in state.bay.conditions:
        return True
    kept = next((visit.kept[-1] for visit in reversed(state.history) if visit.kept), None)
    return kept is not None and kept.kind == "result" and kept.name in (*RAN_ON, *RAN_BRIEFLY)
