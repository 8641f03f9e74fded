"""Talk that holds our words is not obeyed; the words alone are, and stop waits for nothing: on the real network."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.bits_of_talk import (
    AROUND_S,
    BLOCK,
    PAUSES_S,
    ROOM_SNR_DB,
    TALK,
    VOICES,
    Bit,
    bits,
    heard_live,
    in_a_shop,
    kind_of,
    moments,
    sound_of,
)
from assistant.bench.sets import Ask, Speech
from assistant.bench.voices import Speaker
from assistant.language.commands import ALWAYS
from assistant.language.model import Control, Expected
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening

AMERICAN, BRITISH, WOMAN = (
    Speaker("espeak", "en-us"),
    Speaker("espeak", "en-gb-x-rp", 150),
    Speaker("espeak", "en-us+f3", 155),
)
NOW = Ask(
    "made up",
    Expected(
        controls=ALWAYS | {Control.DONE, Control.READY},
        results={"present": ("spark present",), "none": ("no spark", "nothing there")},
    ),
)
"""A moment at which nothing is read back, so that an answer would be logged at once."""

SPEECH = Speech()


@pytest.fixture(scope="module")
def recogniser() -> Iterator[EmbeddedRecogniser]:
    """The network of the wheel."""
    engine = make_embedded(threads=1)
    yield engine
    engine.close()


def said(recogniser: EmbeddedRecogniser, bit: Bit, snr_db: float = ROOM_SNR_DB) -> tuple[str, str | None]:
    """What became of it over a fan."""
    pcm = in_a_shop(sound_of(bit, SPEECH), snr_db, "fan", np.random.default_rng(7))
    return kind_of(heard_live(recogniser, bit.ask, pcm), bit)


@pytest.mark.parametrize(
    ("speaker", "text", "pause_s", "snr_db"),
    [
        (AMERICAN, "yes | i called the customer back about the brakes", 0.0, ROOM_SNR_DB),
        (AMERICAN, "yes | i called the customer back about the brakes", 0.2, ROOM_SNR_DB),
        (BRITISH, "yes | i called the customer back about the brakes", 0.4, 15.0),
        (WOMAN, "yes | we ordered the pads on monday", 0.6, ROOM_SNR_DB),
        (BRITISH, "no | i have not seen the big socket", 0.3, 15.0),
        (AMERICAN, "done | with the brakes on the other car at last", 0.5, ROOM_SNR_DB),
        (WOMAN, "ready | for the weekend i tell you", 0.15, 15.0),
        (BRITISH, "nothing there | or so the last garage said", 0.4, ROOM_SNR_DB),
        (AMERICAN, "repeat | what he told you about the tyres", 0.5, ROOM_SNR_DB),
        (AMERICAN, "so the boss told her | yes", 0.4, ROOM_SNR_DB),
        (WOMAN, "go back | and get the other jack from the van", 0.3, ROOM_SNR_DB),
        (AMERICAN, "he said yes to the new tyres", 0.0, 15.0),
        (WOMAN, "the coffee must be | ready", 0.6, ROOM_SNR_DB),
        (WOMAN, "the coffee must be | ready", 0.75, 15.0),
        (AMERICAN, "tell me when the oil change is | done", 0.75, ROOM_SNR_DB),
        (AMERICAN, "i asked him twice and he said | yes", 0.75, 15.0),
    ],
)
def test_talk_that_holds_our_words_is_not_obeyed(
    recogniser: EmbeddedRecogniser, speaker: Speaker, text: str, pause_s: float, snr_db: float
) -> None:
    """Begun with, ended with or held in it, with a pause of up to 0.6 s, in quiet and in noise; after a longer one the
    talk before it had ended as an utterance of its own."""
    pieces = tuple(piece.strip() for piece in text.split("|"))
    bit = Bit(holds="yes", ask=NOW, pieces=pieces, pause_s=pause_s, speaker=speaker)
    assert said(recogniser, bit, snr_db)[0] in ("let pass", "asked")


@pytest.mark.parametrize("words", ["yes", "no", "done", "ready"])
def test_the_words_alone_are_obeyed(recogniser: EmbeddedRecogniser, words: str) -> None:
    """The way not to obey talk is not to be deaf."""
    bit = Bit(holds="yes", ask=NOW, pieces=(words,), pause_s=0.0, speaker=AMERICAN, alone=True)
    assert said(recogniser, bit)[0] == "right"


@pytest.mark.parametrize("words", ["spark present", "nothing there"])
def test_an_answer_alone_is_taken_or_offered(recogniser: EmbeddedRecogniser, words: str) -> None:
    """As in a session, where what is written freely of it ("park present") must bear it out to be taken at once."""
    bit = Bit(holds="answer", ask=NOW, pieces=(words,), pause_s=0.0, speaker=AMERICAN, alone=True)
    assert said(recogniser, bit) in (("right", words), ("asked", words))


def heard_after_s(recogniser: EmbeddedRecogniser, words: str, *, read_back: bool = False) -> float:
    """Seconds of the stream between the last sample of the words and the block in which they are heard."""
    recogniser.finish()
    recogniser.expect(Listening(grammar=NOW.grammar, read_back=read_back))
    pcm = in_a_shop(SPEECH(AMERICAN, words), ROOM_SNR_DB, "fan", np.random.default_rng(7))
    for at in range(0, len(pcm), BLOCK):
        if recogniser.accept(AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ)) is not None:
            return (at + BLOCK - len(pcm)) / SAMPLE_RATE_HZ + AROUND_S
    raise AssertionError(f"'{words}' was not heard")


def test_stop_waits_for_nothing_and_a_yes_for_the_end(recogniser: EmbeddedRecogniser) -> None:
    """In the time of the stream: stop at the first silence, what is read back soon, what logs once no more comes."""
    stop, say_again, yes = (heard_after_s(recogniser, words) for words in ("stop", "say again", "yes"))
    answer, read_back = (heard_after_s(recogniser, "spark present", read_back=each) for each in (False, True))
    assert stop < 0.22
    assert max(say_again, read_back) < 0.35
    assert 0.6 < yes < 0.85 and 0.6 < answer < 0.85


def test_every_bit_of_talk_is_drawn_with_every_kind_of_pause() -> None:
    """Two hundred bits: each template before any comes again, all pauses, answers put in, every voice."""
    random = np.random.default_rng(1)
    drawn = list(bits(moments([NOW], random), VOICES, 200, random))
    templates = sum(map(len, TALK.values()))
    assert len({bit.text.split("(")[0] for bit in drawn[:templates]}) > 0.7 * templates
    assert {bit.holds for bit in drawn} == set(TALK)
    assert {bit.pause_s for bit in drawn} == set(PAUSES_S)
    assert {bit.speaker for bit in drawn} == set(VOICES)
    assert not any("{}" in bit.text for bit in drawn)
