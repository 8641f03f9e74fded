"""YAML text as located values: every key and value with its line and column, nothing expanded, nothing guessed.

Plain words are read by the core schema of YAML 1.2: only `true` and `false` are flags, only decimal digits are numbers.
So `no`, `off` and `12:30` stay the words that the author typed. Anchors, aliases, tags and further documents are
refused, so a small file cannot unfold into a large one. The parser's events are read, not its objects: depth and count
are bounded before anything is built.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import yaml

from assistant.procedure.fault import Faults
from assistant.procedure.model import Spot

MAX_BYTES = 1024 * 1024
"""Callers look at the size of a file before they read it. Judgement: the longest shipped file has under 5 % of it."""
MAX_DEPTH = 12
MAX_NODES = 50_000

_NUMBER = re.compile(r"[-+]?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]+)?")
_WHOLE = re.compile(r"[-+]?(0|[1-9][0-9]*)")
_NUMBER_LIKE = re.compile(r"[-+]?(\.[0-9]+|0[0-9]+(\.[0-9]*)?|[0-9]+\.|\.inf|\.nan)", re.IGNORECASE)
_NOT_YAML = re.compile("[^\t\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scalar:
    """A word, number or flag as written. `plain` is False where it stood in quotes or in a block."""

    text: str
    plain: bool
    spot: Spot

    def value(self) -> str | int | float | bool | None:
        """What it means by the core schema: quoted is always text."""
        if not self.plain:
            return self.text
        if self.text in ("", "~", "null"):
            return None
        if self.text in ("true", "false"):
            return self.text == "true"
        if _WHOLE.fullmatch(self.text):
            return int(self.text)
        if _NUMBER.fullmatch(self.text):
            return float(self.text)
        return self.text

    def odd_number(self) -> bool:
        """True for text that other readers take for a number: `.5`, `007`, `1.`, `.inf`."""
        return self.plain and _NUMBER_LIKE.fullmatch(self.text) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """A list."""

    items: tuple[Node, ...]
    spot: Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One key with its value."""

    key: Scalar
    value: Node


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Keys with values, in the order written; each key once."""

    entries: tuple[Entry, ...]
    spot: Spot

    def get(self, key: str) -> Node | None:
        """The value of a key, or None where it is absent."""
        return next((entry.value for entry in self.entries if entry.key.text == key), None)


Node = Scalar | Listing | Table


def describe(node: Node) -> str:
    """What was found, in words."""
    if isinstance(node, Table):
        return "keys with values"
    if isinstance(node, Listing):
        return "a list" if node.items else "an empty list"
    value = node.value()
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return f"the flag {node.text}"
    if isinstance(value, int | float):
        return f"the number {node.text}"
    return f"'{shorten(node.text)}'"


def shorten(text: str, most: int = 40) -> str:
    """The text on one line, cut where it is long."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1] + "…"


def plain(node: Node) -> object:
    """The node as JSON values, for a schema to look at."""
    if isinstance(node, Table):
        return {entry.key.text: plain(entry.value) for entry in node.entries}
    if isinstance(node, Listing):
        return [plain(item) for item in node.items]
    return node.value()


def read_nodes(text: str, faults: Faults) -> Table | None:
    """The table that a file holds, or None with the reason in `faults`."""
    if len(text.encode("utf-8", "replace")) > MAX_BYTES:
        faults.add(_START, f"found more than {MAX_BYTES // 1024} KiB of text; expected a small file; do split it")
        return None
    _find_odd_characters(text, faults)
    if len(faults):
        return None
    try:
        root = _Builder(faults).build(yaml.parse(text, Loader=_LOADER))
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        reason = error.problem or error.context or "no reason given"
        faults.add(
            _spot(mark),
            f"found text that is not YAML ({reason}); expected 'key: value' lines and lists; "
            "do mend the indent, the colon or the quotes here",
        )
        return None
    except _TooMuch as too_much:
        faults.add(too_much.spot, too_much.message)
        return None
    if root is None:
        if not len(faults):
            faults.add(_START, "found an empty file; expected keys with values; do write the file")
        return None
    if not isinstance(root, Table):
        faults.add(root.spot, f"found {describe(root)}; expected keys with values; do begin with 'id: …'")
        return None
    return root


_START = Spot(line=1, column=1)


class _Mark(Protocol):
    """What both of PyYAML's parsers say about a place, from 0."""

    line: int
    column: int


