"""What is likely said next is made ready while nobody speaks, so that its first breath sounds at once.

Only words that the guide itself would say are made, by asking it what it would answer; nothing of that is kept or
recorded, and what is said in the end is what it says then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice, zip_longest

from assistant.guide import Library, State, advance
from assistant.language.attention import addressed
from assistant.language.breaths import breaths
from assistant.language.commands import phrase_of
from assistant.language.model import (
    Acknowledge,
    Command,
    Control,
    Expected,
    GiveControl,
    GiveResult,
    Heard,
    Unclear,
    UnclearReason,
)
from assistant.language.speech import Sentence
from assistant.language.understand import asked, understand
from assistant.ports import Voice

MOST = 16
"""Replies that are made ready for a question: a breath takes 45 ms of a core, so three quarters of a second while it is
asked and thought about. Judgement."""

ITSELF = "ahead"
"""The engine of what nobody has said yet."""

MOVES = (Control.YES, Control.NO, Control.DONE, Control.READY)
"""Commands that answer what is asked."""


def likely_replies(library: Library, state: State, now: Expected) -> Iterator[str]:
    """The first breaths of what would be said to what may be said now, likeliest first, each once; at most MOST."""
    return islice(_replies(library, state, now), MOST)


def reply_to(library: Library, state: State, now: Expected, heard: Heard) -> str | None:
    """The first breath of what would be said to this; None where who knows the plan is asked, or nobody was called."""
    said = addressed(heard, now)
    if said is None or asked(said, now) is not None:
        return None
    turn = advance(library, state, understand(said, now), state.at_s, heard=heard)
    text = next((each.text for each in turn.reply if isinstance(each, Sentence)), "")
    return next(iter(breaths(text)), None)


def _replies(library: Library, state: State, now: Expected) -> Iterator[str]:
    made = set()
    for command, words in _likely(now):
        heard = None if words is None else Heard(words=words, confidence=1.0, engine=ITSELF)
        turn = advance(library, state, command, state.at_s, heard=heard)
        if turn.refused is not None and heard is not None:
            continue
        said = next((each.text for each in turn.reply if isinstance(each, Sentence)), "")
        for breath in breaths(said)[:1]:
            if breath not in made:
                made.add(breath)
                yield breath


def _likely(now: Expected) -> Iterator[tuple[Command | Unclear, str | None]]:
    """What is likely said, each with its words: what moves the job on, the first phrase of each result, that nothing
    was understood, then the other phrases."""
    yield from ((GiveControl(control=each), phrase_of(each)) for each in MOVES if each in now.controls)
    yield from ((Acknowledge(words=words), words) for words in now.acknowledge[:1])
    for place, phrases in enumerate(zip_longest(*now.results.values())):
        for result, words in zip(now.results, phrases, strict=True):
            if words is not None:
                yield GiveResult(result=result, words=words), words
        if place == 0:
            yield Unclear(reason=UnclearReason.NOT_HEARD), None


class Ahead:
    """Asked after each block of sound in which nothing was heard."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice
        self._question: object = None
        self._texts: Iterator[str] = iter(())
        self._next: str | None = None
        self._heard: Heard | None = None

    def answer(self, heard: Heard, reply: Callable[[Heard], str | None]) -> None:
        """Begin to make ready what is said to this, which waits for its silence. `reply`: to it."""
        if heard is not self._heard:
            self._heard, self._next = heard, self._tried(lambda: reply(heard))
        if self._next is not None and self._voice.prepare(self._next):
            self._next = None

    def go_on(self, question: object, replies: Callable[[], Iterator[str]]) -> None:
        """Begin to make one more ready, where the voice has nothing else to do. `question`: what tells the present one
        from any other; `replies`: to it."""
        if question != self._question:
            self._question, self._texts, self._next = question, replies(), None
        if self._next is None:
            self._next = self._tried(lambda: next(self._texts, None))
        if self._next is not None and self._voice.prepare(self._next):
            self._next = None

    @staticmethod
    def _tried(made: Callable[[], str | None]) -> str | None:
        try:
            return made()
        except Exception:  # what nobody has said yet ends no job; said, it is told of
            return None
