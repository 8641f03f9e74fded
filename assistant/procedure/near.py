"""How near two small grammars come to each other by ear: their nearest two sentences. Nothing is enumerated.

Both are made automata of phones, and are walked side by side by least cost first, with the costs of `procedure.sound`.
Which words the phones found belong to is looked up afterwards.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from heapq import heappop, heappush

from assistant.grammar.automaton import Automaton
from assistant.procedure.sound import EVERY_PHONE, exchange_cost, heard_as, left_out_cost, sounds_of

_Way = tuple[object, ...]
"""The pairs of phones walked, last first: (pair, the way before), nothing at the start."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """Two sentences and how far they are apart, in phones of difference."""

    one: str
    other: str
    apart: float


class Sounds:
    """A grammar as an automaton in which each phone leads to one state: several pronunciations of a word are several
    ways. Words of unknown sound are not passed. State 0 is the start."""

    def __init__(self, automaton: Automaton) -> None:
        self._automaton = automaton
        self.arcs: list[dict[str, int]]
        self.ends: list[bool]
        self.arcs, self.ends = _by_phone(automaton)

    def sentence(self, phones: tuple[str, ...]) -> str:
        """Words of the grammar that sound so, of those with fewest words; nothing where there are none."""
        waiting: list[tuple[int, int, tuple[str, ...]]] = [(self._automaton.start, 0, ())]
        seen = {waiting[0][:2]}
        for state, place, words in waiting:  # grows while it is walked
            if place == len(phones) and self._automaton.may_end(state):
                return " ".join(words)
            for word, then in self._automaton.next_words(state):
                for sound in _sounds(word):
                    here = (then, place + len(sound))
                    if phones[place : here[1]] == sound and here not in seen:
                        seen.add(here)
                        waiting.append((*here, (*words, word)))
        return ""


def nearest(one: Sounds, other: Sounds, *, most: float) -> Near | None:
    """The nearest two sentences of the two, None where all are further apart than `most`."""
    best: dict[tuple[int, int], float] = {(0, 0): 0.0}
    waiting: list[tuple[float, int, int, _Way]] = [(0.0, 0, 0, ())]
    while waiting:
        cost, left, right, way = heappop(waiting)
        if cost > best[left, right]:
            continue
        if one.ends[left] and other.ends[right]:
            first, second = _walked(way)
            return Near(one=one.sentence(first), other=other.sentence(second), apart=round(cost, 3))
        for extra, to_left, to_right, pair in _moves(one, other, left, right, most - cost):
            total = cost + extra
            if total < best.get((to_left, to_right), most + 1e-9):
                best[to_left, to_right] = total
                heappush(waiting, (total, to_left, to_right, (pair, way)))
    return None


def _moves(
    one: Sounds, other: Sounds, left: int, right: int, most: float
) -> Iterator[tuple[float, int, int, tuple[str, str]]]:
    """Each move that costs `most` or less: the same phone, an exchange, one left out."""
    here, there = one.arcs[left], other.arcs[right]
    for phone, then in here.items():
        if phone in there:
            yield 0.0, then, there[phone], (phone, phone)
        for extra, against in _like()[phone]:
            if extra > most:
                break
            if against in there:
                yield extra, then, there[against], (phone, against)
        if (extra := left_out_cost(phone)) <= most:
            yield extra, then, right, (phone, "")
    for against, after in there.items():
        if (extra := left_out_cost(against)) <= most:
            yield extra, left, after, ("", against)


@cache
def _like() -> Mapping[str, tuple[tuple[float, str], ...]]:
    """By phone: what each other one costs in its place, the nearest first."""
    return {
        phone: tuple(sorted((exchange_cost(phone, other), other) for other in EVERY_PHONE if other != phone))
        for phone in EVERY_PHONE
    }


@cache
def _sounds(word: str) -> tuple[tuple[str, ...], ...]:
    return tuple(dict.fromkeys(tuple(map(heard_as, phones)) for phones in sounds_of(word)))


def _by_phone(automaton: Automaton) -> tuple[list[dict[str, int]], list[bool]]:
    """The automaton of words as one of phones, in which each phone leads to one state."""
    arcs: list[dict[str, int]] = []
    ends: list[bool] = []
    places: dict[frozenset[object], int] = {frozenset((automaton.start,)): 0}
    waiting: list[frozenset[object]] = list(places)
    for states in waiting:  # grows while it is walked
        after: dict[str, set[object]] = {}
        for state in states:
            for phone, then in _onward(automaton, state):
                after.setdefault(phone, set()).add(then)
        ends.append(any(isinstance(state, int) and automaton.may_end(state) for state in states))
        here: dict[str, int] = {}
        for phone, targets in after.items():
            then = frozenset(targets)
            if then not in places:
                places[then] = len(places)
                waiting.append(then)
            here[phone] = places[then]
        arcs.append(here)
    return arcs, ends


def _onward(automaton: Automaton, state: object) -> Iterator[tuple[str, object]]:
    """The phones that may come next and the state after each: between words a number, within one what is left of it."""
    if isinstance(state, int):
        for word, then in automaton.next_words(state):
            for sound in _sounds(word):
                yield sound[0], (sound[1:], then) if len(sound) > 1 else then
    elif isinstance(state, tuple):
        left, then = state
        yield left[0], (left[1:], then) if len(left) > 1 else then


def _walked(way: _Way) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The phones of the two sides of a way."""
    pairs: list[tuple[str, str]] = []
    link: object = way
    while isinstance(link, tuple) and link:
        pair, link = link
        pairs.append(pair)
    pairs.reverse()
    return tuple(one for one, _ in pairs if one), tuple(other for _, other in pairs if other)
