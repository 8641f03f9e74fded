"""Recorded speech for the phone layers to learn from: announcements that nobody wrote down for us.

The network itself writes down what is said in them, in quiet, where it hardly errs; then noise is put over them. What
it got wrong is learnt wrong, and is little: of sixty that were read through, three in a hundred words.
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.network import Network, SpeechPassage
from assistant.bench.talk import announcements
from assistant.hearing.digits import DIGITS
from assistant.hearing.free import TOKENS_A_SECOND, write_freely
from assistant.hearing.sound import cleaned
from assistant.ports import SAMPLE_RATE_HZ
from assistant.procedure.sound import sounds_of

LONGEST_S = 8.0
_WORDS = {digit: word for word, digit in list(DIGITS.items())[::-1]}


def recorded_phrases(network: Network) -> list[tuple[NDArray[np.int16], str]]:
    """Sound and words of every second announcement: the other half is for the benches. Empty where none is installed.

    Long ones are left out, and those with a word whose sound is unknown.
    """
    found = []
    for pcm in announcements()[::2]:
        seconds = len(pcm) / SAMPLE_RATE_HZ
        if seconds > LONGEST_S:
            continue
        passage = SpeechPassage(network, cleaned(pcm))
        text = write_freely(passage, network.vocabulary, most=6 + int(seconds * TOKENS_A_SECOND), width=1)[0].text
        words = spoken_words(text)
        if words and all(map(sounds_of, words)):
            found.append((pcm, " ".join(words)))
    return found


def spoken_words(text: str) -> list[str]:
    """Lower case, without marks; single digits as words, longer numbers as they stand."""
    return [_WORDS.get(word, word) for word in re.findall(r"[a-z0-9']+", text.lower())]
