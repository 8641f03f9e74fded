"""One behaviour suite for every synthesiser: the natural one, pyttsx3's, and the one that falls back."""

from __future__ import annotations

import threading
from collections.abc import Callable

import numpy as np
import pytest

from assistant.adapters.synthesiser_fallback import FallbackSynthesiser
from assistant.adapters.synthesiser_hibari import HibariSynthesiser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.ports import Synthesiser

SENTENCE = "Keep hands and sleeves out of the belt area."


def _fallback() -> Synthesiser:
    return FallbackSynthesiser(HibariSynthesiser(), Pyttsx3Synthesiser())


MAKERS: tuple[Callable[[], Synthesiser], ...] = (HibariSynthesiser, Pyttsx3Synthesiser, _fallback)
each_synthesiser = pytest.mark.parametrize("make", MAKERS)


def spoken(synthesiser: Synthesiser, text: str, *, words_per_minute: int = 165, rate_hz: int = 16_000) -> np.ndarray:
    """The text's samples."""
    return synthesiser.render(text, words_per_minute=words_per_minute, rate_hz=rate_hz)


def loudness_db(pcm: np.ndarray) -> float:
    """Root mean square of the frames that speak, in decibels of full scale: those within 30 dB of the loudest."""
    frames = pcm[: len(pcm) // 160 * 160].reshape(-1, 160).astype(float) / 32_768
    power = (frames**2).mean(axis=1)
    return float(10 * np.log10(power[power > power.max() / 1_000].mean()))


@each_synthesiser
def test_speech_has_words_and_no_silence_around_them(make: Callable[[], Synthesiser]) -> None:
    """A sentence of nine words lasts about three seconds; sound begins within its first 50 ms and ends in its last."""
    pcm = spoken(make(), SENTENCE)
    assert pcm.dtype == np.int16 and pcm.ndim == 1
    assert 1.5 < pcm.size / 16_000 < 5.0
    for end in (pcm[:800], pcm[-800:]):
        assert np.abs(end.astype(int)).max() > 33


@each_synthesiser
@pytest.mark.parametrize("rate_hz", [16_000, 44_100, 48_000])
def test_output_rate_changes_the_samples_not_the_length(make: Callable[[], Synthesiser], rate_hz: int) -> None:
    """The same words last the same time at every output rate, within 20 ms."""
    synthesiser = make()
    asked, usual = spoken(synthesiser, SENTENCE, rate_hz=rate_hz), spoken(synthesiser, SENTENCE, rate_hz=22_050)
    assert asked.size / rate_hz == pytest.approx(usual.size / 22_050, abs=0.02)


@each_synthesiser
def test_slower_lasts_longer_and_faster_shorter(make: Callable[[], Synthesiser]) -> None:
    """From 80 to 300 words a minute each step is shorter, also a slow one after a fast one."""
    lengths = {rate: spoken(make(), SENTENCE, words_per_minute=rate).size for rate in (300, 80, 205, 125, 165)}
    ordered = [lengths[rate] for rate in sorted(lengths)]
    assert ordered == sorted(ordered, reverse=True) and ordered[0] > 2 * ordered[-1]


@each_synthesiser
def test_the_same_words_sound_the_same_each_time(make: Callable[[], Synthesiser]) -> None:
    """Whether they are remembered or made anew."""
    synthesiser = make()
    first = spoken(synthesiser, SENTENCE).copy()
    synthesiser.close()
    again = spoken(synthesiser, SENTENCE)
    assert again.size == pytest.approx(first.size, abs=400)


@each_synthesiser
@pytest.mark.parametrize("text", ["", " ", " ... ", "?!", "\N{SHRUG}", "\n\t"])
def test_text_without_words_gives_no_samples(make: Callable[[], Synthesiser], text: str) -> None:
    """Nothing, dots and pictures are not spoken."""
    assert spoken(make(), text).size == 0


@each_synthesiser
def test_a_picture_among_words_is_passed_over(make: Callable[[], Synthesiser]) -> None:
    """The words are spoken."""
    assert spoken(make(), "Fuel \N{FUEL PUMP} pump \N{GRINNING FACE} dead").size > 0.8 * 16_000


@each_synthesiser
def test_two_thousand_characters_are_spoken_to_their_end(make: Callable[[], Synthesiser]) -> None:
    """In one go, even where nobody cut them into sentences; the longer text lasts longer."""
    synthesiser = make()
    half, whole = (spoken(synthesiser, "the pump hums and " * count).size for count in (55, 111))
    assert whole > 1.8 * half > 60 * 16_000


@each_synthesiser
def test_many_threads_may_ask_at_once(make: Callable[[], Synthesiser]) -> None:
    """Six threads each get their own whole sentence."""
    synthesiser = make()
    got: dict[int, int] = {}

    def ask(number: int) -> None:
        got[number] = spoken(synthesiser, f"reading {number}").size

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(got) == list(range(6)) and min(got.values()) > 6_000


@each_synthesiser
def test_loud_vowels_do_not_clip(make: Callable[[], Synthesiser]) -> None:
    """No sample at either end of the scale, in words with the loudest vowels."""
    pcm = spoken(make(), "Stop! Stop cranking now! All hands off! Danger! Far away!").astype(int)
    assert np.abs(pcm).max() < 32_767


def test_the_two_voices_are_alike_in_loudness_and_pace() -> None:
    """Whoever changes the voice need not touch the volume: 1.5 dB and an eighth of the time at most."""
    sentences = (
        SENTENCE, "Release the key.", "I heard twelve point four volts.", "Say spark present, weak spark or no spark.",
        "Read the steady vacuum in inches of mercury.", "Warning.", "Fuel vapour can burn.", "The place is safe.",
        "Logged: pump hums.", "Crank for five seconds, from the first tone to the second.",
    )  # fmt: skip
    natural, plain = (
        np.concatenate([spoken(synthesiser, each) for each in sentences])
        for synthesiser in (HibariSynthesiser(), Pyttsx3Synthesiser())
    )
    assert loudness_db(natural) == pytest.approx(loudness_db(plain), abs=1.5)
    assert natural.size == pytest.approx(plain.size, rel=0.12)
