"""Which result was said, by all that was heard: the sentences of the grammar and what was written without it. Pure.

A grammar turns whatever is said into one of its sentences, and the nearest one in sound may be of another meaning. What
is written freely is spelt wrongly but bound to nothing. So for each result asked all that speaks for it is weighed, and
that none of them was said is one possibility more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import exp, log

from assistant.language.guess import shares_of, tells_nothing
from assistant.language.model import Expected, Heard, Written
from assistant.language.opposites import alike
from assistant.language.plain import plain_words

WEIGHTS = (
    -1.212, 0.187, 0.75, 0.043, -0.114, 1.694, -0.033, 7.928, -0.239, 2.399, -1.996, -3.509,
    -0.303, 2.586, -3.184, 0.258, -0.38, 0.088, -1.196, 1.547, -0.115, 0.687, 0.228, -0.752,
)  # fmt: skip
"""Of the traits, in the order of `traits_of`, in log-odds. Source: the fit that `hoodside bench second --count 900`
makes, on 2,272 things heard by the network that ships: two in three of 1,726 answers of training writers that free
writing has not learnt from, the rest talk, all by the tuning voices over made-up talk and noise, 15 and 9 dB, heard
before the grammars knew words of regions; and 546 lines of actors, in quiet and at 15 dB, none of them an answer."""

TAKEN, ASKED = 0.9, 0.6
"""Probability from which on a result is taken at once, to be read back, and from which on it is offered."""

TAKEN_READ_BACK = 0.75
"""The first of these where every answer waits for its yes. Source: of 873 answers of the fifth writer, in view, spoken
at 15 and 9 dB, and of 1,483 things heard in the actors' lines that may be learnt from, at some step each: from 0.75 on
80 % of the answers, 0.8 % wrongly, and 7 % of the talk, from 0.6 on 86, 1.4 and 12 %; by the weights before, which had
learnt from no people, 78, 1.0 and 12 % from 0.8 on, 86, 1.7 and 22 % from 0.65 on."""

WHERE_READ_BACK = log(3.0)
"""Log-odds that each result has more where every answer waits for its yes: where we have just asked something less is
talk than in the fit, and talk that is taken there is asked about just as if it had been offered. Source: judgement, and
the figures above, which have it."""

NEVER_SURE, ALL_SURE = 0.005, 0.999
"""What is trusted less, or more, than this counts as if it were trusted so much."""

LEAST_SHARE, LEAST_ODDS = 0.02, 0.01
"""A share, or odds, below which how small it is tells nothing more."""

USUALLY_LIKELY = -0.5
"""Mean log-probability of the tokens of a text of which nothing else is known. Source: judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """The likeliest result, and the probability that it was said. `taken`: whether it is sure enough to be read back
    without being offered first."""

    result: str
    sure: float
    taken: bool


def opinion_of(heard: Heard, expected: Expected, result_of: Callable[[str], str | None]) -> Opinion | None:
    """The likeliest result; None where there are not two to choose from. `result_of`: what plain words mean among
    them."""
    results = tuple(expected.results)
    if len(results) < 2:
        return None
    likelier = WHERE_READ_BACK if expected.read_back else 0.0
    odds = odds_of(traits_of(heard, expected, result_of), WEIGHTS, likelier)
    best = max(range(len(results)), key=odds.__getitem__)
    least = TAKEN_READ_BACK if expected.read_back else TAKEN
    return Opinion(result=results[best], sure=odds[best], taken=odds[best] >= least)


def asked_at(heard: Heard) -> float:
    """Probability from which on a result is offered: amid other talk it was probably not for us."""
    return TAKEN if heard.amid else ASKED


def odds_of(traits: Sequence[Sequence[float]], weights: Sequence[float], likelier: float = 0.0) -> list[float]:
    """Probability of each result, by the traits of each; the rest is that of none. `likelier`: log-odds that each of
    them has more against none."""
    scores = [likelier + sum(weight * trait for weight, trait in zip(weights, each, strict=True)) for each in traits]
    top = max(*scores, 0.0)
    shares = [exp(score - top) for score in scores]
    return [share / (sum(shares) + exp(-top)) for share in shares]


def traits_of(heard: Heard, expected: Expected, result_of: Callable[[str], str | None]) -> list[tuple[float, ...]]:
    """What WEIGHTS weigh, for each result."""
    results = tuple(expected.results)
    written = heard.written or _alone(heard)
    wrote, like = _written_for(written, expected)
    sentences = heard.sentences or (((heard.words, 1.0),) if heard.words else ())
    by_grammar: dict[str | None, float] = {}
    nearest: dict[str | None, str] = {}
    for words, odds in sentences:
        meant = result_of(words)
        by_grammar[meant] = by_grammar.get(meant, 0.0) + odds
        nearest.setdefault(meant, words)
    best = heard.words or (sentences[0][0] if sentences else "")
    grammar = result_of(best) if best else None
    itself, itself_like = shares_of(heard.words or "", expected)
    sure = min(max(heard.confidence, NEVER_SURE), ALL_SURE)
    text = written[0].text if written else ""
    likely = written[0].likely if written else USUALLY_LIKELY
    few, long = 1 + len(results), log(1 + len(text.split()))
    found: list[tuple[float, ...]] = []
    for result in results:
        is_it = float(result == grammar)
        accepted = is_it * (heard.words is not None)
        trust = is_it * log(sure / (1.0 - sure))
        ahead = log((wrote.get(result, 0.0) + LEAST_SHARE) * few)
        own = log((itself.get(result, 0.0) + LEAST_SHARE) * few) * itself_like if heard.words else 0.0
        free, same = like * ahead, alike(nearest.get(result, ""), text)
        untold = float(tells_nothing(result, expected))
        found.append(
            (
                1.0, trust, accepted, log(by_grammar.get(result, 0.0) + LEAST_ODDS), free, ahead, own, like, same,
                likely, log(few), same * like, trust * same, same * same, likely * same, likely * free, free * same,
                trust * accepted, untold, untold * like, untold * same, untold * ahead, long, untold * long,
            )
        )  # fmt: skip
    return found


def _alone(heard: Heard) -> tuple[Written, ...]:
    """The one text of an engine that gives no more."""
    text = heard.free_text or ""
    return (Written(text=text, odds=1.0, likely=USUALLY_LIKELY),) if text else ()


def _written_for(written: Sequence[Written], expected: Expected) -> tuple[dict[str, float], float]:
    """How likely each result is by the texts, each as likely as it is itself, and how like an answer they are."""
    shares: dict[str, float] = {}
    likeness = 0.0
    for one in written:
        found, like = shares_of(one.text, expected)
        likeness += one.odds * like
        for result, share in found.items():
            shares[result] = shares.get(result, 0.0) + one.odds * share
    return shares, likeness


def plainly_written(heard: Heard) -> Heard:
    """The same with what was written freely in plain words."""
    plain = tuple(replace(one, text=plain_words(one.text)) for one in heard.written)
    return replace(heard, written=plain, free_text=plain_words(heard.free_text or ""))
