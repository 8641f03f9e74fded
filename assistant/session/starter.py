"""The ear for the starter in a live session: what it tells of, as commands for the guide, never of somebody's word."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.arbiter import (
    ANY_VOICE,
    NEEDED,
    OF_LATE_S,
    Place,
    Ruling,
    Sounding,
    in_restless_shop,
    rule_beginning,
    rule_knock,
    rule_sound,
    rule_takeover,
)
from assistant.cranking.events import Began, Caught, Dropped, Ended, Event, Knocked, Released
from assistant.cranking.layers import StarterLayers
from assistant.cranking.live import CrankEar
from assistant.cranking.model import Burst
from assistant.cranking.trace import Trace
from assistant.guide import State
from assistant.hearing.gate import FRAME, Gate
from assistant.language.model import (
    BurstCaught,
    BurstDropped,
    BurstHeard,
    BurstReleased,
    BurstSound,
    BurstStarted,
    Heard,
    StarterClicked,
    StarterEvent,
)
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

RPM_OF_ONE_PULSE = 120.0
"""Four-stroke: each cylinder compresses once in two turns, so rpm = 120 x pulses a second / cylinders."""

EXPECTED = 2.0
"""Log-odds that a starter is what is heard where it was asked for. Source: judgement."""

A_VOICE, MAYBE_A_VOICE = 0.5, 0.2
"""What the detector must say of a frame for it to count as somebody's voice, and to count as perhaps one. Source: of 40
words by people at 15 and 9 dB three stay below 0.5 all through and two below 0.2, of the moments between them 0.1 %
come to 0.2; but so do short bursts of a starter for much of their time."""

_FRAME_S = FRAME / SAMPLE_RATE_HZ
_LOOK_BACK = round(60 / _FRAME_S)
_OWNED_KEPT = 16

JUDGED_EACH_S = 0.4
"""A beginning that was refused is judged again after so long: judging costs as much as a second of listening."""

CLICK_AGAIN_S = 20.0
"""After a click was told of the next waits so long: noise that deceived once does so again. Source: judgement."""


class VoiceWatch:
    """Which moments of the last minute were somebody's voice, and which the recogniser took words from.

    `voice`: how likely 512 samples are a voice; it gets them at the level that it hears best. Times: seconds of sound.
    """

    def __init__(self, voice: Callable[[NDArray[np.int16]], float]) -> None:
        self._voice = voice
        self._gate = Gate()
        self._loose = np.zeros(0, np.int16)
        self._frames = 0
        self._likely: deque[float] = deque(maxlen=_LOOK_BACK)
        self._last_voice = -_LOOK_BACK
        self._owned: deque[tuple[float, float]] = deque(maxlen=_OWNED_KEPT)

    def feed(self, pcm: NDArray[np.int16]) -> None:
        """More sound: int16, mono, (frames,), 16 000 Hz."""
        sound = np.concatenate([self._loose, pcm])
        whole = len(sound) // FRAME
        for frame in sound[: whole * FRAME].reshape(-1, FRAME):
            likely = self._voice(self._gate.levelled(frame))
            self._likely.append(likely)
            self._frames += 1
            if likely > A_VOICE:
                self._last_voice = self._frames
        self._loose = sound[whole * FRAME :]

    def own(self, began_s: float, ended_s: float) -> None:
        """The recogniser took words from there."""
        self._owned.append((began_s, ended_s))

    @property
    def quiet_s(self) -> float:
        """Since when nobody speaks."""
        return (self._frames - self._last_voice) * _FRAME_S

    def voiced(self, start_s: float, end_s: float, least: float = A_VOICE) -> float:
        """Share of that time of which the detector says more than `least`."""
        during = self._during(start_s, end_s)
        return sum(one > least for one in during) / len(during) if during else 0.0

    def unbroken_s(self, start_s: float, end_s: float) -> float:
        """The longest voice in that time without a break."""
        runs = (sum(1 for _ in run) for voice, run in groupby(self._during(start_s, end_s), A_VOICE.__lt__) if voice)
        return max(runs, default=0) * _FRAME_S

    def _during(self, start_s: float, end_s: float) -> list[float]:
        oldest = self._frames - len(self._likely)
        first, last = (round(at_s / _FRAME_S) - oldest for at_s in (start_s, end_s))
        return list(self._likely)[max(0, first) : max(0, last) + 1]

    def owned(self, start_s: float, end_s: float) -> float:
        """Share of that time that words were taken from."""
        within = sum(max(0.0, min(end_s, last_s) - max(start_s, first_s)) for first_s, last_s in self._owned)
        return within / max(end_s - start_s, 1e-9)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Waiting:
    """A whole burst that was not ruled on yet, since `since_s`."""

    burst: Burst
    trace: Trace
    since_s: float


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
        self._watch = VoiceWatch(voice)
        self._ear = CrankEar(layers)
        self._heard_s = 0.0
        self._late_s = 0.0  # of the stream's own seconds against the sound heard so far: what was lost
        self._began: Began | None = None  # heard, and not told yet
        self._told_s: float | None = None  # beginning of what was told
        self._judged_s = -JUDGED_EACH_S  # when the beginning that was not told yet was judged last
        self._waiting: deque[_Waiting] = deque()
        self._false_starts: deque[float] = deque()  # when something seemed to begin, of late, and was none
        self._clicked_s = -CLICK_AGAIN_S

    @property
    def quiet_s(self) -> float:
        """Since when nobody speaks, seconds of sound."""
        return self._watch.quiet_s

    def understood(self, heard: Heard) -> None:
        """The recogniser took words from this stretch of the stream."""
        self._watch.own(heard.began_s - self._late_s, heard.ended_s - self._late_s)

    def accept(self, block: AudioBlock) -> tuple[StarterEvent, ...]:
        """What the block brought. Sound that was lost before it counts as silence."""
        self._late_s = block.start_s - self._heard_s
        self._heard_s += len(block.pcm) / SAMPLE_RATE_HZ
        self._watch.feed(block.pcm)
        self._ear.cylinders = self._cylinders()
        self._ear.expected = EXPECTED if self._asked() else 0.0
        events = [told for event in self._ear.feed(block.pcm) for told in self._told(event)]
        return (*events, *self._begin(), *self._rule())

    def _told(self, event: Event) -> Iterator[StarterEvent]:
        match event:
            case Began():
                self._began = event
            case Dropped(at_s=at_s):
                start_s = self._told_s if self._began is None else self._began.at_s
                if start_s is not None and self._watch.voiced(start_s, at_s, MAYBE_A_VOICE) < ANY_VOICE:
                    self._false_starts.append(at_s)
                yield from self._take_back()
            case Caught() if self._told_s is not None:
                yield BurstCaught()
            case Caught():
                self._judged_s = -JUDGED_EACH_S  # whether it was one at all is judged at once
            case Released():
                if self._told_s is not None:
                    yield BurstReleased()
            case Knocked(at_s=at_s):
                alone = self._began is None and self._told_s is None and not self._waiting
                spoken = rule_knock(self._sounding(at_s - 0.1, at_s + 0.4, 1.0)) is not Ruling.TAKEN
                if self._asked() and alone and not spoken and at_s >= self._clicked_s + CLICK_AGAIN_S:
                    self._clicked_s = at_s
                    yield StarterClicked()
            case Ended(burst=burst, trace=trace):
                self._began = None
                burst = replace(burst, confidence=self._as_sure_as_may_be(burst.confidence))
                if burst.confidence < NEEDED[Place.AWAITED]:
                    self._false_starts.append(burst.end_s)
                self._waiting.append(_Waiting(burst=burst, trace=trace, since_s=self._heard_s))

    def _as_sure_as_may_be(self, confidence: float) -> float:
        """The ear's confidence, less in a shop where much seemed to begin of late that was none."""
        while self._false_starts and self._false_starts[0] < self._heard_s - OF_LATE_S:
            self._false_starts.popleft()
        return in_restless_shop(confidence, len(self._false_starts))

    def _take_back(self) -> Iterator[StarterEvent]:
        self._began = None
        if self._told_s is not None:
            self._told_s = None
            yield BurstDropped()

    def _begin(self) -> Iterator[StarterEvent]:
        """The beginning that was heard, once it may be told; with an engine that took over before it was."""
        if self._began is None:
            return
        if self._ear.took_over:
            yield from self._begin_by(rule_takeover, self._began)
            if self._began is None:  # it was told just now
                yield BurstCaught()
        elif self._ear.turns:
            yield from self._begin_by(rule_beginning, self._began)

    def _begin_by(self, rule: Callable[[Sounding, Place], Ruling], began: Began) -> Iterator[StarterEvent]:
        """That it began, where the rule takes it as it is judged now; judged where that matters."""
        place = Place.ASKED if self._asked() else Place.UNASKED
        sounding = self._sounding(began.at_s, self._heard_s, 1.0)
        if self._heard_s < self._judged_s + JUDGED_EACH_S or rule(sounding, place) is not Ruling.TAKEN:
            return
        self._judged_s = self._heard_s
        sure = self._as_sure_as_may_be(self._ear.judged())
        if rule(replace(sounding, confidence=sure), place) is Ruling.TAKEN:
            self._told_s, self._began = began.at_s, None
            yield BurstStarted(ago_s=max(0.0, self._heard_s - began.at_s))

    def _rule(self) -> Iterator[StarterEvent]:
        """The whole bursts that may be told by now, or were words."""
        while self._waiting:
            one = self._waiting[0]
            sounding = self._sounding(one.burst.start_s, one.burst.end_s, one.burst.confidence)
            ruling = rule_sound(replace(sounding, waited_s=self._heard_s - one.since_s))
            if ruling is Ruling.WAITS:
                return
            self._waiting.popleft()
            if ruling is Ruling.WORD:
                yield from self._take_back()
            else:
                self._told_s = None
                yield self._whole(one.burst, one.trace)

    def _sounding(self, start_s: float, end_s: float, confidence: float) -> Sounding:
        return Sounding(
            seconds=end_s - start_s,
            confidence=confidence,
            voiced=self._watch.voiced(start_s, end_s),
            maybe_voiced=self._watch.voiced(start_s, end_s, MAYBE_A_VOICE),
            owned=self._watch.owned(start_s, end_s),
            unbroken_s=self._watch.unbroken_s(start_s, end_s),
            quiet_s=self._watch.quiet_s,
        )

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
            kind=burst.kind.value,
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
