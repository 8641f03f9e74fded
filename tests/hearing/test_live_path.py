"""Short words in the noise of a shop, through the live way of hearing: canceller, gate, end of speech, network."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.echo import ECHO_DB, our_words, own_voice
from assistant.bench.stream import Stream, in_noise, strung
from assistant.bench.voices import Speaker, speak
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ, Listening
from assistant.wiring import load_library
from assistant.wiring.voices import VOICES as VOICES_OF_OURS

WORDS = ("done", "ready", "yes", "no", "stop")
ALL_COMMANDS = Listening(grammar=grammar_of(Expected(controls=frozenset(Control))))
VOICES = (Speaker("espeak", "en-us"), Speaker("espeak", "en-029", 170))
"""The second was never learnt from."""

COLLEAGUES = (
    "the blue van has to be out of here by four this afternoon",
    "she called again about the brakes and wants to know the price",
    "put the wheels back on and then take it round the block",
)
SOFT_DBFS = -46.0
"""A microphone at arm's length, or one whose gain is low."""


@pytest.fixture(scope="module")
def recogniser() -> Iterator[EmbeddedRecogniser]:
    """The network of the wheel."""
    engine = make_embedded(threads=1)
    yield engine
    engine.close()


def heard_in_noise(
    recogniser: EmbeddedRecogniser, voice: Speaker, snr_db: float, kind: str, *, talk: bool = False
) -> list[list[Heard]]:
    """For each of the five words, said one after the other in that noise, what was heard around it."""
    colleagues = [speak(VOICES[0], text) for text in COLLEAGUES] if talk else []
    sounds = [speak(voice, word) for word in WORDS]
    pcm, spans = strung(sounds, snr_db, kind, np.random.default_rng(6), colleagues, level_db=SOFT_DBFS)
    heard = list(Stream(recogniser).all_heard(pcm, ALL_COMMANDS))
    ends_s = [ends / SAMPLE_RATE_HZ for _, ends in spans]
    return [[each for each in heard if end_s - 0.3 < each.ended_s < end_s + 1.0] for end_s in ends_s]


@pytest.mark.parametrize("voice", VOICES, ids=lambda voice: voice.voice)
def test_short_words_pass_in_noise_though_the_microphone_is_soft(
    recogniser: EmbeddedRecogniser, voice: Speaker
) -> None:
    """Done, ready, yes, no, stop over bustle 9 dB below, at -46 dBFS: at least four of five are heard as said."""
    heard = heard_in_noise(recogniser, voice, 9.0, "bustle")
    right = [word in {each.words for each in around} for word, around in zip(WORDS, heard, strict=True)]
    assert sum(right) >= 4, heard


def test_words_end_though_colleagues_go_on_talking(recogniser: EmbeddedRecogniser) -> None:
    """Over talk 15 dB below, four of five words are worked out within a second after their end."""
    heard = heard_in_noise(recogniser, VOICES[0], 15.0, "babble", talk=True)
    assert sum(bool(around) for around in heard) >= 4, heard


@pytest.mark.parametrize("kind", ["fan", "impact", "bustle"])
def test_noise_alone_is_nobodys_business(recogniser: EmbeddedRecogniser, kind: str) -> None:
    """In 40 s of each noise nothing is acted on, and nothing asked about."""
    nothing = [np.zeros(16, np.int16)] * 20
    pcm, _ = strung(nothing, 0.0, kind, np.random.default_rng(7), [], level_db=-35.0)
    assert len(pcm) > 38 * SAMPLE_RATE_HZ
    assert list(Stream(recogniser).all_heard(pcm, ALL_COMMANDS)) == []


@pytest.mark.parametrize("voice", VOICES_OF_OURS)
def test_what_is_left_of_our_own_voice_does_not_pass_the_gate(recogniser: EmbeddedRecogniser, voice: str) -> None:
    """40 s of our own sentences in made-up rooms set off nothing, by either of our voices."""
    random = np.random.default_rng(4)
    words = our_words(list(load_library("no-start")[1].values()), random, voice)
    own = [next(words)]
    while sum(len(each.pcm) for each in own) < 40 * SAMPLE_RATE_HZ:
        own.append(next(words))
    found = own_voice(recogniser, own, echo_db=ECHO_DB, known=True, seed=4)
    assert found["acted"] + found["asked"] == 0, found


def test_a_word_is_heard_out_of_talk_that_had_begun_before_it() -> None:
    """Colleagues begin to talk, 12 dB softer, and are taken for speech to us; what stands out of it is the answer. By a
    recogniser of its own: what the canceller learnt of another room moves its frames."""
    colleagues = [speak(VOICES[0], text) for text in COLLEAGUES]
    random = np.random.default_rng(3)
    recogniser = make_embedded(threads=1)
    stream, right = Stream(recogniser), 0
    for words in ("yes", "no") * 3:
        still = in_noise(np.zeros(16, np.int16), 0.0, "fan", random, [], level_db=-60.0)
        list(stream.all_heard(still.pcm, ALL_COMMANDS))
        heard = stream.heard(in_noise(speak(VOICES[0], words), 12.0, "babble", random, colleagues), ALL_COMMANDS)
        right += heard.words is not None and words in heard.words.split() and not heard.unsure
    recogniser.close()
    assert right >= 3, right  # the plain voice says each a little otherwise each time
