"""The part of a grammar that fits the sounds, phone by phone; the language is never enumerated.

One pass forward over the sound keeps, for each word in each place of the grammar, the best way to have reached it
(Viterbi, over the alignments of connectionist temporal classification); one pass back adds the best way to the end.
Together they tell how good the best sentence through each word is, and words without a good one are left out.
Approximation: a word that ends at one moment has one beginning, whatever stood before it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.grammar.automaton import Automaton, Empty
from assistant.hearing.phones import Reading

Floats = NDArray[np.float32]
Ints = NDArray[np.int64]
Steps = NDArray[np.int32]

MOST_NODES = 60_000
"""A grammar with more phones than this is searched by text alone: the pass would take longer than the text does."""

HOPELESS, HOPELESS_A_STEP = 40.0, 0.5
"""Nats, and nats a step of the sound, by which a sentence may fall short of the best phones that the sound could be.
Source: of 1,900 phrases said in noise of 15 to 3 dB the furthest was three quarters as far."""

_NEVER = np.float32(-1e9)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneNet:
    """A grammar as chains of phones, a chain for each pronunciation of a word in each of its places.

    By node: `labels`; `again`: same phone as the node before. By chain: `last` and `first` node, `source` and `target`
    place, `words`. `begins`: chains by target, as `order[begins[s]:begins[s + 1]]`. Places are numbered from 0, where a
    sentence begins; `ends`: where it may end.
    """

    labels: Ints
    again: NDArray[np.bool_]
    first: Ints
    last: Ints
    source: Ints
    target: Ints
    words: tuple[str, ...]
    order: Ints
    begins: Ints
    ends: Ints

    def part(self, scores: Floats, *, within: float, most: int) -> tuple[Automaton, str] | None:
        """What of the grammar has a sentence `within` so many nats of the best: at most so many words in their places,
        the best; and the best sentence. None when the sound is no sentence of it at all. `scores`: of each phone at
        each step, (steps, 40)."""
        through, sentence = self.through(scores)
        best = through.max()
        # Talk that is not for us ends here, before the network writes a word of it.
        if best < scores.max(axis=1).sum() - HOPELESS - HOPELESS_A_STEP * len(scores):
            return None
        kept = np.argsort(-through, kind="stable")[:most]
        return self._of_chains(kept[through[kept] >= best - within]), sentence

    def through(self, scores: Floats) -> tuple[Floats, str]:
        """Score of the best sentence through each chain, (chains,), and the best sentence of all."""
        ended, since, places = _forward(self, scores)
        return _to_the_end(self, ended, since, places), _best_sentence(self, ended, since)

    def _of_chains(self, kept: Ints) -> Automaton:
        final = 1
        empty: Empty = {2 + int(place): [(final, None, 0.0)] for place in self.ends}
        arcs: dict[int, tuple[str, int]] = {}
        following = 2 + len(self.begins)
        told = {(int(self.source[chain]), self.words[chain], int(self.target[chain])) for chain in kept}
        for number, (source, word, target) in enumerate(sorted(told), following):
            arcs[number] = (word, 2 + target)
            empty.setdefault(2 + source, []).append((number, None, 0.0))
        return Automaton(2, final, empty, arcs)


def phone_net(automaton: Automaton, readings: Callable[[str], Sequence[Reading]]) -> PhoneNet | None:
    """None where the grammar is too large, says nothing, or a word's sound is unknown: then phones can tell nothing."""
    numbers = {automaton.start: 0}
    waiting = [automaton.start]
    chains: list[tuple[int, int, str, Reading]] = []
    nodes = 0
    while waiting:
        state = waiting.pop()
        for word, target in automaton.next_words(state):
            known = readings(word)
            if not known:
                return None
            if target not in numbers:
                numbers[target] = len(numbers)
                waiting.append(target)
            chains += [(numbers[state], numbers[target], word, reading) for reading in known]
            nodes += sum(map(len, known))
        if nodes > MOST_NODES:
            return None
    if not chains:
        return None
    lengths = np.array([len(reading) for *_, reading in chains])
    first = np.cumsum(lengths) - lengths
    labels = np.array([phone for *_, reading in chains for phone in reading])
    targets = np.array([each[1] for each in chains])
    order = np.argsort(targets, kind="stable")
    return PhoneNet(
        labels=labels,
        again=np.concatenate([[False], labels[1:] == labels[:-1]]),
        first=first,
        last=first + lengths - 1,
        source=np.array([each[0] for each in chains]),
        target=targets,
        words=tuple(each[2] for each in chains),
        order=order,
        begins=np.searchsorted(targets[order], np.arange(len(numbers) + 1)),
        ends=np.array([number for state, number in numbers.items() if automaton.may_end(state)], np.int64),
    )


