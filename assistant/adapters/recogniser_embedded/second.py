"""What is also written without the grammar where an answer is waited for, and what a stop of the grammar needs."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from assistant.hearing.trust import Thresholds
from assistant.language.commands import Stakes
from assistant.language.grammars import says_all
from assistant.language.model import Heard, Written
from assistant.language.opposites import alike
from assistant.language.plain import plain_words
from assistant.language.stakes import QUESTIONS, control_said, stakes_of

STOP_WHILE_ASKED = Thresholds(act=0.5, ask=0.5)
"""What a stop or pause of the grammar needs where an answer is waited for: its own ear hears it besides, and of 1,436
answers in own words, spoken, three were taken for one with 0.25 to 0.38."""

WORD_SECOND_BELOW, COMMAND_SECOND_BELOW = 0.9, 0.95
"""Trust below which a command of one word, and a longer one or a question, is also written freely where an answer is
waited for. Source: of 1,200 answers by the tuning voices 9 were taken for such a one, with 0.18 to 0.93, those of one
word with less than 0.9; people's "yes" and "no" mostly have more."""

STOPPING, LIKE_STOP = ("stop", "pause", "hold", "whoa", "wait", "break"), 0.6
"""Words that stop us, and how much of its letters a word that was written freely shares with one to stand for it."""

OF_THE_EAR = ("stop", "pause", "hold", "whoa")
"""Those that have an ear of their own."""

SURELY_WRITTEN = -0.3
"""Mean log-probability of the tokens from which on a text of more than one word, none of them like one that stops us,
is something else. Source: of 240 times a word that stops us, by people (the part for learning) and by the tuning
voices, 15 to 6 dB over noise and talk, no text is so, the nearest with -0.31; mostly they are one word. Of 1,200
answers 14 were taken for stop or pause without this."""

LAST_WORDS = 2
"""The phrases that stop us have so many words at most, politeness and the like aside."""

SECOND_BELOW = 0.998
"""Trust below which an answer is also written without the grammar. Source: of 1,143 answers in own words that were
heard as a result 109 had 0.995 or more, two of them wrong, and 21 had 0.998, all right."""


def wants_second(heard: Heard, tags: Collection[str]) -> bool:
    """Whether free writing may tell more: of what was refused, of an answer that is not quite sure, and of a command
    that is doubtful. `tags`: of the grammar, on the way through the words."""
    if heard.words is None:
        return True
    if heard.confidence >= SECOND_BELOW or not all(map(says_all, tags)):
        return False
    control = control_said(heard.words, tags)
    if control is not None and control.row.cuts_speech:
        return True
    if control is not None or not QUESTIONS.isdisjoint(tags):
        return heard.confidence < (COMMAND_SECOND_BELOW if " " in heard.words else WORD_SECOND_BELOW)
    return stakes_of(heard.words, tags, hazardous=False) is Stakes.ANSWER


def usual(words: str) -> Heard:
    """These words, trusted as what was said mostly is: no more than an answer is, no less than a command."""
    return Heard(words=words, confidence=(SECOND_BELOW + COMMAND_SECOND_BELOW) / 2)


def stands_alone(heard: Heard, *, amid: bool) -> bool:
    """Whether a stop of the grammar is surely the whole of what was said: it does not go on with other talk, and free
    writing, where there is any, has a word like it. `amid`: it goes on with other talk."""
    return not amid and (heard.free_text is None or _like_stop(plain_words(heard.free_text).split()))


def ends_otherwise(written: Sequence[Written]) -> bool:
    """Whether what was written freely of a sentence, at the end of which the ear for stop found a word, ends with none
    like one of its own: "back" is like "break", which it does not know. A single word has nothing before it: what
    seemed so was noise."""
    said = plain_words(written[0].text).split() if written else []
    return len(said) > 1 and not _like_stop(said[-LAST_WORDS:], OF_THE_EAR)


def says_else(written: Sequence[Written]) -> bool:
    """Whether what was written freely of the sound in which a word that stops us was found surely is something else."""
    if not written or written[0].likely < SURELY_WRITTEN:
        return False
    said = plain_words(written[0].text).split()
    return len(said) > 1 and not _like_stop(said)


def is_otherwise(written: Sequence[Written], *, inside: bool) -> bool:
    """Whether free writing has something else than the word that the ear for stop found. `inside`: in a sentence."""
    return ends_otherwise(written) if inside else says_else(written)


def _like_stop(said: Sequence[str], stopping: Sequence[str] = STOPPING) -> bool:
    return any(alike(word, stop) >= LIKE_STOP for word in said for stop in stopping)
