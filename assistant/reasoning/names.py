"""The names that a fault model file defines, gathered before anything refers to them."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from assistant.procedure.fault import Faults
from assistant.procedure.fields import Fields
from assistant.procedure.model import Spot
from assistant.procedure.nodes import Listing, Node, Scalar, Table, describe
from assistant.reasoning.model import JUDGEMENT, NONE_OF_THESE


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """What may be referred to. `values`: the values of each condition and test. `cranking`: the tests that crank."""

    sources: frozenset[str]
    faults: frozenset[str]
    values: Mapping[str, tuple[str, ...]]
    tests: frozenset[str]
    cranking: tuple[str, ...]
    set_ups: frozenset[str]
    lingers: frozenset[str]


def gather_names(root: Table, faults: Faults) -> Names:
    """All names of the file; a name that stands twice is a fault, and so is one name for two kinds of thing."""
    variables = {**_values(root, "conditions", "values"), **_values(root, "tests", "results")}
    _find_twins(root, faults)
    return Names(
        sources=frozenset({JUDGEMENT, *(name for name, _ in _ids(root, "sources"))}),
        faults=frozenset({NONE_OF_THESE, *(name for name, _ in _ids(root, "faults"))}),
        values=variables,
        tests=frozenset(name for name, _ in _ids(root, "tests")),
        cranking=_cranking(root),
        set_ups=frozenset(name for name, _ in _ids(root, "set_ups")),
        lingers=frozenset(name for name, _ in _ids(root, "lingers")),
    )


def known_name(fields: Fields, node: Node, known: Collection[str], what: str) -> str | None:
    """The name at `node` if it is one of `known`; else a fault that offers the nearest."""
    if not isinstance(node, Scalar):
        fields.fault(node.spot, f"found {describe(node)}; expected the name of a {what}; do write one name")
        return None
    if node.text in known:
        return node.text
    near = difflib.get_close_matches(node.text, known, n=1, cutoff=0.6)
    hint = f"do write '{near[0]}'" if near else f"do add that {what} or mend the name"
    fields.fault(node.spot, f"found unknown {what} '{node.text}'; expected one of {_some(known)}; {hint}")
    return None


def known_names(
    fields: Fields, key: str, known: Collection[str], what: str, *, needed: bool = False
) -> tuple[str, ...]:
    """A list of names, each known and each once."""
    found: list[str] = []
    for node in fields.items(key, f"a list of {what}s", needed=needed):
        name = known_name(fields, node, known, what)
        if name in found:
            fields.fault(node.spot, f"found {what} '{name}' twice; expected each once; do delete one of them")
        elif name is not None:
            found.append(name)
    return tuple(found)


def new_names(fields: Fields, key: str, names: Names, taken: set[str]) -> tuple[str, ...]:
    """A list of names that mean nothing yet: no fault of the list, and in no other such list. Adds them to `taken`."""
    found: list[str] = []
    for node in fields.items(key, "a list of ids that findings give to faults", needed=False):
        if not isinstance(node, Scalar):
            fields.fault(node.spot, f"found {describe(node)}; expected the id of a finding's fault; do write one id")
        elif node.text in names.faults or node.text in taken:
            fields.fault(
                node.spot, f"found '{node.text}', which has its meaning already; expected each once; do delete it"
            )
        else:
            taken.add(node.text)
            found.append(node.text)
    return tuple(found)


def known_source(fields: Fields, names: Names, *, needed: bool = True) -> str:
    """The source of the numbers of a part: the id of a source or the word judgement."""
    node = fields.node("source", f"the id of a source or the word '{JUDGEMENT}'", needed=needed)
    return (known_name(fields, node, names.sources, "source") if node is not None else None) or JUDGEMENT


def _values(root: Table, section: str, key: str) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for table in _tables(root, section):
        node = table.get("id")
        if isinstance(node, Scalar):
            found[node.text] = tuple(name for name, _ in _ids(table, key))
    return found


def _cranking(root: Table) -> tuple[str, ...]:
    nodes = ((table.get("id"), table.get("cranks_s")) for table in _tables(root, "tests"))
    return tuple(name.text for name, cranks in nodes if isinstance(name, Scalar) and cranks is not None)


def _find_twins(root: Table, faults: Faults) -> None:
    groups = (("sources",), ("set_ups",), ("lingers",), ("faults", "conditions", "tests"))
    for group in groups:
        first: dict[str, Spot] = {}
        for section in group:
            for name, spot in _ids(root, section):
                if name in first:
                    faults.add(
                        spot,
                        f"found the id '{name}' again, first in line {first[name].line}; expected each id once; "
                        "do rename one of them",
                        step=name,
                        noun="part",
                    )
                first.setdefault(name, spot)
    for name, spot in _ids(root, "faults"):
        if name == NONE_OF_THESE:
            faults.add(spot, f"found a fault named '{name}', which stands for no fault of the list; do rename it")


def _ids(table: Table, section: str) -> Iterator[tuple[str, Spot]]:
    for item in _tables(table, section):
        node = item.get("id")
        if isinstance(node, Scalar):
            yield node.text, node.spot


def _tables(table: Table, section: str) -> Iterator[Table]:
    node = table.get(section)
    if isinstance(node, Listing):
        yield from (item for item in node.items if isinstance(item, Table))


def _some(known: Collection[str], most: int = 8) -> str:
    names = sorted(known)
    return ", ".join(names[:most]) + (" …" if len(names) > most else "") if names else "none"
