"""Sentences drawn from a grammar by chance: to say some of them, or to learn what its sentences are like."""

from __future__ import annotations

from collections.abc import Mapping
from random import Random

from assistant.grammar.model import Alternatives, Expansion, Reference, Repeat, Sequence, Tagged, Word

MOST_REPEATED = 2
"""Turns of an endless repetition beyond its least."""


def sentence_of(part: Expansion, rules: Mapping[str, Expansion], dice: Random) -> tuple[str, ...]:
    """One sentence, each choice as likely as the next. Raises KeyError for a rule that is not there."""
    match part:
        case Word(text):
            return (text,)
        case Sequence(parts):
            return tuple(word for each in parts for word in sentence_of(each, rules, dice))
        case Alternatives(choices):
            return sentence_of(dice.choice(choices), rules, dice) if choices else ()
        case Reference(rule):
            return sentence_of(rules[rule], rules, dice)
        case Tagged(inner):
            return sentence_of(inner, rules, dice)
        case Repeat(inner, least, most):
            turns = dice.randint(least, least + MOST_REPEATED if most is None else most)
            return tuple(word for _ in range(turns) for word in sentence_of(inner, rules, dice))


def sentences_of(part: Expansion, rules: Mapping[str, Expansion], count: int, seed: int = 0) -> tuple[str, ...]:
    """At most `count` different sentences; fewer where there are no more. The same seed gives the same ones."""
    dice = Random(seed)
    found: dict[str, None] = {}
    for _ in range(4 * count):
        found[" ".join(sentence_of(part, rules, dice))] = None
        if len(found) == count:
            break
    return tuple(found)
