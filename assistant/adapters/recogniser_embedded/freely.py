"""What the network writes without a grammar: what is dictated, and what a doubtful answer is held against."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from threading import Event

from assistant.adapters.recogniser_embedded.network import SpeechPassage
from assistant.hearing.free import TOKENS_A_SECOND, by_ear, share_right, width_for, write_freely
from assistant.hearing.nudge import Nudge
from assistant.hearing.sentence import Verdict
from assistant.hearing.tokens import Vocabulary
from assistant.language.model import Heard, Written
from assistant.language.plain import plain_words
from assistant.procedure.sound import sounds_of

SECOND_WIDTH = 4
"""Texts written beside each other for that, of which the phones choose: half as long again as one takes. Source: of the
same answers the chosen one tells more than the first (log loss 0.185 for 0.203)."""


def dictated(passage: SpeechPassage, trade: Callable[[str], bool]) -> Heard:
    """The text, and the share of its words that should be right. `trade`: whether a word is of the trade."""
    vocabulary = passage.vocabulary
    texts = write_freely(passage.free(), vocabulary, most=_most(passage), trade=trade, width=width_for(passage.seconds))
    best = by_ear(passage, texts, sounds_of)[0][0]
    text, sure = best.text.strip(), round(share_right(best, vocabulary), 4)
    return Heard(words=text or None, confidence=sure, free_text=text)


class Writing:
    """Texts that are being written on another core."""

    def __init__(self, texts: Future[tuple[Written, ...]], given_up: Event) -> None:
        self._texts, self._given_up = texts, given_up

    def texts(self) -> tuple[Written, ...]:
        """Wait until they are written."""
        return self._texts.result()

    def give_up(self) -> None:
        """They are not wanted: what is written next need not wait for them."""
        self._given_up.set()
        self._texts.cancel()


class FreeWriting:
    """What is said, bound to nothing but nudged to what is said there: a few texts, the likeliest first by the phones
    too. Mostly wanted, so it may be begun, on another core, before that is known."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._vocabulary = vocabulary
        self._said: tuple[str, ...] = ()
        self._nudge = Nudge(vocabulary, ())
        self._beside = ThreadPoolExecutor(1, "writes-freely")

    def expect(self, said: tuple[str, ...]) -> None:
        """What people say from now on."""
        if said != self._said:
            self._said, self._nudge = said, Nudge(self._vocabulary, said)

    def begin(self, passage: SpeechPassage) -> Writing:
        """Write it down while other things are done."""
        given_up = Event()
        return Writing(self._beside.submit(self._write, passage, self._nudge, given_up), given_up)

    def write(self, passage: SpeechPassage) -> tuple[Written, ...]:
        """The texts."""
        return self._write(passage, self._nudge)

    def close(self) -> None:
        """Let the other core go; may be called twice."""
        self._beside.shutdown()

    @staticmethod
    def _write(passage: SpeechPassage, nudge: Nudge, given_up: Event | None = None) -> tuple[Written, ...]:
        free = passage.free(given_up)
        texts = write_freely(free, passage.vocabulary, most=_most(passage), width=SECOND_WIDTH, nudge=nudge)
        return distinct(
            Written(text=text.text.strip(), odds=odds, likely=text.speech / max(1, len(text.logs)))
            for text, odds in by_ear(passage, texts, sounds_of)
            if text.text.strip()
        )[:SECOND_WIDTH]


def distinct(texts: Iterable[Written]) -> tuple[Written, ...]:
    """Those that differ in more than marks and case, likeliest first: the odds of what says the same add up."""
    found: dict[str, Written] = {}
    for one in texts:
        said = plain_words(one.text)
        found[said] = replace(found[said], odds=found[said].odds + one.odds) if said in found else one
    return tuple(sorted(found.values(), key=lambda one: -one.odds))


def with_second(heard: Heard, written: tuple[Written, ...], verdict: Verdict) -> Heard:
    """What was heard, with all that may be weighed for each result; an empty text where nothing could be written."""
    return replace(
        heard,
        free_text=written[0].text if written else "",
        written=written,
        sentences=verdict.sentences,
        rivals=verdict.rivals if heard.unsure else (),
    )


def _most(passage: SpeechPassage) -> int:
    return 6 + int(passage.seconds * TOKENS_A_SECOND)
