"""Words that stop us inside talk: let go where nothing is timed, obeyed at once where something is. Made-up voices."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, find_network, make_embedded
from assistant.adapters.recogniser_embedded.at_stake import AtStake
from assistant.adapters.recogniser_embedded.kept import Kept
from assistant.adapters.recogniser_embedded.languages import Languages
from assistant.adapters.recogniser_embedded.network import Network
from assistant.adapters.recogniser_embedded.scribe import Scribe
from assistant.adapters.recogniser_embedded.stop import Stop
from assistant.adapters.recogniser_embedded.stop_doubt import is_doubted
from assistant.bench.stream import Stream, core_of
from assistant.bench.voices import Speaker, speak
from assistant.hearing.candidate import BeamSettings
from assistant.hearing.gate import FRAME
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


@pytest.mark.parametrize(("words", "doubted"), [("stop", False), ("yes", True), ("dark", True)])
def test_what_needs_another_look_is_heard_alone(words: str, *, doubted: bool) -> None:
    """Each of them is told by the ear as a stop that stands out; the grammar has what was said."""
    network = Network(find_network(), threads=1)
    scribe = Scribe(network, settings=BeamSettings(), trade=frozenset(), name="embedded")
    language = Languages(network).of(ASKED.grammar).made_ready()
    at_stake = AtStake.where(ASKED, language.tags)
    scribe.expect(ASKED, language, at_stake)
    said, kept = speak(VOICE, words), Kept()
    sound = np.concatenate([np.zeros(SAMPLE_RATE_HZ, np.int16), said, np.zeros(SAMPLE_RATE_HZ // 2, np.int16)])
    for frame in sound[: len(sound) // FRAME * FRAME].reshape(-1, FRAME):
        kept.add(frame, -20.0)
    begins, ends = core_of(said)
    stop = Stop(
        words="stop", sure=0.8, began_s=4.0 + begins / SAMPLE_RATE_HZ, ended_s=4.0 + ends / SAMPLE_RATE_HZ, inside=True,
        surely=False,
    )  # fmt: skip
    assert is_doubted(stop, 3.0, kept, scribe, at_stake, nearer=True, started=0.0) is doubted
    scribe.close()
