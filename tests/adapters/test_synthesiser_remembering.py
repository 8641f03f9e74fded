"""What was made of late is handed out again, within a bound on memory."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.synthesiser_remembering import RememberingSynthesiser
from assistant.errors import SetupError


class Counting:
    """A second of the text's length for each text; fails when it is told to."""

    def __init__(self) -> None:
        self.made: list[tuple[str, int, int]] = []
        self.closed = 0
        self.fails = False

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """Count it."""
        if self.fails:
            raise SetupError("no voice")
        self.made.append((text, words_per_minute, rate_hz))
        return np.full(rate_hz, len(text), np.int16)

    def close(self) -> None:
        """Count it."""
        self.closed += 1


def render(voice: RememberingSynthesiser, text: str, rate: int = 165, rate_hz: int = 1_000) -> NDArray[np.int16]:
    """The text's samples, a thousand of them."""
    return voice.render(text, words_per_minute=rate, rate_hz=rate_hz)


def test_the_same_words_are_made_once_for_each_pace_and_rate() -> None:
    """Another pace or another rate of samples is another sound."""
    maker = Counting()
    voice = RememberingSynthesiser(maker)
    assert render(voice, "one") is render(voice, "one")
    assert render(voice, "one", 120)[0] == render(voice, "one", rate_hz=2_000)[0] == 3
    assert maker.made == [("one", 165, 1_000), ("one", 120, 1_000), ("one", 165, 2_000)]


def test_what_was_used_longest_ago_goes_first_and_memory_is_bounded() -> None:
    """Room for three: the fourth takes the place of the second, for the first was used again."""
    maker = Counting()
    voice = RememberingSynthesiser(maker, most_bytes=3 * 2_000)
    for text in ("a", "bb", "ccc", "a", "dddd", "a", "bb"):
        render(voice, text)
    assert [text for text, _, _ in maker.made] == ["a", "bb", "ccc", "dddd", "bb"]
    assert voice.kept_bytes <= 3 * 2_000
    assert render(voice, "long", rate_hz=9_000).size == 9_000 and voice.kept_bytes <= 3 * 2_000


def test_what_fails_is_told_and_not_remembered() -> None:
    """It is tried anew the next time; closing forgets and closes the other one."""
    maker = Counting()
    voice = RememberingSynthesiser(maker)
    maker.fails = True
    with pytest.raises(SetupError):
        render(voice, "one")
    maker.fails = False
    render(voice, "one")
    voice.close()
    assert maker.closed == 1 and voice.kept_bytes == 0
