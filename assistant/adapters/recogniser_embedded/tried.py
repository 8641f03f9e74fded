"""What the recogniser made of the sound so far, while somebody speaks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from assistant.adapters.recogniser_embedded import limits
from assistant.adapters.recogniser_embedded.at_stake import AtStake
from assistant.adapters.recogniser_embedded.scribe import UnderWay, WrittenDown
from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.standing_out import AROUND_FRAMES
from assistant.language.commands import Stakes
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


def tried_in(looking: Looking, written: WrittenDown, at_stake: AtStake, *, began_s: float, over_us: bool) -> Tried:
    """What a look gave, and when it counts. `written`: what it found; `began_s`: of all the sound; `over_us`: our own
    voice may still be heard, beside which any stop acts at once."""
    heard, nothing_longer = heeded(written, at_stake)
    clear = heard.words is not None and not heard.unsure and nothing_longer
    tail = waits_for(at_stake.tail(heard.words), heard.confidence, at_once=at_stake.at_once(heard.words))
    after_s = limits.TAIL_S[tail]
    waits = not clear or (not over_us and at_stake.stop_waits(heard, amid=written.amid))
    after_s = max(after_s, limits.LONGER_S if heard.words is not None else math.inf) if waits else after_s
    said_frames, part = looking.frames - round(looking.quiet_s / FRAME_S), looking.part
    if part is not None and heard.ended_s - began_s < (looking.frames - 0.5) * FRAME_S:  # the part alone
        said_frames = min(said_frames, part.stop - AROUND_FRAMES)
    tried = Tried(
        heard=heard, frames=looking.frames, quiet_s=looking.quiet_s, clear=clear, after_s=after_s,
        said_frames=said_frames,
    )  # fmt: skip
    return tried if looking.before is None else tried.after(looking.before)


def heeded(written: WrittenDown, at_stake: AtStake) -> tuple[Heard, bool]:
    """What counts of it, and whether nothing longer is legal. What goes on with other talk does nothing by itself: what
    does no harm is let pass, for it would only speak into the talk, and of the rest is asked about what free writing
    bears out."""
    heard = written.heard
    if at_stake.tail(heard.words) is Tail.NONE or not written.amid:
        return heard, written.nothing_longer
    heard = replace(heard, amid=True)
    if heard.unsure or not at_stake.at_once(heard.words):
        return heard, written.nothing_longer
    if at_stake.stakes(heard.words or "") is Stakes.HARMLESS:
        return replace(heard, words=None), False
    return replace(heard, unsure=True), written.nothing_longer
