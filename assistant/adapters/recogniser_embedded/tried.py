"""What the recogniser made of the sound so far, while somebody speaks."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.hearing.endpoint import FRAME_S
from assistant.language.model import Heard


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What was made of the sound up to `frames`, in a silence then `quiet_s` long. `clear`: nothing
    longer is legal and it is sure. It counts after a silence of `after_s`."""

    heard: Heard
    frames: int
    quiet_s: float
    clear: bool
    after_s: float

    def holds(self, frames: int, quiet_s: float) -> bool:
        """Whether nothing was said since."""
        return abs((frames - self.frames) * FRAME_S - (quiet_s - self.quiet_s)) < FRAME_S / 2
