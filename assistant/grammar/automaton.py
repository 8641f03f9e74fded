"""A grammar as a finite automaton over words. The language is never enumerated.

Built from the end backwards: each expansion is compiled against the state that follows it, so right recursion becomes
a loop by itself. Empty moves are closed over on demand and remembered. Where alternatives have weights, the moves into
them carry how likely each is; a sentence is as likely as the likeliest way through it.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from collections.abc import Sequence as Series
from math import inf, log

from assistant.errors import ProcedureError
from assistant.grammar.model import Alternatives, Expansion, Grammar, Reference, Repeat, Sequence, Tagged, Word
from assistant.grammar.recursion import misplaced_references

LEAST = 1e-6
"""Share of an alternative whose weight is nought: weights say how likely words are, not what is legal."""

Empty = dict[int, list[tuple[int, str | None, float]]]
"""By state: the states that a sentence may go on to without a word, the tag met, and how likely: nats, 0 or less."""

Ways = dict[str, list[tuple[int, tuple[str, ...]]]]
"""By word: the states after it, each with the tags met before it."""

MAX_STATES = 1_000_000
"""Rules used in many places are copied for each; past this a grammar is refused rather than fill the memory."""

MOST_WAYS = 400
"""Ways on that are looked at for longer sentences, at most."""


class Automaton:
    """States are whole numbers; `start` is where a sentence begins. Make one with `automaton_of`."""

    def __init__(self, start: int, final: int, empty: Empty, arcs: dict[int, tuple[str, int]]) -> None:
        self.start = start
        self._final = final
        self._empty = empty
        self._arcs = arcs
        self._useful = _reaching(final, empty, arcs)
        self._closed: dict[int, tuple[dict[tuple[str, int], float], float]] = {}
        self._ways: dict[int, tuple[Ways, tuple[str, ...] | None]] = {}

    def next_words(self, state: int) -> tuple[tuple[str, int], ...]:
        """Each (word, state after it) from which a sentence can still be ended."""
        return tuple(self._closure(state)[0])

    def may_end(self, state: int) -> bool:
        """Whether a sentence may end here."""
        return self._closure(state)[1] > -inf

    def likely_words(self, state: int) -> Mapping[tuple[str, int], float]:
        """The same as `next_words`, with how likely each is to come next: nats, 0 where no weights tell."""
        return self._closure(state)[0]

    def likely_end(self, state: int) -> float:
        """How likely a sentence that may end here does so: nats; minus infinity where it may not."""
        return self._closure(state)[1]

    def likelihood(self, words: Iterable[str]) -> float:
        """How likely this sentence is by the grammar's weights: nats, 0 where it has none; minus infinity where these
        words are no sentence."""
        reached = {self.start: 0.0}
        for word in words:
            onward: dict[int, float] = {}
            for state, so_far in reached.items():
                for (legal, target), more in self.likely_words(state).items():
                    if legal == word:
                        onward[target] = max(onward.get(target, -inf), so_far + more)
            reached = onward
        return max((so_far + self.likely_end(state) for state, so_far in reached.items()), default=-inf)

    @property
    def says_nothing(self) -> bool:
        """Whether not one sentence is legal."""
        return self.start not in self._useful

    def vocabulary(self) -> frozenset[str]:
        """Every word of some sentence."""
        return frozenset(word for state, (word, target) in self._arcs.items() if target in self._useful)

    def without(self, words: Container[str]) -> Automaton:
        """Its sentences without any of these words."""
        arcs = {state: arc for state, arc in self._arcs.items() if arc[0] not in words}
        return Automaton(self.start, self._final, self._empty, arcs)

    def with_any(self, words: Container[str]) -> Automaton:
        """Its sentences with one of these words at least: each state is there twice, before the first and after it."""
        on = 1 + max(self.start, self._final, *self._empty, *(max(state, to) for state, (_, to) in self._arcs.items()))
        empty = self._empty | {
            state + on: [(target + on, tag, likely) for target, tag, likely in ways]
            for state, ways in self._empty.items()
        }
        arcs = {state: (word, to + on if word in words else to) for state, (word, to) in self._arcs.items()}
        arcs |= {state + on: (word, to + on) for state, (word, to) in self._arcs.items()}
        return Automaton(self.start, self._final + on, empty, arcs)

    def letter_chains(self, longest: int = 4) -> frozenset[str]:
        """Runs of single-letter words that may be said in a row, joined: `psi`, `kpa`."""
        found: set[str] = set()
        pending = [(word, target) for word, target in self._arcs.values() if len(word) == 1 and target in self._useful]
        while pending:
            chain, state = pending.pop()
            for word, target in self.next_words(state):
                if len(word) == 1 and len(chain) < longest:
                    found.add(chain + word)
                    pending.append((chain + word, target))
        return frozenset(found)

    def accepts(self, words: Iterable[str]) -> bool:
        """Whether these words, in lower case, are a sentence of the grammar."""
        states = {self.start}
        for word in words:
            states = {target for state in states for legal, target in self.next_words(state) if legal == word}
            if not states:
                return False
        return any(self.may_end(state) for state in states)

    def tags(self, words: Series[str]) -> tuple[str, ...] | None:
        """The tags met on one way through these words, in order, outer before inner; None when it is no sentence."""
        seen: set[tuple[int, int]] = set()
        # Depth first: each (state, place) is entered once, so time stays linear.
        pending: list[tuple[int, int, tuple[str, ...]]] = [(self.start, 0, ())]
        while pending:
            state, place, met = pending.pop()
            if (state, place) in seen or state not in self._useful:
                continue
            seen.add((state, place))
            ways, at_end = self._ways_on(state)
            if place < len(words):
                pending += [(target, place + 1, met + more) for target, more in reversed(ways.get(words[place], ()))]
            elif at_end is not None:
                return met + at_end
        return None

    def tags_beyond(self, words: Series[str]) -> Iterator[tuple[str, ...]]:
        """The tags of each way through a longer sentence that begins with these words; the same ones once for each
        place in the grammar at most, so that this ends however long sentences may be."""
        here: set[tuple[int, tuple[str, ...]]] = {(self.start, ())}
        for word in (*words, None):
            open_ways = self._moved_silently(here)
            if word is not None:
                here = {(self._arcs[at][1], met) for at, met in open_ways if self._arcs.get(at, ("", 0))[0] == word}
        seen: set[tuple[int, tuple[str, ...]]] = set()
        pending = [(self._arcs[at][1], met) for at, met in open_ways if at in self._arcs]
        while pending:
            new = self._moved_silently(pending) - seen
            seen |= new
            yield from (met for at, met in new if at == self._final)
            pending = [(self._arcs[at][1], met) for at, met in new if at in self._arcs]

    def longer(self, words: Series[str], most: int) -> list[str] | None:
        """Every longer sentence that begins with these words; None where there are more than `most`."""
        here = {self.start}
        for word in words:
            here = {target for state in here for legal, target in self.next_words(state) if legal == word}
        pending = [(state, tuple(words)) for state in here]
        found: list[str] = []
        met = 0
        while pending:
            ahead = [
                (target, (*said, word)) for state, said in pending for word, target in self.next_words(state)
            ]  # a breadth at a time, for sentences may be without end
            met += len(ahead)
            found += dict.fromkeys(" ".join(said) for state, said in ahead if self.may_end(state))
            if len(found) > most or met > MOST_WAYS:
                return None
            pending = ahead
        return found

    def _moved_silently(self, ways: Iterable[tuple[int, tuple[str, ...]]]) -> set[tuple[int, tuple[str, ...]]]:
        """Where these ways may be without a further word, with the tags met; themselves included."""
        seen: set[tuple[int, tuple[str, ...]]] = set()
        pending = [way for way in ways if way[0] in self._useful]
        while pending:
            at, met = pending.pop()
            if (at, met) in seen:
                continue
            seen.add((at, met))
            for target, tag, _ in self._empty.get(at, ()):
                if target in self._useful:
                    pending.append((target, met if tag is None else (*met, tag)))
        return seen

    def _ways_on(self, state: int) -> tuple[Ways, tuple[str, ...] | None]:
        """What may follow a state, in the author's order, and the tags met where a sentence may end there, else None;
        remembered, for where a sentence begins thousands of alternatives are tried."""
        known = self._ways.get(state)
        if known is not None:
            return known
        ways: Ways = {}
        at_end: tuple[str, ...] | None = None
        seen: set[int] = set()
        pending: list[tuple[int, tuple[str, ...], bool]] = [(state, (), False)]
        while pending:
            here, met, left = pending.pop()
            if left:  # all that needs no word is before it
                word, target = self._arcs[here]
                ways.setdefault(word, []).append((target, met))
            elif here not in seen and here in self._useful:
                seen.add(here)
                if here == self._final and at_end is None:
                    at_end = met
                if here in self._arcs:
                    pending.append((here, met, True))
                for target, tag, _ in reversed(self._empty.get(here, ())):
                    pending.append((target, met if tag is None else (*met, tag), False))
        self._ways[state] = ways, at_end
        return ways, at_end

    def _closure(self, state: int) -> tuple[dict[tuple[str, int], float], float]:
        known = self._closed.get(state)
        if known is not None:
            return known
        seen, pending = {state: 0.0}, [state]
        reached: dict[int, None] = {}  # a set that keeps the author's order
        while pending:
            here = pending.pop()
            reached.setdefault(here)
            for target, _, likely in self._empty.get(here, ()):
                if seen[here] + likely > seen.get(target, -inf):
                    seen[target] = seen[here] + likely
                    pending.append(target)
        words: dict[tuple[str, int], float] = {}
        for here in reached:
            arc = self._arcs.get(here)
            if arc is not None and arc[1] in self._useful:
                words[arc] = max(seen[here], words.get(arc, -inf))
        self._closed[state] = words, seen.get(self._final, -inf)
        return self._closed[state]


def automaton_of(grammar: Grammar) -> Automaton:
    """The automaton of what may be said.

    Raises: ProcedureError when a rule is missing, recurses other than at its end, or the whole grows past MAX_STATES.
    """
    for rule, reference in misplaced_references(grammar.rules):
        raise ProcedureError(
            f"rule <{rule}> comes back through <{reference}> other than at its end; recurse at the end"
        )
    return _Builder(grammar).automaton()


def one_sentence(words: str) -> Automaton:
    """The automaton of these words, and no others."""
    said = words.split()
    arcs = {place: (word, place + 1) for place, word in enumerate(said)}
    return Automaton(0, len(said), {}, arcs)


class _Builder:
    def __init__(self, grammar: Grammar) -> None:
        self._grammar = grammar
        self._empty: Empty = {}
        self._arcs: dict[int, tuple[str, int]] = {}
        self._count = 0
        self._entries: dict[tuple[str, int], int] = {}
        self._waiting: list[tuple[str, int, int]] = []  # rule, state after it, its entry

    def automaton(self) -> Automaton:
        final = self._state()
        start = self._state()
        self._empty[start] = [(self._entry(rule, final), None, 0.0) for rule in self._grammar.starts]
        while self._waiting:
            rule, after, entry = self._waiting.pop()
            self._empty.setdefault(entry, []).append((self._build(self._grammar.rules[rule], after), None, 0.0))
        return Automaton(start, final, self._empty, self._arcs)

    def _state(self) -> int:
        self._count += 1
        if self._count > MAX_STATES:
            raise ProcedureError(
                f"grammar '{self._grammar.name}' grows past {MAX_STATES:,} states: its rules use each other too often"
            )
        return self._count - 1

    def _entry(self, rule: str, after: int) -> int:
        """Where the rule begins when `after` follows it. Its body waits its turn, so no chain of rules is too long."""
        if rule not in self._grammar.rules:
            raise ProcedureError(f"grammar '{self._grammar.name}': rule <{rule}> is not defined")
        entry = self._entries.get((rule, after))
        if entry is None:
            entry = self._entries[rule, after] = self._state()
            self._waiting.append((rule, after, entry))
        return entry

    def _build(self, part: Expansion, after: int) -> int:
        match part:
            case Word(text):
                state = self._state()
                self._arcs[state] = (text, after)
                return state
            case Sequence(parts):
                for inner in reversed(parts):
                    after = self._build(inner, after)
                return after
            case Alternatives(choices, weights):
                state = self._state()
                whole = sum(weights)
                likely = [log(max(weight / whole, LEAST)) for weight in weights] or [0.0] * len(choices)
                self._empty[state] = [
                    (self._build(choice, after), None, each) for choice, each in zip(choices, likely, strict=True)
                ]
                return state
            case Reference(rule):
                return self._entry(rule, after)
            case Tagged(inner, tag):
                state = self._state()
                self._empty[state] = [(self._build(inner, after), tag, 0.0)]
                return state
            case Repeat(inner, least, most):
                return self._repeat(inner, least, most, after)

    def _repeat(self, part: Expansion, least: int, most: int | None, after: int) -> int:
        if most is None:
            loop = self._state()
            self._empty[loop] = [(self._build(part, loop), None, 0.0), (after, None, 0.0)]
            entry = loop
        else:
            entry = after
            for _ in range(most - least):
                state = self._state()
                self._empty[state] = [(self._build(part, entry), None, 0.0), (after, None, 0.0)]
                entry = state
        for _ in range(least):
            entry = self._build(part, entry)
        return entry


def _reaching(final: int, empty: Empty, arcs: dict[int, tuple[str, int]]) -> set[int]:
    """Every state from which the end can be reached."""
    sources: dict[int, list[int]] = {}
    for state, moves in empty.items():
        for target, *_ in moves:
            sources.setdefault(target, []).append(state)
    for state, (_, target) in arcs.items():
        sources.setdefault(target, []).append(state)
    found, pending = {final}, [final]
    while pending:
        for source in sources.get(pending.pop(), ()):
            if source not in found:
                found.add(source)
                pending.append(source)
    return found
