"""Where an utterance begins and ends, from the probability in each short frame that somebody speaks to us. Pure; counts
frames."""

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
    to act soon, the last for what is decided when the utterance ends. `fresh_frames`: after less new speech than that
    the first is left out, since little can have changed: talk in the background flickers. Source: `hoodside bench
    latency` on the tuning voices, and `hoodside bench hear --part gate` with words that the gate learnt from.
    `sure_at`, `sure_frames`: somebody surely spoke to us where so many frames are so likely; of what noise alone lets
    begin nine in ten have none, of short words in noise 6 dB below nineteen in twenty have five."""

    begins_at: float = 0.2
    ends_below: float = 0.3
    onset_frames: int = 2
    sure_at: float = 0.8
    sure_frames: int = 3
    fresh_frames: int = 4
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
        self._fresh = 0
        self._sure = 0

    @property
    def sure(self) -> bool:
        """Whether in this utterance, or in the last one where none goes on, somebody surely spoke to us."""
        return self._sure >= self.settings.sure_frames

    def frame(self, probability: float) -> Mark:
        """The mark that this frame sets."""
        if not self.speaking:
            return self._waiting(probability)
        self._frames += 1
        self._sure += probability >= self.settings.sure_at
        if probability < self.settings.ends_below:
            self._quiet += 1
        else:
            self._quiet = 0
            self._fresh += 1
        quiet_s = self._quiet * FRAME_S
        if quiet_s >= self.settings.end_after_s or self._frames * FRAME_S >= self.settings.longest_s:
            self.reset()
            return Mark.ENDED
        return Mark.TRY if self._tries(quiet_s) else Mark.NOTHING

    def reset(self) -> None:
        """Wait for the next utterance."""
        self.speaking = False
        self._loud = self._quiet = self._frames = 0

    def _tries(self, quiet_s: float) -> bool:
        due = [after_s for after_s in self.settings.try_after_s if quiet_s - FRAME_S < after_s <= quiet_s]
        if not due or (due[0] == self.settings.try_after_s[0] and self._fresh < self.settings.fresh_frames):
            return False
        self._fresh = 0
        return True

    def _waiting(self, probability: float) -> Mark:
        self._loud = self._loud + 1 if probability >= self.settings.begins_at else 0
        if self._loud < self.settings.onset_frames:
            return Mark.NOTHING
        self.speaking = True
        self._frames = self._quiet = self._sure = 0
        self._fresh = self.settings.fresh_frames  # however short it is, it is tried
        return Mark.BEGAN
