"""What is told of a burst that was weighed."""

from __future__ import annotations

from assistant.cranking.case import Case
from assistant.cranking.judge import to_burst
from assistant.cranking.rate import Pulses


def case(hz: float) -> Case:
    pulses = Pulses(hz=hz, strength=0.5, clear=0.3)
    return Case(start=0, stop=300, pulses=pulses, uneven=None, confidence=0.9, rest_stop=None, caught=False)


def test_a_rate_that_no_starter_reaches_is_not_told():
    """49 pulses a second are something else's: the ear says that it does not know rather than guess."""
    assert to_burst(case(49.0), None).pulse_hz is None
    assert to_burst(case(20.0), None).pulse_hz == 20.0
