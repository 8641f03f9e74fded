"""What the network writes when no grammar binds it: for notes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.hearing.beam import Passage, log_softmax
from assistant.hearing.tokens import Vocabulary

TOKENS_A_SECOND = 8
"""More than anybody speaks; source: fast read speech has about 5 words a second (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeText:
    """`speech`: log-probability of the text over the sound, end mark included. `tokens`: how many it has."""

    text: str
    speech: float
    tokens: int


def write_freely(passage: Passage, vocabulary: Vocabulary, *, most: int) -> FreeText:
    """The likeliest text token by token, at most `most` of them (a network that loops is cut short)."""
    logits = passage.begin()
    tokens: list[int] = []
    speech = 0.0
    while True:
        logs = log_softmax(logits)[0]
        token = int(logs.argmax())
        speech += float(logs[token])
        if token == vocabulary.end or len(tokens) >= most:
            return FreeText(text=vocabulary.text(tokens).strip(), speech=speech, tokens=len(tokens))
        tokens.append(token)
        logits = passage.step(np.zeros(1, np.int64), np.array([token], np.int64))
