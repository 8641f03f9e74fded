"""What hangs on words that are heard just now: how sure of them we must be, how long a silence they need."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from assistant.adapters.recogniser_embedded.second import STOP_WHILE_ASKED
from assistant.hearing.trust import Thresholds, limits_of
from assistant.language.commands import Stakes
from assistant.language.stakes import Tail, done_at_once, stakes_of, tail_of


@dataclass(frozen=True, slots=True, kw_only=True)
class AtStake:
    """`tags`: of the grammar, on the way through the words; the rest as in `assistant.ports.Listening`."""

    tags: Callable[[str], tuple[str, ...]]
    hazardous: bool = False
    read_back: bool = False
    second_chance: bool = False

    def stakes(self, words: str) -> Stakes:
        """What a wrong one of them costs."""
        return stakes_of(words, self.tags(words), hazardous=self.hazardous)

    def thresholds(self, words: str) -> Thresholds:
        """How sure of them we must be."""
        stops = self.second_chance and self.tail(words) is Tail.NONE
        return STOP_WHILE_ASKED if stops else limits_of(self.stakes(words))

    def tail(self, words: str | None) -> Tail:
        """The silence that they need."""
        return Tail.WHOLE if words is None else tail_of(words, self.tags(words), read_back=self.read_back)

    def at_once(self, words: str | None) -> bool:
        """Whether they do something by themselves."""
        return words is not None and done_at_once(words, self.tags(words), read_back=self.read_back)
