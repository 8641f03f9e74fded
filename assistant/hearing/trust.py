"""How far to trust what the search found: a probability, and whether to act, to ask or to refuse."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

CLOSE = 1.0
"""A joint lead below this is too close to act on, whatever else speaks for the sentence: no and note, no signal and a
signal. Source: at 15 dB it asks about the one wrong sentence in 170 and about none of the right ones."""

NO_RIVAL = 6.0
"""Lead given to a candidate without a rival, in nats of the text."""

AHEAD = 8.0
"""Being further ahead of every rival by phones than this, in nats, adds no more trust."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rated:
    """One sentence. `score`: by text, nats; `fall`: nats by which it falls short of the best phones of the sound, 0 or
    less, and `phones`: how many it has, both None where a word's sound is unknown; `joint`: by both together."""

    words: str
    score: float
    fall: float | None
    phones: int | None
    joint: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """`score`: of the best sentence, by text. `lead`: its joint score less that of the next sentence. By phones, where
    they are known: `fall` and `phones` as in `Rated`; `ahead`, its fall less that of the best rival; `outside`, of
    short sentences, its fall less that of the best word outside the grammar, and `beyond`, the same by text and phones
    together where it was looked at. `words`: how many there are; `number`: a number is said in it."""

    score: float
    lead: float
    fall: float | None = None
    ahead: float = 0.0
    phones: int = 1
    outside: float | None = None
    beyond: float | None = None
    words: int = 1
    number: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """Probability from which on a sentence is acted on, and from which on it is at least asked about."""

    act: float
    ask: float


COMMANDS = Thresholds(act=0.25, ask=0.12)
RESULTS = Thresholds(act=0.4, ask=0.12)
HAZARDOUS = Thresholds(act=0.55, ask=0.2)
"""A wrong "louder" costs nothing, a wrong result a question, a wrong word in a step that can hurt someone more.
Source: chosen on the tuning voices with `hoodside bench hear`; that of hazardous steps after a recorded stranger was
taken to say "skip" with 0.54."""

SUPPOSED = Thresholds(act=0.8, ask=0.2)
"""What is supposed or told of another test is one of hundreds of clauses that are alike. Source: of 70 said by the
tuning voices at 15 to 3 dB all but six that were right are trusted to 0.85 and more, one of another meaning less. So
are readings: of 32 in own words by held-out voices at 15 and 9 dB the three that were wrong at once had 0.48 to 0.74,
of the nine that were right two less than 0.8."""

MEASURED: Mapping[str, Thresholds] = MappingProxyType(
    {"harmless": COMMANDS, "answer": RESULTS, "supposed": SUPPOSED, "strict": HAZARDOUS}
)
"""By what is at stake (`assistant.language.commands.Stakes`), for trust that `probability` gives."""

UNMEASURED: Mapping[str, Thresholds] = MappingProxyType(
    {
        "harmless": Thresholds(act=0.8, ask=0.0),
        "answer": Thresholds(act=0.8, ask=0.0),
        "supposed": Thresholds(act=0.95, ask=0.5),
        "strict": Thresholds(act=0.95, ask=0.5),
    }
)
"""The same for an engine whose confidence is its own. Source: judgement."""


def limits_of(stakes: str, by: Mapping[str, Thresholds] = MEASURED) -> Thresholds:
    """The thresholds that hold; those of what is strict for what has none."""
    return by.get(stakes) or by["strict"]


WEIGHTS = (-1.2865, 0.3, 0.2973, -1.262, 0.2735, 0.3086)
"""Of 1, the score by the root of the number of phones, ahead, the fall short of a phone, the score again where it is
negative, and the lead, in log-odds. How many phones there are has no weight: strangers say many short words. The
weight of the score was set, not fitted: made-up voices would have it at half, recorded people lose by that."""

WEIGHTS_TWICE = (-0.7992, 0.3, 0.2742, -1.1829, 0.273, 0.2437)
"""The same where the sound was heard a second time, which is done of what was doubtful."""

WEIGHTS_OF_SHORT = (-1.555, 0.3, 0.0, -1.047, 0.755, 0.522)
WEIGHTS_OF_SHORT_TWICE = (-1.493, 0.3, 0.0, -1.295, 0.724, 0.663)
OUTSIDE = (0.34, 0.152)
OUTSIDE_TWICE = (0.316, 0.338)
"""Of short sentences, where words outside the grammar are looked at: the weights as above, and those of being ahead of
these words and of being so where it is negative. Source: logistic fits on 427 utterances: single words of people, legal
and not, that the phone layers never learnt, strings of digits as strangers, and phrases of the tuning voices inside
and outside the grammar; quiet to 6 dB over fan, impact tools and bustle. The weight of the score was set."""

