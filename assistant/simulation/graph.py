"""The graph of situations: from which the end can be reached, and the longest way through it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

START, END = 0, 1
"""Numbers of the moment before the job and of its end."""


@dataclass(slots=True, kw_only=True)
class Graph:
    """Situations by number, and the moves between them: from, to, minutes of work, seconds of cranking.

    `aside`: moves from or to what is so of the car by a test told or an earlier job; no way of the procedure's own.
    """

    size: int = 2
    moves: list[tuple[int, int, float, float]] = field(default_factory=list)
    aside: list[tuple[int, int]] = field(default_factory=list)


def without_end(graph: Graph) -> frozenset[int]:
    """Situations that can be reached and from which no way leads to the end."""
    into = defaultdict(list)
    for source, target in (*(move[:2] for move in graph.moves), *graph.aside):
        into[target].append(source)
    ending = {END}
    due = [END]
    while due:
        for source in into[due.pop()]:
            if source not in ending:
                ending.add(source)
                due.append(source)
    return frozenset(range(graph.size)) - ending


@dataclass(frozen=True, slots=True, kw_only=True)
class Longest:
    """The longest way in minutes of work and, on its own, in seconds of cranking; `rounds`: loops, each walked once."""

    minutes: float
    crank_s: float
    rounds: int


def longest(graph: Graph) -> Longest:
    """The longest way from the start. A loop counts once: every move inside it is made one time."""
    sources, targets = ([move[side] for move in graph.moves] for side in (0, 1))
    matrix = coo_array((np.ones(len(sources), np.int8), (sources, targets)), shape=(graph.size, graph.size))
    count, loop_of = connected_components(matrix.tocsr(), directed=True, connection="strong")
    loops = [int(number) for number in loop_of]
    inside = [[0.0, 0.0] for _ in range(count)]
    ways: dict[int, list[tuple[int, float, float]]] = defaultdict(list)
    for source, target, minutes, crank_s in graph.moves:
        here, there = loops[source], loops[target]
        if here != there:
            ways[here].append((there, minutes, crank_s))
        elif source != target:
            inside[here][0] += minutes
            inside[here][1] += crank_s
    best = [[0.0, 0.0] for _ in range(count)]
    for here in _backwards(loops[START], ways):
        for axis in (0, 1):
            onward = (best[there][axis] + (minutes, crank_s)[axis] for there, minutes, crank_s in ways[here])
            best[here][axis] = inside[here][axis] + max(onward, default=0.0)
    sizes = np.bincount(loop_of, minlength=count)
    minutes, crank_s = best[loops[START]]
    return Longest(minutes=minutes, crank_s=crank_s, rounds=int((sizes > 1).sum()))


def _backwards(start: int, ways: dict[int, list[tuple[int, float, float]]]) -> list[int]:
    """Every loop in reach, each after all those that it leads to."""
    order: list[int] = []
    seen = {start}
    due: list[tuple[int, int]] = [(start, 0)]
    while due:
        here, place = due.pop()
        onward = ways[here]
        while place < len(onward) and onward[place][0] in seen:
            place += 1
        if place == len(onward):
            order.append(here)
            continue
        due.append((here, place + 1))
        seen.add(onward[place][0])
        due.append((onward[place][0], 0))
    return order
