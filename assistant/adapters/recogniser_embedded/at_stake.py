"""What hangs on words that are heard just now: how sure of them we must be, how long a silence they need."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Self

from assistant.adapters.recogniser_embedded.second import STOP_WHILE_ASKED, stands_alone
from assistant.hearing.trust import Thresholds, limits_of
from assistant.language.commands import Stakes
from assistant.language.model import Heard
from assistant.language.stakes import Tail, done_at_once, stakes_of, tail_of
from assistant.ports import Listening


@dataclass(frozen=True, slots=True, kw_only=True)
class AtStake:
    """`tags`: of the grammar, on the way through the words; the rest as in `assistant.ports.Listening`."""

    tags: Callable[[str], tuple[str, ...]]
    hazardous: bool = False
    read_back: bool = False
    second_chance: bool = False
    timed: bool = False

    @classmethod
    def where(cls, listening: Listening, tags: Callable[[str], tuple[str, ...]]) -> Self:
        """What is at stake where this is listened for."""
        return cls(
            tags=tags,
            hazardous=listening.hazardous,
            read_back=listening.read_back,
            second_chance=listening.second_chance,
            timed=listening.timed,
        )

    @property
    def asked(self) -> bool:
        """Whether a word that stops us may be an answer: one is waited for, and no timed action runs, for there it is
        never made harder to stop."""
        return self.second_chance and not self.timed

    def stops(self, words: str | None) -> bool:
        """Whether it is a word that stops us."""
        return self.tail(words) is Tail.NONE

    def stop_is_doubted(self, *, inside: bool) -> bool:
        """Whether a stop that its own ear found is held against free writing: never while something is timed.
        `inside`: in a sentence."""
        return not self.timed and (inside or self.asked)

    def stop_waits(self, heard: Heard, *, amid: bool) -> bool:
        """Whether this is a word that stops us and may be no more than the beginning of talk, so that it waits until
        nothing more is said: never while something is timed. `amid`: it goes on with other talk."""
        return self.stops(heard.words) and not self.timed and not stands_alone(heard, amid=amid)

    def stakes(self, words: str) -> Stakes:
        """What a wrong one of them costs."""
        return stakes_of(words, self.tags(words), hazardous=self.hazardous)

    def thresholds(self, words: str) -> Thresholds:
        """How sure of them we must be."""
        return STOP_WHILE_ASKED if self.asked and self.stops(words) else limits_of(self.stakes(words))

    def tail(self, words: str | None) -> Tail:
        """The silence that they need."""
        return Tail.WHOLE if words is None else tail_of(words, self.tags(words), read_back=self.read_back)

    def at_once(self, words: str | None) -> bool:
        """Whether they do something by themselves."""
        return words is not None and done_at_once(words, self.tags(words), read_back=self.read_back)
