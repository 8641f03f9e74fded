"""How far to trust what the search found: a probability, and whether to act, to ask or to refuse."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.hearing.beam import Candidate

CLOSE = 1.0
"""A lead below this is too close to act on, whatever else speaks for the sentence: no and note, hold on and go on.
Source: seen among the wrong answers of the tuning voices at 15 dB."""

NO_RIVAL = 6.0
"""Lead given to a candidate without a rival, in units of the score."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """`score`: of the best sentence. `lead`: its score less that of the next other sentence. `gap`: nats a token by
    which the network would rather write freely. `doubt`: nats a token that even its free text costs it."""

    score: float
    lead: float
    gap: float
    doubt: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """Probability from which on a sentence is acted on, and from which on it is at least asked about."""

    act: float
    ask: float


COMMANDS = Thresholds(act=0.45, ask=0.25)
RESULTS = Thresholds(act=0.55, ask=0.28)
HAZARDOUS = Thresholds(act=0.85, ask=0.40)
"""A wrong "louder" costs nothing, a wrong result a question, a wrong word in a step that can hurt someone more.
Source: chosen on the tuning voices with `hoodside bench hear`."""

WEIGHTS = (-0.49, 0.34, 0.34, -0.66, -0.20)
"""Of 1, score, lead, gap and doubt, in log-odds.
Source: logistic fit, 400 utterances at 30 to 6 dB: six tuning voices saying phrases inside and outside the grammar, and
recorded announcements (Debian's asterisk-core-sounds-en-g722, every second file)."""


def evidence_of(candidates: Sequence[Candidate], free_speech: float, free_tokens: int) -> Evidence:
    """The evidence for the first of the candidates, which are sentences that differ in words.

    `free_speech`: log-probability of what the network writes when nothing binds it, end mark included.
    """
    best = candidates[0]
    length = len(best.tokens) + 1
    return Evidence(
        score=best.score,
        lead=min(best.score - candidates[1].score, NO_RIVAL) if len(candidates) > 1 else NO_RIVAL,
        gap=max(0.0, free_speech - best.speech) / length,
        doubt=-free_speech / (free_tokens + 1),
    )


def probability(evidence: Evidence) -> float:
    """That the sentence is what was said."""
    constant, score, lead, gap, doubt = WEIGHTS
    odds = constant + score * evidence.score + lead * evidence.lead + gap * evidence.gap + doubt * evidence.doubt
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, odds))))
