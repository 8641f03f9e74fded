"""The ear for the starter in a live session: what it tells of, as commands for the guide."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.layers import StarterLayers
from assistant.cranking.live import Began, CrankEar, Dropped, Ended, Event
from assistant.cranking.model import Burst
from assistant.cranking.trace import Trace
from assistant.guide import State
from assistant.language.model import BurstDropped, BurstHeard, BurstSound, BurstStarted, StarterEvent
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

RPM_OF_ONE_PULSE = 120.0
"""Four-stroke: each cylinder compresses once in two turns, so rpm = 120 x pulses a second / cylinders."""


EXPECTED = 2.0
"""Log-odds that a starter is what is heard where it was asked for. Source: judgement."""

FRAME = 512
VOICED = 0.5
"""A burst of which this share was somebody's voice is a word said, not a starter. Source: of 60 made-up bursts among
talk and tools one in twenty reaches 0.21; of 76 phrases by made-up voices the least reaches 0.59."""

_LOOK_BACK = 60 * SAMPLE_RATE_HZ // FRAME


class StarterEar:
    """Hears the starter in the blocks of the microphone. `cylinders`: how many the engine has, None while unknown.

    `asked`: whether the technician was asked to turn the key. `voice`: how likely 512 samples are a voice.
    """

    def __init__(
        self,
        cylinders: Callable[[], int | None],
        layers: StarterLayers,
        asked: Callable[[], bool] = lambda: True,
        voice: Callable[[NDArray[np.int16]], float] = lambda frame: 0.0,
    ) -> None:
        self._cylinders = cylinders
        self._asked = asked
        self._voice = voice
        self._ear = CrankEar(layers)
        self._heard_s = 0.0
        self._loose = np.zeros(0, np.int16)
        self._frames = 0
        self._voiced: deque[bool] = deque(maxlen=_LOOK_BACK)

    def accept(self, block: AudioBlock) -> tuple[StarterEvent, ...]:
        """What the block brought. Sound that was lost before it counts as silence."""
        self._heard_s += len(block.pcm) / SAMPLE_RATE_HZ
        self._listen_for_voice(block)
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
                return BurstDropped() if self._is_voice(burst) else self._whole(burst, trace)
        return None

    def _listen_for_voice(self, block: AudioBlock) -> None:
        sound = np.concatenate([self._loose, block.pcm])
        whole = len(sound) // FRAME
        for frame in sound[: whole * FRAME].reshape(-1, FRAME):
            self._voiced.append(self._voice(frame) > VOICED)
        self._frames += whole
        self._loose = sound[whole * FRAME :]

    def _is_voice(self, burst: Burst) -> bool:
        oldest = self._frames - len(self._voiced)
        first, last = (round(at_s * SAMPLE_RATE_HZ / FRAME) - oldest for at_s in (burst.start_s, burst.end_s))
        during = list(self._voiced)[max(0, first) : max(0, last) + 1]
        return bool(during) and sum(during) >= VOICED * len(during)

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


def cylinders_of(state: State) -> int | None:
    """How many cylinders the car has, once that is known."""
    told = str(state.vehicle.get("cylinders", ""))
    return int(told) if told.isdigit() else None
