"""Where an utterance begins and ends, from the probability of speech in each short frame. Pure; counts frames."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

FRAME_S = 0.032
"""Length of one frame: 512 samples at 16 000 Hz, as the speech detector takes them."""


class Mark(Enum):
    """What a frame means for the utterance."""

    NOTHING = auto()
    BEGAN = auto()
    TRY = auto()  # a short silence: time to work out what was said, in case that was all
    ENDED = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class EndpointSettings:
    """Seconds, and probabilities of speech. `try_after_s`: silences after which what was said is worked out: the first
    to act soon, the last for what is decided when the utterance ends. Source: `hoodside bench latency` on the tuning
    voices."""

    begins_at: float = 0.5
    ends_below: float = 0.35
    onset_frames: int = 2
    try_after_s: tuple[float, ...] = (0.096, 0.256)
    end_after_s: float = 0.5
    longest_s: float = 15.0


class Endpoint:
    """Fed with one probability a frame, tells the marks of the utterance."""

    def __init__(self, settings: EndpointSettings) -> None:
        self.settings = settings
        self.speaking = False
        self._loud = 0
        self._quiet = 0
        self._frames = 0

    @property
    def quiet_s(self) -> float:
        """How long the silence has lasted that may be the end."""
        return self._quiet * FRAME_S

    def frame(self, probability: float) -> Mark:
        """The mark that this frame sets."""
        if not self.speaking:
            return self._waiting(probability)
        self._frames += 1
        self._quiet = self._quiet + 1 if probability < self.settings.ends_below else 0
        quiet_s = self._quiet * FRAME_S
        if quiet_s >= self.settings.end_after_s or self._frames * FRAME_S >= self.settings.longest_s:
            self.reset()
            return Mark.ENDED
        tried = any(quiet_s - FRAME_S < after_s <= quiet_s for after_s in self.settings.try_after_s)
        return Mark.TRY if tried else Mark.NOTHING

    def reset(self) -> None:
        """Wait for the next utterance."""
        self.speaking = False
        self._loud = self._quiet = self._frames = 0

    def _waiting(self, probability: float) -> Mark:
        self._loud = self._loud + 1 if probability >= self.settings.begins_at else 0
        if self._loud < self.settings.onset_frames:
            return Mark.NOTHING
        self.speaking = True
        self._frames = self._quiet = 0
        return Mark.BEGAN
