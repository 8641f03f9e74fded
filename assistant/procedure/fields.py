"""The keys of one table, read with their types; every fault is noted and reading goes on.

A value that is missing or of the wrong type comes back as None (or empty), with its fault noted, so that one run tells
all faults of a file. `finish` notes the keys that nobody asked for.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Mapping
from enum import StrEnum
from typing import TypeVar

from assistant.procedure.fault import Faults
from assistant.procedure.model import Spot
from assistant.procedure.nodes import Listing, Node, Scalar, Table, describe

Choice = TypeVar("Choice", bound=StrEnum)

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class Fields:
    """One table being read. `step` and `noun` name the part in its faults; `owner` names the table in words."""

    def __init__(
        self, table: Table, faults: Faults, owner: str, *, step: str | None = None, noun: str = "step"
    ) -> None:
        self.table = table
        self.owner = owner
        self.step = step
        self.noun = noun
        self._faults = faults
        self._asked: dict[str, None] = {}
        self.lost = False
        """Whether a list of tables held something else, so that a part is missing."""

    def fault(self, spot: Spot, message: str) -> None:
        """Note a fault of this part."""
        self._faults.add(spot, message, step=self.step, noun=self.noun)

    def inner(self, table: Table, owner: str) -> Fields:
        """A table inside this one, whose faults are told under the same part."""
        return Fields(table, self._faults, owner, step=self.step, noun=self.noun)

    def has(self, key: str) -> bool:
        """Whether the key is written."""
        return self.table.get(key) is not None

    def node(self, key: str, expected: str, *, needed: bool = True) -> Node | None:
        """The value of a key as it stands; a missing needed key is a fault."""
        self._asked[key] = None
        node = self.table.get(key)
        if node is None and needed:
            self.fault(self.table.spot, f"found no key '{key}' in {self.owner}; expected {expected}; do add '{key}: …'")
        return node

    def text(self, key: str, *, needed: bool = True) -> str | None:
        """Words on one line; blanks are joined."""
        node = self.node(key, "text", needed=needed)
        return None if node is None else self._text(node, key)

    def name(self, key: str, *, needed: bool = True) -> str | None:
        """An id: lower-case words and digits joined by hyphens."""
        node = self.node(key, "an id", needed=needed)
        text = None if node is None else self._text(node, key)
        if text is None or _ID.fullmatch(text):
            return text
        self.fault(
            self.spot(key),
            f"found the id '{text}'; expected lower-case letters and digits joined by '-'; do rename it",
        )
        return None

    def number(self, key: str, *, needed: bool = True) -> float | None:
        """A decimal number."""
        node = self.node(key, "a number", needed=needed)
        return None if node is None else self._number(node, key)

    def whole(self, key: str, *, needed: bool = True) -> int | None:
        """A whole number."""
        number = self.number(key, needed=needed)
        if number is not None and number != int(number):
            self.fault(self.spot(key), f"found {number:g} for '{key}'; expected a whole number; do round it")
            return None
        return None if number is None else int(number)

    def flag(self, key: str) -> bool:
        """true or false; false where absent."""
        node = self.node(key, "true or false", needed=False)
        if node is None:
            return False
        value = node.value() if isinstance(node, Scalar) else None
        if not isinstance(value, bool):
            self.fault(node.spot, f"found {describe(node)} for '{key}'; expected true or false; do write one of them")
            return False
        return value

    def choice(self, key: str, choices: type[Choice], *, needed: bool = True) -> Choice | None:
        """One of a closed list."""
        node = self.node(key, one_of(choices), needed=needed)
        return None if node is None else self._choice(node, key, choices)

    def texts(self, key: str, *, needed: bool = True) -> tuple[str, ...]:
        """A list of words."""
        found = (self._text(node, key) for node in self.items(key, "a list of words", needed=needed))
        return tuple(text for text in found if text is not None)

    def names(self, key: str, *, needed: bool = True) -> tuple[str, ...]:
        """A list of ids; whether they exist is not looked at here."""
        return self.texts(key, needed=needed)

    def choices(self, key: str, choices: type[Choice], *, needed: bool = True) -> frozenset[Choice]:
        """A list from a closed list, each once."""
        found: list[Choice] = []
        for node in self.items(key, f"a list, [] when empty, of {', '.join(choices)}", needed=needed):
            choice = self._choice(node, key, choices)
            if choice is not None and choice in found:
                self.fault(node.spot, f"found '{choice}' twice in '{key}'; expected each once; do delete one of them")
            elif choice is not None:
                found.append(choice)
        return frozenset(found)

    def known(self, key: str, words: Collection[str]) -> tuple[str, ...]:
        """A list from a closed list of words, each once, in the order written; empty where absent."""
        found: list[str] = []
        for node in self.items(key, f"a list of {', '.join(words)}", needed=False):
            text = node.text if isinstance(node, Scalar) else ""
            if text in found:
                self.fault(node.spot, f"found '{text}' twice in '{key}'; expected each once; do delete one of them")
            elif text in words:
                found.append(text)
            else:
                near = difflib.get_close_matches(text, words, n=1, cutoff=0.6)
                hint = f"'{near[0]}'" if near else "one of them"
                self.fault(node.spot, f"found {describe(node)} for '{key}'; expected {one_of(words)}; do write {hint}")
        return tuple(found)

    def items(self, key: str, expected: str, *, needed: bool = True) -> tuple[Node, ...]:
        """The items of a list as they stand."""
        node = self.node(key, expected, needed=needed)
        if node is None:
            return ()
        if not isinstance(node, Listing):
            self.fault(node.spot, f"found {describe(node)} for '{key}'; expected {expected}; do write '{key}: […]'")
            return ()
        return node.items

    def inner_tables(self, key: str, owner: str, *, needed: bool = True) -> tuple[Fields, ...]:
        """The tables of a list, told under the same part."""
        found = []
        for node in self.items(key, f"a list of {owner}s", needed=needed):
            if isinstance(node, Table):
                found.append(self.inner(node, f"this {owner}"))
            else:
                self.lost = True
                self.fault(
                    node.spot, f"found {describe(node)} in '{key}'; expected keys with values; do write a {owner}"
                )
        return tuple(found)

    def parts(self, key: str, noun: str, *, needed: bool = True) -> tuple[Fields, ...]:
        """The tables of a list, each a part of its own: its faults are told under its id."""
        found = []
        for inner in self.inner_tables(key, noun, needed=needed):
            node = inner.table.get("id")
            inner.step = node.text if isinstance(node, Scalar) else None
            inner.noun = noun
            found.append(inner)
        return tuple(found)

    def inner_table(self, key: str, owner: str, *, needed: bool = True) -> Fields | None:
        """One table, told under the same part."""
        node = self.node(key, "keys with values", needed=needed)
        if node is None:
            return None
        if not isinstance(node, Table):
            self.fault(node.spot, f"found {describe(node)} for '{key}'; expected keys with values; do write them below")
            return None
        return self.inner(node, owner)

    def spot(self, key: str) -> Spot:
        """Where the value of a key stands; the table where it is absent."""
        node = self.table.get(key)
        return node.spot if node is not None else self.table.spot

    def spots(self) -> Mapping[str, Spot]:
        """Where each value stands; items of a list as `key.0`, `key.1`, values of a table as `key.inner`."""
        return dict(_spots(self.table))

    def finish(self) -> None:
        """Note every key that was not asked for."""
        for entry in self.table.entries:
            if entry.key.text in self._asked:
                continue
            near = difflib.get_close_matches(entry.key.text, self._asked, n=1, cutoff=0.6)
            hint = f"do write '{near[0]}'" if near else "do delete it"
            self.fault(
                entry.key.spot,
                f"found unknown key '{entry.key.text}'; expected one of {', '.join(self._asked)}; {hint}",
            )

    def _text(self, node: Node, key: str) -> str | None:
        value = node.value() if isinstance(node, Scalar) else None
        if isinstance(value, str):
            text = " ".join(value.split())
            if text:
                return text
        if isinstance(node, Scalar) and isinstance(value, bool | int | float):
            do = f"put it in quotes, '{node.text}', if it is meant as text"
        else:
            do = "write the words"
        found = "empty text" if value == "" or isinstance(value, str) else describe(node)
        self.fault(node.spot, f"found {found} for '{key}'; expected text; do {do}")
        return None

    def _number(self, node: Node, key: str) -> float | None:
        value = node.value() if isinstance(node, Scalar) else None
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e9:
            return float(value)
        odd = isinstance(node, Scalar) and node.odd_number()
        do = "write it as digits, such as 12 or 0.5" if odd else "write a plain number without unit or quotes"
        self.fault(node.spot, f"found {describe(node)} for '{key}'; expected a number; do {do}")
        return None

    def _choice(self, node: Node, key: str, choices: type[Choice]) -> Choice | None:
        text = node.text if isinstance(node, Scalar) else ""
        if text in set(choices):
            return choices(text)
        near = difflib.get_close_matches(text, [choice.value for choice in choices], n=1, cutoff=0.6)
        hint = f"'{near[0]}'" if near else "one of them"
        self.fault(node.spot, f"found {describe(node)} for '{key}'; expected {one_of(choices)}; do write {hint}")
        return None


def one_of(choices: Iterable[str]) -> str:
    """'one of a, b, c', in the order of the list."""
    return "one of " + ", ".join(str(choice) for choice in choices)


def _spots(table: Table, before: str = "") -> Iterable[tuple[str, Spot]]:
    for entry in table.entries:
        name = before + entry.key.text
        yield name, entry.value.spot
        if isinstance(entry.value, Listing):
            yield from ((f"{name}.{number}", item.spot) for number, item in enumerate(entry.value.items))
        elif isinstance(entry.value, Table) and not before:
            yield from _spots(entry.value, f"{name}.")