BEYOND, ENOUGH_BEYOND, ENOUGH_OF_ONE = 1.5, 2.0, -1.0
"""Weight, in log-odds, of each nat by which a short sentence of several words, or of one, is less than this beyond what
is not legal, by text and phones together. Source: people's single words of the part for the trust, quiet to 6 dB over
four noises: of 100 looks that made a phrase of one ("go back", "time left") 95 have -0.7 or less, two of the others
were right; of 160 phrases by the tuning voices, 15 to 3 dB, the least has 8.5. One word of four phones or more is told
less well: "three" was "correct" with -3 to -4, people's "stop" has -0.3 and more but for one of 250."""

WEIGHTS_OF_NUMBERS = (-2.508, 0.749, 0.0, -0.652, 0.314, 0.153)
WEIGHTS_OF_NUMBERS_TWICE = (-2.412, 0.599, 0.0, -0.67, 0.423, 0.306)
"""The same of sentences with a number in them. Source: logistic fits on 143 strings of digits by 88 people whose first
language is not English; the constants are 0.6 lower than fitted, so that half as many strings are taken wrongly."""

DOUBTFUL = (COMMANDS.ask, 0.9)
"""Trust between which the sound is heard again. What would not even be asked about stays refused: from 0.03 on, our own
voice in the microphone was once taken for "stop" in half an hour. Above, a second time changes nothing."""

DOUBTFUL_LEAD = 2.0
"""A lead below which it is heard again, however sure."""

WEIGHTS_WITHOUT_PHONES = (-2.6, 0.72, 0.36)
"""Of 1, score and lead, where nothing is known of the phones.
Source: logistic fits on utterances of the tuning voices at 15 to 3 dB in four noises: phrases inside and outside
the grammar, readings, long made-up orders, and, counted twice, recorded announcements (every second file of Debian's
asterisk-core-sounds-en-g722)."""


def evidence_of(
    best: Rated, rivals: Sequence[Rated], *, outside: float | None = None, number: bool = False
) -> Evidence:
    """The evidence for the best sentence against those of another meaning, which come best first."""
    lead = min(best.joint - rivals[0].joint, NO_RIVAL) if rivals else NO_RIVAL
    if best.fall is None or not best.phones:
        return Evidence(score=best.score, lead=lead)
    ahead = min((best.fall - one.fall for one in rivals if one.fall is not None), default=AHEAD)
    ahead = max(-AHEAD, min(AHEAD, ahead))
    outside = None if outside is None else max(-AHEAD, min(AHEAD, outside))
    return Evidence(
        score=best.score, lead=lead, fall=best.fall, ahead=ahead, phones=best.phones, outside=outside,
        words=len(best.words.split()), number=number,
    )  # fmt: skip


def doubtful(evidence: Evidence, sure: float) -> bool:
    """Whether it is worth hearing the sound a second time."""
    low, high = DOUBTFUL
    return low <= sure and (sure < high or evidence.lead < DOUBTFUL_LEAD)


def probability(evidence: Evidence, *, twice: bool = False) -> float:
    """That the sentence is what was said. `twice`: the evidence is of two hearings."""
    if evidence.fall is None:
        constant, score, lead = WEIGHTS_WITHOUT_PHONES
        odds = constant + score * evidence.score + lead * evidence.lead
    else:
        constant, score, ahead, miss, unlikely, lead = _weights(evidence, twice=twice)
        per_root = evidence.score / math.sqrt(evidence.phones)
        odds = constant + score * per_root + unlikely * min(per_root, 0.0)
        odds += ahead * evidence.ahead + miss * -evidence.fall / evidence.phones + lead * evidence.lead
        if evidence.outside is not None and not evidence.number:
            outside, less = OUTSIDE_TWICE if twice else OUTSIDE
            odds += outside * evidence.outside + less * min(evidence.outside, 0.0)
        odds += _not_beyond(evidence)
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, odds))))


def _not_beyond(evidence: Evidence) -> float:
    if evidence.beyond is None:
        return 0.0
    return BEYOND * min(evidence.beyond - (ENOUGH_BEYOND if evidence.words > 1 else ENOUGH_OF_ONE), 0.0)


def _weights(evidence: Evidence, *, twice: bool) -> tuple[float, ...]:
    if evidence.number:
        return WEIGHTS_OF_NUMBERS_TWICE if twice else WEIGHTS_OF_NUMBERS
    if evidence.outside is not None:
        return WEIGHTS_OF_SHORT_TWICE if twice else WEIGHTS_OF_SHORT
    return WEIGHTS_TWICE if twice else WEIGHTS
