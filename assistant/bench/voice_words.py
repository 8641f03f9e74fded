"""Everything that we can say, as far as walking every procedure through the real guide brings it up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

import numpy as np

from assistant.english import live as texts
from assistant.english.lists import sentence
from assistant.guide import Library, State, Turn, advance
from assistant.guide.turn import Choose
from assistant.language.breaths import breaths
from assistant.language.codes import SYSTEMS, say_code
from assistant.language.model import Command, Control, GiveControl
from assistant.language.quantities import possible_range, shown_decimals, units_of
from assistant.language.speak import say_amount, say_seconds, say_speed
from assistant.language.speech import Sentence
from assistant.procedure.model import Quantity
from assistant.simulation.coverage import Coverage
from assistant.simulation.search import search
from assistant.wiring import load_library, shipped_procedures

LATER_S = 37.0
"""When a command comes that is tried beside the answer: in the middle of what is timed."""

OTHERS = (
    texts.ASKABLE, texts.TELLABLE, texts.SLOW, texts.DID_IT_TURN, texts.NOT_COUNTED, texts.DID_IT_TURN_FIRST,
)  # fmt: skip
"""What the session says of its own accord."""


def shipped_sentences() -> tuple[str, ...]:
    """Each sentence once, as it is spoken in one breath: cautions, gates, instructions, prompts, read-backs, findings,
    refusals, and what each command is answered with at each step. Half a minute of walking."""
    said: dict[str, None] = dict.fromkeys(OTHERS)
    for name in shipped_procedures():
        root, library = load_library(name)
        search(library, root, Coverage(library), _Listener(said))
    return tuple(dict.fromkeys(breath for text in said for breath in breaths(text)))


class _Listener:
    """The guide, with everything that it answers kept; at each new place every command is tried beside the answer."""

    def __init__(self, said: dict[str, None]) -> None:
        self._said = said
        self._seen: set[object] = set()

    def __call__(
        self, library: Library, state: State, command: Command, at_s: float, *, choose: Choose | None = None
    ) -> Turn:
        here = (state.at, state.mode)
        if here not in self._seen:
            self._seen.add(here)
            for control in Control:
                self._keep(advance(library, state, GiveControl(control=control), at_s + LATER_S))
        turn = advance(library, state, command, at_s, choose=choose)
        self._keep(turn)
        return turn

    def _keep(self, turn: Turn) -> None:
        self._said |= {one.text: None for one in turn.reply if isinstance(one, Sentence)}
        if turn.refused:
            self._said[turn.refused] = None


def covering(sentences: Sequence[str]) -> tuple[str, ...]:
    """So few of the sentences, in their order, that each word of all stands in one of them; short ones are left out
    rather than long ones."""
    kept: set[str] = set()
    words: set[str] = set()
    for each in sorted(sentences, key=len, reverse=True):
        new = set(each.lower().strip(".?!").split()) - words
        if new:
            kept.add(each)
            words |= new
    return tuple(each for each in sentences if each in kept)


def numbers(count: int, random: np.random.Generator) -> tuple[str, ...]:
    """As they are read back: so many readings in every unit, a quarter of lengths of time and of engine speeds."""
    amounts = _amounts(random)
    found = [f"I heard {next(amounts)}." for _ in range(count)]
    found += [sentence(say_seconds(float(random.uniform(0.5, 4_000)))) for _ in range(count // 4)]
    found += [sentence(say_speed(float(random.uniform(60, 900)))) for _ in range(count // 4)]
    return tuple(dict.fromkeys(found))


def codes(count: int, random: np.random.Generator) -> tuple[str, ...]:
    """So many fault codes, as they are read back."""
    found = []
    for _ in range(count):
        tail = "".join(random.choice(list("0123456789ABCDEF"), 3))
        code = f"{str(random.choice(SYSTEMS)).upper()}{random.integers(4)}{tail}"
        found.append(f"Noted: {say_code(code)}.")
    return tuple(dict.fromkeys(found))


def _amounts(random: np.random.Generator) -> Iterator[str]:
    every = [(quantity, unit) for quantity in Quantity for unit in units_of(quantity)]
    while True:
        quantity, unit = every[int(random.integers(len(every)))]
        low, high = possible_range(quantity, unit.symbol)
        value = float(random.uniform(low, high))
        exact = Decimal(f"{value:.{shown_decimals(quantity, unit.symbol, value)}f}")
        yield say_amount(exact, unit.symbol)
