"""Typed lines as a recogniser: a full engine beside the acoustic ones, for tests and for who cannot speak."""

from __future__ import annotations

from collections.abc import Callable

from assistant.grammar.automaton import automaton_of
from assistant.hearing.spelling import Spelling
from assistant.language.model import Heard
from assistant.ports import AudioBlock, Listening


class TypedRecogniser:
    """Each line is one thing said. `next_line`: the next line typed, or None while there is none; never blocks."""

    name = "typed"
    always_confirm = False

    def __init__(self, next_line: Callable[[], str | None]) -> None:
        self._next_line = next_line
        self._listening: Listening | None = None
        self._spelling: Spelling | None = None

    def expect(self, listening: Listening) -> None:
        """What may be typed from now on."""
        self._listening = listening
        self._spelling = None if listening.dictation else Spelling(automaton_of(listening.grammar))

    def accept(self, block: AudioBlock) -> Heard | None:
        """The next line, if there is one; the sound of the block does not matter, its time does."""
        return self._heard(block.start_s)

    def finish(self) -> Heard | None:
        """A line still waiting, if there is one."""
        return self._heard(0.0)

    def close(self) -> None:
        """Expect nothing more."""
        self._listening = self._spelling = None

    def _heard(self, at_s: float) -> Heard | None:
        line = self._next_line() if self._listening is not None else None
        if line is None or not line.strip():
            return None
        if self._spelling is None:
            text = line.strip()
            return Heard(words=text, confidence=1.0, free_text=text, began_s=at_s, ended_s=at_s, engine=self.name)
        words = self._spelling.words(" ".join(line.split()))
        said = " ".join(words) if words is not None else None
        confidence = 1.0 if said is not None else 0.0
        return Heard(words=said, confidence=confidence, began_s=at_s, ended_s=at_s, engine=self.name)
