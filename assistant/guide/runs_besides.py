"""An engine that runs where it was only asked whether it turns: told as such, before anybody waits or cranks again."""

from __future__ import annotations

from assistant.english import sayings
from assistant.facts import TestTold
from assistant.guide.proposal import RAN_ON_S, TURNED, started_by
from assistant.guide.state import State
from assistant.guide.turn import Making
from assistant.language.out_of_turn import CAR_AND_BAY, MAKES
from assistant.language.runs_now import RUNS_NOW, says_it_fires
from assistant.procedure.condition import Condition
from assistant.procedure.model import Kind


def tell_it_runs(making: Making, result: str, said: str) -> None:
    """Keep that the engine runs, where this result of a crank has no word for it but the ear or the words have."""
    step, state = making.step, making.state
    if step.kind is not Kind.CRANK or result not in TURNED or started_by(step) is not None:
        return
    if Condition.ENGINE_RUNS in state.bay.conditions or not (_heard_to_run(state) or says_it_fires(said)):
        return
    makes = MAKES[RUNS_NOW]
    making.note_of_job(TestTold(test=CAR_AND_BAY, result=makes[0], words=RUNS_NOW, makes=makes, hearing=making.hearing))
    making.say(sayings.CLEAR_OF_BELTS, "caution")


def _heard_to_run(state: State) -> bool:
    """Whether the ear heard the engine catch in this burst and not die again."""
    burst = state.burst
    if not state.burst_done or burst is None or not burst.caught:
        return False
    return burst.run_s is None or burst.run_s >= RAN_ON_S
