"""Which result of a crank step a heard burst sounds like. Only ever a proposal: the technician's word decides.

Where the two differ the technician is asked whether their word stands, and both are kept.
"""

from __future__ import annotations

from assistant.cranking.model import Kind as Kinds
from assistant.guide.state import Burst, State
from assistant.language.model import BurstHeard
from assistant.procedure.model import Kind, Result, Step

SLOW_RPM = 100.0
"""A warm petrol engine that turns slower than this turns slowly. Source: common practice, no source."""

RAN_ON_S = 5.0
"""An engine that ran longer than this ran on by itself. Source: judgement."""

RAN_BRIEFLY = ("ran-briefly", "fired", "briefly")
RAN_ON = ("started", "runs", "running", "ran", "start")
DEAD = ("no-change", "dead", "no-start", "nothing", "did-not-start", "not-started")
SLOW = ("slow", "slowly")
TURNED = ("normal", "turns", "turned")
LIGHT = ("light",)
NO_TURN = ("none", "still", "click")
NO_TURN_BESIDE = frozenset({"normal", "turns", "slow", "turned", "silent"})
"""Results beside one that says that the engine did not turn; "none" by itself may be no spark."""


def other_view(step: Step, state: State, said: str) -> Result | None:
    """The result that the ear heard in place of the one `said`; None where they agree or the ear does not know."""
    if step.kind is not Kind.CRANK or not state.burst_done or state.burst is None:
        return None
    heard = propose(step, state.burst)
    return heard if heard is not None and heard.id != said else None


def propose(step: Step, heard: BurstHeard | Burst) -> Result | None:
    """The result whose id names what was heard, or None when the ear is not sure or no result fits."""
    if heard.kind in (Kinds.WHINE, Kinds.CHATTER) or heard.rpm == 0:
        asks = any(result.id in NO_TURN_BESIDE for result in step.results)
        return _named(step, NO_TURN) if asks else None
    light = _named(step, LIGHT) if heard.kind == Kinds.LIGHT and not heard.caught else None
    if light is not None or heard.caught is None:
        return light
    if heard.caught:
        briefly = heard.run_s is not None and heard.run_s < RAN_ON_S
        names = (*RAN_BRIEFLY, *RAN_ON) if briefly else RAN_ON
        return _named(step, names)
    slow = SLOW if heard.rpm is not None and heard.rpm < SLOW_RPM else ()
    turned = TURNED if heard.rpm is not None and heard.rpm >= SLOW_RPM else ()
    return _named(step, (*DEAD, *slow, *turned))


def _named(step: Step, names: tuple[str, ...]) -> Result | None:
    by_id = {result.id: result for result in step.results}
    return next((by_id[name] for name in names if name in by_id), None)
