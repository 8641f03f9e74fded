"""A neighbour that is started alone: nobody has held the car before it, so it is asked before anything turns."""

from __future__ import annotations

import pytest

from assistant.bay import folded
from assistant.guide import Mode
from assistant.language.manner import Manner
from assistant.procedure.condition import C
from assistant.procedure.forbidden import TURN
from tests.guide.led import Led

ALONE = {
    "cranking-check": "turn",
    "charging": "idle-run",
    "voltage-drop-ground": "side-crank",
    "no-crank": "dash",
    "compression": "crank-1",
}
"""Started alone -> its first step that turns the engine or has it run."""


@pytest.mark.parametrize("procedure", ALONE)
def test_nothing_turns_before_somebody_said_that_nothing_can_roll(library, procedure):
    """Selector, brake and chocks were asked by nobody where no safety block was led through."""
    job = Led(library, procedure).until(ALONE[procedure])
    while not job.state.instructed:
        assert len(job.asked) < 20
        job.step_on()
    assert library[procedure].step(ALONE[procedure]).all_hazards & TURN
    asked = [each for each in job.asked if each in ("it is in park", "nothing can roll")]
    assert asked == ["it is in park", "nothing can roll"] and C.CAN_ROLL not in job.state.bay.conditions
    assert "chock a wheel in front and behind" in " ".join(job.said) and folded(job.facts) == job.state.bay


def test_who_chocked_the_wheels_in_this_job_is_not_asked_again(library):
    """The last question of the safety block settles it for the whole job."""
    job = Led(library, "no-start", {"complaint": "it will not start"}).until("fuel-level")
    assert C.CAN_ROLL not in job.state.bay.conditions and "wheels are blocked" in job.asked


BOOSTED = {
    "complaint": "it will not start",
    "rest-volts": "eleven point two volts",
    "means": "jump pack",
    "boost-crank": "it started",
}


def test_after_a_boosted_start_the_engine_is_switched_off_and_the_pack_is_no_question(library):
    """We connected it two steps ago; and "key is out?" alone does not say that the engine has to stand."""
    job = Led(library, "no-start", BOOSTED, manner=Manner.BRIEF).until("boost-crank", mode=Mode.POISED)
    job.until("off", mode=Mode.ASKING)
    since = job.said[-12:]
    assert not any("still connected" in each for each in job.said)
    assert any(each.startswith("Switch off, and take the key out.") for each in since), since
    assert "key is out" in job.asked
