"""A result that was heard in the grammar, held against what the network writes of the same sound without it. Pure.

A grammar turns whatever is said into one of its sentences, and the nearest one in sound may be of another meaning. What
is written freely is spelt wrongly but bound to nothing: where it speaks for the same result that may be taken at once,
where it speaks for another it is asked about.
"""

from __future__ import annotations

from math import exp, log

from assistant.language.guess import agreement
from assistant.language.model import Expected, Heard

WEIGHTS = (-0.06, 0.48, 2.64, 1.13)
"""Of 1, of the log-odds of what the recogniser trusts, of how far what was written freely agrees, and of how far the
heard sentence itself agrees: the stranger it is among all that is known to be said for its result, the less.
Source: a logistic fit as `hoodside bench second` makes it, on 1,143 results heard 15 and 9 dB over four noises, of 448
answers of training writers by the tuning voices and 270 of the held-out writer by the held-out voices. On the former
alone it is -0.19, 0.54, 2.70, 1.43. No command gives just these: the bench speaks for the tuning voices alone."""

TAKEN, ASKED = 0.93, 0.5
"""Probability from which on a result is taken at once, to be read back, and from which on it is offered. Source: of
these answers 60 % are taken at once so, 0.3 % of the former and 1.6 % of the latter wrongly."""

NEVER_SURE, ALL_SURE = 0.005, 0.999
"""What is trusted less, or more, than this counts as if it were trusted so much."""


def trust_in(heard: Heard, result: str, written: str, expected: Expected) -> float:
    """Probability that the result is what was said. `written`: the plain words that were written freely."""
    traits = traits_of(heard, result, written, expected)
    return 1.0 / (1.0 + exp(-sum(weight * trait for weight, trait in zip(WEIGHTS, traits, strict=True))))


def traits_of(heard: Heard, result: str, written: str, expected: Expected) -> tuple[float, float, float, float]:
    """What WEIGHTS weigh."""
    sure = min(max(heard.confidence, NEVER_SURE), ALL_SURE)
    itself = agreement(heard.words or "", result, expected)
    return 1.0, log(sure / (1.0 - sure)), agreement(written, result, expected), itself
