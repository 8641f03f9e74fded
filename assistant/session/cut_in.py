"""Answers said over our own prompt, where that is wished for: which are listened for, and which may be our own echo.

A prompt that holds a caution, a release or tones is never cut by an answer: what was not spoken of them would count as
spoken. Nor do cautions and gates listen over our voice: they are told to their end, or stopped and told anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.guide import Mode
from assistant.language.commands import CUTS_SPEECH
from assistant.language.model import Expected, Heard
from assistant.language.plain import plain_words
from assistant.language.speech import Sentence, Utterance

ANSWERED_OVER = frozenset({Mode.ASKING, Mode.CONFIRMING})


def heard_over(now: Expected, mode: Mode, spoken: Sequence[Utterance]) -> Expected:
    """What is listened for while this is spoken: stop and pause, and the answers where the prompt may be cut."""
    may_cut = mode in ANSWERED_OVER and all(isinstance(each, Sentence) and each.kind != "caution" for each in spoken)
    if not may_cut or now.dictation:
        return Expected(controls=CUTS_SPEECH, attention=now.attention, timed=now.timed)
    answering = {each for each in now.controls if each.row.over_prompt}
    return replace(now, controls=CUTS_SPEECH | answering, questions=False, supposed={}, hazardous=True, read_back=True)


def taken_over(heard: Heard, spoken: Sequence[Utterance]) -> Heard | None:
    """The same as it is taken: asked about, since our voice was in it; None where it may be nothing but our voice."""
    if heard.words is None or heard.unsure:
        return None
    said = f" {' '.join(plain_words(each.text) for each in spoken if isinstance(each, Sentence))} "
    return None if f" {plain_words(heard.words)} " in said else replace(heard, unsure=True)
