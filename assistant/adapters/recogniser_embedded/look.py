"""A verdict about some sound, as it is told to those who ask and to those who measure."""

from __future__ import annotations

from dataclasses import dataclass
from time import perf_counter

from assistant.hearing.beam import Language
from assistant.hearing.sentence import Verdict, Worded
from assistant.language.model import Heard


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


def goes_alone(alone: Verdict, whole: Verdict, language: Language, worded: Worded) -> bool:
    """Whether what stands out of the whole may be gone by: it is sure, and no part of a longer sentence of another
    meaning, as "spark" is of "no spark". Not asked of stop, which has an ear of its own: a "no" over talk was one."""
    if alone.words is None or alone.unsure:
        return False
    longer = whole.best is not None and f" {alone.words} " in f" {whole.best} "
    return not longer or language.mean_the_same(alone.words, whole.best or "", worded)
