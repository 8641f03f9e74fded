"""What is offered of real speech is never the opposite of what was said."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.recogniser_embedded import make_embedded
from assistant.bench.noises import bustle, mixed
from assistant.bench.voices import Speaker, speak
from assistant.hearing import sentence
from assistant.language.commands import ALWAYS
from assistant.language.grammars import grammar_of
from assistant.language.model import Expected, Unclear
from assistant.language.opposites import opposed
from assistant.language.understand import understand
from assistant.ports import Listening

VOICES = (Speaker("espeak", "en-us"), Speaker("espeak", "en-gb-x-rp", 150), Speaker("espeak", "en-us+f3", 155))
PAIR = ("nothing loose", "something loose")


@pytest.mark.parametrize("both", [True, False])
def test_half_heard_speech_is_never_offered_as_its_opposite(both: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two opposites by three voices in noise, all of it half trusted; where only the opposite may be said, it is what
    was heard, and free writing alone tells."""
    monkeypatch.setattr(sentence, "probability", lambda evidence, twice=False: 0.3)
    random = np.random.default_rng(3)
    recogniser = make_embedded(threads=1)
    turned = 0
    for words, other in (PAIR, PAIR[::-1]):
        results = {other: (other,), "leak": ("found a leak",)} | ({words: (words,)} if both else {})
        now = Expected(controls=ALWAYS, results=results, read_back=True)
        recogniser.expect(Listening(grammar=grammar_of(now), read_back=True))
        for voice in VOICES:
            speech = speak(voice, words)
            pcm = mixed(speech, bustle(len(speech) + 8_000, random), 12.0, lead=4_000, tail=4_000)
            heard = recogniser.hear_take(pcm)
            turned += heard.words == other
            meant = understand(heard, now)
            assert isinstance(meant, Unclear)
            assert meant.offer is None or not opposed(meant.offer, words), (voice.name, heard)
    recogniser.close()
    assert both or turned >= 4
