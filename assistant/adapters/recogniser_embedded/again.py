"""What is doubtful is heard again; of a reading that is begun beside the first hearing, for nearly all are doubtful."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from threading import Thread
from typing import TypeVar

from assistant.adapters.recogniser_embedded.network import GivenUp, SpeechPassage
from assistant.hearing.beam import Language
from assistant.hearing.candidate import BeamSettings, Candidates
from assistant.hearing.sentence import for_length, own_best

Found = TypeVar("Found")


class HeardAgain:
    """The passage slowed down, and what the network would write of it by itself, worked out on another thread. The same
    to the last bit as if it were asked for when it is wanted: each call of the network is the same."""

    def __init__(self, passage: SpeechPassage, language: Language, settings: BeamSettings) -> None:
        """`settings`: of the whole search, for any length."""
        self._passage = beside = passage.beside()
        narrowed = for_length(settings, passage.seconds)

        def work() -> Candidates:
            passage.again().begin()
            return own_best(beside, language, passage.vocabulary, narrowed)

        self._own = on_a_thread(work, "hears-again")

    def own(self) -> Candidates:
        """As `assistant.hearing.sentence.own_best` finds it; waits for it."""
        return self._own.result()

    def give_up(self) -> None:
        """Not wanted, or not any more: wait until nothing works on it, a call of the network at most."""
        self._passage.give_up()
        with suppress(GivenUp):
            self._own.result()


def on_a_thread(work: Callable[[], Found], name: str) -> Future[Found]:
    """What comes of the work. No end of the program waits for the thread: a network may hang."""
    found: Future[Found] = Future()

    def do() -> None:
        try:
            found.set_result(work())
        except Exception as error:  # who waits for it decides
            found.set_exception(error)

    Thread(target=do, name=name, daemon=True).start()
    return found
