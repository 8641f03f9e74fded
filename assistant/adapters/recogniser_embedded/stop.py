"""The ear for stop at work: it listens to each frame, and what it proposes is judged at once by the phones."""

from __future__ import annotations

from itertools import product

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.network import Network, SpeechPassage
from assistant.hearing.phones import Reading, numbered
from assistant.hearing.sound import cleaned
from assistant.hearing.spotting import Spot, spotted
from assistant.hearing.stop_ear import FRAME, WORDS, StopEar, StopLayers
from assistant.hearing.stop_trust import Proposal, probability
from assistant.procedure.sound import sounds_of

Pcm = NDArray[np.int16]

PROPOSED_AT = 0.15
"""Probability of the ear from which on the phones are asked."""

AGAIN_FRAMES = 3
"""Frames between two looks at the same word: a tenth of a second."""

LOOKED_AT_FRAMES = 36
"""Sound that the phones judge: 1.15 s."""

LATEST_STEPS = 16
"""The word must have ended within so many steps of the network, 0.4 s."""

PAUSE_FRAMES = 30
"""So long after a word nothing is told, for the ear is sure of it for a while: a second."""


class StopListener:
    """Give it each frame; it tells each of the words of `hearing.stop_ear` as soon as it was said."""

    def __init__(self, layers: StopLayers, network: Network) -> None:
        self._ear = StopEar(layers)
        self._network = network
        self._readings = [readings_of(words) for words in WORDS]
        self.forget()

    def forget(self) -> None:
        """Begin anew, as in another shop."""
        self._ear.reset()
        self._lately: list[Pcm] = []
        self._since = 0

    def settle(self) -> None:
        """What was heard so far is known: tell nothing for a while."""
        self._since = -PAUSE_FRAMES

    def frame(self, frame: Pcm) -> Proposal | None:
        """The word that has just been said, if it was one. `frame`: int16, (512,), 16 000 Hz."""
        chance = self._ear.frame(frame)
        self._lately = [*self._lately[1 - LOOKED_AT_FRAMES :], frame]
        self._since += 1
        if chance < PROPOSED_AT or self._since < 0:
            return None
        self._since = -AGAIN_FRAMES
        return self.judged(np.concatenate(self._lately), chance)

    def judged(self, pcm: Pcm, chance: float) -> Proposal:
        """The likeliest of the words at the end of this sound, and how far to trust it. `chance`: the ear's."""
        phones = SpeechPassage(self._network, cleaned(pcm)).phones()
        with self._network.one_thread():
            spots = spotted(phones, self._readings, latest=LATEST_STEPS)
        step_s = len(pcm) / FRAME * 0.032 / phones.shape[1]
        proposals = [
            proposal(number, spot, chance, ago_s=(phones.shape[1] - 1 - spot.ends) * step_s, lasts_s=step_s)
            for number, spot in enumerate(spots)
        ]
        return max(proposals, key=lambda one: one.by_its_limit)


def proposal(number: int, spot: Spot, chance: float, *, ago_s: float, lasts_s: float) -> Proposal:
    """One of the words as found. `ago_s`: since it ended. `lasts_s`: of one step of the network."""
    return Proposal(
        words=WORDS[number],
        sure=probability(WORDS[number], chance, spot),
        ago_s=ago_s,
        lasted_s=(spot.ends - spot.begins + 1) * lasts_s,
    )


def readings_of(words: str) -> list[Reading]:
    """Every way to say the words, by number of the phones."""
    ways = product(*(sounds_of(word) for word in words.split()))
    return [tuple(phone for reading in way for phone in numbered(reading)) for way in ways]
