"""The embedded recogniser where sound waits: less work for the same words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from assistant.adapters.recogniser_embedded import make_embedded
from assistant.adapters.recogniser_embedded import recogniser as module
from assistant.adapters.recogniser_embedded.recogniser import COMMAND, EmbeddedRecogniser
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


def test_a_word_that_is_surely_heard_counts_though_the_gate_is_not_sure(monkeypatch: pytest.MonkeyPatch) -> None:
    """A gate that is never sure of anybody: "skip" said plainly is heard all the same, and noise is still nothing."""
    monkeypatch.setattr(module, "COMMAND", replace(COMMAND, sure_frames=10_000))
    never_sure = make_embedded(threads=1)
    never_sure.expect(Listening(grammar=grammar_of(Expected(controls=frozenset({Control.YES, Control.SKIP})))))
    said = Pyttsx3Synthesiser().render("skip", words_per_minute=150, rate_hz=SAMPLE_RATE_HZ)
    quiet = np.random.default_rng(1).standard_normal(SAMPLE_RATE_HZ) * 20
    loud = np.random.default_rng(2).standard_normal(3 * SAMPLE_RATE_HZ) * 1_500
    pcm = np.concatenate([quiet, said, quiet, quiet, loud, quiet]).astype(np.int16)
    blocks = (AudioBlock(pcm=pcm[at : at + FRAME], start_s=at / SAMPLE_RATE_HZ) for at in range(0, len(pcm), FRAME))
    heard = [one.words for one in map(never_sure.accept, blocks) if one is not None]
    never_sure.close()
    assert heard == ["skip"]
