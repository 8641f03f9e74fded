"""How far to trust what the search found: a probability, and whether to act, to ask or to refuse."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

CLOSE = 0.5
"""A lead below this is too close to act on, whatever else speaks for the sentence: no and note, hold on and go on.
Source: seen among the wrong answers of the tuning voices at 15 dB."""

NO_RIVAL = 6.0
"""Lead given to a candidate without a rival, in units of the score."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rated:
    """One sentence. `score`: by text, nats; `joint`: with the phones; `miss`: nats a phone by which it falls short of
    the best phones of the sound, None where a word's sound is unknown; `tokens`: pieces of its text."""

    words: str
    score: float
    joint: float
    miss: float | None
    tokens: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """`score`: of the best sentence, by text. `lead`: its joint score less that of the next sentence. `miss`: as in
    `Rated`. `tokens`: pieces of its text."""

    score: float
    lead: float
    miss: float | None
    tokens: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """Probability from which on a sentence is acted on, and from which on it is at least asked about."""

    act: float
    ask: float


COMMANDS = Thresholds(act=0.45, ask=0.25)
RESULTS = Thresholds(act=0.6, ask=0.28)
HAZARDOUS = Thresholds(act=0.85, ask=0.40)
"""A wrong "louder" costs nothing, a wrong result a question, a wrong word in a step that can hurt someone more.
Source: chosen on the tuning voices with `hoodside bench hear`."""

WEIGHTS = (-1.8, 0.21, 0.42, -1.5, 2.2)
"""Of 1, score, lead, miss and the logarithm of the length in tokens, in log-odds. The fit gave the
phones -1.68; it is eased, because their layers learnt from the same voices."""

WEIGHTS_WITHOUT_PHONES = (-2.6, 0.72, 0.36, 0.0, 0.0)
"""The same where nothing is known of the phones.
Source of both: logistic fit on utterances of the tuning voices at 30 to 6 dB in five noises: phrases inside and outside
the grammar, words in no order, and recorded announcements (every second file of Debian's
asterisk-core-sounds-en-g722)."""


def evidence_of(rated: Sequence[Rated]) -> Evidence:
    """The evidence for the first of the sentences, which come best first."""
    best = rated[0]
    return Evidence(
        score=best.score,
        lead=min(best.joint - rated[1].joint, NO_RIVAL) if len(rated) > 1 else NO_RIVAL,
        miss=best.miss,
        tokens=best.tokens,
    )


def probability(evidence: Evidence) -> float:
    """That the sentence is what was said."""
    constant, score, lead, miss, length = WEIGHTS_WITHOUT_PHONES if evidence.miss is None else WEIGHTS
    odds = constant + score * evidence.score + lead * evidence.lead
    odds += miss * (evidence.miss or 0.0) + length * math.log(evidence.tokens + 1)
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, odds))))
