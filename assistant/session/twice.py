"""The same words, unsure twice in a row, are sure: both hearings would have to err in the same way."""

from __future__ import annotations

from dataclasses import replace

from assistant.language.model import Heard
from assistant.language.opposites import contradicted


class Twice:
    """Keeps what was heard unsurely last."""

    def __init__(self) -> None:
        self._unsure: Heard | None = None

    def forget(self) -> None:
        """Something else came between."""
        self._unsure = None

    def weigh(self, heard: Heard) -> Heard:
        """The same, made sure where it was heard so before; not where free writing says the opposite."""
        before, self._unsure = self._unsure, heard if heard.unsure else None
        if before is None or not heard.unsure or heard.words != before.words or contradicted(heard):
            return heard
        self._unsure = None
        sure = 1.0 - (1.0 - before.confidence) * (1.0 - heard.confidence)
        return replace(heard, unsure=False, cut=False, amid=False, confidence=sure)
