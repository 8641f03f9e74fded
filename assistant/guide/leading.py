"""The plan leads: which block of the root procedure comes next, where the technician wants it so.

A block is a step of the root procedure with all that it calls, up to the next block. The guide follows its procedures
step by step; only where they go from one block to the next may a plan choose another one, and only while nothing is off
the car and no vapour is about. What was chosen and why is a fact, so that a job taken up again stands where it stood.
"""

from __future__ import annotations

from assistant.facts import FactKind
from assistant.guide.state import Frame
from assistant.guide.turn import Making, Refused


def lead_on(making: Making, target: Frame) -> Frame | None:
    """The block that the plan enters instead of `target`; None where the procedure goes on by itself."""
    state = making.state
    between = not state.position.stack and state.at.procedure == state.root == target.procedure
    if making.choose is None or not state.leads or not between or state.open_items or state.vapour:
        return None
    led = making.choose(state, making.facts, target.step)
    if led is None or led.step == target.step:
        return None
    making.note(FactKind.PLAN_CHANGED, {"to": led.step, "instead": target.step, "why": led.why})
    making.say(led.why)
    return Frame(procedure=state.root, step=led.step)


def put_off(making: Making) -> Frame:
    """Leave the present block for another test. Raises Refused in the words that say why not."""
    state = making.state
    if making.choose is None or not state.leads:
        raise Refused("I go by the book now. Say lead the way first.")
    if state.open_items:
        raise Refused(f"First put right the {state.open_items[0]}.")
    if state.vapour:
        raise Refused("First the vapour must be cleared.")
    block = state.position.stack[0].step if state.position.stack else state.at.step
    led = making.choose(state, making.facts, "")
    if led is None or led.step == block:
        raise Refused("There is no better test now. Go on, skip, or end the job.")
    making.note(FactKind.PLAN_CHANGED, {"to": led.step, "instead": block, "why": led.why, "put_off": block})
    making.say(led.why)
    return Frame(procedure=state.root, step=led.step)
