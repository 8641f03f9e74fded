"""The embedded recogniser where sound waits: less work for the same words."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from assistant.adapters.recogniser_embedded import make_embedded
from assistant.adapters.recogniser_embedded.recogniser import EmbeddedRecogniser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening

FRAME = 512


@pytest.fixture(scope="module")
def recogniser() -> Iterator[EmbeddedRecogniser]:
    """With one small grammar."""
    made = make_embedded(threads=1)
    made.expect(Listening(grammar=grammar_of(Expected(controls=frozenset({Control.STOP, Control.DONE, Control.SKIP})))))
    yield made
    made.close()


@pytest.mark.parametrize(("waited_s", "before_the_end"), [(0.0, True), (5.0, False)])
def test_sound_that_waits_is_worked_out_once_at_its_end(
    recogniser: EmbeddedRecogniser, waited_s: float, before_the_end: bool
) -> None:
    """In time the words are acted on as soon as nothing longer can follow; behind, once the utterance is over."""
    said = Pyttsx3Synthesiser().render("stop now", words_per_minute=150, rate_hz=SAMPLE_RATE_HZ)
    quiet = np.zeros(SAMPLE_RATE_HZ, np.int16)
    pcm = np.concatenate([quiet, said, quiet])
    for at in range(0, len(pcm) - FRAME, FRAME):
        block = AudioBlock(pcm=pcm[at : at + FRAME], start_s=at / SAMPLE_RATE_HZ, waited_s=waited_s)
        heard = recogniser.accept(block)
        if heard is not None:
            break
    assert heard is not None and heard.words in ("stop", "stop now")  # stop has an ear of its own
    silence_s = (at + FRAME - len(quiet) - len(said)) / SAMPLE_RATE_HZ
    assert (silence_s < 0.45) == before_the_end