class _TooMuch(Exception):
    def __init__(self, spot: Spot, message: str) -> None:
        super().__init__(message)
        self.spot = spot
        self.message = message


class _Open:
    """A list or table whose end has not come yet."""

    def __init__(self, spot: Spot, is_table: bool) -> None:
        self.spot = spot
        self.is_table = is_table
        self.items: list[Node] = []
        self.entries: list[Entry] = []
        self.key: Scalar | None = None
        self.key_due = True
        self.seen: dict[str, Spot] = {}


class _Builder:
    """Turns parser events into nodes on a stack of its own, so depth cannot exhaust Python's."""

    def __init__(self, faults: Faults) -> None:
        self._faults = faults
        self._stack: list[_Open] = []
        self._root: Node | None = None
        self._count = 0
        self._documents = 0

    def build(self, events: Iterator[yaml.Event]) -> Node | None:
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                self._documents += 1
                if self._documents > 1:
                    raise _TooMuch(
                        _spot(event.start_mark),
                        "found a second document; expected one in a file; do delete the '---' or move the rest",
                    )
            elif isinstance(event, yaml.NodeEvent):
                self._node(event)
            elif isinstance(event, yaml.CollectionEndEvent):
                self._close()
        return self._root

    def _node(self, event: yaml.NodeEvent) -> None:
        spot = _spot(event.start_mark)
        self._count += 1
        if self._count > MAX_NODES:
            raise _TooMuch(spot, f"found more than {MAX_NODES} values; expected a small file; do split it")
        if isinstance(event, yaml.AliasEvent):
            raise _TooMuch(spot, f"found the alias '*{event.anchor}'; expected plain values; do write the value out")
        if event.anchor is not None:
            raise _TooMuch(spot, f"found the anchor '&{event.anchor}'; expected plain values; do delete it")
        tag = getattr(event, "tag", None)
        if tag not in (None, "!"):
            raise _TooMuch(spot, f"found the tag '{tag}'; expected plain values; do delete it")
        if isinstance(event, yaml.ScalarEvent):
            self._put(Scalar(text=event.value, plain=bool(event.implicit[0]) and event.style in (None, ""), spot=spot))
            return
        if len(self._stack) >= MAX_DEPTH:
            raise _TooMuch(spot, f"found values nested more than {MAX_DEPTH} deep; expected a flat file; do flatten it")
        self._stack.append(_Open(spot, isinstance(event, yaml.MappingStartEvent)))

    def _close(self) -> None:
        done = self._stack.pop()
        if done.is_table:
            self._put(Table(entries=tuple(done.entries), spot=done.spot))
        else:
            self._put(Listing(items=tuple(done.items), spot=done.spot))

    def _put(self, node: Node) -> None:
        if not self._stack:
            self._root = node
            return
        top = self._stack[-1]
        if not top.is_table:
            top.items.append(node)
        elif top.key_due:
            self._put_key(top, node)
        else:
            if top.key is not None:
                top.entries.append(Entry(key=top.key, value=node))
            top.key_due = True

    def _put_key(self, top: _Open, node: Node) -> None:
        top.key_due = False
        top.key = None
        if not isinstance(node, Scalar):
            self._faults.add(node.spot, f"found {describe(node)} as a key; expected a word; do name the key")
            return
        first = top.seen.get(node.text)
        if first is not None:
            self._faults.add(
                node.spot,
                f"found duplicate key '{shorten(node.text)}', first in line {first.line}; expected each key once; "
                "do delete one of them",
            )
            return
        top.seen[node.text] = node.spot
        top.key = node


def _find_odd_characters(text: str, faults: Faults) -> None:
    for number, line in enumerate(text.split("\n"), start=1):
        odd = _NOT_YAML.search(line)
        if odd:
            faults.add(
                Spot(line=number, column=odd.start() + 1),
                f"found the character U+{ord(odd.group()):04X}, which YAML does not allow; expected printable text; "
                "do delete it",
            )
        indent = line[: len(line) - len(line.lstrip())]
        if "\t" in indent and line.strip():
            faults.add(
                Spot(line=number, column=indent.index("\t") + 1),
                "found a tab in the indent; expected spaces; do replace it by two spaces",
            )


def _spot(mark: _Mark | None) -> Spot:
    return Spot(line=mark.line + 1, column=mark.column + 1) if mark else _START
