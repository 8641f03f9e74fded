"""Words that stop us inside talk: let go where nothing is timed, obeyed at once where something is. Made-up voices."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.stream import Stream
from assistant.bench.voices import Speaker, speak
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected
from assistant.ports import SAMPLE_RATE_HZ, Listening

Pcm = NDArray[np.int16]

VOICE = Speaker("espeak", "en-029", 170)
ASKED = Listening(
    grammar=grammar_of(Expected(controls=frozenset(Control), results={"dark": ("the lamp is dark",)})),
    read_back=True,
    second_chance=True,
)
UNASKED = replace(ASKED, second_chance=False)


@pytest.fixture(scope="module")
def recogniser() -> Iterator[EmbeddedRecogniser]:
    """The network of the wheel."""
    engine = make_embedded(threads=1)
    yield engine
    engine.close()


def spoken(voice: Speaker, *parts: str | float) -> Pcm:
    """What is said with silences between, in seconds, in a quiet room."""
    sounds = [
        np.zeros(round(part * SAMPLE_RATE_HZ)) if isinstance(part, float) else speak(voice, part).astype(np.float64)
        for part in (2.0, *parts, 1.5)
    ]
    room = np.concatenate(sounds)
    return np.asarray(room + np.random.default_rng(2).standard_normal(len(room)) * 30, np.int16)


def stops(recogniser: EmbeddedRecogniser, sound: Pcm, listening: Listening) -> list[str]:
    """The words that are taken."""
    return [each.words for each in Stream(recogniser).all_heard(sound, listening) if each.words and not each.unsure]


def test_what_goes_on_is_no_stop_of_the_grammar(recogniser: EmbeddedRecogniser) -> None:
    """A phrase between two pauses of a sentence; while something is timed it stops us as soon as it is said."""
    talk = spoken(VOICE, "they told me to", 0.8, "take a break", 0.3, "by the sea this summer with all of the children")
    assert stops(recogniser, talk, ASKED) == []
    assert stops(recogniser, talk, replace(ASKED, timed=True)) == ["take a break"]


def test_a_sentence_that_ends_otherwise_is_no_stop_of_its_ear(recogniser: EmbeddedRecogniser) -> None:
    """ "Stuff" at the end of a sentence is a stop to the ear; free writing has what was said."""
    talk = spoken(VOICE, "go easy with that stuff")
    assert stops(recogniser, talk, UNASKED) == []
    assert stops(recogniser, talk, replace(UNASKED, timed=True)) == ["stop"]


@pytest.mark.parametrize("timed", [False, True])
def test_a_stop_at_the_end_of_what_is_said_to_us_counts(recogniser: EmbeddedRecogniser, *, timed: bool) -> None:
    """In one breath with what is the matter."""
    said = spoken(VOICE, "no that is not right hold on")
    assert stops(recogniser, said, replace(ASKED, timed=timed)) == ["pause"]
