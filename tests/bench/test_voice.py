"""The bench of voices counts words as they were said, whatever way they are written."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from assistant.bench import voice
from assistant.bench.voice import Understood, joined, measure_voices, same_words
from assistant.bench.voice_words import codes, covering, numbers
from assistant.ports import Synthesiser


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("I heard twelve point four volts.", " I heard 12.4 volts."),
        ("About one hundred ninety r p m.", "About 190 RPM"),
        ("I heard three hundred ninety p s i.", "I heard 390psi."),
        ("Forty three minutes fifty seconds.", "Forty-three minutes fifty seconds."),
        ("Noted: p zero three three five.", "Noted, P0335."),
        ("Noted: c three seven six nine.", "Noted, C-3769."),
        ("I heard twenty three percent.", "I heard 23%."),
        ("I heard two kilohms.", "I heard 2 kilo ohms."),
        ("Fuel vapour can burn.", "Fuel vapor can burn"),
        ("two hundred fourteen degrees celsius", "214°Celsius"),
        ("one thousand two hundred millivolts", "1,200 millivolts"),
        ("sixteen million three hundred thousand ohms", "16,300,000 ohms"),
        ("one two three four five six seven eight nine zero one", "12345678901"),
    ],
)
def test_one_thing_said_is_the_same_however_it_is_written(said: str, written: str) -> None:
    """Figures, units, codes, hyphens and spellings."""
    assert joined(same_words(said), same_words(written)) == joined(same_words(written), same_words(said))


def test_other_words_are_other() -> None:
    """What sounds alike and is not the same counts."""
    assert same_words("no spark") != same_words("now spark")
    assert same_words("fourteen volts") != same_words("forty volts")


def test_words_that_were_parted_are_joined_and_no_others() -> None:
    """On either side."""
    assert joined("out come mended", "outcome mended") == "outcome mended"
    assert joined("out come", "out came") == "out come"


def test_errors_are_counted_in_words_said() -> None:
    """Two wrong of six, one sentence of two whole; the words that did not come are named."""
    found = Understood()
    found.add("no spark here", "no spark here")
    found.add("pump is silent", "pompous silent")
    assert found.figures(5) == {"word_error": round(2 / 6, 4), "whole": 0.5, "missed": {"pump": 1, "is": 1}}


def test_few_sentences_hold_every_word() -> None:
    """None is kept that brings no word of its own after the longer ones."""
    every = ("No spark.", "Say no spark or weak spark.", "Key off.", "Spark.")
    assert covering(every) == ("Say no spark or weak spark.", "Key off.")


def test_numbers_and_codes_are_as_many_as_asked_for_and_the_same_again() -> None:
    """From one seed."""
    first, again = (numbers(20, np.random.default_rng(3)) for _ in range(2))
    assert first == again and 24 <= len(first) <= 30
    assert len(codes(12, np.random.default_rng(3))) == 12
    assert not any(sign.isdigit() for text in (*first, *codes(12, np.random.default_rng(3))) for sign in text)


class Beeper:
    """Each character is 10 ms of a tone."""

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> np.ndarray:
        """So long."""
        return np.full(len(text) * rate_hz // 100, 9_000, np.int16)

    def close(self) -> None:
        """Nothing to free."""


def test_each_voice_is_measured_in_both_places(monkeypatch: pytest.MonkeyPatch) -> None:
    """A recogniser that only hears in quiet: all right there, all wrong in noise."""
    said: Sequence[str] = ("Key off.", "No spark.")
    voices: dict[str, Synthesiser] = {"natural": Beeper(), "plain": Beeper()}
    turn = iter(text for _ in voices for sentence in said for text in (sentence, "mumble"))
    monkeypatch.setattr(voice, "voices", lambda: voices)
    monkeypatch.setattr(voice, "writers", lambda: {"one": lambda _pcm: next(turn)})
    found = measure_voices({"sentences": said}, snr_db=5.0, seed=1, worst=0)
    for name in voices:
        assert found[name]["sentences, quiet, one"] == {"word_error": 0.0, "whole": 1.0}
        assert found[name]["sentences, 5 dB, one"] == {"word_error": 1.0, "whole": 0.0}
        assert found[name]["words_a_minute"] == round(60 * 4 / 0.17)
