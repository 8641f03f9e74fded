"""What the network writes without a grammar: what is dictated, and what a doubtful answer is held against."""

from __future__ import annotations

from collections.abc import Callable

from assistant.adapters.recogniser_embedded.network import SpeechPassage
from assistant.hearing.free import TOKENS_A_SECOND, best_by_ear, share_right, width_for, write_freely
from assistant.hearing.tokens import Vocabulary
from assistant.procedure.sound import sounds_of

SECOND_WIDTH = 4
"""Texts written beside each other for that, of which the phones choose: half as long again as one takes. Source: of the
same answers the chosen one tells more than the first (log loss 0.185 for 0.203)."""


def dictated(
    passage: SpeechPassage, vocabulary: Vocabulary, trade: Callable[[str], bool], seconds: float
) -> tuple[str, float]:
    """The text and the share of its words that should be right. `trade`: whether a word is of the trade."""
    texts = write_freely(passage, vocabulary, most=_most(seconds), trade=trade, width=width_for(seconds))
    best = best_by_ear(passage, texts, sounds_of, trade)
    return best.text.strip(), round(share_right(best, vocabulary), 4)


def freely(passage: SpeechPassage, vocabulary: Vocabulary, seconds: float) -> str:
    """What is said, bound to nothing: of a few texts the one that the phones speak for too."""
    texts = write_freely(passage, vocabulary, most=_most(seconds), width=SECOND_WIDTH)
    return best_by_ear(passage, texts, sounds_of, lambda _word: False).text


def _most(seconds: float) -> int:
    return 6 + int(seconds * TOKENS_A_SECOND)