def _forward(net: PhoneNet, logs: Floats) -> tuple[Floats, Steps, Floats]:
    """By step and chain: the score of having ended there, and the step before it began (0: before the sound).
    By step (from before the sound on) and place: the score of having reached it."""
    steps, nodes, chains = len(logs), len(net.labels), len(net.last)
    places = np.full((steps + 1, len(net.begins) - 1), _NEVER, np.float32)
    places[0, 0] = 0.0
    ended = np.empty((steps, chains), np.float32)
    since = np.empty((steps, chains), np.int32)
    on = np.full(nodes, _NEVER, np.float32)  # at the phone
    after = np.full(nodes, _NEVER, np.float32)  # in the pause after it
    on_since, after_since = np.zeros(nodes, np.int32), np.zeros(nodes, np.int32)
    moved, moved_since = np.empty(nodes, np.float32), np.empty(nodes, np.int32)
    barred = np.where(net.again[1:], _NEVER, np.float32(0.0))  # the same phone twice needs a pause between
    met = np.flatnonzero(np.diff(net.begins))
    starts = net.begins[met]
    # In place, and each array written once: the arrays of a large grammar do not fit the processor's cache.
    for step, moment in enumerate(logs):
        np.add(on[:-1], barred, out=moved[1:])
        moved_since[1:] = np.where(after[:-1] > moved[1:], after_since[:-1], on_since[:-1])
        np.maximum(moved[1:], after[:-1], out=moved[1:])
        moved[net.first] = places[step, net.source]
        moved_since[net.first] = step
        after_since = np.where(on > after, on_since, after_since)
        np.maximum(on, after, out=after)
        after += moment[0]
        on_since = np.where(on >= moved, on_since, moved_since)
        np.maximum(on, moved, out=on)
        on += moment[net.labels]
        at_end, in_pause = on[net.last], after[net.last]
        np.maximum(at_end, in_pause, out=ended[step])
        since[step] = np.where(at_end >= in_pause, on_since[net.last], after_since[net.last])
        places[step + 1, met] = np.maximum.reduceat(ended[step][net.order], starts)
        places[step + 1, 0] = places[step, 0] + moment[0]
    return ended, since, places


def _to_the_end(net: PhoneNet, ended: Floats, since: Steps, places: Floats) -> Floats:
    """Score of the best sentence through each chain, from what the pass forward has found."""
    steps = len(ended)
    onward = np.full(places.shape, _NEVER, np.float32)  # from a place at a step to the end
    onward[steps, net.ends] = 0.0
    best = np.full(len(net.last), _NEVER, np.float32)
    for step in range(steps - 1, -1, -1):
        whole = ended[step] + onward[step + 1, net.target]
        best = np.maximum(best, whole)
        hopeful = np.flatnonzero(whole > _NEVER / 2)
        begun, source = since[step, hopeful], net.source[hopeful]
        np.maximum.at(onward, (begun, source), whole[hopeful] - places[begun, source])
    return best


def _best_sentence(net: PhoneNet, ended: Floats, since: Steps) -> str:
    """The words of the best way, followed back from its end."""
    step = len(ended)
    wanted = np.isin(net.target, net.ends)
    said: list[str] = []
    while step > 0:
        chain = int(np.where(wanted, ended[step - 1], _NEVER).argmax())
        said.append(net.words[chain])
        step, source = int(since[step - 1, chain]), int(net.source[chain])
        if source == 0:
            break
        wanted = net.target == source
    return " ".join(reversed(said))
