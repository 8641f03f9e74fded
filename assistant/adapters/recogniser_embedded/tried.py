"""What the recogniser made of the sound so far, while somebody speaks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from time import perf_counter

from assistant.adapters.recogniser_embedded import limits
from assistant.hearing.beam import Language
from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.sentence import Verdict, Worded
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One look at the sound between these seconds, for who measures where a word is lost. `best`: the likeliest
    sentence even where it was refused; `sure`: somebody surely spoke to us so far."""

    began_s: float
    ended_s: float
    best: str | None
    confidence: float
    acts: bool
    sure: bool


def look_at(verdict: Verdict, began_s: float, ended_s: float, *, sure: bool) -> Look:
    """A verdict about the sound between these seconds, for who measures. `sure`: somebody surely spoke to us."""
    return Look(
        began_s=began_s,
        ended_s=ended_s,
        best=verdict.best,
        confidence=verdict.confidence,
        acts=verdict.acts,
        sure=sure,
    )


def told_by(verdict: Verdict, began_s: float, ended_s: float, engine: str, started: float) -> Heard:
    """A verdict about the sound between these seconds, as it is heard. `started`: as `since` has it."""
    return Heard(
        words=verdict.words,
        confidence=round(verdict.confidence, 4),
        unsure=verdict.unsure,
        began_s=began_s,
        ended_s=ended_s,
        took_ms=since(started),
        engine=engine,
    )


def since(started: float) -> float:
    """Milliseconds since that moment of `time.perf_counter`."""
    return round((perf_counter() - started) * 1000, 1)


def waits_for(tail: Tail, sure: float, *, at_once: bool) -> Tail:
    """The silence that words need of which we are so sure. `tail`: what their kind needs; `at_once`: they do something
    by themselves. Where that is doubtful it waits until nothing more is said, for talk goes on."""
    return Tail.WHOLE if tail is Tail.SHORT and at_once and sure < limits.SOON_AT else tail


def goes_alone(alone: Verdict, whole: Verdict, language: Language, worded: Worded) -> bool:
    """Whether what stands out of the whole may be gone by: it is sure, and no part of a longer sentence of another
    meaning, as "spark" is of "no spark". Not asked of stop, which has an ear of its own: a "no" over talk was one."""
    if alone.words is None or alone.unsure:
        return False
    longer = whole.best is not None and f" {alone.words} " in f" {whole.best} "
    return not longer or language.mean_the_same(alone.words, whole.best or "", worded)
