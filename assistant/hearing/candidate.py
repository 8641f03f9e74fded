"""A sentence that a search found, and what it counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True, kw_only=True)
class BeamSettings:
    """`width`: hypotheses kept; `first_widths`: at the first tokens, which tell little. `prior_share`: how much of the
    habit is taken off, 0 to 1. `length_power`: the score is divided by tokens to this power. `slack`: how far below the
    best, in nats, a hypothesis may be and stay; `slack_to_whole`: how far below the best whole sentence, by sound
    alone. Source: measured with `hoodside bench hear` on the tuning voices; of 116 phrases of theirs at 15 and 6 dB
    none is heard otherwise with 20 below the whole sentence than with 32."""

    width: int = 14
    first_widths: tuple[int, ...] = (40, 32, 20)
    prior_share: float = 0.7
    length_power: float = 0.0
    slack: float = 16.0
    slack_to_whole: float = 20.0
    max_tokens: int = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A whole sentence of the grammar. `speech`, `habit`: its log-probability over the sound and over noise alone."""

    tokens: tuple[int, ...]
    text: str
    speech: float
    habit: float
    score: float


Candidates = Sequence[Candidate]


def heard_as(candidate: Candidate, speech: float, settings: BeamSettings) -> Candidate:
    """The same sentence with another log-probability over the sound."""
    score = score_of(speech, candidate.habit, len(candidate.tokens), settings)
    return replace(candidate, speech=speech, score=score)


def score_of(speech: float, habit: float, tokens: int, settings: BeamSettings) -> float:
    """What the text of a sentence counts."""
    return float((speech - settings.prior_share * habit) / (tokens + 1) ** settings.length_power)
