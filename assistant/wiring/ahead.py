"""What is learnt ahead of an answer, while the question is spoken."""

from __future__ import annotations

from threading import Thread

from assistant.language.guess import get_ready
from assistant.language.model import Expected


def learn_ahead(expected: Expected) -> None:
    """Learn in the background what answers here are like: at its first answer a step would wait a quarter of a second
    for it. An answer that comes sooner is worked out by itself."""
    if expected.results:
        Thread(target=get_ready, args=(expected,), name="learning-ahead", daemon=True).start()
