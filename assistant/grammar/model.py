"""What may be said: rule expansions and named rules. The language itself is never enumerated.

The shapes are those of the JSpeech Grammar Format (W3C Note, June 2000): alternatives, sequences, optional groups,
Kleene star and plus, rule references, tags and weights.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Word:
    """One token, lower case, no blanks inside (a quoted token of several words becomes a Sequence of Words)."""

    text: str


@dataclass(frozen=True, slots=True)
class Sequence:
    """All parts, in order. An empty sequence is silence (`<NULL>`)."""

    parts: tuple[Expansion, ...]


@dataclass(frozen=True, slots=True)
class Alternatives:
    """One of the choices. No choices at all can never be said (`<VOID>`). `weights`: how likely each is beside the
    others, not all nought; empty where nothing is known of that."""

    choices: tuple[Expansion, ...]
    weights: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Repeat:
    """`part` from `least` to `most` times; most None is without end. Optional is Repeat(part, 0, 1)."""

    part: Expansion
    least: int
    most: int | None


@dataclass(frozen=True, slots=True)
class Reference:
    """The rule of that name."""

    rule: str


@dataclass(frozen=True, slots=True)
class Tagged:
    """A part that means `tag` (JSGF tag text, or the id of a result in a procedure's phrases)."""

    part: Expansion
    tag: str


Expansion = Word | Sequence | Alternatives | Repeat | Reference | Tagged


def phrase(text: str) -> Sequence:
    """The words of a phrase in order."""
    return Sequence(tuple(Word(word) for word in text.split()))


def references(part: Expansion) -> frozenset[str]:
    """The names of the rules that stand in it."""
    match part:
        case Word():
            return frozenset()
        case Reference(rule):
            return frozenset((rule,))
        case Sequence(parts) | Alternatives(parts, _):
            return frozenset().union(*map(references, parts))
        case Repeat(inner) | Tagged(inner):
            return references(inner)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grammar:
    """Named rules and the names of those where a spoken sentence may begin."""

    rules: Mapping[str, Expansion]
    starts: tuple[str, ...]
    name: str = ""


def untagged(grammar: Grammar) -> Grammar:
    """The same language without its tags: what may be said, and nothing about what it means."""
    return replace(grammar, rules={name: _plain(rule) for name, rule in grammar.rules.items()})


def _plain(expansion: Expansion) -> Expansion:
    match expansion:
        case Tagged(part, _):
            return _plain(part)
        case Sequence(parts):
            return Sequence(tuple(map(_plain, parts)))
        case Alternatives(choices, weights):
            return Alternatives(tuple(map(_plain, choices)), weights)
        case Repeat(part, least, most):
            return Repeat(_plain(part), least, most)
        case _:
            return expansion
