"""The ear for the starter in a live session: what it tells of, as commands for the guide."""

from __future__ import annotations

from collections.abc import Callable

from assistant.cranking.live import Began, CrankEar, Dropped, Ended, Event
from assistant.cranking.model import Burst
from assistant.language.model import BurstDropped, BurstHeard, BurstStarted, StarterEvent
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

RPM_OF_ONE_PULSE = 120.0
"""Four-stroke: each cylinder compresses once in two turns, so rpm = 120 x pulses a second / cylinders."""


class StarterEar:
    """Hears the starter in the blocks of the microphone. `cylinders`: how many the engine has, None while unknown."""

    def __init__(self, cylinders: Callable[[], int | None]) -> None:
        self._cylinders = cylinders
        self._ear = CrankEar()
        self._heard_s = 0.0

    def accept(self, block: AudioBlock) -> tuple[StarterEvent, ...]:
        """What the block brought. Sound that was lost before it counts as silence."""
        self._heard_s += len(block.pcm) / SAMPLE_RATE_HZ
        events = (self._told(event) for event in self._ear.feed(block.pcm))
        return tuple(event for event in events if event is not None)

    def _told(self, event: Event) -> StarterEvent | None:
        match event:
            case Began(at_s=at_s):
                return BurstStarted(ago_s=max(0.0, self._heard_s - at_s))
            case Dropped():
                return BurstDropped()
            case Ended(burst=burst):
                return self._whole(burst)
        return None

    def _whole(self, burst: Burst) -> BurstHeard:
        cylinders = self._cylinders()
        rpm = RPM_OF_ONE_PULSE * burst.pulse_hz / cylinders if burst.pulse_hz is not None and cylinders else None
        return BurstHeard(
            seconds=burst.end_s - burst.start_s,
            rpm=rpm,
            caught=burst.caught,
            run_s=burst.run_s,
            confidence=burst.confidence,
            ago_s=max(0.0, self._heard_s - burst.end_s),
        )
