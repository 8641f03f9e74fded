"""How far to trust that a word which stops us was said: what its own ear and the phones say together."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from assistant.hearing.spotting import Spot

WEIGHTS: Mapping[str, tuple[float, float, float]] = MappingProxyType(
    {
        "stop": (2.115, 0.415, 0.433),
        "pause": (1.942, 0.382, 0.824),
        "hold on": (3.402, 0.216, 0.614),
        "hold it": (0.883, 0.247, 0.291),
        "whoa": (-0.932, 0.363, 0.579),
    }
)
"""Of 1, the ear's log-odds and the fall of the phones, in log-odds. Source: logistic fits on 26 minutes of streams full
of words (276 of ours, "stop" also by people that neither ear had learnt from) and 12 minutes of made-up talk. How well
silence fits behind the word told nothing more."""

ACTS_AT: Mapping[str, float] = MappingProxyType(
    {"stop": 0.9, "pause": 0.65, "hold on": 0.65, "hold it": 0.65, "whoa": 0.35}
)
"""From where on a word is obeyed. Source: of the same sounds the first round figure at which talk alone told none."""

SHORTEST_S = 0.12
"""What lasted less is none of the words. Source: of 74 answers in own words that were taken wrongly at once five
were a "whoa" of 0.05 to 0.1 s at the end of other words, over talk; said as a word it takes twice that and more."""

MAYBE_AT = 0.8
"""Of what it needs, the share from which on a word that stands out of others' talk is worth a look at it alone. Source:
people's stops over talk, 9 dB: five of fifteen have 0.74 to 0.86, and are heard alone with 0.98 and more."""

LEAST = 1e-3
DEEPEST = -20.0
"""Nats beyond which a fall tells nothing more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A word that stops us. `sure`: probability that it was said; `ago_s`: since it ended; `lasted_s`: how long it
    took."""

    words: str
    sure: float
    ago_s: float
    lasted_s: float

    @property
    def acts(self) -> bool:
        """Whether it is sure enough to be obeyed."""
        return self.sure >= ACTS_AT[self.words] and self.lasted_s >= SHORTEST_S

    @property
    def maybe(self) -> bool:
        """Whether it is worth a look at the word alone."""
        return self.by_its_limit >= MAYBE_AT and self.lasted_s >= SHORTEST_S

    @property
    def by_its_limit(self) -> float:
        """How sure it is, as a share of what it needs."""
        return self.sure / ACTS_AT[self.words]


def probability(words: str, chance: float, spot: Spot) -> float:
    """That the word was said, one of WEIGHTS. `chance`: the ear's."""
    within = min(max(chance, LEAST), 1.0 - LEAST)
    traits = (1.0, math.log(within / (1.0 - within)), max(spot.fall, DEEPEST))
    odds = sum(weight * trait for weight, trait in zip(WEIGHTS[words], traits, strict=True))
    return 1.0 / (1.0 + math.exp(-odds))
