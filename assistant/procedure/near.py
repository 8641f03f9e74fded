"""How near two small grammars come to each other by ear: their nearest two sentences. Nothing is enumerated.

Both are walked side by side as automata of phones, by least cost first, with the costs of `procedure.sound`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import heappop, heappush

from assistant.grammar.automaton import Automaton
from assistant.procedure.sound import exchange_cost, left_out_cost, sounds_of

_Arc = tuple[str, int, str]
"""A phone, the state after it, and the word that begins with it, else nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """Two sentences and how far they are apart, in phones of difference."""

    one: str
    other: str
    apart: float


class Sounds:
    """A grammar as an automaton of phones: several pronunciations of a word are several ways. Words of unknown sound
    are not passed."""

    def __init__(self, automaton: Automaton) -> None:
        self.arcs: list[list[_Arc]] = [[]]
        self.ends: list[bool] = [False]
        places: dict[frozenset[int], int] = {}
        waiting = [(frozenset((automaton.start,)), 0)]
        places[waiting[0][0]] = 0
        while waiting:  # subsets of states, so that words which several ways begin with are one arc
            states, here = waiting.pop()
            self.ends[here] = any(automaton.may_end(state) for state in states)
            after: dict[str, set[int]] = {}
            for state in states:
                for word, target in automaton.next_words(state):
                    after.setdefault(word, set()).add(target)
            for word, targets in after.items():
                then = frozenset(targets)
                if then not in places:
                    places[then] = self._state()
                    waiting.append((then, places[then]))
                for phones in sounds_of(word):
                    self._chain(here, phones, places[then], word)

    def _state(self) -> int:
        self.arcs.append([])
        self.ends.append(False)
        return len(self.arcs) - 1

    def _chain(self, here: int, phones: tuple[str, ...], last: int, word: str) -> None:
        for number, phone in enumerate(phones):
            then = last if number == len(phones) - 1 else self._state()
            self.arcs[here].append((phone, then, word if number == 0 else ""))
            here = then


def nearest(one: Sounds, other: Sounds, *, most: float) -> Near | None:
    """The nearest two sentences of the two, None where all are further apart than `most`."""
    best: dict[tuple[int, int], float] = {(0, 0): 0.0}
    waiting: list[tuple[float, int, int, tuple[object, ...]]] = [(0.0, 0, 0, ())]
    while waiting:
        cost, left, right, way = heappop(waiting)
        if cost > best[left, right]:
            continue
        if one.ends[left] and other.ends[right]:
            return Near(one=_said(way, 0), other=_said(way, 1), apart=round(cost, 3))
        for extra, to_left, to_right, words in _moves(one, other, left, right):
            total = cost + extra
            if total <= most and total < best.get((to_left, to_right), most + 1e-9):
                best[to_left, to_right] = total
                heappush(waiting, (total, to_left, to_right, (words, way) if any(words) else way))
    return None


def _moves(one: Sounds, other: Sounds, left: int, right: int) -> Iterator[tuple[float, int, int, tuple[str, str]]]:
    for phone, then, word in one.arcs[left]:
        yield left_out_cost(phone), then, right, (word, "")
        for against, after, said in other.arcs[right]:
            yield exchange_cost(phone, against), then, after, (word, said)
    for against, after, said in other.arcs[right]:
        yield left_out_cost(against), left, after, ("", said)


def _said(way: tuple[object, ...], side: int) -> str:
    words: list[str] = []
    link: object = way
    while isinstance(link, tuple) and link:
        pair, link = link
        if isinstance(pair, tuple) and pair[side]:
            words.append(pair[side])
    return " ".join(reversed(words))
