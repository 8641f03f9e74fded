"""A word automaton read letter by letter, as a network that writes text spells: case, blanks, hyphens and full stops
do not matter, and numbers may come as digits.

Each place in the text is a set of items (state of the word automaton after the piece, letters of the piece still to
come, how a number goes on). Sets are made on demand and remembered, so the language is never listed.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from assistant.grammar.automaton import Automaton
from assistant.hearing.digits import DIGITS, ORDINALS, POINTS, SCALES, SIGNS, TEENS, TENS
from assistant.hearing.variants import VARIANTS

IGNORED = frozenset(".,-'?!")
"""Marks that may stand without meaning. A full stop and a hyphen also serve as point and minus."""

Item = tuple[int, str, str]
"""Automaton state after the piece; letters still to come; how the number goes on: '', 'unit', 'two' or 'three'."""

Opening = tuple[tuple[str, ...], Item, float]
"""Words said with a letter, the item after it, and what it costs to read them so."""

Way = tuple[float, tuple[str, object] | None]
"""What a reading costs, and its words, last first."""


def letters_of(word: str) -> str:
    """The letters and digits of a word, lower case, accents taken off."""
    plain = unicodedata.normalize("NFKD", word.lower())
    return "".join(letter for letter in plain if letter.isalnum())


@dataclass(slots=True, eq=False)
class Place:
    """Where a text stands in the language. `ends`: the text is whole. `moves`: letter -> items after it.
    `fresh`: the items that begin a word here; only there may a blank stand, though it need not."""

    moves: dict[str, set[Item]]
    fresh: frozenset[Item]
    ends: bool
    known: dict[str, Place | None] = field(default_factory=dict)
    tokens: object = None  # room for the beam to remember which tokens may come here

    @property
    def goes_on(self) -> bool:
        """Whether anything longer is legal."""
        return bool(self.moves)


class Spelling:
    """The language of `automaton` as text."""

    def __init__(self, automaton: Automaton) -> None:
        self._automaton = automaton
        self._expanded: dict[tuple[int, str], tuple[frozenset[Item], bool]] = {}
        self._places: dict[tuple[frozenset[Item], frozenset[Item], bool], Place] = {}
        self._openings: dict[tuple[int, str], dict[str, list[Opening]]] = {}
        self.start = self._place([(automaton.start, "", "")])

    def written_words(self) -> frozenset[str]:
        """Every word as text may write it, lower case; single letters said in a row (p s i) also as one word."""
        found: set[str] = set()
        for word in self._automaton.vocabulary():
            found.add(letters_of(word))
            found.update(VARIANTS.get(word, ()))
            if "'" in word:
                found.add(word)
        for chain in self._automaton.letter_chains():
            found.add(chain)
        return frozenset(word for word in found if word.isalpha() or "'" in word)

    def after(self, place: Place, letter: str) -> Place | None:
        """The place after one more letter or mark, or None when nothing legal reads so."""
        if letter in place.known:
            return place.known[letter]
        items = place.moves.get(letter)
        if letter == " ":
            reached: Place | None = self._place(place.fresh, began=False) if place.fresh else None
        elif letter in IGNORED:
            reached = place if items is None else self._join(place, items)
        else:
            reached = None if items is None else self._place(items)
        place.known[letter] = reached
        return reached

    def words(self, text: str) -> tuple[str, ...] | None:
        """The words of the grammar that this text spells, or None. Digits are read as one number where that is legal,
        a full stop or hyphen as point or minus, and of several ways that with the fewest words is taken."""
        ways: dict[Item, Way] = {(self._automaton.start, "", ""): (0.0, None)}
        for letter in unicodedata.normalize("NFKD", text.lower()):
            moved: dict[Item, Way] = {}
            for item, (cost, link) in ways.items():
                if letter in IGNORED or letter == " ":
                    _keep(moved, item, (cost + (0.2 if letter in ".-" else 0.0), link))
                for said, after, added in self._steps(item, letter):
                    grown = link
                    for word in said:
                        grown = (word, grown)
                    _keep(moved, after, (cost + added, grown))
            ways = moved
        return self._best(ways)

    def _best(self, ways: dict[Item, Way]) -> tuple[str, ...] | None:
        ended = []
        for (state, rest, mode), way in ways.items():
            if not rest and not mode:
                silent = self._silent_end(state)
                if silent is not None:
                    ended.append((way[0], _unlinked(way[1]) + silent))
        return min(ended)[1] if ended else None

    def _silent_end(self, state: int) -> tuple[str, ...] | None:
        """Words without letters (a lone mark) that lead from here to an end; nearly always none."""
        if self._automaton.may_end(state):
            return ()
        for word, target in self._automaton.next_words(state):
            if not letters_of(word):
                tail = self._silent_end(target)
                if tail is not None:
                    return (word, *tail)
        return None

    def _steps(self, item: Item, letter: str) -> Sequence[Opening]:
        """Where this letter leads from the item."""
        state, rest, mode = item
        if rest:
            return (((), (state, rest[1:], mode), 0.0),) if rest[0] == letter else ()
        openings = self._openings.get((state, mode))
        if openings is None:
            openings = self._openings[state, mode] = {}
            for said, (after, piece, then) in _pieces(self._automaton, state, mode):
                opening = said, (after, piece[1:], then), _cost(said, piece)
                openings.setdefault(piece[0], []).append(opening)
        return openings.get(letter, ())

    def _place(self, items: Iterable[Item], *, began: bool = True) -> Place:
        """`began`: items with letters to come stand inside a word; else they begin one."""
        pieces: set[Item] = set()
        fresh: set[Item] = set()
        ends = False
        for item in items:
            if item[1]:
                pieces.add(item)
                continue
            more, end = self._expand(item[0], item[2])
            fresh |= more
            ends = ends or end
        if not began:
            pieces, fresh = set(), pieces
        key = (frozenset(pieces), frozenset(fresh), ends)
        place = self._places.get(key)
        if place is None:
            moves: dict[str, set[Item]] = {}
            for state, rest, mode in pieces | fresh:
                moves.setdefault(rest[0], set()).add((state, rest[1:], mode))
            place = self._places[key] = Place(moves, key[1], ends)
        return place

    def _join(self, place: Place, items: set[Item]) -> Place:
        """Both readings of a full stop or hyphen: without meaning, and as point or minus."""
        after = self._place(items)
        moves = {
            letter: after.moves.get(letter, set()) | place.moves.get(letter, set())
            for letter in after.moves.keys() | place.moves.keys()
        }
        return Place(moves, after.fresh | place.fresh, place.ends or after.ends)

    def _expand(self, state: int, mode: str) -> tuple[frozenset[Item], bool]:
        known = self._expanded.get((state, mode))
        if known is None:
            pieces = frozenset(item for _, item in _pieces(self._automaton, state, mode))
            ends = mode == "" and self._silent_end(state) is not None
            known = self._expanded[state, mode] = (pieces, ends)
        return known


def _pieces(automaton: Automaton, state: int, mode: str) -> Iterator[tuple[tuple[str, ...], Item]]:
    if mode == "":
        yield from _plain(automaton, state)
    elif mode == "unit":
        yield from _units(automaton, state)
    elif mode == "two":
        yield (), (state, "00", "")
        yield from _below_hundred(automaton, state, "", may_and=True)
    else:
        yield (), (state, "000", "")
        yield from _below_hundred(automaton, state, "0", may_and=True)
        for word, target in automaton.next_words(state):
            if word in DIGITS and DIGITS[word] != "0":
                for scale, beyond in automaton.next_words(target):
                    if SCALES.get(scale) == "two":
                        yield (word, scale), (beyond, DIGITS[word], "two")


def _plain(automaton: Automaton, state: int) -> Iterator[tuple[tuple[str, ...], Item]]:
    for word, target in automaton.next_words(state):
        letters = letters_of(word)
        if letters:
            yield (word,), (target, letters, "")
        else:
            for said, item in _plain(automaton, target):
                yield (word, *said), item
        for variant in VARIANTS.get(word, ()):
            yield (word,), (target, variant, "")
        for table in (DIGITS, TEENS, POINTS, SIGNS, ORDINALS):
            if word in table:
                yield (word,), (target, table[word], "")
        if word in TENS:
            yield (word,), (target, TENS[word] + "0", "")
            yield (word,), (target, TENS[word], "unit")
        head = "1" if word == "a" else DIGITS.get(word) or TEENS.get(word) or (word in TENS and TENS[word] + "0")
        if head and head != "0":
            for scale, beyond in automaton.next_words(target):
                if scale in SCALES:
                    yield (word, scale), (beyond, head, SCALES[scale])
        if word in SCALES:
            yield (word,), (target, "1", SCALES[word])


def _units(automaton: Automaton, state: int) -> Iterator[tuple[tuple[str, ...], Item]]:
    for word, target in automaton.next_words(state):
        digit = DIGITS.get(word, "0")
        if digit != "0":
            yield (word,), (target, digit, "")
            for scale, beyond in automaton.next_words(target):
                if scale in SCALES:
                    yield (word, scale), (beyond, digit, SCALES[scale])
        elif word in ORDINALS and len(ORDINALS[word]) == 3:
            yield (word,), (target, ORDINALS[word], "")


def _below_hundred(
    automaton: Automaton, state: int, zeros: str, *, may_and: bool
) -> Iterator[tuple[tuple[str, ...], Item]]:
    for word, target in automaton.next_words(state):
        if word in DIGITS and DIGITS[word] != "0":
            yield (word,), (target, f"{zeros}0{DIGITS[word]}", "")
        elif word in TEENS:
            yield (word,), (target, zeros + TEENS[word], "")
        elif word in TENS:
            yield (word,), (target, f"{zeros}{TENS[word]}0", "")
            yield (word,), (target, zeros + TENS[word], "unit")
        elif word == "and" and may_and:
            for said, item in _below_hundred(automaton, target, zeros, may_and=False):
                yield (word, *said), item


def _cost(said: tuple[str, ...], rest: str) -> float:
    """Digits said one by one are the least likely reading of a number in digits; a point or minus is no extra word."""
    if not said or rest[0] in ".-":
        return 0.0
    if not rest[0].isdigit():
        return float(len(said))
    return 2.0 if said[0] in DIGITS and len(said) == len(rest) == 1 else 0.5 * len(said)


def _keep(ways: dict[Item, Way], item: Item, way: Way) -> None:
    if item not in ways or way[0] < ways[item][0]:
        ways[item] = way


def _unlinked(link: object) -> tuple[str, ...]:
    words: list[str] = []
    while isinstance(link, tuple):
        words.append(link[0])
        link = link[1]
    return tuple(reversed(words))
