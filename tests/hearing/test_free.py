"""Free writing: words of the trade are nudged, the ear has its say, and the trust in each word means something."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.hearing.free import FreeText, by_ear, share_right, words_right, write_freely
from assistant.hearing.nudge import Nudge
from assistant.hearing.tokens import Vocabulary
from tests.hearing.conftest import Dictated

WIDTH = 3


class TwoTexts(Dictated):
    """A network that cannot tell `one` from `other`, and likes the first by `ahead` nats at their first letter."""

    def __init__(self, vocabulary: Vocabulary, one: str, other: str, ahead: float) -> None:
        super().__init__(vocabulary, one)
        self._one, self._other = ([*vocabulary.encode(text), vocabulary.end] for text in (one, other))
        self._ahead, self._size = ahead, vocabulary_size(vocabulary)
        self._texts: list[list[int]] = []

    def begin(self) -> NDArray[np.float32]:
        """Before the first token."""
        self._texts = [[]]
        return self._logits()

    def step(self, parents: NDArray[np.int64], tokens: NDArray[np.int64]) -> NDArray[np.float32]:
        """Each row goes on with the text that it has begun."""
        self._texts = [[*self._texts[int(row)], int(token)] for row, token in zip(parents, tokens, strict=True)]
        return self._logits()

    def _logits(self) -> NDArray[np.float32]:
        logits = np.zeros((len(self._texts), self._size), np.float32)
        for row, text in enumerate(self._texts):
            for wanted, nats in ((self._one, 8.0 + (0 if text else self._ahead)), (self._other, 8.0)):
                if wanted[: len(text)] == text and len(text) < len(wanted):
                    logits[row, wanted[len(text)]] = nats
        return logits


def vocabulary_size(vocabulary: Vocabulary) -> int:
    """How many tokens there are."""
    return len(vocabulary._texts)


def test_a_word_of_the_trade_is_nudged(vocabulary: Vocabulary) -> None:
    """By less than a nat behind it wins, by much more it does not: the sound has the last word."""
    for ahead, wanted in ((0.5, "coil"), (3.0, "soil")):
        sound = TwoTexts(vocabulary, " soil", " coil", ahead)
        texts = write_freely(sound, vocabulary, most=20, width=WIDTH, trade={"coil"}.__contains__)
        assert texts[0].text.strip() == wanted


def test_what_is_said_there_is_nudged_and_the_rest_is_not(vocabulary: Vocabulary) -> None:
    """A word by half a nat, behind the word that it follows by more; a word that goes on is not the one liked."""
    for sentence, ahead, wanted in (("coil", 0.9, "coil"), ("coil", 1.5, "soil"), ("the coil", 0.9, "soil")):
        sound = TwoTexts(vocabulary, " soil", " coil", ahead)
        texts = write_freely(sound, vocabulary, most=20, width=WIDTH, nudge=Nudge(vocabulary, [sentence]))
        assert texts[0].text.strip() == wanted, (sentence, ahead)
        assert {text.text.strip() for text in texts} >= {"soil", "coil"}


def test_without_a_trade_the_likeliest_text_wins(vocabulary: Vocabulary) -> None:
    """And what it is worth is the sum of its tokens' logs."""
    texts = write_freely(TwoTexts(vocabulary, " soil", " coil", 0.5), vocabulary, most=20, width=WIDTH)
    assert texts[0].text.strip() == "soil"
    assert texts[0].speech == sum(texts[0].logs) > texts[1].speech


def test_the_ear_chooses_between_texts_that_are_near(vocabulary: Vocabulary) -> None:
    """The phones of the sound are those of the second text."""
    texts = [FreeText(tokens=(5,), text=" soil", logs=(-1.0,)), FreeText(tokens=(6,), text=" coil", logs=(-1.5,))]
    phones = {"soil": (("S", "OY", "L"),), "coil": (("K", "OY", "L"),)}
    sound = Dictated(vocabulary, " coil", phones="K OY L")
    (best, odds), (_, less) = by_ear(sound, texts, lambda word: phones.get(word, ()))
    assert best.text == " coil"
    assert best.fall is not None and best.phones == 3
    assert odds > less and odds + less == pytest.approx(1.0)
    unknown = by_ear(sound, texts, lambda word: ())[0][0]
    assert (unknown.text, unknown.fall) == (" soil", None)


def test_what_is_written_unsurely_is_trusted_less(vocabulary: Vocabulary) -> None:
    """Each word has a probability; a text without words has none."""
    tokens = vocabulary.encode(" no spark")
    sure = FreeText(tokens=tokens, text=" no spark", logs=(-0.01,) * (len(tokens) + 1), fall=-1.0, phones=6)
    logs = (*[-0.01] * 3, *[-0.9] * (len(tokens) - 2))
    half = FreeText(tokens=tokens, text=" no spark", logs=logs, fall=-9.0, phones=6)
    assert [word for word, _ in words_right(sure, vocabulary)] == ["no", "spark"]
    assert 0.9 < share_right(sure, vocabulary) <= 1.0
    (_, first), (_, second) = words_right(half, vocabulary)
    assert second < first < 0.9
    assert share_right(half, vocabulary) == (first + second) / 2
    assert share_right(FreeText(tokens=(), text="", logs=(-9.0,)), vocabulary) == 0.0
