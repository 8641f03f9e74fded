"""What the recogniser made of the sound so far, while somebody speaks."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.adapters.recogniser_embedded import limits
from assistant.adapters.recogniser_embedded.scribe import UnderWay, WrittenDown
from assistant.hearing.endpoint import FRAME_S
from assistant.language.model import Heard
from assistant.language.stakes import Tail


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What was made of the sound up to `frames`, in a silence then `quiet_s` long. `clear`: nothing
    longer is legal and it is sure. It counts after a silence of `after_s`. `said_frames`: what came after so many has
    said nothing."""

    heard: Heard
    frames: int
    quiet_s: float
    clear: bool
    after_s: float
    said_frames: int

    def holds(self, frames: int, quiet_s: float) -> bool:
        """Whether nothing was said since."""
        return abs((frames - self.frames) * FRAME_S - (quiet_s - self.quiet_s)) < FRAME_S / 2

    @property
    def whole(self) -> bool:
        """Whether nothing of it was left to a later look."""
        return self.clear or self.quiet_s >= limits.AGAIN_S

    def after(self, before: Tried) -> Tried:
        """The same, if the beginning of the sound was taken for what `before` has. Where both are clear and say the
        same, what came between was nothing said: noise that flickers must not hold up an answer."""
        if not (self.clear and before.clear and self.heard.words == before.heard.words):
            return self
        return replace(self, said_frames=before.said_frames)

    def silence_s(self, frames: int) -> float:
        """For how long nothing was said, once there are so many frames."""
        return (frames - self.said_frames) * FRAME_S


def waits_for(tail: Tail, sure: float, *, at_once: bool) -> Tail:
    """The silence that words need of which we are so sure. `tail`: what their kind needs; `at_once`: they do something
    by themselves. Where that is doubtful it waits until nothing more is said, for talk goes on."""
    return Tail.WHOLE if tail is Tail.SHORT and at_once and sure < limits.SOON_AT else tail


@dataclass(frozen=True, slots=True, kw_only=True)
class Looking:
    """A look at the sound up to `frames`, in a silence then `quiet_s` long. `part`: the frames of it that stand out;
    `before`: what was made of the beginning of it."""

    work: UnderWay | WrittenDown
    frames: int
    quiet_s: float
    part: slice | None
    before: Tried | None

    @property
    def goes_on(self) -> bool:
        """Whether it is worked out on another thread."""
        return isinstance(self.work, UnderWay)

    @property
    def reads(self) -> bool:
        """Whether it goes on and is of a reading, within which people pause."""
        return isinstance(self.work, UnderWay) and self.work.reads

    def found(self) -> WrittenDown:
        """What it gave; waits for it."""
        return self.work.result() if isinstance(self.work, UnderWay) else self.work

    def give_up(self) -> None:
        """Nobody asks for it any more."""
        if isinstance(self.work, UnderWay):
            self.work.give_up()
