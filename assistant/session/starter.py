"""The ear for the starter in a live session: what it tells of, as commands for the guide."""

from __future__ import annotations

from collections.abc import Callable

from assistant.cranking.layers import StarterLayers
from assistant.cranking.live import Began, CrankEar, Dropped, Ended, Event
from assistant.cranking.model import Burst
from assistant.cranking.trace import Trace
from assistant.language.model import BurstDropped, BurstHeard, BurstSound, BurstStarted, StarterEvent
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

RPM_OF_ONE_PULSE = 120.0
"""Four-stroke: each cylinder compresses once in two turns, so rpm = 120 x pulses a second / cylinders."""


EXPECTED = 2.0
"""Log-odds that a starter is what is heard where it was asked for. Source: judgement."""


class StarterEar:
    """Hears the starter in the blocks of the microphone. `cylinders`: how many the engine has, None while unknown.

    `asked`: whether the technician was asked to turn the key.
    """

    def __init__(
        self,
        cylinders: Callable[[], int | None],
        layers: StarterLayers,
        asked: Callable[[], bool] = lambda: True,
    ) -> None:
        self._cylinders = cylinders
        self._asked = asked
        self._ear = CrankEar(layers)
        self._heard_s = 0.0

    def accept(self, block: AudioBlock) -> tuple[StarterEvent, ...]:
        """What the block brought. Sound that was lost before it counts as silence."""
        self._heard_s += len(block.pcm) / SAMPLE_RATE_HZ
        self._ear.cylinders = self._cylinders()
        self._ear.expected = EXPECTED if self._asked() else 0.0
        events = (self._told(event) for event in self._ear.feed(block.pcm))
        return tuple(event for event in events if event is not None)

    def _told(self, event: Event) -> StarterEvent | None:
        match event:
            case Began(at_s=at_s):
                return BurstStarted(ago_s=max(0.0, self._heard_s - at_s))
            case Dropped():
                return BurstDropped()
            case Ended(burst=burst, trace=trace):
                return self._whole(burst, trace)
        return None

    def _whole(self, burst: Burst, trace: Trace) -> BurstHeard:
        cylinders = self._cylinders()
        rpm = RPM_OF_ONE_PULSE * burst.pulse_hz / cylinders if burst.pulse_hz is not None and cylinders else None
        return BurstHeard(
            seconds=burst.end_s - burst.start_s,
            rpm=rpm,
            caught=burst.caught,
            run_s=burst.run_s,
            confidence=burst.confidence,
            ago_s=max(0.0, self._heard_s - burst.end_s),
            uneven=burst.uneven,
            sound=BurstSound(
                before_s=trace.before_s,
                step_s=trace.step_s,
                loud_db=trace.loud_db,
                speed_at_s=trace.speed_at_s,
                pulses_hz=trace.speed_hz,
            ),
        )
