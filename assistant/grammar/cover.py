"""A few sentences that hold every pair of words which the grammar lets follow each other.

An engine that learns which word may follow which from sample sentences needs no more, and the language, which may be
without end, is never listed.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator

from assistant.grammar.automaton import Automaton

MAX_SENTENCES = 20_000
"""Beyond so many, rare pairs are left to the engine's own guess of unseen pairs; the words come first."""

_Words = tuple[str, ...]
_EDGE = ""
"""Stands before the first and after the last word of a sentence, which are pairs as well."""


def covering_sentences(automaton: Automaton, max_sentences: int = MAX_SENTENCES) -> tuple[_Words, ...]:
    """Sentences of the grammar in which every word, and every pair of neighbours, occurs; no pair is shown twice
    without need. Empty when nothing can be said."""
    covered: set[tuple[str, str]] = set()
    sentences: dict[_Words, None] = {}
    for pair, sentence in _samples(automaton):
        if pair not in covered and len(sentences) < max_sentences:
            covered.update(zip((_EDGE, *sentence), (*sentence, _EDGE), strict=True))
            sentences[sentence] = None
    return tuple(sentences)


def _samples(automaton: Automaton) -> Iterator[tuple[tuple[str, str], _Words]]:
    """(A pair, a sentence that holds it): first one for each word, then one for each further pair."""
    before = _shortest_before(automaton)
    after = _shortest_after(automaton, before)
    known: set[str] = set()
    arcs: dict[tuple[str, int], _Words] = {}
    for state, lead in before.items():
        for word, target in automaton.next_words(state):
            arcs.setdefault((word, target), lead)
            if word not in known or not lead:
                known.add(word)
                yield (lead[-1] if lead else _EDGE, word), (*lead, word, *after[target])
    for (word, target), lead in arcs.items():
        if automaton.may_end(target):
            yield (word, _EDGE), (*lead, word)
        for follower, then in automaton.next_words(target):
            yield (word, follower), (*lead, word, follower, *after[then])


def _shortest_before(automaton: Automaton) -> dict[int, _Words]:
    """Every state that can be reached, nearest first, with the fewest words that lead there."""
    before: dict[int, _Words] = {automaton.start: ()}
    pending = deque([automaton.start])
    while pending:
        state = pending.popleft()
        for word, target in automaton.next_words(state):
            if target not in before:
                before[target] = (*before[state], word)
                pending.append(target)
    return before


def _shortest_after(automaton: Automaton, reached: dict[int, _Words]) -> dict[int, _Words]:
    """The fewest words that lead from each state to an end."""
    sources: dict[int, list[tuple[int, str]]] = {}
    for state in reached:
        for word, target in automaton.next_words(state):
            sources.setdefault(target, []).append((state, word))
    after: dict[int, _Words] = {state: () for state in reached if automaton.may_end(state)}
    pending = deque(after)
    while pending:
        target = pending.popleft()
        for state, word in sources.get(target, ()):
            if state not in after:
                after[state] = (word, *after[target])
                pending.append(state)
    return after
