"""Work that is left by word: for another test, for another fuel, or because the car has high voltage."""

from __future__ import annotations

from assistant.english import refusals
from assistant.facts import Stopped
from assistant.guide.arrive import enter
from assistant.guide.occasions import leaves_now
from assistant.guide.other_fuel import burns_diesel, has_high_voltage
from assistant.guide.state import Frame, Mode
from assistant.guide.timing import hold
from assistant.guide.turn import Making, Refused
from assistant.guide.words import hint


def refuse_elsewhere(making: Making) -> None:
    """Raises Refused where nobody can be led elsewhere: while something is counted, held or asked over this."""
    if not leaves_now(making.state):
        raise Refused(refusals.FINISH_FIRST)


def leave_for_diesel(making: Making) -> None:
    """Keep that the car burns diesel, and go where the intake would have gone. Raises Refused."""
    refuse_elsewhere(making)
    _go(making, burns_diesel(making))


def leave_for_high_voltage(making: Making) -> None:
    """Keep that the car is a hybrid, and leave it alone. It is a danger: what is counted ends, and on hold it is heard
    as well. Raises Refused while something else is asked over this."""
    if making.state.mode is Mode.TIMING:
        hold(making, Stopped, "stop")
    if making.state.mode is not Mode.HELD:
        refuse_elsewhere(making)
    _go(making, has_high_voltage(making))


def _go(making: Making, to: Frame | None) -> None:
    if to is not None:  # what is worked on is left: nothing here was made for it
        enter(making, to, "plan")
    else:
        making.add(*hint(making.library, making.state))
