"""What the network writes without a grammar: what is dictated, and what a doubtful answer is held against."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from assistant.adapters.recogniser_embedded.network import SpeechPassage
from assistant.hearing.free import TOKENS_A_SECOND, by_ear, share_right, width_for, write_freely
from assistant.hearing.nudge import Nudge
from assistant.hearing.sentence import Verdict
from assistant.language.model import Heard, Written
from assistant.language.plain import plain_words
from assistant.procedure.sound import sounds_of

SECOND_WIDTH = 4
"""Texts written beside each other for that, of which the phones choose: half as long again as one takes. Source: of the
same answers the chosen one tells more than the first (log loss 0.185 for 0.203)."""


def dictated(passage: SpeechPassage, trade: Callable[[str], bool]) -> Heard:
    """The text, and the share of its words that should be right. `trade`: whether a word is of the trade."""
    vocabulary = passage.vocabulary
    texts = write_freely(passage.free(), vocabulary, most=_most(passage), trade=trade, width=width_for(passage.seconds))
    best = by_ear(passage, texts, sounds_of)[0][0]
    text, sure = best.text.strip(), round(share_right(best, vocabulary), 4)
    return Heard(words=text or None, confidence=sure, free_text=text)


def freely(passage: SpeechPassage, nudge: Nudge) -> tuple[Written, ...]:
    """What is said, bound to nothing but nudged: a few texts, the likeliest first by the phones too."""
    texts = write_freely(passage.free(), passage.vocabulary, most=_most(passage), width=SECOND_WIDTH, nudge=nudge)
    return distinct(
        Written(text=text.text.strip(), odds=odds, likely=text.speech / max(1, len(text.logs)))
        for text, odds in by_ear(passage, texts, sounds_of)
        if text.text.strip()
    )[:SECOND_WIDTH]


def distinct(texts: Iterable[Written]) -> tuple[Written, ...]:
    """Those that differ in more than marks and case, likeliest first: the odds of what says the same add up."""
    found: dict[str, Written] = {}
    for one in texts:
        said = plain_words(one.text)
        found[said] = replace(found[said], odds=found[said].odds + one.odds) if said in found else one
    return tuple(sorted(found.values(), key=lambda one: -one.odds))


def with_second(heard: Heard, written: tuple[Written, ...], verdict: Verdict) -> Heard:
    """What was heard, with all that may be weighed for each result; an empty text where nothing could be written."""
    return replace(
        heard,
        free_text=written[0].text if written else "",
        written=written,
        sentences=verdict.sentences,
        rivals=verdict.rivals if heard.unsure else (),
    )


def _most(passage: SpeechPassage) -> int:
    return 6 + int(passage.seconds * TOKENS_A_SECOND)
